"""The bench order of a plan: every piece of work, check reading, hold point and wash-down in its place.

Panel by panel, or batched grade by grade: fills of all panels first, then all sheets coarse to fine, the
wash-down, then the compounds. The cold look comes last in both. Panels that may not start are held back.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from finishplan.bench.checks import BEFORE_ALL, CheckReading, HoldPoint, checks_of, holds_of, whole_um
from finishplan.errors import UnknownName
from finishplan.planning.materials import cure_hours
from finishplan.planning.result import DefectPlan, PanelPlan, Plan, ZonePlan
from finishplan.planning.risk_model import strokes_of
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job

ORDERS = {
    "by grade": "all panels through one grade before the next: fewer changes, one wash-down",
    "by panel": "one panel to its last compound before the next: it can be handed on sooner",
}
"""How the steps are batched."""
WHATS = {
    "hold": "wait for the finisher's signature",
    "check": "read the film",
    "pour": "pour the fill",
    "repair": "cut, level or feather inside the rings",
    "step": "work the panel",
    "wash": "wash down",
}
"""What a task is."""
WHOLE_JOB = ""


@dataclass(frozen=True)
class Task:
    """One thing to do at the bench, in its place."""

    key: str
    what: str
    panel: str
    """The panel's name; WHOLE_JOB for what concerns all of them."""
    after: int = 0
    """Steps of the panel that are done before it."""
    step: str = ""
    zones: tuple[str, ...] = ()
    defect: int | None = None
    """Place of the entry in its zone's list, for a pour or repair."""
    repair: str = ""
    hold: HoldPoint | None = None
    check: CheckReading | None = None
    readings: int = 0
    """How many readings a check wants."""
    later: tuple[str, ...] = ()
    """Steps that go over a check's zone after it."""
    minutes: float = 0.0
    """Planned minutes, looks included."""
    waits_for: tuple[str, ...] = ()
    """Pours whose cure it waits for, by key."""
    wait_h: float = 0.0


@dataclass(frozen=True)
class HeldBack:
    """A panel that may not start, and why."""

    panel: str
    verdicts: tuple[tuple[str, str], ...]
    """Zone and verdict, of those that are not go."""


@dataclass(frozen=True)
class Course:
    """The tasks of a job in working order."""

    order: str
    job: Job
    plan: Plan
    tasks: tuple[Task, ...]
    held_back: tuple[HeldBack, ...]
    prior_share: float

    def task(self, key: str) -> Task:
        """Return a task by its key; raises UnknownName."""
        for task in self.tasks:
            if task.key == key:
                return task
        raise UnknownName("task", key, [task.key for task in self.tasks])

    def panel(self, name: str) -> PanelPlan:
        """Return a panel's plan; raises UnknownName."""
        for panel in self.plan.panels:
            if panel.name == name:
                return panel
        raise UnknownName("panel", name, [panel.name for panel in self.plan.panels], "log line")


@dataclass(frozen=True)
class _Parts:
    """One panel's tasks, by phase."""

    start: list[Task]
    pours: list[Task]
    local: list[Task]
    steps: list[list[Task]]
    """Each step with the check and hold right after it."""
    compound_hold: list[Task]
    first_compound: int
    end: list[Task]
    cold: list[Task]


def course_of(job: Job, profile: Profile, plan: Plan, order: str = "by grade") -> Course:
    """Return the bench order of a plan; raises UnknownName for an order that is not one of ORDERS."""
    if order not in ORDERS:
        raise UnknownName("order", order, ORDERS)
    ready = [at for at, panel in enumerate(plan.panels) if panel.all_go and panel.steps]
    parts = {at: parts_of(job, profile, plan.panels[at], at) for at in ready}
    found = by_grade(plan, parts) if order == "by grade" else by_panel(plan, parts)
    held = tuple(
        HeldBack(panel.name, tuple((z.name, z.verdict) for z in panel.zones if z.verdict != "go"))
        for panel in plan.panels if not panel.all_go
    )
    return Course(order, job, plan, tuple(found), held, profile.policy.prior_share)


def by_panel(plan: Plan, parts: dict[int, _Parts]) -> Iterator[Task]:
    """Yield the tasks panel by panel; the cold look of all panels comes last."""
    for at, of in parts.items():
        yield from (*of.start, *of.pours, *of.local)
        for tasks in of.steps[: of.first_compound]:
            yield from tasks
        if of.compound_hold and (of.first_compound or of.local or of.pours):
            yield wash_task(plan.panels[at].name)
        yield from of.compound_hold
        for tasks in of.steps[of.first_compound:]:
            yield from tasks
    for of in parts.values():
        yield from (*of.end, *of.cold)


def by_grade(plan: Plan, parts: dict[int, _Parts]) -> Iterator[Task]:
    """Yield the tasks grade by grade over all panels."""
    for of in parts.values():
        yield from of.start
    for of in parts.values():
        yield from of.pours
    for of in parts.values():
        yield from of.local
    yield from grades(plan, parts, sheets=True)
    dusty = any(of.first_compound or of.local or of.pours for of in parts.values())
    if dusty and any(of.compound_hold for of in parts.values()):
        yield wash_task(WHOLE_JOB)
    for of in parts.values():
        yield from of.compound_hold
    yield from grades(plan, parts, sheets=False)
    for of in parts.values():
        yield from of.end
    for of in parts.values():
        yield from of.cold


def grades(plan: Plan, parts: dict[int, _Parts], sheets: bool) -> Iterator[Task]:
    """Yield the steps of all panels coarse to fine: the sheets, or the compounds."""
    for name in plan.set_up_steps:
        for at, of in parts.items():
            for k, step in enumerate(plan.panels[at].steps):
                if step.step == name and step.is_sheet == sheets:
                    yield from of.steps[k]


def wash_task(panel: str) -> Task:
    """Return the wash-down of a panel, or of the whole job."""
    return Task(f"wash|{panel}", "wash", panel)


def parts_of(job: Job, profile: Profile, plan: PanelPlan, at: int) -> _Parts:
    """Return one panel's tasks by phase; valid for a panel that is worked and go."""
    name, last = plan.name, len(plan.steps)
    checks, holds = checks_of(job.panels[at], plan), holds_of(job, plan)
    first_compound = next((k for k, step in enumerate(plan.steps) if not step.is_sheet), last)
    pours, local = local_tasks(job, profile, plan)
    wait_h = cure_h(job, profile, profile.policy.cure_finish_h)
    waits = tuple(task.key for task in pours)
    steps = []
    for k, step in enumerate(plan.steps):
        task = Task(
            f"step|{name}|{step.step}", "step", name, k, step.step, tuple(z.zone for z in step.zones),
            minutes=step.minutes + step.look_minutes, waits_for=waits if k == 0 else (), wait_h=wait_h,
        )
        after = [check_task(profile, name, plan, c) for c in checks if c.moment == "levelled" and c.after == k + 1]
        signed = [hold_task(name, h) for h in holds if h.key == "levelled" and h.after == k + 1]
        steps.append([task, *after, *signed])
    start = [hold_task(name, hold) for hold in holds if hold.after == BEFORE_ALL]
    start += [check_task(profile, name, plan, check) for check in checks if check.moment == "before"]
    return _Parts(
        start, pours, local, steps, [hold_task(name, h) for h in holds if h.key == "before compound"], first_compound,
        [check_task(profile, name, plan, check) for check in checks if check.moment == "end"],
        [hold_task(name, hold) for hold in holds if hold.key == "cold"],
    )


def cure_h(job: Job, profile: Profile, hours: float) -> float:
    """Return a cure time [h] at the site's temperature, else at the one the cure times stand for."""
    given = job.site.temperature_c
    return cure_hours(hours, profile.policy.cure_reference_c if given is None else given, profile.policy)


def local_tasks(job: Job, profile: Profile, plan: PanelPlan) -> tuple[list[Task], list[Task]]:
    """Return the pours, then fills to level and spots to feather; fills before spots."""
    cut_h = cure_h(job, profile, profile.policy.cure_cut_h)
    pours, fills, spots = [], [], []
    for zone in plan.zones:
        for entry in zone.defects:
            if entry.repair == "fill":
                pours.append(local_task("pour", plan, zone, entry))
                fills.append(local_task("repair", plan, zone, entry, (pours[-1].key,), cut_h))
            elif entry.repair == "spot":
                spots.append(local_task("repair", plan, zone, entry))
    return pours, fills + spots


def local_task(
    what: str, plan: PanelPlan, zone: ZonePlan, entry: DefectPlan, waits: tuple[str, ...] = (), wait_h: float = 0.0
) -> Task:
    """Return the pour, or the work inside the rings, of one entry."""
    key = f"{what}|{plan.name}|{zone.name}|{entry.index}"
    return Task(key, what, plan.name, 0, zones=(zone.name,), defect=entry.index, repair=entry.repair,
                minutes=0.0 if what == "pour" else entry.minutes, waits_for=waits, wait_h=wait_h)


def hold_task(panel: str, hold: HoldPoint) -> Task:
    """Return a hold point as a task."""
    return Task(f"hold|{panel}|{hold.key}", "hold", panel, max(0, hold.after), hold=hold)


def check_task(profile: Profile, panel: str, plan: PanelPlan, check: CheckReading) -> Task:
    """Return a check reading as a task: as many readings as the policy asks, no more than there are spots."""
    step = plan.steps[check.after - 1].step if check.after else ""
    wanted = max(1, min(profile.policy.min_readings, len(check.spots)))
    later = tuple(of.step for at, of, _ in strokes_of(plan, check.zone) if at >= check.after)
    return Task(f"check|{panel}|{check.zone}|{check.moment}", "check", panel, check.after, step, (check.zone,),
                check=check, readings=wanted, later=later)


def least_um(plan: PanelPlan, zone: str, step: str) -> int | None:
    """Return the least reading of a zone after ``step`` (before the first stroke: none), in whole um.

    None where the zone does not take the step.
    """
    planned = next((z for z in plan.zones if z.name == zone), None)
    if planned is None or planned.starts_at is None:
        return None
    if not step:
        return whole_um(planned.least_start_um)
    parts = [part for _, of, part in strokes_of(plan, zone) if of.step == step]
    return whole_um(parts[0].least_reading_um) if parts else None
