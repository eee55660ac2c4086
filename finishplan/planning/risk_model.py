"""The chosen plan as the audit of its risk sees it: plain numbers by zone, panel and job.

Nothing is drawn here and nothing is chosen: film, depths, removals and minutes are the plan's own, with
the spread that goes with each.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields

from finishplan.errors import FinishplanError
from finishplan.planning.problem import Entry, PanelProblem, Problem, ZoneProblem, depth_span_um
from finishplan.planning.result import DefectPlan, PanelPlan, Plan, StepPlan, StepZone, ZonePlan
from finishplan.reference import Sourced
from finishplan.shop.policy import Policy
from finishplan.survey.film import GUESS_METHOD, METHODS, Film
from finishplan.survey.job import Reading

FIRST_READING_METHOD = "ultrasonic"
"""The gauge an unread zone is taken to be read with."""


def figure(default: float, unit: str, meaning: str) -> float:
    """Return a field of ``RiskFigures`` with its unit and meaning; all are assumed."""
    made: float = field(default=default, metadata={"unit": unit, "kind": "assumed", "meaning": meaning})
    return made


@dataclass(frozen=True)
class RiskFigures:
    """The assumed figures of the audit; a shop replaces any of them."""

    removal_cv: float = figure(0.25, "of the middle", "spread of what a finisher takes in one step")
    removal_cv_trainee: float = figure(0.40, "of the middle", "spread of what a trainee takes in one step")
    minutes_cv: float = figure(0.45, "of the middle", "spread of minutes before a test spot")
    minutes_cv_tested: float = figure(0.25, "of the middle", "spread of minutes after a test spot")
    minutes_shared: float = figure(0.5, "share", "share of that spread (as variance) that one person has everywhere")
    thin_spot_m2: float = figure(0.01, "m2", "area over which film counts as one spot of its own")
    gauge_least: float = figure(-1.0, "of the bias", "a gauge reads too high by no less than this")
    gauge_most: float = figure(1.0, "of the bias", "a gauge reads too high by no more than this")
    echo_chance: float = figure(0.5, "share", "chance that a suspect reading is a surface echo")
    services_most: float = figure(3.0, "services", "most services that are ever told as left")


def risk_sources(figures: RiskFigures) -> tuple[Sourced, ...]:
    """Return every figure of the audit with unit and source kind; a changed one is the shop's own."""
    shipped, found = RiskFigures(), []
    for info in fields(figures):
        value, own = getattr(figures, info.name), getattr(figures, info.name) != getattr(shipped, info.name)
        kind, source = ("measured here", "our shop's policy") if own else ("assumed", info.metadata["meaning"])
        found.append(Sourced(info.name, value, info.metadata["unit"], kind, source))
    return tuple(found)


def figures_of(policy: Policy) -> RiskFigures:
    """Return the shop's figures for the audit: those its policy names, the shipped ones for the rest."""
    named = {info.name: getattr(policy, info.name) for info in fields(RiskFigures) if hasattr(policy, info.name)}
    return RiskFigures(**named)


@dataclass(frozen=True)
class DepthRange:
    """Depth [um] as low, likely, high; ``share`` of it is taken out; ``planned_um`` is what the plan takes."""

    low_um: float
    likely_um: float
    high_um: float
    share: float
    planned_um: float


@dataclass(frozen=True)
class LocalModel:
    """A spot or fill: film and minutes that its place costs on top of the zone's own steps."""

    repair: str
    count: int
    depth: DepthRange | None
    """None at a fill: the resin takes the depth."""
    local_um: float
    last_layer_um: float
    minutes: float
    handling_min: float
    length_m: float


@dataclass(frozen=True)
class ZoneModel:
    """One zone in plain numbers; an unworked one has no removals."""

    name: str
    area_m2: float
    n: int
    mean_um: float
    sample_sd_um: float
    spread_um: float
    nu: float
    bias_um: Mapping[str, float]
    """How far each method used can be off [um], by its weight in the mean."""
    keep_um: float
    removals_um: tuple[float, ...]
    minutes: tuple[float, ...]
    first_step: int
    """Place of the zone's first step in the panel's sequence."""
    least_first_um: float
    """Least the first step takes, whatever the depth."""
    to_take_out_um: float
    depths: tuple[DepthRange, ...]
    locals: tuple[LocalModel, ...]
    least_start_um: float
    least_after_first_um: float
    marked_um: float | None
    """Reading at the marked spot before work: the zone's least; None where nobody has read."""
    marked_method: str

    @property
    def worked(self) -> bool:
        """Whether anything is taken here."""
        return bool(self.removals_um)


@dataclass(frozen=True)
class PanelModel:
    """One panel: who works it, its zones, its looks and the minutes of its steps."""

    name: str
    worker: str
    zones: tuple[ZoneModel, ...]
    look_min: tuple[float, ...]


@dataclass(frozen=True)
class RiskModel:
    """The whole job as the audit sees it."""

    panels: tuple[PanelModel, ...]
    figures: RiskFigures
    set_up_min: float
    planned_min: float
    crew: str
    tested: bool
    lean: bool
    feather_slope_mrad: float
    feather_power_per_m: float

    def removal_cv(self, worker: str) -> float:
        """Return the spread of one step's removal by who works."""
        return self.figures.removal_cv_trainee if worker == "trainee" else self.figures.removal_cv


def risk_model(problem: Problem, plan: Plan, figures: RiskFigures) -> RiskModel:
    """Return the plain numbers of a plan and the job it was made for.

    Raises FinishplanError where the plan belongs to another job.
    """
    names = [(panel.panel.name, tuple(z.zone.name for z in panel.zones)) for panel in problem.panels]
    if names != [(panel.name, tuple(z.name for z in panel.zones)) for panel in plan.panels]:
        raise FinishplanError("this plan belongs to another job: its panels and zones differ; plan the job again")
    panels = tuple(
        PanelModel(planned.name, planned.worker,
                   tuple(zone_model(problem, panel, planned, z) for z in range(len(panel.zones))),
                   tuple(step.look_minutes for step in planned.steps))
        for panel, planned in zip(problem.panels, plan.panels, strict=True)
    )
    policy = problem.policy
    return RiskModel(
        panels, figures, plan.set_up_minutes, plan.minutes, problem.job.crew.worker,
        problem.job.test_spot is not None, problem.lean, policy.feather_slope_mrad, policy.feather_power_per_m,
    )


def zone_model(problem: Problem, panel: PanelProblem, planned: PanelPlan, z: int) -> ZoneModel:
    """Return one zone's plain numbers."""
    zone, plan = panel.zones[z], planned.zones[z]
    strokes = strokes_of(planned, zone.zone.name)
    real = [r for r in zone.zone.readings if r.method != GUESS_METHOD]
    least = min(real, key=lambda r: r.um, default=None)
    spread, nu = spread_known(zone.film, problem.policy.prior_share, problem.policy.prior_worth)
    return ZoneModel(
        name=zone.zone.name, area_m2=zone.zone.area_m2, n=zone.film.n, mean_um=zone.film.mean_um,
        sample_sd_um=zone.film.sample_sd_um, spread_um=spread, nu=nu,
        bias_um=bias_by_method(zone.zone.readings, zone.film.mean_um), keep_um=zone.keep_um,
        removals_um=tuple(stroke.removal_um for _, _, stroke in strokes),
        minutes=tuple(stroke.minutes for _, _, stroke in strokes), first_step=strokes[0][0] if strokes else 0,
        least_first_um=least_first_um(problem, zone, plan, strokes), to_take_out_um=plan.to_take_out_um,
        depths=zone_depths(problem, panel, zone, plan), locals=local_models(problem, panel, zone, plan),
        least_start_um=plan.least_start_um,
        least_after_first_um=strokes[0][2].least_reading_um if strokes else 0.0,
        marked_um=None if least is None else least.um,
        marked_method=FIRST_READING_METHOD if least is None else least.method,
    )


def strokes_of(planned: PanelPlan, zone: str) -> list[tuple[int, StepPlan, StepZone]]:
    """Return the steps that a zone takes: place in the panel's sequence, the step, the zone's part."""
    return [(k, step, part) for k, step in enumerate(planned.steps) for part in step.zones if part.zone == zone]


def spread_known(film: Film, prior_share: float, prior_worth: float) -> tuple[float, float]:
    """Return the spread [um] and its degrees of freedom.

    One reading in a shop without a usual spread says nothing of it; the audit then takes the usual share
    as worth one degree, the widest there is.
    """
    nu = prior_worth + film.n - 1
    return (film.spread_um, nu) if nu > 0 else (prior_share * film.mean_um, 1.0)


def bias_by_method(readings: tuple[Reading, ...], guess_um: float) -> dict[str, float]:
    """Return how far each method can be off [um], by its share in the mean of the readings."""
    if not readings:
        return {GUESS_METHOD: METHODS[GUESS_METHOD].bias_um + METHODS[GUESS_METHOD].bias_share * guess_um}
    found: dict[str, float] = {}
    for reading in readings:
        method = METHODS[reading.method]
        found[method.name] = found.get(method.name, 0.0) + method.bias_um + method.bias_share * reading.um
    return {name: total / len(readings) for name, total in found.items()}


def least_first_um(
    problem: Problem, zone: ZoneProblem, plan: ZonePlan, strokes: list[tuple[int, StepPlan, StepZone]]
) -> float:
    """Return the least [um] that a zone's first step takes when depths turn out shallow.

    Its own pattern and the broken-off step's scratches; where no defect explains what the plan takes, the
    plan's own figure was asked for and stays the least.
    """
    if not strokes:
        return 0.0
    step, planned = problem.profile.step(strokes[0][1].step), strokes[0][2].removal_um
    before = 0.0 if zone.previous is None else problem.policy.clearing * zone.previous.scratch_depth_um
    low = max(before, step.scratch_depth_um if step.is_sheet else problem.policy.first_cut_compound_um)
    depths = [d.planning_depth_um or 0.0 for d in plan.defects if d.repair in ("sand", "buff")]
    return low if planned <= max([low, *depths]) + 1e-9 else planned


def entry_span_um(problem: Problem, panel: PanelProblem, zone: ZoneProblem, entry: Entry) -> tuple[float, float, float]:
    """Return low, likely, high [um] of an entry before softening; valid for entries that have a depth."""
    depth = entry.depth_um or 0.0
    if entry.index is None:
        return depth, depth, depth
    span, _ = depth_span_um(problem.job, problem.profile, panel.panel, zone.zone, entry.index)
    return span or (depth, depth, depth)


def depth_range(problem: Problem, panel: PanelProblem, zone: ZoneProblem, entry: Entry) -> DepthRange:
    """Return an entry's depth as a range; softening takes a share of it."""
    share = problem.policy.soften_share if entry.asked == "soften" else 1.0
    return DepthRange(*entry_span_um(problem, panel, zone, entry), share, entry.depth_um or 0.0)


def zone_depths(
    problem: Problem, panel: PanelProblem, zone: ZoneProblem, plan: ZonePlan,
) -> tuple[DepthRange, ...]:
    """Return the depths of the entries that the zone's own steps take out."""
    pairs = zip(zone.entries, plan.defects, strict=True)
    return tuple(depth_range(problem, panel, zone, entry) for entry, done in pairs if done.repair in ("sand", "buff"))


def local_models(
    problem: Problem, panel: PanelProblem, zone: ZoneProblem, plan: ZonePlan
) -> tuple[LocalModel, ...]:
    """Return the spots and fills of a zone."""
    pairs = zip(zone.entries, plan.defects, strict=True)
    return tuple(
        local_model(problem, depth_range(problem, panel, zone, entry) if done.repair == "spot" else None, entry, done)
        for entry, done in pairs if done.repair in ("spot", "fill")
    )


def local_model(problem: Problem, depth: DepthRange | None, entry: Entry, done: DefectPlan) -> LocalModel:
    """Return one spot's or fill's plain numbers."""
    policy = problem.policy
    layers = [policy.clearing * problem.profile.step(name).scratch_depth_um for name in done.local_steps]
    return LocalModel(
        repair=done.repair, count=done.count, depth=depth, local_um=sum(layers[:-1]), last_layer_um=layers[-1],
        minutes=done.minutes, handling_min=policy.spot_min * done.count if done.repair == "spot" else done.minutes,
        length_m=(entry.length_mm or 0.0) / 1000.0,
    )
