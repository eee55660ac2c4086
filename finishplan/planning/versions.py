"""Other versions of one job: something taken away or moved, and the whole chosen again."""

from __future__ import annotations

from dataclasses import replace

from finishplan.planning.problem import Problem, ZoneProblem
from finishplan.planning.search import Choice, JobTables
from finishplan.planning.totals import Totals, totals

At = tuple[int, int]
"""The place of a zone: its panel, and itself in that panel."""


def solved(tables: JobTables, problem: Problem) -> tuple[JobTables, Choice, Totals]:
    """Return another version of the job, chosen."""
    sister = tables.sister(problem)
    choice = sister.choose()
    return sister, choice, totals(sister, choice)


def barring(problem: Problem, at: At, i: int, repair: str) -> Problem:
    """Return the problem with one repair of one entry taken away."""
    zone = problem.panels[at[0]].zones[at[1]]
    entries = list(zone.entries)
    entries[i] = replace(entries[i], barred=(*entries[i].barred, repair))
    return with_zone(problem, at, replace(zone, entries=tuple(entries)))


def with_zone(problem: Problem, at: At, zone: ZoneProblem) -> Problem:
    """Return the problem with one zone replaced; other panels stay the very same."""
    panel = problem.panels[at[0]]
    zones = list(panel.zones)
    zones[at[1]] = zone
    panels = list(problem.panels)
    panels[at[0]] = replace(panel, zones=tuple(zones))
    return replace(problem, panels=tuple(panels))
