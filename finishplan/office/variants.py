"""Other versions of a job for the planner: repairs that are not offered, steps that are barred, faces levelled."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from finishplan.planning.plan import plan_of
from finishplan.planning.problem import Entry, Problem, ZoneProblem
from finishplan.planning.result import PanelPlan, Plan
from finishplan.planning.search import JobTables
from finishplan.shop.profile import Profile
from finishplan.survey.defects import Kind
from finishplan.survey.job import Job

LEVELLING = Kind("levelled face", "the whole face levelled with a sheet", None, ("sand",), False, False, "", "assumed")
"""Levelling a face, as an entry that only a sheet over the whole zone takes out."""


def without_repairs(problem: Problem, barred: Iterable[str]) -> Problem:
    """Return the problem with some repairs not offered for any defect; what has no other is referred."""
    gone = frozenset(barred)

    def less(entry: Entry) -> Entry:
        left = tuple(name for name in entry.kind.repairs if name not in gone) or ("refer",)
        return replace(entry, kind=replace(entry.kind, repairs=left))

    return with_entries(problem, lambda _, zone: tuple(less(entry) for entry in zone.entries))


def with_levelling(problem: Problem, least_um: float) -> Problem:
    """Return the problem with every field of a seen panel to be levelled by at least ``least_um`` [um]."""
    entry = Entry(None, LEVELLING, 1, least_um, least_um, "measured", "remove", False, False, 0.0, 0.0, 0.0, None,
                  None, None, None)

    def more(place: int, zone: ZoneProblem) -> tuple[Entry, ...]:
        seen = problem.panels[place].panel.exposure == "seen"
        return (*zone.entries, entry) if seen and zone.zone.kind == "field" else zone.entries

    return with_entries(problem, more)


def with_entries(problem: Problem, entries_of: Callable[[int, ZoneProblem], tuple[Entry, ...]]) -> Problem:
    """Return the problem with the entries of every zone replaced; ``entries_of`` gets panel place and zone."""
    panels = tuple(
        replace(panel, zones=tuple(replace(zone, entries=entries_of(p, zone)) for zone in panel.zones))
        for p, panel in enumerate(problem.panels)
    )
    return replace(problem, panels=panels)


def barring(profile: Profile, names: Iterable[str]) -> Profile:
    """Return the profile with more steps barred from every sequence."""
    barred = tuple(dict.fromkeys((*profile.policy.barred_steps, *names)))
    return replace(profile, policy=profile.policy.model_copy(update={"barred_steps": barred}))


def sheets_of(profile: Profile, coarser_than_um: float = 0.0) -> tuple[str, ...]:
    """Return the names of the sheets whose median grain is over ``coarser_than_um`` [um]."""
    return tuple(s.name for s in profile.steps if s.is_sheet and (s.d50_um or 0.0) > coarser_than_um + 1e-9)


def solve(problem: Problem) -> Plan:
    """Return the best plan of a changed problem.

    What would fit is left out: it was asked of the planner without the change.
    """
    tables = JobTables(problem)
    plan = plan_of(tables, tables.choose())
    panels = tuple(
        replace(panel, zones=tuple(replace(zone, would_fit=()) for zone in panel.zones)) for panel in plan.panels
    )
    return replace(plan, panels=panels)


def only_panels(job: Job, names: Iterable[str]) -> Job | None:
    """Return the job with some of its panels, or None where none is left; the test spot goes with its panel."""
    kept = frozenset(names)
    panels = tuple(panel for panel in job.panels if panel.name in kept)
    if not panels:
        return None
    spot = job.test_spot if job.test_spot is not None and job.test_spot.panel in kept else None
    return job.model_copy(update={"panels": panels, "test_spot": spot})


def panels_by_name(plan: Plan | None) -> dict[str, PanelPlan]:
    """Return the panels of a plan by name; none for no plan."""
    return {} if plan is None else {panel.name: panel for panel in plan.panels}
