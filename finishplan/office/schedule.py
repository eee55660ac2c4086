"""The days of one or several jobs: who does what when, the ready dates, and how good the schedule provably is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from random import Random

from finishplan.errors import BadValue, FinishplanError
from finishplan.office.home import HomeRules, home_lines, read_home, visit_tasks
from finishplan.office.labour import labour
from finishplan.office.schedule_bound import Bound
from finishplan.office.schedule_model import Person, Task, Works, check_works
from finishplan.office.schedule_place import Placed
from finishplan.office.schedule_search import Found, Progress, Search, Stop
from finishplan.office.schedule_tasks import JobOrder, job_tasks, vibration_m_s2
from finishplan.office.terms import OfficeFigures
from finishplan.office.working_time import DAY_MIN, Calendar, day_of, read_week
from finishplan.safety.vibration import minutes_to
from finishplan.shop.profile import Profile
from finishplan.wording import listed, minutes_words

MOST_JOBS = 200


@dataclass(frozen=True)
class Row:
    """One task in the days: what, whose, by whom, and when."""

    job: str
    what: str
    phase: str
    people: tuple[str, ...]
    """Ids of who does it."""
    minutes: int
    """By the clock."""
    spans: tuple[tuple[datetime, datetime], ...]


@dataclass(frozen=True)
class JobDays:
    """One job in the days."""

    key: str
    title: str
    arrives: date
    due: date | None
    ready: datetime
    earliest: datetime
    """Before this it could not be ready even if the shop did nothing else."""
    working_days: int
    """Days on which somebody works on it."""
    calendar_days: int
    """From arrival to ready, both counted."""

    @property
    def late_days(self) -> int:
        """Days past the due date; 0 where none is, or in time."""
        return 0 if self.due is None else max(0, (self.ready.date() - self.due).days)


@dataclass(frozen=True)
class Days:
    """The schedule of all jobs."""

    start: datetime
    jobs: tuple[JobDays, ...]
    rows: tuple[Row, ...]
    ready: datetime
    """When the last job is ready."""
    bound: datetime
    """No schedule has all jobs ready before this."""
    gap_min: int
    """Working minutes between the bound and ready."""
    gap_days: int
    """Working days between them; 0 on the same day."""
    working_days: int
    tries: int
    stopped: bool
    person_minutes: dict[str, int]
    """Minutes of each person, by id."""
    names: dict[str, str]
    """Name of each person, by id."""
    notes: tuple[str, ...]


def due_date(text: str | None, where: str = "due") -> date | None:
    """Return a job's due date, written 2026-05-31; None for none. Raises BadValue for another text."""
    if text is None or not text.strip():
        return None
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise BadValue("due", text, "write the day as 2026-05-31, or leave it out", where) from None


def plan_days(
    orders: Sequence[JobOrder], profile: Profile, start: datetime, *, figures: OfficeFigures | None = None,
    closed: Iterable[date] = (), away: Mapping[str, Iterable[date]] | None = None, seed: int = 1,
    tries: int | None = None, progress: Progress | None = None, stop: Stop | None = None,
) -> Days:
    """Return the days of ``orders`` in the shop of ``profile``, from ``start`` on.

    ``closed`` are days on which nobody works, ``away`` days of one person by id. ``tries`` bounds the
    search (some 140 for twenty jobs where None); ``progress`` is called with tries done and in all,
    ``stop`` asked after each. Same input and ``seed``, same days. Raises BadValue for a due date before
    the start, FinishplanError for hours without work, a role that nobody has, too cold a room for resin.
    """
    figures = figures or OfficeFigures()
    check_orders(orders, start)
    works, notes = works_of(orders, profile, start, figures, frozenset(closed), away or {})
    due = {order.key: works.calendar.minutes_at(datetime.combine(order.due, datetime.min.time())) + DAY_MIN
           for order in orders if order.due is not None}
    found = Search(works, due, Random(seed)).go(tries, progress, stop)
    return days_of_found(orders, works, found, start, notes)


def check_orders(orders: Sequence[JobOrder], start: datetime) -> None:
    """Refuse no jobs, too many, twins, and due dates that are past."""
    if not orders:
        raise FinishplanError("no job to be put into days; name at least one")
    if len(orders) > MOST_JOBS:
        raise FinishplanError(f"{len(orders)} jobs at once, more than {MOST_JOBS}; take those of the next months")
    keys = [order.key for order in orders]
    twin = next((key for key in keys if keys.count(key) > 1), None)
    if twin is not None:
        raise BadValue("job key", twin, "it stands twice; give each job its own")
    for order in orders:
        if order.due is not None and order.due < start.date():
            raise BadValue("due", order.due.isoformat(),
                           f"it is before {start.date().isoformat()}; give a later day, or leave it out",
                           f"job {order.job.title!r}")


def people_of(
    profile: Profile, orders: Sequence[JobOrder], calendar: Calendar, away: Mapping[str, Iterable[date]]
) -> tuple[Person, ...]:
    """Return the shop's people with their days off; without any, one finisher, and a trainee where one works."""
    known = [(p.id, p.name or p.id, p.role) for p in profile.file.people]
    if not known:
        trainee = any(panel.worker == "trainee" for order in orders for panel in order.plan.panels)
        known = [("finisher", "finisher", "finisher")] + ([("trainee", "trainee", "trainee")] if trainee else [])
    stranger = next((name for name in away if name not in {k for k, _, _ in known}), None)
    if stranger is not None:
        ids = ", ".join(key for key, _, _ in known)
        raise BadValue("person", stranger, f"nobody has that id; known: {ids}", "days off")
    found = []
    for key, name, role in known:
        off = frozenset(away.get(key, ()))
        own = Calendar(calendar.first_day, calendar.week, calendar.off | off) if off else calendar
        found.append(Person(key, name, frozenset({role}), own))
    return tuple(found)


def works_of(
    orders: Sequence[JobOrder], profile: Profile, start: datetime, figures: OfficeFigures,
    closed: frozenset[date], away: Mapping[str, Iterable[date]],
) -> tuple[Works, tuple[str, ...]]:
    """Return all tasks and people as one set of works, and what is to be said of them."""
    calendar = Calendar(start.date(), read_week(profile.file.hours), closed)
    people = people_of(profile, orders, calendar, away)
    rules = read_home(profile.file.home, profile)
    tasks: list[Task] = []
    helpers: list[str] = []
    for order in orders:
        mine, brought_in = tasks_of(order, profile, figures, rules, arrival_min(order, start, calendar), len(people))
        tasks += mine
        helpers += brought_in
    cap = figures.vibration_cap_m_s2
    works = check_works(Works(tuple(tasks), people, calendar, 480.0 * cap * cap))
    return works, days_notes(orders, profile, works, cap, helpers)


def arrival_min(order: JobOrder, start: datetime, calendar: Calendar) -> int:
    """Return the moment from which a job can be worked on."""
    return max(calendar.minutes_at(start), calendar.minutes_at(datetime.combine(order.arrives, datetime.min.time())))


def tasks_of(
    order: JobOrder, profile: Profile, figures: OfficeFigures, rules: HomeRules, arrival: int, people: int
) -> tuple[tuple[Task, ...], tuple[str, ...]]:
    """Return the tasks of one job, in the shop or as visits, and what needs hands from outside.

    A job at the customer's comes with the plan of its visits.
    """
    if order.job.site.kind == "home":
        lines = home_lines(labour(order.job, order.plan, figures, order.plastic_keytops))
        return visit_tasks(order.key, lines, rules, arrival), ()
    return job_tasks(order, profile, figures, arrival, people)


def days_notes(
    orders: Sequence[JobOrder], profile: Profile, works: Works, cap_m_s2: float, helpers: list[str]
) -> tuple[str, ...]:
    """Return what has to be said beside a schedule."""
    found = []
    if not profile.file.hours:
        found.append("Working hours: Monday to Friday 8:00 to 16:00 with half an hour at noon (assumed).")
    if not profile.file.people:
        found.append(f"People: {listed(p.name for p in works.people)} (assumed; the shop has named none).")
    if helpers:
        found.append(f"More hands than the shop has, by appointment: {listed(dict.fromkeys(helpers))}.")
    shaking = {
        (zone.way, step.is_sheet) for order in orders for panel in order.plan.panels for step in panel.steps
        for zone in step.zones
    }
    for way, is_sheet in sorted(shaking):
        a = vibration_m_s2(profile, way, is_sheet)
        most = minutes_to(cap_m_s2, a)
        if most is not None and most < 480.0:
            use = "sanding" if is_sheet else "buffing"
            found.append(f"Vibration: {way} for {use} at {a:g} m/s2 is planned for at most "
                         f"{minutes_words(math.floor(most))} a person and day (A(8) {cap_m_s2:g}).")
    stops = [order.job.title for order in orders if not order.plan.all_go]
    if stops:
        found.append(f"Planned as if all panels could start, which they cannot yet: {listed(stops)}.")
    found.append("Jobs are taken to stand apart: sanding of one beside buffing of another needs a room or a curtain.")
    return tuple(found)


def days_of_found(
    orders: Sequence[JobOrder], works: Works, found: Found, start: datetime, notes: tuple[str, ...]
) -> Days:
    """Return a found schedule as dates, people and days."""
    calendar = works.calendar
    rows = tuple(
        row_of(task, placed, works) for task, placed in
        sorted(zip(works.tasks, found.placed, strict=True), key=lambda pair: (pair[1].start, pair[1].end))
        if task.minutes
    )
    minutes = {person.id: 0 for person in works.people}
    for task, placed in zip(works.tasks, found.placed, strict=True):
        for p in placed.team:
            minutes[works.people[p].id] += task.minutes
    last, bound = found.score.last, found.bound
    return Days(
        start=start, jobs=tuple(job_days(order, works, found) for order in orders), rows=rows,
        ready=calendar.at(last), bound=calendar.at(bound), gap_min=calendar.count(last) - calendar.count(bound),
        gap_days=worked_days_between(calendar, bound, last), working_days=len(days_worked(found.placed)),
        tries=found.tries, stopped=found.stopped, person_minutes=minutes,
        names={person.id: person.name for person in works.people}, notes=notes,
    )


def row_of(task: Task, placed: Placed, works: Works) -> Row:
    """Return one placed task as dates and people."""
    at = works.calendar.at
    return Row(task.job, task.what, task.phase, tuple(works.people[p].id for p in placed.team), task.minutes,
               tuple((at(begin), at(end)) for begin, end in placed.spans))


def job_days(order: JobOrder, works: Works, found: Found) -> JobDays:
    """Return one job's days, and the bound of the job alone."""
    mine = [i for i, task in enumerate(works.tasks) if task.job == order.key]
    placed = [found.placed[i] for i in mine]
    ready = max((one.end for one in placed), default=0)
    alone = Works(tuple(works.tasks[i] for i in mine), works.people, works.calendar, works.day_dose)
    earliest = Bound(alone, ready).find(ready)
    when = works.calendar.at(ready)
    arrives = max(order.arrives, works.calendar.first_day)
    return JobDays(order.key, order.job.title, arrives, order.due, when, works.calendar.at(earliest),
                   len(days_worked(placed)), (when.date() - arrives + timedelta(days=1)).days)


def days_worked(placed: Iterable[Placed]) -> set[int]:
    """Return the days on which somebody works."""
    return {
        day for one in placed for begin, end in one.spans if end > begin
        for day in range(day_of(begin), day_of(end - 1) + 1)
    }


def worked_days_between(calendar: Calendar, first: int, last: int) -> int:
    """Return how many working days lie between the days of two ends."""
    if last <= 0:
        return 0
    calendar.lay_out(last)
    days = {day_of(start) for start in calendar.starts}
    return sum(1 for day in range(day_of(max(first - 1, 0)) + 1, day_of(last - 1) + 1) if day in days)
