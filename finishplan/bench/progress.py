"""Where a job stands on its course: what is done, what comes next, what waits, and whether work is stopped."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from finishplan.bench.course import WHOLE_JOB, Course, Task, least_um
from finishplan.bench.log_lines import (
    HoldLine,
    LogLine,
    MinutesLine,
    PouredLine,
    ReadingLine,
    RepairLine,
    StepLine,
    WashLine,
)
from finishplan.bench.log_sums import counted, in_force
from finishplan.bench.zones_now import ZoneNow, zone_now
from finishplan.planning.result import Plan

WAYS_ON = {
    "read twice": "Read twice more right beside it. Both at or over LEAST: it was an odd one; set it aside and go on.",
    "replan": "Plan again from what is read now; the finisher agrees to the new plan before anyone goes on.",
}
"""The two ways on from a stop."""
BESIDE = 2
"""Readings beside a low one that settle whether it repeats."""
ANY_LEG = ("cleaned", "test spot")
"""Hold points that a new plan does not ask for again."""


@dataclass(frozen=True)
class Stop:
    """Work is stopped: a reading under its least."""

    panel: str
    zone: str
    step: str
    """The step after which it was read; nothing before the first stroke."""
    line: int
    """Number of the log line of the low reading."""
    reading_um: float
    least_um: int
    beside_um: tuple[float, ...]
    """What was read beside it so far."""
    why: str
    ways: tuple[tuple[str, str], ...]
    """Ways on, by key, with their words."""

    @property
    def settled(self) -> bool:
        """Whether it was read twice beside and stays low: only a new plan goes on."""
        return len(self.ways) == 1


@dataclass(frozen=True)
class Waiting:
    """A task that may not be started yet."""

    task: Task
    not_before: datetime
    why: str


@dataclass(frozen=True)
class Progress:
    """Where a job stands on its course."""

    course: Course
    lines: tuple[LogLine, ...]
    """All lines, those set aside among them."""
    done: frozenset[str]
    """Keys of the tasks done."""
    stops: tuple[Stop, ...]
    odd: tuple[ReadingLine, ...]
    """Low readings that two beside them did not repeat."""
    waiting: tuple[Waiting, ...]
    next: Task | None
    """What comes next; None where work is stopped, all is done, or everything left waits."""
    zones: tuple[ZoneNow, ...]

    @property
    def finished(self) -> bool:
        """Whether everything on the course is done."""
        return not self.stops and all(task.key in self.done for task in self.course.tasks)

    def zone(self, panel: str, zone: str) -> ZoneNow:
        """Return where one zone stands; valid for the job's own zones."""
        return next(z for z in self.zones if (z.panel, z.zone.name) == (panel, zone))


def progress(course: Course, lines: Sequence[LogLine], now: datetime | None = None) -> Progress:
    """Return where a job stands. ``now`` is for what has to cure; without it nothing is said to wait."""
    here, all_legs = in_force(lines), counted(lines)
    done = frozenset(task.key for task in course.tasks if is_done(task, here, all_legs))
    stops, odd = low_readings(course.plan, here)
    waiting = waits(course, here, done, now)
    first = None if stops else next_task(course, done, {w.task.key for w in waiting})
    return Progress(course, tuple(lines), done, stops, odd, waiting, first, zones_of(course, here))


def zones_of(course: Course, here: Sequence[LogLine]) -> tuple[ZoneNow, ...]:
    """Return where every zone stands; ``here`` are the lines that count and belong to the plan in force."""
    return tuple(
        zone_now(panel, zone, plan, zone_plan, here, course.prior_share)
        for panel, plan in zip(course.job.panels, course.plan.panels, strict=True)
        for zone, zone_plan in zip(panel.zones, plan.zones, strict=True)
    )


def is_done(task: Task, here: Sequence[LogLine], all_legs: Sequence[LogLine]) -> bool:
    """Tell whether a task is done by the lines of the plan in force (``here``) or of the whole log."""
    if task.hold is not None:
        lines = all_legs if task.hold.key in ANY_LEG else here
        return any(isinstance(line, HoldLine) and line.panel == task.panel and line.values.hold == task.hold.key
                   and line.values.role == "finisher" for line in lines)
    if task.check is not None:
        return check_is_done(task, task.check.least_um, here, all_legs)
    if task.what == "wash":
        return any(isinstance(line, WashLine) and line.panel in (WHOLE_JOB, task.panel) for line in here)
    if task.what == "step":
        zones = {line.zone for line in here
                 if isinstance(line, StepLine) and (line.panel, line.step) == (task.panel, task.step)}
        return "" in zones or set(task.zones) <= zones
    kinds = (RepairLine, PouredLine) if task.what == "pour" else (RepairLine,)
    return any(isinstance(line, kinds) and (line.panel, line.zone) == (task.panel, task.zones[0])
               and line.values.defect == task.defect for line in here)


def check_is_done(task: Task, least: int, here: Sequence[LogLine], all_legs: Sequence[LogLine]) -> bool:
    """Tell whether a check reading is done.

    Before the first stroke of a new plan the readings it was made from count, if all are at or over the least.
    Where readings were set aside after work had gone on, readings of the film as it is now do.
    """
    if any(len(readings_after(here, task.panel, task.zones[0], step)) >= task.readings
           for step in {task.step, film_step(here, task)}):
        return True
    if task.after:
        return False
    standing = readings_now(all_legs, task.panel, task.zones[0])
    return len(standing) >= task.readings and all(line.values.um >= least for line in standing)


def film_step(here: Sequence[LogLine], task: Task) -> str:
    """Return the step after which a check's film can be read: its own, or the zone's last one since.

    Work goes past a check only once it is done; it comes back where its readings are set aside.
    """
    steps = [line.step for line in here if isinstance(line, (StepLine, MinutesLine)) and line.panel == task.panel
             and line.zone in ("", task.zones[0]) and line.step in task.later]
    return steps[-1] if steps else task.step


def readings_now(lines: Sequence[LogLine], panel: str, zone: str) -> list[ReadingLine]:
    """Return a zone's readings since its last stroke, whatever plan was in force."""
    found: list[ReadingLine] = []
    last = ""
    for line in lines:
        if line.panel != panel or line.zone not in ("", zone):
            continue
        if isinstance(line, MinutesLine):
            found, last = [], line.step
        elif isinstance(line, StepLine):
            found, last = [old for old in found if old.step == line.step], line.step
        elif isinstance(line, ReadingLine) and line.step in ("", last):
            found.append(line)
    return found


def readings_after(here: Sequence[LogLine], panel: str, zone: str, step: str) -> list[ReadingLine]:
    """Return a zone's readings after ``step``: those since the last minutes logged on it."""
    found: list[ReadingLine] = []
    for line in here:
        if line.panel != panel or line.zone not in ("", zone) or line.step != step:
            continue
        if isinstance(line, MinutesLine):
            found = []
        elif isinstance(line, ReadingLine):
            found.append(line)
    return found


def low_readings(plan: Plan, here: Sequence[LogLine]) -> tuple[tuple[Stop, ...], tuple[ReadingLine, ...]]:
    """Return the stops that stand, and the low readings that did not repeat; ``here`` are the lines of ``plan``."""
    stops, odd, answered = [], [], set[int]()
    panels = {panel.name: panel for panel in plan.panels}
    readings = [line for line in here if isinstance(line, ReadingLine) and line.panel in panels]
    for at, line in enumerate(readings):
        least = least_um(panels[line.panel], line.zone, line.step)
        if least is None or line.values.um >= least or line.number in answered:
            continue
        beside = [other for other in readings[at + 1:] if is_beside(line, other)]
        answered |= {other.number for other in beside}
        if len(beside) >= BESIDE and all(other.values.um >= least for other in beside):
            odd.append(line)
        else:
            stops.append(stop_of(line, least, [other.values.um for other in beside]))
    return tuple(stops), tuple(odd)


def is_beside(low: ReadingLine, other: ReadingLine) -> bool:
    """Tell whether a later reading was taken beside a low one: it says so, or stands at the same spot."""
    same = (low.panel, low.zone, low.step) == (other.panel, other.zone, other.step)
    spot = low.values.spot is not None and other.values.spot == low.values.spot
    return same and (other.values.beside == low.number or spot)


def stop_of(line: ReadingLine, least: int, beside_um: list[float]) -> Stop:
    """Return the stop that a low reading makes."""
    when = f"after {line.step}" if line.step else "before the first stroke"
    why = (f"{line.panel}, {line.zone}: {line.values.um:g} um {when}, and LEAST is {least}. Under it the steps still "
           "to come could go through the film that must stay.")
    ways = dict(WAYS_ON)
    if len(beside_um) >= BESIDE:
        del ways["read twice"]
        values = " and ".join(f"{um:g}" for um in beside_um)
        why += f" Read again beside it: {values}. It repeats."
    return Stop(line.panel, line.zone, line.step, line.number, line.values.um, least, tuple(beside_um), why,
                tuple(ways.items()))


def waits(course: Course, here: Sequence[LogLine], done: frozenset[str], now: datetime | None) -> tuple[Waiting, ...]:
    """Return the tasks whose pour has not cured by ``now``."""
    if now is None:
        return ()
    found = []
    for task in course.tasks:
        if task.key in done or not task.waits_for:
            continue
        poured = [at for key in task.waits_for if (at := poured_at(course.task(key), here)) is not None]
        if poured and max(poured) + timedelta(hours=task.wait_h) > now:
            found.append(Waiting(task, max(poured) + timedelta(hours=task.wait_h), "the fill has to cure"))
    return tuple(found)


def poured_at(pour: Task, here: Sequence[LogLine]) -> datetime | None:
    """Return when a fill was last poured, or None."""
    times = [line.at for line in here if isinstance(line, PouredLine)
             and (line.panel, line.zone, line.values.defect) == (pour.panel, pour.zones[0], pour.defect)]
    return max(times, default=None)


def next_task(course: Course, done: frozenset[str], waiting: set[str]) -> Task | None:
    """Return the first open task that nothing keeps waiting: a panel that waits is passed over.

    What concerns the whole job comes after all that stands before it.
    """
    blocked: set[str] = set()
    for task in course.tasks:
        if task.key in done:
            continue
        if task.key in waiting or task.panel in blocked or WHOLE_JOB in blocked or (
                task.panel == WHOLE_JOB and blocked):
            blocked.add(task.panel)
            continue
        return task
    return None
