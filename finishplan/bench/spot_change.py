"""What a test spot moved, before and after: the depth, the rate it saw, the spread of the minutes, start and price."""

from __future__ import annotations

from dataclasses import dataclass

from finishplan.bench.learn import LEAST_LINES
from finishplan.bench.observations import from_test_spot
from finishplan.planning.problem import depth_span_um, planning_depth_um
from finishplan.planning.result import Plan
from finishplan.planning.risk_model import RiskFigures
from finishplan.planning.risk_result import Risk
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job, Panel, Zone


@dataclass(frozen=True)
class Depth:
    """A defect's depth as planned with: low, likely, high and the planning depth [um], and where it comes from."""

    low_um: float
    likely_um: float
    high_um: float
    planning_um: float
    source: str


@dataclass(frozen=True)
class SeenRate:
    """The rate that the spot's readings tell of one step, beside the one in use [cm3/min]."""

    step: str
    seen: float | None
    """None where the readings tell nothing; ``why`` then says so."""
    in_use: float
    why: str


@dataclass(frozen=True)
class SpotChange:
    """A test spot's before and after."""

    panel: str
    zone: str
    kind: str
    before: Depth | None
    after: Depth | None
    starts_before: str | None
    starts_after: str | None
    rate: SeenRate | None
    """None without readings on both sides."""
    minutes_cv_before: float
    """Spread of the minutes, of the middle."""
    minutes_cv_after: float
    safe_minutes_before: float | None
    """Minutes that 4 in 5 jobs stay under; None where nothing was drawn."""
    safe_minutes_after: float | None
    safe_cost_before: float | None
    """Labour cost that 4 in 5 jobs stay under; None where a rate of pay is not known."""
    safe_cost_after: float | None


def spot_change(
    job: Job, profile: Profile, plan: Plan, risk: Risk | None, before: Plan, risk_before: Risk | None,
    figures: RiskFigures,
) -> SpotChange:
    """Return what the test spot of ``job`` changed; ``before`` is the plan of the job without it.

    ``figures`` are the spreads that both risks were drawn with. Valid for a job with a test spot.
    """
    spot = job.test_spot
    assert spot is not None
    panel = next(p for p in job.panels if p.name == spot.panel)
    zone = next(z for z in panel.zones if z.name == spot.zone)
    untested = job.model_copy(update={"test_spot": None})
    return SpotChange(
        panel=panel.name, zone=zone.name, kind=zone.defects[spot.defect].kind,
        before=depth_of(untested, profile, panel, zone, spot.defect),
        after=depth_of(job, profile, panel, zone, spot.defect),
        starts_before=starts_at(before, panel.name, zone.name), starts_after=starts_at(plan, panel.name, zone.name),
        rate=seen_rate(job, profile),
        minutes_cv_before=figures.minutes_cv, minutes_cv_after=figures.minutes_cv_tested,
        safe_minutes_before=None if risk_before is None else risk_before.minutes.four_in_five,
        safe_minutes_after=None if risk is None else risk.minutes.four_in_five,
        safe_cost_before=None if risk_before is None or risk_before.cost is None else risk_before.cost.four_in_five,
        safe_cost_after=None if risk is None or risk.cost is None else risk.cost.four_in_five,
    )


def depth_of(job: Job, profile: Profile, panel: Panel, zone: Zone, index: int) -> Depth | None:
    """Return the depth a defect is planned with, or None where its kind has none."""
    span, source = depth_span_um(job, profile, panel, zone, index)
    planning, _ = planning_depth_um(job, profile, panel, zone, index)
    return None if span is None or planning is None else Depth(*span, planning, source)


def starts_at(plan: Plan, panel: str, zone: str) -> str | None:
    """Return the first step of a zone, or None where it is not worked."""
    return next((z.starts_at for p in plan.panels if p.name == panel for z in p.zones if z.name == zone), None)


def seen_rate(job: Job, profile: Profile) -> SeenRate | None:
    """Return what the spot's readings tell of the rate of the step that took the most.

    It is one line of a log: the plan goes by it only when so many lines as the log needs have come together.
    """
    found = from_test_spot(job, profile)
    if found is None:
        return None
    in_use = profile.step(found.step).removal_rate_cm3_per_min
    if found.left_out:
        return SeenRate(found.step, None, in_use, found.left_out)
    why = f"one line of the {LEAST_LINES} that a rate of our own rests on"
    return SeenRate(found.step, found.rate_cm3_per_min, in_use, why)
