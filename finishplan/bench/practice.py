"""A practice job for a trainee: the course walked through without a piano, readings typed, consequences shown.

Everything is the real thing: the same plan, course, log and replan. Only the piano is missing, and nothing is
kept. Words, no formulas.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from finishplan import wording
from finishplan.bench.course import Course, Task, course_of, least_um
from finishplan.bench.log import read_line
from finishplan.bench.log_lines import LogLine
from finishplan.bench.new_line import questions, task_words
from finishplan.bench.progress import Progress, Stop, progress
from finishplan.bench.replan import replan
from finishplan.bench.step_texts import step_text
from finishplan.errors import BadValue, FinishplanError
from finishplan.planning.result import Plan
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job

LEARNER, TEACHER = "learner", "the finisher (played)"
TIGHT_UM = 10.0
"""A reading over its least by less than this is close, and the learner is told so (assumed)."""
LEARNT = {
    "go on": "the reading is over LEAST",
    "close": "over LEAST, but not by much",
    "ask": "the value is odd: asked before it is kept",
    "stop": "under LEAST: stop, and read twice more beside it",
    "stay stopped": "still under LEAST: only a new plan goes on",
    "odd one": "two beside it are over LEAST: it was an odd one",
    "done": "the task is done",
    "not yet": "this is not what comes next",
}
"""What a practice can answer."""


@dataclass(frozen=True)
class Practice:
    """A practice as it stands."""

    job: Job
    profile: Profile
    plan: Plan
    course: Course
    lines: tuple[LogLine, ...]
    clock: datetime
    """The practice's own clock: it starts where it was handed in and is put forward by the work."""
    panels: tuple[str, ...]
    """The panels that are practised on."""

    @property
    def where(self) -> Progress:
        """Where the practice stands on its course."""
        return progress(self.course, self.lines, self.clock)


@dataclass(frozen=True)
class Consequence:
    """What follows from what the learner did: in one word of LEARNT, in sentences, and the practice after it."""

    what: str
    words: tuple[str, ...]
    practice: Practice


def start(job: Job, profile: Profile, plan: Plan, now: datetime, panel: str | None = None,
          order: str = "by panel") -> Practice:
    """Return a practice on ``job``, or on one ``panel`` of it, at its first task.

    Raises UnknownName for a panel that is not of the job, FinishplanError for one that may not start.
    """
    course = course_of(job, profile, plan, order)
    if panel is not None:
        course.panel(panel)
        held = next((h for h in course.held_back if h.panel == panel), None)
        if held is not None:
            zone, verdict = held.verdicts[0]
            raise FinishplanError(f"{panel} may not start: {zone} is {verdict}; practise on another panel")
        course = replace(course, tasks=tuple(task for task in course.tasks if task.panel in (panel, "")))
    if not course.tasks:
        raise FinishplanError("nothing is worked here: there is nothing to practise; take another job or panel")
    panels = tuple(dict.fromkeys(task.panel for task in course.tasks if task.panel))
    return Practice(job, profile, plan, course, (), now, panels)


def scene(practice: Practice) -> tuple[str, ...]:
    """Return what the learner is told now: the task, how, when it is done, when to stop, and why."""
    here = practice.where
    if here.stops:
        return stop_words(here.stops[0])
    if not practice.course.tasks:
        held = [f"{h.panel} may not go on: {zone} is now {verdict}." for h in practice.course.held_back
                for zone, verdict in h.verdicts if h.panel in practice.panels]
        return (*held, "The finisher settles with the customer what is to be asked of it.") if held else (
            "Nothing more is done here.",)
    if here.next is None:
        if here.finished:
            return ("All done. The card goes into the instrument, and the film record says what was taken.",)
        wait = here.waiting[0]
        return (f"Everything left waits: {wait.why}. Put the clock forward to {wait.not_before:%d %b %H:%M}.",)
    return task_scene(practice, here.next)


def task_scene(practice: Practice, task: Task) -> tuple[str, ...]:
    """Return the words of one task."""
    where = f"{task.panel}: " if task.panel else ""
    if task.what == "step":
        plan = practice.course.panel(task.panel)
        steps = [practice.profile.step(step.step) for step in plan.steps]
        text = step_text(steps, task.after, plan.finish, practice.plan.first_cut == "lean")
        parts = [f"{where}{task.step}, {text.direction}. {text.how}", f"Done when: {text.done_when}.",
                 f"Stop if: {text.stop_if}.", f"Why: {text.reason}" if text.reason else ""]
        return tuple(part for part in parts if part)
    if task.check is not None:
        wanted = wording.counted(task.readings, "reading")
        spots = f" at spots {', '.join(task.check.spots)}" if task.check.spots else ""
        return (f"{where}read the film in {task.zones[0]}{spots}: {wanted} at least. LEAST is {task.check.least_um}.",)
    if task.hold is not None:
        return (f"{where}hold point. {task.hold.text}", "Only a finisher signs it; you may not go on before.")
    return (f"{where}{wording.sentence(task_words(task))}",)


def stop_words(stop: Stop) -> tuple[str, ...]:
    """Return the words of a stop."""
    return ("STOP.", stop.why, *(words for _, words in stop.ways))


def read(practice: Practice, um: float, zone: str | None = None, spot: int | None = None,
         sure: bool = False) -> Consequence:
    """Return what follows from a reading that the learner types at the check, or beside a low one.

    ``sure`` keeps an odd value that was asked about. Raises BadValue for a value that is no reading, and where no
    reading is asked for.
    """
    here = practice.where
    stop = here.stops[0] if here.stops else None
    task = here.next if here.next is not None and here.next.check is not None else None
    if stop is None and task is None:
        raise BadValue("reading", um, f"no reading is asked for now; {scene(practice)[0]}", "practice")
    place = (stop.panel, zone or stop.zone, stop.step) if stop else (
        (task.panel, zone or task.zones[0], task.step) if task else ("", "", ""))
    values: dict[str, object] = {"um": um, "spot": spot}
    if stop is not None:
        values["beside"] = stop.line
    line = line_of(practice, "reading", LEARNER, panel=place[0], zone=place[1], step=place[2], values=values)
    asked = () if sure else questions(here, line)
    if asked:
        return Consequence("ask", tuple(wording.sentence(a) if not a.endswith("?") else a for a in asked), practice)
    after = with_line(practice, line, 0.35)
    return told(after, um, place, stop)


def told(practice: Practice, um: float, place: tuple[str, str, str], before: Stop | None) -> Consequence:
    """Return the consequence of a reading that was kept."""
    here = practice.where
    if here.stops:
        stop = here.stops[0]
        return Consequence("stay stopped" if stop.settled else "stop", stop_words(stop), practice)
    if before is not None:
        words = (f"Both beside it are at or over LEAST {before.least_um}: {before.reading_um:g} um was an odd one.",
                 "It is set aside with a reason, never rubbed out. Go on.")
        reason = f"not repeated by two readings beside it, least {before.least_um}"
        aside = line_of(practice, "set aside", TEACHER, values={"line": before.line, "reason": reason})
        return Consequence("odd one", words, with_line(practice, aside, 0.0))
    least = least_um(practice.course.panel(place[0]), place[1], place[2])
    over = um - (least or 0)
    said = f"{um:g} um is {over:.0f} over LEAST {least}."
    if over < TIGHT_UM:
        return Consequence("close", (said, "That is little: read the other spots too, and look where it is thinnest."),
                           practice)
    return Consequence("go on", (said, "Enough for all the steps still to come."), practice)


def do(practice: Practice) -> Consequence:
    """Return what follows when the learner says that the task at hand is done.

    A step, repair, pour or wash-down is logged as done; at a hold point the played finisher signs. A check is done
    by reading, not by saying so.
    """
    here = practice.where
    task = here.next
    if here.stops or task is None or task.check is not None:
        return Consequence("not yet", scene(practice), practice)
    values: dict[str, object] = {}
    kind, who, place = "step done", LEARNER, {"panel": task.panel}
    if task.hold is not None:
        kind, who, values = "hold signed", TEACHER, {"hold": task.hold.key, "role": "finisher"}
    elif task.what == "wash":
        kind = "wash-down"
    elif task.what in ("pour", "repair"):
        kind = "poured" if task.what == "pour" else "repair done"
        place["zone"], values = task.zones[0], {"defect": task.defect, "repair": task.repair}
    else:
        place["step"] = task.step
    after = with_line(practice, line_of(practice, kind, who, values=values, **place), task.minutes)
    return Consequence("done", (wording.sentence(f"{task.panel or 'whole job'}: {task_words(task)}"), *scene(after)),
                       after)


def sign_yourself(practice: Practice) -> Consequence:
    """Return what follows when a learner signs a hold point: nothing is signed."""
    return Consequence("not yet", ("You are a trainee: a trainee cannot sign a hold point. Show the finisher.",
                                   *scene(practice)), practice)


def plan_again(practice: Practice) -> Consequence:
    """Return what follows from planning again with what was typed so far; the played finisher agrees."""
    found = replan(practice.job, practice.profile, practice.plan, practice.lines)
    if not found.news:
        return Consequence("not yet", ("Nothing is new since the plan was made: it comes out the same.",), practice)
    values = {"why": "practice", "role": "finisher", "taken": [zone.model_dump() for zone in found.taken]}
    line = line_of(practice, "replan", TEACHER, values=values)
    course = course_of(found.job, practice.profile, found.plan, practice.course.order)
    tasks = tuple(task for task in course.tasks if task.panel in (*practice.panels, ""))
    # A wash-down of the whole job alone is no work on these panels.
    course = replace(course, tasks=tasks if any(task.panel for task in tasks) else ())
    after = replace(practice, job=found.job, plan=found.plan, course=course, lines=(*practice.lines, line))
    changes = [f"{c.panel}{', ' + c.zone if c.zone else ''}: {c.what}." for c in found.changes
               if c.panel in practice.panels]
    return Consequence("done", (*found.reasons, *(changes or ["The rest of the plan stays as it was."]),
                                *found.warnings, *scene(after)), after)


def put_forward(practice: Practice) -> Practice:
    """Return the practice with its clock put forward to when the first thing that waits may start."""
    waiting = practice.where.waiting
    return replace(practice, clock=min(w.not_before for w in waiting)) if waiting else practice


def line_of(practice: Practice, kind: str, who: str, **more: object) -> LogLine:
    """Return the next line of the practice's log."""
    return read_line({"number": len(practice.lines) + 1, "at": practice.clock, "who": who, "kind": kind, **more})


def with_line(practice: Practice, line: LogLine, minutes: float) -> Practice:
    """Return the practice with one more line, its clock put forward by the work."""
    return replace(practice, lines=(*practice.lines, line), clock=practice.clock + timedelta(minutes=minutes))
