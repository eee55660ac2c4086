"""One panel drawn to scale: outline, taped edges, reading spots, defects, stroke directions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from zlib import crc32

from finishplan import wording
from finishplan.paper import theme as draw
from finishplan.paper.outline import GRAND_LIDS, lid_points
from finishplan.paper.theme import LIGHT, Theme
from finishplan.survey.choices import NARROW_KINDS
from finishplan.survey.job import Defect, Panel
from finishplan.units import MM_PER_M

WIDTH_PX = 880.0
MARGIN_PX = 14.0
SIDE_PX = 170.0
"""Room at the right for the stroke directions."""
MAX_HEIGHT_PX = 380.0
NOTES_PX = 270.0
"""Room beside a drawing from which its notes stand there."""
SIZE_PX = 15.5
TAPE_MM = 20.0
"""Width of the taped edge, as drawn (common practice: 15 to 20 mm)."""
DEFAULT_ASPECT = 2.0
"""Width over height where the survey gives no size."""
SPOT_PX = 11.0

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Frame:
    """Where a panel lies on the drawing, and its scale in px per m."""

    x: float
    y: float
    width: float
    height: float
    px_per_m: float

    def at(self, share_x: float, share_y: float) -> tuple[float, float]:
        """Return the px of a place given as shares from the panel's lower left."""
        return self.x + share_x * self.width, self.y + (1 - share_y) * self.height


def size_of(panel: Panel) -> tuple[float, float, bool]:
    """Return width and height in m, and whether the survey gave them; else a rectangle of the area."""
    if panel.size_m is not None:
        return panel.size_m.width, panel.size_m.height, True
    area = sum(zone.area_m2 for zone in panel.zones)
    height = math.sqrt(area / DEFAULT_ASPECT)
    return area / height, height, False


def frame_of(panel: Panel) -> Frame:
    """Return the panel's place on the drawing: as large as width and height allow, both by one scale."""
    width_m, height_m, _ = size_of(panel)
    room = WIDTH_PX - 2 * MARGIN_PX - SIDE_PX
    px_per_m = min(room / width_m, MAX_HEIGHT_PX / height_m)
    return Frame(MARGIN_PX, MARGIN_PX, width_m * px_per_m, height_m * px_per_m, px_per_m)


def directions(sheets: Sequence[str]) -> list[tuple[str, str]]:
    """Return each sheet with its stroke direction: crossing from sheet to sheet, the last one along.

    Crossing strokes show when the last grade's lines are gone (published); that the last runs along the
    panel's length is common practice, no source.

    >>> directions(["P800", "P1200", "P1500"])
    [('P800', 'along'), ('P1200', 'across'), ('P1500', 'along')]
    """
    last = len(sheets) - 1
    return [(sheet, "along" if (last - k) % 2 == 0 else "across") for k, sheet in enumerate(sheets)]


def panel_drawing(panel: Panel, sheets: Sequence[str] = (), theme: Theme = LIGHT) -> str:
    """Return the panel as SVG text, to scale, with what the survey has a place for; ``sheets`` by name."""
    frame = frame_of(panel)
    ids = f"{theme.name}-{crc32(panel.name.encode())}"
    outline = outline_of(panel, frame)
    body = [f'<path d="{outline}" fill="{theme.film}" data-is="outline"/>']
    notes = _taped(body, panel, frame, outline, theme, ids)
    body.append(f'<path d="{outline}" fill="none" stroke="{theme.ink}" stroke-width="1.8"/>')
    taken: list[Box] = []
    notes += _spots(body, panel, frame, theme, taken)
    notes += _defects(body, panel, frame, theme, taken, ids)
    _directions(body, panel, sheets, frame, theme)
    width_m, height_m, given = size_of(panel)
    size = f"{width_m:.2f} x {height_m:.2f} m"
    notes.insert(0, f"{size}, to scale" if given else f"size not given: drawn as {size} of the same area")
    y = _notes(body, notes, frame, 34.0 + 22.0 * len(sheets) if sheets else 0.0, theme)
    body.insert(0, draw.rect(0, 0, WIDTH_PX, y, theme.ground))
    defs = (draw.style(theme) + draw.hatch(f"tape-{ids}", theme.ink, 6.0, 45, 1.0)
            + f'<clipPath id="clip-{ids}"><path d="{outline}"/></clipPath>')
    return draw.svg(WIDTH_PX, y, f"Drawing of {panel.name}", panel_words(panel, sheets), body, defs)


def _notes(body: list[str], notes: Sequence[str], frame: Frame, strokes_px: float, theme: Theme) -> float:
    """Write the notes beside a narrow drawing, under the strokes, else below; return where all ends."""
    beside = frame.x + frame.width + 28
    room = WIDTH_PX - MARGIN_PX - beside
    floor = frame.y + frame.height
    x, y = (beside, frame.y + strokes_px) if room >= NOTES_PX else (MARGIN_PX, max(floor, frame.y + strokes_px) + 8)
    room = room if room >= NOTES_PX else WIDTH_PX - 2 * MARGIN_PX
    for note in notes:
        for words in draw.wrapped(note, room, SIZE_PX):
            y += 21
            body.append(draw.text(x, y, words, theme, SIZE_PX, quiet=True))
        y += 6
    return max(y, floor) + 14


def panel_words(panel: Panel, sheets: Sequence[str] = ()) -> str:
    """Return the drawing in words, for those who hear it."""
    width_m, height_m, _ = size_of(panel)
    parts = [f"{panel.name}, {width_m:.2f} by {height_m:.2f} m"]
    spots = [f"reading {k} at {_place(x, y)}" for k, x, y in reading_spots(panel)]
    found = [f"{wording.defect_words(d.kind, d.count)} at {_place(d.at.x, d.at.y)}"
             for zone in panel.zones for d in zone.defects if d.at is not None]
    strokes = [f"{sheet} {way}" for sheet, way in directions(sheets)]
    return wording.sentence(". ".join(", ".join(p) for p in (parts, spots, found, strokes) if p))


def reading_spots(panel: Panel) -> list[tuple[str, float, float]]:
    """Return the placed reading spots of a panel: number, x and y as shares; a spot stands once."""
    found: dict[tuple[float, float], str] = {}
    count = 0
    for zone in panel.zones:
        for reading in zone.readings:
            count += 1
            if reading.at is not None:
                number = reading.spot if reading.spot is not None else count
                found.setdefault((reading.at.x, reading.at.y), str(number))
    return [(number, x, y) for (x, y), number in found.items()]


def outline_of(panel: Panel, frame: Frame) -> str:
    """Return the SVG path of a panel's outline: a grand's lid with its bentside, else the rectangle."""
    if panel.part in GRAND_LIDS:
        width_m, height_m, _ = size_of(panel)
        share = sum(zone.area_m2 for zone in panel.zones) / (width_m * height_m)
        p = [f"{draw.num(x)},{draw.num(y)}" for x, y in (frame.at(*end) for end in lid_points(share))]
        return f"M{p[0]}L{p[1]}Q{p[2]} {p[3]}C{p[4]} {p[5]} {p[6]}C{p[7]} {p[8]} {p[9]}L{p[10]}Z"
    x, y = draw.num(frame.x), draw.num(frame.y)
    return f"M{x},{y}h{draw.num(frame.width)}v{draw.num(frame.height)}h{draw.num(-frame.width)}Z"


def _taped(body: list[str], panel: Panel, frame: Frame, outline: str, theme: Theme, ids: str) -> list[str]:
    """Hatch the edge where no sheet goes; return the note that says so."""
    taped = [zone.name for zone in panel.zones if zone.kind in NARROW_KINDS and not zone.sheets_allowed]
    if not taped or panel.target.finish == "satin":
        return []
    width = 2 * max(3.0, TAPE_MM / MM_PER_M * frame.px_per_m)
    body.append(f'<path d="{outline}" fill="none" stroke="url(#tape-{ids})" stroke-width="{draw.num(width)}" '
                f'clip-path="url(#clip-{ids})" data-is="tape"/>')
    return [f"hatched: outer {TAPE_MM:.0f} mm, no sheet ({wording.listed(taped)})"]


def _spots(body: list[str], panel: Panel, frame: Frame, theme: Theme, taken: list[Box]) -> list[str]:
    spots = reading_spots(panel)
    for number, share_x, share_y in spots:
        x, y = _inside(frame.at(share_x, share_y), SPOT_PX + 1)
        taken.append((x - SPOT_PX, y - SPOT_PX, x + SPOT_PX, y + SPOT_PX))
        body.append(f'<circle cx="{draw.num(x)}" cy="{draw.num(y)}" r="{draw.num(SPOT_PX)}" '
                    f'fill="{theme.ground}" stroke="{theme.keep}" stroke-width="2" data-is="spot"/>')
        size = SIZE_PX - 2.5 if len(number) < 3 else SIZE_PX - 6
        words = draw.fitted(number, 2 * SPOT_PX + 4, size)
        body.append(draw.text(x, y + size * 0.36, words, theme, size, anchor="middle"))
    lost = sum(1 for zone in panel.zones for reading in zone.readings if reading.at is None)
    notes = ["numbers in rings: film readings"] if spots else []
    if lost:
        notes.append(f"{lost} {'reading has' if lost == 1 else 'readings have'} no place yet")
    return notes


def _defects(body: list[str], panel: Panel, frame: Frame, theme: Theme, taken: list[Box],
             ids: str) -> list[str]:
    """Draw the placed defects with their names; return notes on those without a place or without room."""
    found = [(wording.defect_words(d.kind, d.count), d) for zone in panel.zones for d in zone.defects]
    placed: list[tuple[str, Box]] = []
    for words, defect in found:
        if defect.at is not None:
            x, y = _inside(frame.at(defect.at.x, defect.at.y), 6)
            reach = _mark(body, defect, x, y, frame, theme, ids)
            placed.append((words, (max(2.0, x - reach), y - 6, min(WIDTH_PX - 2, x + reach), y + 6)))
    taken += [box for _, box in placed]
    crowded: list[str] = []
    for words, mark in placed:
        spot = _room(words, mark, frame, taken)
        if spot is None:
            crowded.append(words)
            continue
        taken.append(spot)
        body.append(draw.text(spot[0] + 3, spot[3] - 5, words, theme, SIZE_PX, halo=theme.film))
    lost = [words for words, defect in found if defect.at is None]
    notes = [f"no place given: {alike(lost)}"] if lost else []
    return [*notes, f"marked without room for the name: {alike(crowded)}"] if crowded else notes


def alike(names: Sequence[str]) -> str:
    """Return names as a list, one that comes more than once with how often.

    >>> alike(["nick", "chip", "nick"])
    'nick (two times) and chip'
    """
    counts = {name: names.count(name) for name in dict.fromkeys(names)}
    return wording.listed(name if count == 1 else f"{name} ({wording.counted(count, 'time')})"
                          for name, count in counts.items())


def _mark(body: list[str], defect: Defect, x: float, y: float, frame: Frame, theme: Theme, ids: str) -> float:
    """Draw one defect in its true size where it has one, cut off at the outline; return its reach in px."""
    style = (f'fill="none" stroke="{theme.defect}" stroke-width="2.4" clip-path="url(#clip-{ids})" '
             'data-is="defect"')
    at = f"M{draw.num(x - 5)},{draw.num(y - 5)}l10,10m0,-10l-10,10"
    body.append(f'<path d="{at}" fill="none" stroke="{theme.defect}" stroke-width="2.4" data-is="place"/>')
    if defect.area_m2 is not None:
        radius = math.sqrt(defect.area_m2 / math.pi) * frame.px_per_m
        body.append(f'<circle cx="{draw.num(x)}" cy="{draw.num(y)}" r="{draw.num(radius)}" '
                    f'stroke-dasharray="5 4" {style}/>')
    elif defect.length_mm is not None:
        half = defect.length_mm / MM_PER_M * frame.px_per_m / 2
        body.append(f'<path d="M{draw.num(x - half)},{draw.num(y)}h{draw.num(2 * half)}" {style}/>')
        return max(6.0, half)
    return 6.0


def _room(words: str, mark: Box, frame: Frame, taken: Sequence[Box]) -> Box | None:
    """Return a free box for a name beside its mark, or None where the drawing is too crowded."""
    width, height = draw.text_width(words, SIZE_PX) + 6, 20.0
    left, top, right, bottom = mark
    x, y = (left + right) / 2, (top + bottom) / 2
    wished = [(right + 2, y - 10), (left - width - 2, y - 10), (x - width / 2, bottom + 2),
              (x - width / 2, top - height - 2), (right - 4, bottom + 2), (right - 4, top - height - 2),
              (left - width + 4, bottom + 2), (left - width + 4, top - height - 2)]
    end, floor = frame.x + frame.width + MARGIN_PX, frame.y + frame.height + 4
    for a, b in wished:
        box = (a, b, a + width, b + height)
        inside = a >= 2 and b >= 2 and box[2] <= end and box[3] <= floor
        if inside and not any(_meet(box, other) for other in taken):
            return box
    return None


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _directions(body: list[str], panel: Panel, sheets: Sequence[str], frame: Frame, theme: Theme) -> None:
    """Draw at the right, for each sheet, the way of its strokes; along is along the longer side."""
    x, y = frame.x + frame.width + 28, frame.y + 16
    if not sheets:
        return
    body.append(draw.text(x, y, "strokes", theme, SIZE_PX, quiet=True))
    lying = frame.width >= frame.height
    for sheet, way in directions(sheets):
        y += 22
        flat = (way == "along") == lying
        arrow = ("M{0},{1}h26m-6,-5l6,5l-6,5m-14,-10l-6,5l6,5" if flat
                 else "M{2},{3}v18m-5,-6l5,6l5,-6m-10,-6l5,-6l5,6")
        path = arrow.format(draw.num(x), draw.num(y - 5), draw.num(x + 13), draw.num(y - 14))
        body.append(f'<path d="{path}" fill="none" stroke="{theme.ink}" stroke-width="1.8" data-is="{way}"/>')
        name = draw.fitted(sheet, SIDE_PX - 70, SIZE_PX)
        body.append(draw.text(x + 36, y, name, theme, SIZE_PX))


def _inside(place: tuple[float, float], margin: float) -> tuple[float, float]:
    return max(margin, min(WIDTH_PX - margin, place[0])), max(margin, place[1])


def _place(x: float, y: float) -> str:
    return f"{100 * x:.0f} % from the left, {100 * y:.0f} % up"
