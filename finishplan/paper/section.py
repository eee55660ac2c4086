"""Film cross-sections: every zone of a panel cut open, on one um axis, to scale.

The surface is on the left, the wood on the right. What a figure shows and what it says to a screen reader
come from the same records.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from zlib import crc32

from finishplan import wording
from finishplan.paper import theme as draw
from finishplan.paper.labels import Label, Placed, lanes, place
from finishplan.paper.theme import LIGHT, Theme
from finishplan.planning.result import DefectPlan, PanelPlan, Plan, ZonePlan

WIDTH_PX = 880.0
LEFT_PX = 12.0
RIGHT_PX = 210.0
"""Room right of the axis for the label of the thickest film."""
SIZE_PX = 15.5
LANE_PX = 20.0
BAR_PX = 44.0
HEAD_PX = 30.0
ROW_GAP_PX = 26.0
MAX_LABELS = 7
"""Defects drawn in one zone; more are counted and stand in the table."""


@dataclass(frozen=True)
class Notch:
    """Defects of one kind, depth and repair in one zone, drawn as one."""

    words: str
    depth_um: float


def axis_um_for(plan: Plan) -> float:
    """Return the length in um of the one axis that all sections of a plan share: a whole 50 um."""
    thickest = max(max(zone.film_mean_um, zone.film_low_um) for panel in plan.panels for zone in panel.zones)
    return max(50.0, 50.0 * math.ceil(thickest / 50.0))


def film_section(panel: PanelPlan, axis_um: float, theme: Theme = LIGHT) -> str:
    """Return the cross-sections of a panel's zones as SVG text, to scale on an axis of ``axis_um``.

    Each zone shows the film we count on, the mean as far as it is not counted on, the film that must
    stay, what every step takes and each defect at its depth. Raises ValueError for an axis of 0 or less.
    """
    if axis_um <= 0:
        raise ValueError("axis_um must be over 0")
    ids = f"{theme.name}-{crc32(panel.name.encode())}"
    scale = (WIDTH_PX - LEFT_PX - RIGHT_PX) / axis_um
    body: list[str] = []
    y = 6.0
    for zone in panel.zones:
        y = _zone(body, panel, zone, y, scale, axis_um, theme, ids)
    y = _axis(body, y - ROW_GAP_PX + 8, scale, axis_um, theme)
    defs = (draw.style(theme) + draw.hatch(f"keep-{ids}", theme.keep, 8.0, 45, 1.6)
            + draw.hatch(f"over-{ids}", theme.ink, 5.0, -45, 0.9))
    body.insert(0, draw.rect(0, 0, WIDTH_PX, y, theme.ground))
    return draw.svg(WIDTH_PX, y, f"Film of {panel.name}, cut open", section_words(panel), body, defs)


def section_words(panel: PanelPlan) -> str:
    """Return the whole figure in words, for those who hear it."""
    return " ".join(zone_words(panel, zone) for zone in panel.zones)


def takes(panel: PanelPlan, zone: ZonePlan) -> list[tuple[str, float]]:
    """Return the steps that a zone takes, each with its removal in um, coarse to fine."""
    return [(step.step, part.removal_um)
            for step in panel.steps for part in step.zones if part.zone == zone.name]


def notches(zone: ZonePlan) -> tuple[list[Notch], list[str]]:
    """Return what is drawn of a zone's defects, deepest first, and in words what has no depth or no room."""
    groups: dict[tuple[str, str, float], tuple[DefectPlan, int]] = {}
    flat: dict[str, int] = {}
    for defect in zone.defects:
        if defect.planning_depth_um is None:
            flat[defect.kind] = flat.get(defect.kind, 0) + defect.count
        else:
            key = (defect.kind, defect.depth_from, round(defect.planning_depth_um, 6))
            groups[key] = (defect, groups.get(key, (defect, 0))[1] + defect.count)
    drawn = sorted(groups.items(), key=lambda item: -item[0][2])
    found = [
        Notch(f"{wording.defect_words(kind, count)} {wording.depth_words(depth, origin)}", depth)
        for (kind, origin, depth), (_, count) in drawn
    ]
    said = [wording.defect_words(kind, count) for kind, count in flat.items()]
    notes = [f"{wording.listed(said)}: no depth to draw"] if said else []
    if len(found) > MAX_LABELS:
        notes.append(f"{len(found) - MAX_LABELS} shallower kinds not drawn, see the table")
    return found[:MAX_LABELS], notes


def zone_words(panel: PanelPlan, zone: ZonePlan) -> str:
    """Return a zone's section in words, for those who hear the figure."""
    parts = [
        f"{zone.name}: {wording.mark_of(zone.verdict, zone.last_service).word}",
        f"film {wording.film_words(zone.film_mean_um)} um "
        f"({wording.film_from_words(zone.film_from, zone.readings)})",
        f"we count on {wording.film_words(zone.film_low_um)}",
        f"leave at least {wording.least_words(zone.keep_um)}",
    ]
    parts += [f"{step} takes {wording.removal_words(um)}" for step, um in takes(panel, zone)]
    found, notes = notches(zone)
    parts += [f"{notch.words} deep" for notch in found]
    return wording.sentence(", ".join([*parts, *notes]))


def _zone(body: list[str], panel: PanelPlan, zone: ZonePlan, y: float, scale: float, axis_um: float,
          theme: Theme, ids: str) -> float:
    """Draw one zone from ``y`` down; return where the next one starts."""
    _head(body, zone, y, theme)
    above = place(_film_labels(panel, zone, scale), WIDTH_PX - 4, SIZE_PX, LEFT_PX)
    bar_y = y + HEAD_PX + lanes(above) * LANE_PX + 8
    found, notes = notches(zone)
    _film(body, panel, zone, bar_y, scale, theme, ids)
    below = _defects(body, zone, found, bar_y, scale, axis_um, theme)
    _film_words(body, panel, zone, bar_y, scale, theme)
    for one in above:
        _leader(body, one, bar_y, -1, theme)
    for one in below:
        _leader(body, one, bar_y + BAR_PX, 1, theme)
    end = bar_y + BAR_PX + lanes(below) * LANE_PX + (10 if below else 0)
    for note in notes:
        end += LANE_PX
        words = draw.fitted(note, WIDTH_PX - LEFT_PX - 4, SIZE_PX)
        body.append(draw.text(LEFT_PX, end, words, theme, SIZE_PX, quiet=True))
    return end + ROW_GAP_PX + 8


def _head(body: list[str], zone: ZonePlan, y: float, theme: Theme) -> None:
    mark = wording.mark_of(zone.verdict, zone.last_service)
    said = wording.film_from_words(zone.film_from, zone.readings)
    x = LEFT_PX + 26
    sides = draw.text_width(f"film {said}", SIZE_PX) + draw.text_width(mark.word, SIZE_PX)
    name = draw.fitted(zone.name, WIDTH_PX - x - sides - 32, SIZE_PX + 2, bold=True)
    body.append(draw.mark_svg(mark.shape, mark.fill, LEFT_PX + 8, y + 12, 15, theme.ink, theme.ground))
    body.append(draw.text(x, y + 18, name, theme, SIZE_PX + 2, bold=True))
    x += draw.text_width(name, SIZE_PX + 2, bold=True) + 4
    body.append(draw.text(x, y + 18, mark.word, theme, SIZE_PX))
    body.append(draw.text(WIDTH_PX - 4, y + 18, f"film {said}", theme, SIZE_PX, anchor="end", quiet=True))


def _film_labels(panel: PanelPlan, zone: ZonePlan, scale: float) -> list[Label]:
    """Return the labels over the bar: what each step takes, and the film's marks."""
    found: list[Label] = []
    at, compounds = 0.0, []
    for step, um in takes(panel, zone):
        words = f"{wording.step_short(step)} {wording.removal_words(um)}"
        if step == wording.step_short(step):
            found.append(Label(LEFT_PX + at * scale + 3, words))
        else:
            compounds.append((LEFT_PX + at * scale + 3, words))
        at += um
    if compounds:
        found.append(Label(compounds[0][0], ", ".join(words for _, words in compounds)))
    low, mean = LEFT_PX + zone.film_low_um * scale, LEFT_PX + zone.film_mean_um * scale
    short = f", under the {wording.least_words(zone.keep_um)} to leave" if zone.film_low_um < zone.keep_um else ""
    found.append(Label(low, f"we count on {wording.film_words(zone.film_low_um)}{short}"))
    if mean > low + 1:
        found.append(Label(mean, f"mean {wording.film_words(zone.film_mean_um)}", quiet=True))
    return found


def _film(body: list[str], panel: PanelPlan, zone: ZonePlan, y: float, scale: float, theme: Theme,
          ids: str) -> None:
    """Draw the film itself, from the surface at the left to the wood at the right."""
    low, mean = zone.film_low_um, zone.film_mean_um
    if mean > low:
        body.append(draw.rect(LEFT_PX + low * scale, y + 5, (mean - low) * scale, BAR_PX - 10, "none",
                              theme.quiet, role="not counted on", stroke_width=1.2, dash="4 4"))
    body.append(draw.rect(LEFT_PX, y, low * scale, BAR_PX, theme.film, theme.ink, role="film"))
    keep = min(zone.keep_um, low)
    keep_x, keep_width = LEFT_PX + (low - keep) * scale, keep * scale
    body.append(draw.rect(keep_x, y, keep_width, BAR_PX, f"url(#keep-{ids})", theme.ink, role="keep"))
    at = 0.0
    for step, um in takes(panel, zone):
        body.append(draw.rect(LEFT_PX + at * scale, y, um * scale, BAR_PX, theme.taken, theme.ink,
                              role=f"takes {step}", stroke_width=0.8))
        at += um
    if at > 0:
        body.append(draw.rect(LEFT_PX + at * scale, y, at * zone.overcut * scale, BAR_PX,
                              f"url(#over-{ids})", theme.ink, role="overcut", stroke_width=0.8))
    body.append(draw.line(LEFT_PX, y - 6, LEFT_PX, y + BAR_PX + 6, theme.ink, 3))


def _film_words(body: list[str], panel: PanelPlan, zone: ZonePlan, y: float, scale: float,
                theme: Theme) -> None:
    """Write into the film what must stay and what is left to spend, where there is room."""
    keep = min(zone.keep_um, zone.film_low_um)
    keep_x, keep_width = LEFT_PX + (zone.film_low_um - keep) * scale, keep * scale
    at = sum(um for _, um in takes(panel, zone))
    taken_end = LEFT_PX + at * (1 + zone.overcut) * scale
    words = f"leave at least {wording.least_words(zone.keep_um)}"
    for text in (words, f"leave {wording.least_words(zone.keep_um)}") if zone.film_low_um >= zone.keep_um else ():
        if draw.text_width(text, SIZE_PX) + 12 <= keep_width:
            body.append(draw.text(keep_x + keep_width / 2, y + BAR_PX / 2 + 5, text, theme, SIZE_PX,
                                  anchor="middle", halo=theme.film))
            break
    if zone.removal_um > 0:
        _between(body, f"{wording.film_words(zone.film_left_um - zone.keep_um)} still to spend after",
                 taken_end, keep_x, y, theme)
    else:
        _between(body, f"{wording.film_words(zone.spare_um)} to spend", taken_end, keep_x, y, theme)


def _between(body: list[str], words: str, left: float, right: float, y: float, theme: Theme) -> None:
    """Write ``words`` into the film that is left, if it has the room; the deeper notches pass behind."""
    if draw.text_width(words, SIZE_PX) + 16 <= right - left:
        body.append(draw.text((left + right) / 2, y + BAR_PX / 2 + 5, words, theme, SIZE_PX, anchor="middle",
                              quiet=True, halo=theme.film))


def _defects(body: list[str], zone: ZonePlan, found: list[Notch], bar_y: float, scale: float,
             axis_um: float, theme: Theme) -> list[Placed]:
    """Draw each defect as a notch from the surface to its depth; return their labels, placed."""
    labels = []
    pitch = BAR_PX / (len(found) + 1)
    for k, notch in enumerate(found):
        through = notch.depth_um >= max(zone.film_mean_um, zone.film_low_um)
        tip = LEFT_PX + min(notch.depth_um, axis_um) * scale
        y = bar_y + (k + 1) * pitch
        body.append(f'<polygon points="{draw.num(LEFT_PX)},{draw.num(y - 2.6)} {draw.num(tip)},{draw.num(y)} '
                    f'{draw.num(LEFT_PX)},{draw.num(y + 2.6)}" fill="{theme.defect}" stroke="{theme.ink}" '
                    f'stroke-width="0.6" data-is="defect"/>')
        body.append(draw.line(tip, y, tip, bar_y + BAR_PX + 4, theme.defect, 1.2))
        labels.append(Label(tip, notch.words + (", through the film" if through else "")))
    return place(labels, WIDTH_PX - 4, SIZE_PX, LEFT_PX)


def _leader(body: list[str], one: Placed, edge: float, way: int, theme: Theme) -> None:
    """Draw one label with its leader, upward (way -1) or downward (1) from the bar's edge."""
    base = edge - 8 - one.lane * LANE_PX if way < 0 else edge + 20 + one.lane * LANE_PX
    end = base - SIZE_PX * 0.7 if way < 0 else base + 3
    if one.left < one.label.x - 1:
        end = base + 4 if way < 0 else base - SIZE_PX
    body.insert(0, draw.line(one.label.x, edge, one.label.x, end, theme.hairline, 1.0))
    body.append(draw.text(one.start + 4, base, one.label.words, theme, SIZE_PX, quiet=one.label.quiet,
                          halo=theme.ground))


def _axis(body: list[str], y: float, scale: float, axis_um: float, theme: Theme) -> float:
    """Draw the one axis under all zones; return where the drawing ends."""
    step = 50 if axis_um <= 600 else 100 * math.ceil(axis_um / 1000)
    body.append(draw.line(LEFT_PX, y, LEFT_PX + axis_um * scale, y, theme.hairline, 1.2))
    for k in range(math.floor(axis_um / step) + 1):
        x = LEFT_PX + k * step * scale
        body.append(draw.line(x, y, x, y + 6, theme.hairline, 1.2))
        body.append(draw.text(x, y + 22, f"{k * step:g}", theme, SIZE_PX - 1.5,
                              anchor="start" if k == 0 else "middle", quiet=True))
    body.append(draw.text(WIDTH_PX - 4, y + 22, "um under the surface", theme, SIZE_PX - 1.5, anchor="end",
                          quiet=True))
    return y + 30
