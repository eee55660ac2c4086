"""Three ways to do a job, each planned on its own: buff only, repair what shows, level every seen face.

Each says what goes, what stays visible and from where, film taken and left, services left, minutes and risk.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from finishplan.errors import FinishplanError, UnknownName
from finishplan.office.home import home_lines, home_variant, read_home
from finishplan.office.labour import LabourLine, labour, total_minutes
from finishplan.office.terms import OfficeFigures
from finishplan.office.variants import (
    LEVELLING,
    barring,
    only_panels,
    panels_by_name,
    sheets_of,
    solve,
    with_levelling,
    without_repairs,
)
from finishplan.planning.materials import MaterialLine, materials
from finishplan.planning.plan import make_plan
from finishplan.planning.problem import Problem, build_problem
from finishplan.planning.result import PanelPlan, Plan, ZonePlan
from finishplan.planning.risk import Run
from finishplan.planning.risk_model import figures_of, risk_model
from finishplan.planning.risk_result import Chance, chance
from finishplan.shop.profile import Profile
from finishplan.survey.defects import counted_view, is_seen
from finishplan.survey.job import Job, Panel
from finishplan.wording import defect_words

OPTIONS = {
    "buff only": "compounds only: no sheet, no spot, no fill",
    "repair what shows": "what is seen from the agreed place is dealt with",
    "level every seen face": "every seen face is sanded level first",
}
"""The three options of a quote."""

FATES = {
    "goes": "gone",
    "softened": "no longer catches or flashes, still there",
    "cleaned": "cleaned off, then looked at again",
    "stays": "stays as it is",
}
"""What becomes of a defect."""

FATE_OF_REPAIR = {
    "buff": "goes", "sand": "goes", "spot": "goes", "fill": "goes", "clean": "cleaned", "leave": "stays",
    "refer": "stays",
}
DRAWS = 4_000
Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Outcome:
    """What becomes of one entry of damage in one option."""

    panel: str
    zone: str
    what: str
    fate: str
    seen_in: str | None
    """Farthest view that still shows it; None from everywhere."""
    seen: bool
    """Whether it shows from where the customer looks, and stays."""
    why: str
    kind: str = ""
    count: int = 1
    """Kind and count, where entries of many panels are added up."""


@dataclass(frozen=True)
class FilmOf:
    """The film of one panel at its tightest zone, before and after."""

    panel: str
    zone: str
    now_um: float
    """Mean of what was found."""
    counted_um: float
    taken_um: float
    """By the steps that go over the whole zone."""
    local_um: float
    """Most that a spot or the levelling of a fill takes at its place; 0 without one."""
    left_um: float
    keep_um: float
    services_before: int | None
    """Services like this one in the film; None where nothing is taken. Capped, not a promise."""
    services_after: int | None


@dataclass(frozen=True)
class Option:
    """One option, planned."""

    name: str
    job: Job
    profile: Profile
    plan: Plan | None
    """None where nothing of the job can be done this way."""
    outcomes: tuple[Outcome, ...]
    not_levelled: tuple[str, ...]
    """Seen faces that the film does not allow to be levelled."""
    film: tuple[FilmOf, ...]
    lines: tuple[LabourLine, ...]
    materials: tuple[MaterialLine, ...]
    sand_through: Chance | None
    """Chance that any zone is sanded through; None where nothing was drawn."""
    minute_factors: Floats | None
    """Drawn minutes over planned minutes; None where nothing was drawn."""

    @property
    def does_anything(self) -> bool:
        """Whether any panel is worked, or anything cleaned off."""
        worked = self.plan is not None and any(panel.sequence for panel in self.plan.panels)
        return worked or bool(self.of_fate("cleaned"))

    @property
    def minutes(self) -> float:
        """Person-minutes with everything around the work."""
        return total_minutes(self.lines)

    @property
    def stays_visible(self) -> tuple[Outcome, ...]:
        """What still shows from where the customer looks."""
        return tuple(one for one in self.outcomes if one.seen)

    def of_fate(self, fate: str) -> tuple[Outcome, ...]:
        """Return the outcomes of one fate."""
        return tuple(one for one in self.outcomes if one.fate == fate)


def options(
    job: Job, profile: Profile, *, figures: OfficeFigures | None = None, seed: int = 1, draws: int = DRAWS,
    plastic_keytops: bool = False,
) -> tuple[Option, ...]:
    """Return the three options of a job, each the best plan of its kind; ``draws`` 0 leaves out the risk."""
    return tuple(
        option(name, job, profile, figures=figures, seed=seed, draws=draws, plastic_keytops=plastic_keytops)
        for name in OPTIONS
    )


def option(
    name: str, job: Job, profile: Profile, *, figures: OfficeFigures | None = None, seed: int = 1,
    draws: int = DRAWS, plastic_keytops: bool = False,
) -> Option:
    """Return one option of a job. Raises UnknownName, and what the planner raises."""
    if name not in OPTIONS:
        raise UnknownName("option", name, OPTIONS)
    figures = figures or OfficeFigures()
    mine, problem = changed(name, job, profile)
    if problem is None:
        return Option(name, job, mine, None, outcomes_of(job, None), (), (), (), (), None, None)
    plain = name == "repair what shows" and job.site.kind == "shop"
    plan = make_plan(job, profile) if plain else solve(problem)
    lines = labour(problem.job, plan, figures, plastic_keytops)
    if job.site.kind == "home":
        lines = home_lines(lines)
    through, factors = drawn(problem, plan, lines, seed, draws)
    return Option(
        name=name, job=problem.job, profile=mine, plan=plan, outcomes=outcomes_of(job, plan),
        not_levelled=not_levelled(plan), film=film_of(plan, profile), lines=lines,
        materials=materials(plan, mine, job.fill.catalyst_percent), sand_through=through, minute_factors=factors,
    )


def changed(name: str, job: Job, profile: Profile) -> tuple[Profile, Problem | None]:
    """Return the profile and the problem of an option; no problem where no panel can be done so.

    At the customer's each option keeps to what a visit allows.
    """
    here: Job | None = job
    gone: tuple[str, ...] = ()
    if job.site.kind == "home":
        rules = read_home(profile.file.home, profile)
        here, profile = home_variant(job, profile, rules)
    if name == "buff only" and here is not None:
        profile = barring(profile, sheets_of(profile))
        here = only_panels(here, [panel.name for panel in here.panels if panel.target.finish == "gloss"])
        gone = ("sand", "spot", "fill")
    if here is None:
        return profile, None
    problem = build_problem(here, profile)
    if name == "level every seen face":
        problem = with_levelling(problem, profile.policy.level_all_um)
    return profile, without_repairs(problem, gone) if gone else problem


def drawn(
    problem: Problem, plan: Plan, lines: tuple[LabourLine, ...], seed: int, draws: int
) -> tuple[Chance | None, Floats | None]:
    """Return the chance of any sand-through, and the drawn minutes over the planned ones."""
    if draws <= 0:
        return None, None
    model = risk_model(problem, plan, figures_of(problem.policy))
    around = max(0.0, total_minutes(lines) - plan.minutes)
    run = Run(model, seed, draws, around)
    run.go()
    planned = plan.minutes + around
    return chance(run.any_through, draws), run.minutes_of(None) / planned if planned > 0 else None


def outcomes_of(job: Job, plan: Plan | None) -> tuple[Outcome, ...]:
    """Return what becomes of every defect of the job; a panel that the plan leaves out stays as it is."""
    done = panels_by_name(plan)
    return tuple(one for panel in job.panels for one in panel_outcomes(job, panel, done.get(panel.name)))


def panel_outcomes(job: Job, panel: Panel, plan: PanelPlan | None) -> list[Outcome]:
    """Return the outcomes of one panel."""
    view = counted_view(panel.exposure, panel.seen_from or job.seen_from)
    zones: Mapping[str, ZonePlan] = {} if plan is None else {zone.name: zone for zone in plan.zones}
    found = []
    for zone in panel.zones:
        fates = {d.index: d for d in zones[zone.name].defects} if zone.name in zones else {}
        for index, defect in enumerate(zone.defects):
            one = fates.get(index)
            fate = "stays" if one is None else FATE_OF_REPAIR[one.repair]
            if fate == "goes" and one is not None and one.asked == "soften":
                fate = "softened"
            found.append(Outcome(
                panel.name, zone.name, defect_words(defect.kind, defect.count), fate, defect.seen_in,
                fate in ("stays", "softened") and is_seen(defect.seen_in, view),
                "this way of working does not reach it" if one is None else one.why, defect.kind, defect.count,
            ))
    return found


def not_levelled(plan: Plan) -> tuple[str, ...]:
    """Return the faces that were to be levelled and are not, for want of film or leave to sand."""
    return tuple(
        panel.name for panel in plan.panels for zone in panel.zones for one in zone.defects
        if one.kind == LEVELLING.name and one.repair != "sand"
    )


def film_of(plan: Plan, profile: Profile) -> tuple[FilmOf, ...]:
    """Return the film of every panel at its tightest zone: where least is left for what is taken."""
    return tuple(panel_film(panel, profile.policy.services_most) for panel in plan.panels)


def panel_film(panel: PanelPlan, most: int) -> FilmOf:
    """Return the film of one panel: the worked zone with the fewest services in it, then that takes most.

    A panel that is not worked shows its thinnest zone.
    """
    worked = [zone for zone in panel.zones if zone.removal_um > 0]
    if worked:
        tight = min(worked, key=lambda zone: (services(zone, most)[0] or 0, -zone.removal_um))
    else:
        tight = min(panel.zones, key=lambda zone: zone.spare_um)
    before, after = services(tight, most)
    local = max((d.film_needed_um or 0.0 for d in tight.defects if d.repair in ("spot", "fill")), default=0.0)
    return FilmOf(
        panel.name, tight.name, tight.film_mean_um, tight.film_low_um, tight.removal_um, local, tight.film_left_um,
        tight.keep_um, before, after,
    )


def services(zone: ZonePlan, most: int) -> tuple[int | None, int | None]:
    """Return how many services like the planned one the film holds, before it and after it.

    floor((film_low - keep) / ((1 + overcut) x removal)), from 0 to ``most``; None where nothing is taken.
    """
    if zone.removal_um <= 0:
        return None, None
    one = (1.0 + zone.overcut) * zone.removal_um

    def whole(spare_um: float) -> int:
        return min(most, max(0, math.floor(spare_um / one + 1e-9)))

    return whole(zone.spare_um), whole(zone.spare_um - one)


def shown_plan(option: Option) -> Plan:
    """Return an option's plan without the entries that only stand for levelling.

    Raises FinishplanError where the option has no plan.
    """
    if option.plan is None:
        raise FinishplanError(f"{option.name}: nothing of this job can be done this way")
    panels = tuple(
        replace(panel, zones=tuple(
            replace(zone, defects=tuple(d for d in zone.defects if d.kind != LEVELLING.name)) for zone in panel.zones))
        for panel in option.plan.panels
    )
    return replace(option.plan, panels=panels)
