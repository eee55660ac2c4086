"""Steps that a stop caution keeps shut until somebody has signed for it, and stops that stay signed over a new plan."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from finishplan import reference
from finishplan.bench.course import WHOLE_JOB, Course, Task
from finishplan.bench.sheet import Answer, raised_alone
from finishplan.planning.result import StepZone
from finishplan.safety.cautions import Caution
from finishplan.safety.sign_off import STOP, SignOff, counts, open_stops

WORK = ("pour", "repair", "step", "wash")
"""Tasks that are work; holds and readings are never shut."""
FILL_TRIGGERS = ("peroxide", "peroxide_or_acetone", "styrene_sum", "oil_or_resin_rags")
"""Triggers of the resin alone: they keep the pour shut, and what comes before it open."""
NO_WORK_HERE = ("refinish",)
"""Triggers of work that is not on the course at all."""


@dataclass(frozen=True)
class Leg:
    """A stretch of a service under one plan: the revision that was planned, and the cautions it raised."""

    revision: int
    cautions: tuple[Caution, ...]


def concerns(caution: Caution, task: Task, course: Course) -> bool:
    """Tell whether a stop caution is about a task of its panel."""
    if task.what not in WORK:
        return False
    key = trigger_of(caution)
    if key in NO_WORK_HERE:
        return False
    if key in FILL_TRIGGERS:
        return task.what == "pour"
    if key == "wheel":
        return any(zone.way == "wheel" for zone in zones_of(task, course))
    if key == "wet_and_mains":
        return task.what in ("repair", "wash") or (task.what == "step" and is_sheet(task, course))
    return True


def trigger_of(caution: Caution) -> str:
    """Return the trigger that raises a caution, by its key in the table."""
    return next((row["trigger_key"] for row in reference.rows("cautions") if row["id"] == caution.id), "")


def zones_of(task: Task, course: Course) -> tuple[StepZone, ...]:
    """Return the zones of a step with their tools; none for other work."""
    found = [step for step in course.panel(task.panel).steps if step.step == task.step] if task.step else []
    return tuple(found[0].zones) if found and task.what == "step" else ()


def is_sheet(task: Task, course: Course) -> bool:
    """Tell whether a step is a sheet."""
    return any(step.step == task.step and step.is_sheet for step in course.panel(task.panel).steps)


def shut_tasks(answer: Answer, course: Course, unsigned: Sequence[Caution]) -> dict[str, tuple[Caution, ...]]:
    """Return the tasks that unsigned stops keep shut, by key, each with those stops.

    A stop that one panel raises alone is about that panel; one that none raises alone is about all of them.
    """
    if not unsigned:
        return {}
    alone = {panel.name: raised_alone(answer, panel, plan)
             for panel, plan in zip(answer.job.panels, answer.plan.panels, strict=True)}
    of_one = set().union(*alone.values())
    found = {}
    for task in course.tasks:
        for_all = task.panel == WHOLE_JOB
        here = tuple(c for c in unsigned if concerns(c, task, course)
                     and (for_all or c.id not in of_one or c.id in alone[task.panel]))
        if here:
            found[task.key] = here
    return found


def unsigned_stops(legs: Sequence[Leg], signed: Collection[SignOff]) -> tuple[Caution, ...]:
    """Return the stops of the plan in force that nobody has signed for, worst first as given.

    A signature holds for the leg whose revisions it was given for, from its first on. One given before work
    began holds too where the caution still rests on the very ground that was signed for, as on the Safety page.
    It holds on over a new plan only where the caution says the same there, word for word.
    """
    open_now: tuple[Caution, ...] = ()
    held: set[str] = set()
    before: Mapping[str, tuple[str, ...]] = {}
    for at, leg in enumerate(legs):
        until = legs[at + 1].revision if at + 1 < len(legs) else None
        here = [s for s in signed if s.revision >= leg.revision and (until is None or s.revision < until)]
        held = {c.id for c in leg.cautions if c.id in held and before.get(c.id) == said(c)}
        held |= {s.caution_id for s in here}
        if at == 0:
            held |= {s.caution_id for s in signed for c in leg.cautions if s.ground and counts(s, c)}
        open_now = open_stops(leg.cautions, [replace(s, ground="") for s in signed if s.caution_id in held])
        before = {c.id: said(c) for c in leg.cautions if c.severity == STOP}
    return open_now


def said(caution: Caution) -> tuple[str, ...]:
    """Return what a caution says."""
    return (caution.text, *caution.notes)
