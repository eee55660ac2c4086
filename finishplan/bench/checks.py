"""Check readings and hold points: where the gauge is asked, and where the finisher signs before work goes on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from finishplan.bench.columns import fitted
from finishplan.bench.places import NAME, ReadingSpot, reading_spots
from finishplan.bench.sheet_rules import rule
from finishplan.planning.result import PanelPlan, ZonePlan
from finishplan.survey.job import Job, Panel, TestSpot
from finishplan.units import up

MOMENTS = {
    "before": "before the first stroke",
    "levelled": "after the levelling grade",
    "end": "at the end, cold and clean",
}
"""The three moments of a check reading."""

HOW = 60
"""Columns for how the finish was identified."""

BEFORE_ALL = -1
"""Stands for: before anything, local work included."""


@dataclass(frozen=True)
class CheckReading:
    """One zone's reading at one moment, and the value it must not go under, rounded up."""

    moment: str
    after: int
    """Steps of the panel that are done."""
    zone: str
    least_um: int
    spots: tuple[str, ...]


@dataclass(frozen=True)
class HoldPoint:
    """Where work waits for the finisher's signature."""

    key: str
    after: int
    """Steps of the panel that are done; BEFORE_ALL before any work, local work included."""
    text: str


def whole_um(least_um: float) -> int:
    """Return a least reading [um] rounded up to a whole number.

    >>> whole_um(90.2), whole_um(91.0)
    (91, 91)
    """
    return int(up(least_um))


def checks_of(panel: Panel, plan: PanelPlan) -> tuple[CheckReading, ...]:
    """Return a panel's check readings in the order of work; none where nothing is done.

    Every worked zone is read before and at the end. In between it is read after its levelling grade: the
    panel's first step, or the sheet with which it joins. A zone that joins with a compound has no reading
    between, for it loses less by then than a gauge can tell.
    """
    spots = reading_spots(panel)
    found = [check("before", 0, zone.name, zone.least_start_um, spots) for zone in plan.zones if zone.starts_at]
    last = len(plan.steps)
    for zone in plan.zones:
        at = levelling_step(plan, zone)
        if at is not None and at + 1 < last:
            found.append(check("levelled", at + 1, zone.name, least_after(plan, at, zone.name), spots))
    found += [check("end", last, zone.name, least_after(plan, last - 1, zone.name), spots)
              for zone in plan.zones if zone.starts_at]
    return tuple(sorted(found, key=lambda c: c.after))


def check(moment: str, after: int, zone: str, least_um: float, spots: Iterable[ReadingSpot]) -> CheckReading:
    """Return one check reading with the numbers of the zone's spots."""
    return CheckReading(moment, after, zone, whole_um(least_um), tuple(s.number for s in spots if s.zone == zone))


def levelling_step(plan: PanelPlan, zone: ZonePlan) -> int | None:
    """Return the place of a zone's levelling grade among the panel's steps, or None where it has none."""
    for at, step in enumerate(plan.steps):
        if step.step == zone.starts_at:
            return at if at == 0 or step.is_sheet else None
    return None


def least_after(plan: PanelPlan, at: int, zone: str) -> float:
    """Return the least reading [um] of a zone when step ``at`` is done."""
    return next(z.least_reading_um for z in plan.steps[at].zones if z.zone == zone)


def holds_of(job: Job, plan: PanelPlan) -> tuple[HoldPoint, ...]:
    """Return a panel's hold points in the order of work; none where nothing is done."""
    if not plan.steps:
        return ()
    finish = job.finish_id
    known = ", ".join(part for part in (finish.result, fitted(finish.how or "", HOW)) if part)
    found = [
        HoldPoint("cleaned", BEFORE_ALL, rule("hold", "cleaned").format(finish=known)),
        HoldPoint("test spot", BEFORE_ALL, test_spot_words(job.test_spot)),
    ]
    first_compound = next((at for at, step in enumerate(plan.steps) if not step.is_sheet), None)
    levelled = HoldPoint("levelled", 1, rule("hold", "levelled").format(step=plan.steps[0].step))
    if len(plan.steps) > 1:
        found.append(levelled)
    if first_compound is not None:
        found.append(HoldPoint("before compound", first_compound, rule("hold", "before_compound")))
    found.append(HoldPoint("cold", len(plan.steps), rule("hold", "cold")))
    return tuple(sorted(found, key=lambda hold: hold.after))


def test_spot_words(spot: TestSpot | None) -> str:
    """Return the hold point of the test spot: to be done, or what it showed."""
    if spot is None:
        return rule("hold", "test_spot")
    cleared = next((step.step for step in spot.steps if step.cleared), None)
    where = f"{fitted(spot.panel, NAME)}, {fitted(spot.zone, NAME)}"
    said = f"{cleared} cleared it" if cleared else "no step cleared it"
    return rule("hold", "test_spot_done").format(where=where, cleared=said)
