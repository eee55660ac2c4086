"""The drawing in words: reading spots by number, marks by letter, and what is taped when."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from string import ascii_lowercase

from finishplan import wording
from finishplan.bench.columns import fitted
from finishplan.bench.step_texts import text_of
from finishplan.planning.result import DefectPlan, PanelPlan, ZonePlan
from finishplan.survey.choices import NARROW_KINDS, THIN_KINDS
from finishplan.survey.job import Defect, Panel, Place

CM_PER_M = 100.0
NARROW_PART_M = 0.15
"""Parts narrower than this have no room for 20 mm of tape on both sides (assumed)."""
NAME = 30
"""Columns for a name inside a sentence."""
NO_PLACE = "no place given"


@dataclass(frozen=True)
class ReadingSpot:
    """One numbered place of a film reading."""

    number: str
    zone: str
    where: str


@dataclass(frozen=True)
class Mark:
    """One entry of damage: its letter, what and where it is, and what is done with it."""

    letter: str
    words: str
    zone: str
    where: str
    repair: str
    asked: str
    to_do: str
    note: str


def letter_of(place: int) -> str:
    """Return the letter of the mark at ``place``, from 0.

    >>> letter_of(0), letter_of(25), letter_of(26)
    ('a', 'z', 'aa')
    """
    count = len(ascii_lowercase)
    head = letter_of(place // count - 1) if place >= count else ""
    return head + ascii_lowercase[place % count]


def place_words(panel: Panel, at: Place | None) -> str:
    """Return a place as (right, up) from the panel's lower left, in the unit of ``place_unit``."""
    if at is None:
        return NO_PLACE
    width, height = (panel.size_m.width, panel.size_m.height) if panel.size_m else (1.0, 1.0)
    return f"({at.x * width * CM_PER_M:.0f}, {at.y * height * CM_PER_M:.0f})"


def place_unit(panel: Panel) -> str:
    """Return what places count in: cm where the panel's size is known, else hundredths of it."""
    return "cm" if panel.size_m is not None else "hundredths"


def reading_spots(panel: Panel) -> tuple[ReadingSpot, ...]:
    """Return every reading spot of a panel once; one without a number takes its place in the survey."""
    found: dict[tuple[str, str], ReadingSpot] = {}
    count = 0
    for zone in panel.zones:
        for reading in zone.readings:
            count += 1
            if reading.method == "estimate":
                continue
            number = str(reading.spot if reading.spot is not None else count)
            spot = ReadingSpot(number, zone.name, place_words(panel, reading.at) if reading.at else "")
            found.setdefault((zone.name, number), spot)
    return tuple(found.values())


def marks_of(panel: Panel, plan: PanelPlan) -> tuple[Mark, ...]:
    """Return every surveyed entry with its letter, in the order of the survey."""
    found: list[Mark] = []
    for zone, planned in zip(panel.zones, plan.zones, strict=True):
        for entry in planned.defects:
            if entry.index is not None:
                defect = zone.defects[entry.index]
                found.append(Mark(
                    letter_of(len(found)), mark_words(defect), zone.name, place_words(panel, defect.at),
                    entry.repair, entry.asked, remedy_words(entry, planned), defect.note,
                ))
    return tuple(found)


def mark_words(defect: Defect) -> str:
    """Return an entry as it is looked for on the part."""
    words = wording.defect_words(defect.kind, defect.count)
    if defect.length_mm is not None:
        return f"{words}, {defect.length_mm:.0f} mm"
    return words


def remedy_words(entry: DefectPlan, zone: ZonePlan) -> str:
    """Return what is done with an entry, in the fewest words."""
    if entry.repair in ("sand", "buff") and zone.starts_at:
        return f"{'soften' if entry.asked == 'soften' else 'out'} with {zone.starts_at}"
    words = text_of("repair", entry.repair).how
    return f"{words} (soften only)" if entry.asked == "soften" and entry.repair == "spot" else words


def taken_out(plan: PanelPlan, marks: tuple[Mark, ...], at: int, asked: str = "remove") -> tuple[str, ...]:
    """Return the letters of the marks that step ``at`` of a panel has to ``asked``: remove or soften."""
    starting = {zone.name for zone in plan.zones if zone.starts_at == plan.steps[at].step}
    return tuple(m.letter for m in marks if m.zone in starting and m.repair in ("sand", "buff")
                 and (m.asked == "soften") == (asked == "soften"))


def joining(plan: PanelPlan, at: int) -> tuple[str, ...]:
    """Return the zones that take step ``at`` and no earlier one; none for the first step."""
    if at == 0:
        return ()
    before = {zone.zone for zone in plan.steps[at - 1].zones}
    return tuple(zone.zone for zone in plan.steps[at].zones if zone.zone not in before)


def never_sanded(plan: PanelPlan) -> tuple[str, ...]:
    """Return the edges, corners and curves that take no sheet though the panel does."""
    sanded = {zone.zone for step in plan.steps if step.is_sheet for zone in step.zones}
    return tuple(z.name for z in plan.zones if z.kind in NARROW_KINDS and z.name not in sanded) if sanded else ()


def tape_words(panel: Panel, plan: PanelPlan, at: int) -> str:
    """Return what is taped during step ``at``; nothing for compounds, which run to the edge by hand.

    Zones of their own that do not take the sheet stay taped. Where the survey has no edge zone, the outer
    15 to 20 mm are taped for the first grade and all but the last two (common practice, no source).
    """
    step = plan.steps[at]
    if not step.is_sheet:
        return ""
    taking = {zone.zone for zone in step.zones}
    left_out = [z.name for z in plan.zones if z.kind in NARROW_KINDS and z.name not in taking]
    if left_out:
        return f"taped: {names_words(left_out)}"
    if any(z.kind in THIN_KINDS for z in plan.zones) or plan.face == "moulded":
        return "no tape"
    sheets = sum(s.is_sheet for s in plan.steps)
    open_at_last = plan.finish == "satin" and at == sheets - 1
    if open_at_last or (at > 0 and at >= sheets - 2):
        return "tape off"
    if panel.size_m is not None and min(panel.size_m.width, panel.size_m.height) < NARROW_PART_M:
        return "edges taped as the finisher marks them"
    return "outer 15 to 20 mm taped"


def names_words(names: Iterable[str]) -> str:
    """Return names as a list in a sentence, each cut to what a line holds."""
    return wording.listed(fitted(name, NAME) for name in names)


def broken_off(panel: Panel) -> tuple[tuple[str, str], ...]:
    """Return the zones where earlier work stopped half way, each with the step last done."""
    return tuple((zone.name, zone.previous_step) for zone in panel.zones if zone.previous_step)
