"""The part on its bench sheet: outline to scale, tape, numbered reading spots, marks by letter, along and across.

No word that a person typed stands in it: marks have letters, readings numbers, and the list beside says the rest.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from zlib import crc32

from finishplan.bench.places import Mark
from finishplan.bench.sheet import Sheet
from finishplan.paper import theme as draw
from finishplan.paper.panel import TAPE_MM, Frame, outline_of, reading_spots, size_of
from finishplan.paper.theme import PAPER
from finishplan.survey.job import Defect, Panel
from finishplan.units import MM_PER_M

LEFT_PT = 14.0
TOP_PT = 3.0
SIDE_PT = 58.0
"""Room at the right for the arrow across."""
FOOT_PT = 22.0
"""Room below for the arrow along."""
LETTER_PT = 12.0
NUMBER_PT = 10.0
SPOT_PT = 8.5
MARK_PT = 4.5
HANDS_OFF = ("leave", "refer", "clean")
"""Repairs that keep sheets and pads away from a mark."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Drawn:
    """A drawing with its width in points, what it says in words, and the letters it had no room for."""

    svg: str
    width_pt: float
    alt: str
    without_room: tuple[str, ...]
    without_place: tuple[str, ...]
    to_scale: bool


@dataclass
class Canvas:
    """What is drawn so far, and the boxes where no letter may come to stand."""

    panel: Panel
    frame: Frame
    body: list[str]
    taken: list[Box]
    width: float
    height: float


def sheet_drawing(panel: Panel, sheet: Sheet, width_pt: float = 270.0, height_pt: float = 170.0) -> Drawn:
    """Return a panel's drawing, at most ``width_pt`` by ``height_pt``, to scale."""
    frame = frame_in(panel, width_pt, height_pt)
    ids = f"sheet-{crc32(panel.name.encode('utf-8', 'surrogatepass'))}"
    outline = outline_of(panel, frame)
    width = frame.x + frame.width + SIDE_PT
    height = frame.y + frame.height + FOOT_PT
    canvas = Canvas(panel, frame, [f'<path d="{outline}" fill="{PAPER.film}" data-is="outline"/>'], [], width, height)
    if is_taped(sheet):
        tape(canvas, outline, ids)
    canvas.body.append(f'<path d="{outline}" fill="none" stroke="{PAPER.ink}" stroke-width="1.3"/>')
    spots(canvas, sheet)
    placed, homeless = places_of(panel, sheet)
    rings(canvas, sheet, placed, ids)
    crowded = marks(canvas, placed, sheet)
    arrows(canvas)
    defs = (draw.hatch(f"tape-{ids}", PAPER.ink, 5.0, 45, 1.1)
            + f'<clipPath id="clip-{ids}"><path d="{outline}"/></clipPath>')
    alt = drawing_words(panel, sheet)
    svg = draw.svg(width, height, "Drawing of the part", alt, canvas.body, defs)
    return Drawn(svg, width, alt, crowded, homeless, panel.size_m is not None)


def frame_in(panel: Panel, width_pt: float, height_pt: float) -> Frame:
    """Return where the panel lies: as large as the room allows, both ways by one scale."""
    width_m, height_m, _ = size_of(panel)
    scale = min((width_pt - LEFT_PT - SIDE_PT) / width_m, (height_pt - TOP_PT - FOOT_PT) / height_m)
    return Frame(LEFT_PT, TOP_PT, width_m * scale, height_m * scale, scale)


def is_taped(sheet: Sheet) -> bool:
    """Tell whether the outer edge is taped while the first sheet runs."""
    return bool(sheet.taped) or any("mm taped" in row.tape for row in sheet.rows)


def tape(canvas: Canvas, outline: str, ids: str) -> None:
    """Hatch the taped edge."""
    width = 2 * max(4.0, TAPE_MM / MM_PER_M * canvas.frame.px_per_m)
    canvas.body.append(f'<path d="{outline}" fill="none" stroke="url(#tape-{ids})" '
                       f'stroke-width="{draw.num(width)}" clip-path="url(#clip-{ids})" data-is="tape"/>')


def spots(canvas: Canvas, sheet: Sheet) -> None:
    """Draw the numbered reading spots that have a place."""
    numbers = {spot.number for spot in sheet.spots}
    for number, share_x, share_y in reading_spots(canvas.panel):
        if number in numbers:
            x, y = inside(canvas, canvas.frame.at(share_x, share_y), SPOT_PT + 1)
            canvas.taken.append((x - SPOT_PT, y - SPOT_PT, x + SPOT_PT, y + SPOT_PT))
            canvas.body.append(f'<circle cx="{draw.num(x)}" cy="{draw.num(y)}" r="{draw.num(SPOT_PT)}" '
                               f'fill="{PAPER.ground}" stroke="{PAPER.ink}" stroke-width="1" data-is="spot"/>')
            size = NUMBER_PT if len(number) < 3 else NUMBER_PT * 2.4 / len(number)
            canvas.body.append(draw.text(x, y + size * 0.36, number, PAPER, size, anchor="middle"))


def places_of(panel: Panel, sheet: Sheet) -> tuple[list[tuple[Mark, Defect, float, float]], tuple[str, ...]]:
    """Return the marks with a place, each with its entry and place, and the letters of the others."""
    entries = [defect for zone in panel.zones for defect in zone.defects]
    placed, homeless = [], []
    for mark, entry in zip(sheet.marks, entries, strict=True):
        if entry.at is None:
            homeless.append(mark.letter)
        else:
            placed.append((mark, entry, entry.at.x, entry.at.y))
    return placed, tuple(homeless)


def rings(canvas: Canvas, sheet: Sheet, placed: Sequence[tuple[Mark, Defect, float, float]], ids: str) -> None:
    """Draw the ring of every spot repair, to scale, cut off at the outline."""
    radius_mm: Mapping[str, int] = {m.letter: m.ring_mm for work in sheet.local for m in work.marks
                                    if m.ring_mm is not None}
    for mark, entry, share_x, share_y in placed:
        if mark.letter in radius_mm:
            x, y = canvas.frame.at(share_x, share_y)
            reach = (radius_mm[mark.letter] + (entry.length_mm or 0.0) / 2) / MM_PER_M * canvas.frame.px_per_m
            canvas.body.append(f'<circle cx="{draw.num(x)}" cy="{draw.num(y)}" r="{draw.num(reach)}" fill="none" '
                               f'stroke="{PAPER.ink}" stroke-width="0.9" stroke-dasharray="4 3" '
                               f'clip-path="url(#clip-{ids})" data-is="ring"/>')


def marks(canvas: Canvas, placed: Sequence[tuple[Mark, Defect, float, float]], sheet: Sheet) -> tuple[str, ...]:
    """Draw the marks with their letters; return the letters that found no room."""
    at: list[tuple[Mark, float, float]] = []
    for mark, _, share_x, share_y in placed:
        x, y = inside(canvas, canvas.frame.at(share_x, share_y), MARK_PT + 1)
        at.append((mark, x, y))
        canvas.taken.append((x - MARK_PT, y - MARK_PT, x + MARK_PT, y + MARK_PT))
        hands_off = sheet.state != "stop" and mark.repair in HANDS_OFF
        canvas.body.append(barred(x, y) if hands_off else cross(x, y))
    crowded = []
    for mark, x, y in at:
        box = free_box(canvas, x, y, draw.text_width(mark.letter, LETTER_PT, bold=True) + 2)
        if box is None:
            crowded.append(mark.letter)
        else:
            canvas.taken.append(box)
            canvas.body.append(draw.text(box[0] + 1, box[3] - 3, mark.letter, PAPER, LETTER_PT, bold=True,
                                         halo=PAPER.ground))
    return tuple(crowded)


def cross(x: float, y: float) -> str:
    """Return the mark of an entry that is worked."""
    r = MARK_PT
    path = f"M{draw.num(x - r)},{draw.num(y - r)}l{2 * r:g},{2 * r:g}m0,{-2 * r:g}l{-2 * r:g},{2 * r:g}"
    return f'<path d="{path}" fill="none" stroke="{PAPER.ink}" stroke-width="1.6" data-is="mark"/>'


def barred(x: float, y: float) -> str:
    """Return the mark of an entry that is not to be touched: a barred circle."""
    r, side = MARK_PT + 0.5, (MARK_PT + 0.5) * math.sqrt(0.5)
    return (f'<circle cx="{draw.num(x)}" cy="{draw.num(y)}" r="{draw.num(r)}" fill="{PAPER.ground}" '
            f'stroke="{PAPER.ink}" stroke-width="1.4" data-is="hands-off"/>'
            + draw.line(x - side, y + side, x + side, y - side, PAPER.ink, 1.4))


def free_box(canvas: Canvas, x: float, y: float, width: float) -> Box | None:
    """Return a free box for a letter beside its mark, or None where the drawing is too crowded."""
    height, gap = LETTER_PT + 1, MARK_PT + 2
    wished = [(x + gap, y - height / 2), (x - gap - width, y - height / 2), (x - width / 2, y - gap - height),
              (x - width / 2, y + gap), (x + gap - 2, y - gap - height + 3), (x - gap - width + 2, y + gap - 3)]
    wished += [(left, top + shift) for left, top in wished[:2] for shift in (-2, 2, -4, 4, -7, 7, 9)]
    for left, top in wished:
        box = (left, top, left + width, top + height)
        fits = left >= 1 and top >= 0 and box[2] <= canvas.width - 1 and box[3] <= canvas.height - FOOT_PT + 4
        if fits and not any(meet(box, other) for other in canvas.taken):
            return box
    return None


def meet(one: Box, other: Box) -> bool:
    """Tell whether two boxes overlap."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def arrows(canvas: Canvas) -> None:
    """Draw which way is along (the longer side) and which across, and the corner that places count from."""
    frame, ink = canvas.frame, PAPER.ink
    lying = frame.width >= frame.height
    floor, end = frame.y + frame.height, frame.x + frame.width
    reach = min(40.0, frame.width / 3)
    middle = frame.x + frame.width / 2
    y = floor + 12
    flat = "along" if lying else "across"
    canvas.body.append(arrow(middle - reach, y, middle - 2, y, ink))
    canvas.body.append(draw.text(middle + 3, y + 4, flat, PAPER, 11.0))
    x = end + 10
    tall = min(30.0, frame.height / 2)
    half = frame.y + frame.height / 2
    canvas.body.append(arrow(x, half + tall / 2, x, half - tall / 2, ink))
    canvas.body.append(draw.text(x + 7, half + 4, "across" if lying else "along", PAPER, 11.0))
    canvas.body.append(draw.text(frame.x - 10, floor + 11, "0", PAPER, 11.0))


def arrow(x1: float, y1: float, x2: float, y2: float, colour: str) -> str:
    """Return an arrow with a head at both ends."""
    length = math.hypot(x2 - x1, y2 - y1)
    ux, uy = ((x2 - x1) / length, (y2 - y1) / length) if length else (1.0, 0.0)
    heads = []
    for x, y, way in ((x1, y1, 1.0), (x2, y2, -1.0)):
        for turn in (3.5, -3.5):
            heads.append(draw.line(x, y, x + way * 5.5 * ux - turn * uy, y + way * 5.5 * uy + turn * ux, colour, 1.2))
    return f'<g data-is="arrow">{draw.line(x1, y1, x2, y2, colour, 1.2)}{"".join(heads)}</g>'


def inside(canvas: Canvas, place: tuple[float, float], margin: float) -> tuple[float, float]:
    """Return a place moved inside the drawing."""
    return (max(margin, min(canvas.width - margin, place[0])),
            max(margin, min(canvas.height - margin, place[1])))


def drawing_words(panel: Panel, sheet: Sheet) -> str:
    """Return the drawing in words, for those who hear it."""
    width_m, height_m, given = size_of(panel)
    size = f"{width_m:.2f} by {height_m:.2f} m" if given else "size not given"
    found = [f"The part, {size}."]
    if is_taped(sheet):
        found.append("Its edge is taped.")
    for label, places in (("Reading", sheet.spots), ("Mark", sheet.marks)):
        for one in places:
            if one.where.startswith("("):
                name = getattr(one, "number", None) or getattr(one, "letter", "")
                found.append(f"{label} {name} at {one.where}.")
    return " ".join(found)
