"""Before a line goes into the log: what cannot be, and what is odd enough to ask about. Nothing typed is lost."""

from __future__ import annotations

from collections.abc import Sequence

from finishplan import wording
from finishplan.bench.course import WHOLE_JOB, Task, least_um
from finishplan.bench.log_lines import (
    DefectLine,
    HoldLine,
    LogLine,
    MinutesLine,
    PouredLine,
    ReadingLine,
    RepairLine,
    ReplanLine,
    SetAsideLine,
    ShimLine,
    StepLine,
)
from finishplan.bench.log_sums import in_force
from finishplan.bench.people import role_words
from finishplan.bench.progress import Progress
from finishplan.bench.zones_now import ZoneNow
from finishplan.errors import BadValue, FinishplanError, UnknownName
from finishplan.planning.result import PanelPlan
from finishplan.survey.film import METHODS

FAR_OFF = 3.0
"""A reading that many times over or under what is expected there is asked about."""
FAR_OVER = 1.5
"""So is one that many times over what was read there: film does not grow, so it is of another place, or of a gauge
gone wrong, and it hides a thin one (assumed: five times the usual unevenness of 10 %)."""
SHIM_FAR_OFF = 1.5
"""A gauge that many times over or under its shim is asked about."""
LONG_MIN = 240.0
"""A timer over this is asked about."""
LONG_TIMES = 5.0
"""So is one over this many times the planned minutes, from half an hour on."""
LONG_FROM_MIN = 30.0
GROWS_TIMES = 4.0
"""Film that grew by more than this many repeats of the gauge is asked about."""

WORK = (StepLine, MinutesLine, RepairLine, PouredLine)
"""Lines of somebody's work."""


class OutOfOrder(FinishplanError):
    """A step or signature before what must come first."""


class WorkStopped(FinishplanError):
    """Work is stopped by a reading under its least."""


class CannotSign(FinishplanError):
    """A signature by somebody who cannot give it."""


def check_line(progress: Progress, line: LogLine) -> None:
    """Refuse a line that cannot be: unknown names, a step out of order, a trainee's signature, work under a stop.

    Readings, minutes, notes and photos are never refused for their order. Raises UnknownName, BadValue,
    OutOfOrder, WorkStopped or CannotSign, each with one line.
    """
    check_names(progress, line)
    if isinstance(line, (HoldLine, ReplanLine)) and line.values.role != "finisher":
        what = "hold point" if isinstance(line, HoldLine) else "new plan"
        raise CannotSign(f"{role_words(line.who, line.values.role)} signs no {what}; ask a finisher to sign")
    if isinstance(line, StepLine):
        check_order(progress, line, [f"step|{line.panel}|{line.step}"])
    elif isinstance(line, HoldLine):
        check_order(progress, line, [f"hold|{line.panel}|{line.values.hold}"])
    elif isinstance(line, SetAsideLine) and line.values.line not in {old.number for old in progress.lines}:
        raise BadValue("line", line.values.line, "the log has no line of that number", "set aside")


def check_names(progress: Progress, line: LogLine) -> None:
    """Refuse names and places that the plan in force does not have."""
    if not line.panel:
        return
    panel = progress.course.panel(line.panel)
    zones = [zone.name for zone in panel.zones]
    if line.zone and line.zone not in zones:
        raise UnknownName("zone", line.zone, zones, f"panel {panel.name!r}")
    steps = [step.step for step in panel.steps]
    if line.step and line.step not in steps:
        if not steps:
            raise BadValue("step", line.step, "nothing is done on this panel by the plan", f"panel {panel.name!r}")
        raise UnknownName("step", line.step, steps, f"panel {panel.name!r}")
    if isinstance(line, ReadingLine) and line.step and least_um(panel, line.zone, line.step) is None:
        raise BadValue("step", line.step, "this zone does not take it", f"panel {panel.name!r}, zone {line.zone!r}")
    if isinstance(line, (PouredLine, RepairLine, DefectLine)):
        check_defect(panel, line)


def check_defect(panel: PanelPlan, line: PouredLine | RepairLine | DefectLine) -> None:
    """Refuse an entry that the zone does not have, or a repair that is not the planned one."""
    where = f"panel {panel.name!r}, zone {line.zone!r}"
    entries = {d.index: d for zone in panel.zones if zone.name == line.zone for d in zone.defects}
    entry = entries.get(line.values.defect)
    if entry is None:
        raise BadValue("defect", line.values.defect, "the zone has no entry at that place; entries count from 0", where)
    if not isinstance(line, DefectLine) and entry.repair != line.values.repair:
        raise BadValue("repair", line.values.repair, f"the plan for this {entry.kind} is: {entry.repair}", where)


def check_order(progress: Progress, line: LogLine, keys: Sequence[str]) -> None:
    """Refuse work on a stopped panel, and what comes before something on its panel that is not done."""
    stop = next((s for s in progress.stops if s.panel == line.panel), None)
    if stop is not None and isinstance(line, StepLine):
        raise WorkStopped(f"work on {stop.panel} is stopped: {stop.reading_um:g} um in {stop.zone} is under LEAST "
                          f"{stop.least_um}; {'replan' if stop.settled else 'read twice beside it, or replan'}")
    tasks = progress.course.tasks
    at = next((k for k, task in enumerate(tasks) if task.key in keys), None)
    if at is None:
        raise OutOfOrder(f"{line.panel}: this is not on the course of the plan; replan, or leave it out")
    for task in tasks[:at]:
        if task.key not in progress.done and task.panel in (line.panel, WHOLE_JOB):
            raise OutOfOrder(f"{line.panel}: first {task_words(task)}; log that, or replan")
    held = next((w for w in progress.waiting if w.task.key in keys), None)
    if held is not None:
        raise OutOfOrder(f"{line.panel}: not before {held.not_before:%d %b %H:%M}, {held.why}")


def task_words(task: Task) -> str:
    """Return a task as it is named in a sentence."""
    if task.hold is not None:
        return f"a finisher signs the hold point {task.hold.key!r}"
    if task.check is not None:
        when = f"after {task.step}" if task.step else "before the first stroke"
        return f"read the film in {task.zones[0]} {when} ({wording.counted(task.readings, 'reading')})"
    if task.what == "wash":
        return "wash down"
    if task.what == "step":
        return f"{task.step} is done"
    done = "is poured" if task.what == "pour" else "is done"
    return f"the {task.repair} of mark {task.defect} in {task.zones[0]} {done}"


def questions(progress: Progress, line: LogLine) -> tuple[str, ...]:
    """Return what to ask before a line is kept, each in one sentence; nothing where nothing is odd.

    The line is kept all the same where the answer is yes.
    """
    if isinstance(line, ReadingLine):
        found = reading_questions(progress, line)
    elif isinstance(line, ShimLine):
        found = shim_questions(line)
    elif isinstance(line, MinutesLine):
        found = minutes_questions(progress, line)
    elif isinstance(line, StepLine):
        found = twice_questions(progress, line)
    elif isinstance(line, HoldLine):
        found = own_work_questions(progress, line)
    else:
        found = []
    return tuple(found)


def reading_questions(progress: Progress, line: ReadingLine) -> list[str]:
    """Ask about a reading far off the zone's others, and about film that grew.

    A low one is asked about only where its decimal point may have slipped: else it is for the stop to say.
    """
    zone, um = progress.zone(line.panel, line.zone), line.values.um
    usual = usual_um(zone, line.values.beside)
    over = FAR_OVER if zone.readings or zone.start else FAR_OFF
    if um > over * usual or um < usual / FAR_OFF:
        meant = shifted(um, usual)
        hint = f"did you mean {meant:g}?" if meant else "is it the right place?"
        return [f"{um:g} um, and here it was about {usual:.0f}: {hint}"] if meant or um > usual else []
    return grown_questions(zone, line)


def usual_um(zone: ZoneNow, beside: int | None = None) -> float:
    """Return the middle one of what is read in a zone, else of what was read before the first stroke [um].

    The line ``beside`` is left out: whether it was an odd one is what the reading is taken for.
    """
    here = zone.readings if beside is None else [line.values for line in zone.read if line.number != beside]
    known = [r.um for r in here] or [r.um for r in zone.start] or [zone.plan.film_mean_um]
    return sorted(known)[len(known) // 2]


def meant_um(progress: Progress, line: ReadingLine) -> float | None:
    """Return the reading that may have been meant where the decimal point slipped, or None."""
    return shifted(line.values.um, usual_um(progress.zone(line.panel, line.zone), line.values.beside))


def shifted(um: float, usual: float) -> float | None:
    """Return the reading with its decimal point moved to where the others lie, or None.

    >>> shifted(4120.0, 400.0), shifted(41.0, 400.0), shifted(150.0, 500.0)
    (412.0, 410.0, None)
    """
    for factor in (0.1, 10.0, 0.01, 100.0):
        if usual / 1.5 <= um * factor <= usual * 1.5:
            return um * factor
    return None


def grown_questions(zone: ZoneNow, line: ReadingLine) -> list[str]:
    """Ask about film that is thicker than it was at the same spot; not beside a low one, which may be odd."""
    spot = line.values.spot
    old = [r.um for r in (*zone.start, *zone.readings) if spot is not None and r.spot == spot
           and r.method == line.values.method]
    method = METHODS[line.values.method]
    if not line.step or not old or line.values.beside is not None or (
            line.values.um <= min(old) * (1.0 + GROWS_TIMES * method.repeat_share)):
        return []
    return [f"{line.values.um:g} um at spot {spot}, and it was {min(old):g} there: film does not grow; is it the same "
            "spot, and clean?"]


def shim_questions(line: ShimLine) -> list[str]:
    """Ask about a gauge so far off its shim that a figure may be mistyped."""
    um, shim = line.values.um, line.values.shim_um
    if shim / SHIM_FAR_OFF <= um <= shim * SHIM_FAR_OFF:
        return []
    meant = shifted(um, shim)
    return [f"{um:g} um on a shim of {shim:g} um: {f'did you mean {meant:g}?' if meant else 'is it so?'}"]


def minutes_questions(progress: Progress, line: MinutesLine) -> list[str]:
    """Ask about a timer that ran over night or far too long."""
    minutes, started = line.values.minutes, line.values.started
    told = wording.minutes_words(minutes)
    if started is not None and minutes > LONG_FROM_MIN and started.astimezone(line.at.tzinfo).date() != line.at.date():
        return [f"the timer of {line.step} on {line.panel} ran over night ({told}): how many minutes were worked?"]
    step = next((s for s in progress.course.panel(line.panel).steps if s.step == line.step), None)
    planned = step.minutes + step.look_minutes if step else 0.0
    if minutes > LONG_MIN or (planned and minutes > max(LONG_FROM_MIN, LONG_TIMES * planned)):
        about = f", planned were {wording.minutes_words(planned)}" if planned else ""
        return [f"{told} of {line.step} on {line.panel}{about}: is it so, or was the timer left running?"]
    return []


def twice_questions(progress: Progress, line: StepLine) -> list[str]:
    """Ask about a step that somebody has logged before."""
    return [f"{words}: log it again?" for words in twice_words(progress, line)]


def twice_words(progress: Progress, line: StepLine) -> list[str]:
    """Say who has logged the same step before."""
    same = [old for old in in_force(progress.lines) if isinstance(old, StepLine)
            and (old.panel, old.step) == (line.panel, line.step) and old.zone in ("", line.zone)]
    return [f"{same[0].who} logged {line.step} on {line.panel} as done at {same[0].at:%H:%M}; it counts once"
            ] if same else []


def own_work_questions(progress: Progress, line: HoldLine) -> list[str]:
    """Ask a finisher who signs for work of their own whether somebody else can look."""
    own = any(isinstance(old, WORK) and (old.panel, old.who) == (line.panel, line.who)
              for old in in_force(progress.lines))
    return [f"{line.who} worked on {line.panel}: is another finisher there to look and sign?"] if own else []
