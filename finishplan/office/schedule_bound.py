"""A time before which no schedule can be done, whatever the order: by longest chain and by people's hours.

For a supposed end the latest end of every task is worked out backwards, the earliest forwards. The end is
impossible where a task has no room between the two, or where the tasks that must lie inside some stretch
of time ask for more person-minutes, tool minutes or vibration than that stretch holds. The least end that
is not refuted so is the bound. Source: the usual energy argument of project scheduling (textbooks).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from finishplan.office.schedule_model import Task, Works
from finishplan.office.working_time import DAY_MIN, Calendar

Floats = npt.NDArray[np.float64]
SLACK = 1e-6


def earliest_end(task: Task, start: int, calendar: Calendar, day_dose: float) -> int:
    """Return the earliest end of a task from ``start`` on with its people free all the time."""
    start = max(start, task.not_before)
    if task.minutes == 0:
        return start
    if task.in_one_day:
        start = calendar.next_opening(start)
        while calendar.day_left(start) < task.minutes:
            start = calendar.next_opening((start // DAY_MIN + 1) * DAY_MIN)
    if not task.dose:
        return calendar.end_of(start, task.minutes)
    per_day, left = int(day_dose / task.dose_per_min + 1e-9), task.minutes
    while True:
        start = calendar.next_opening(start)
        take = min(left, per_day, calendar.day_left(start))
        left -= take
        if left == 0:
            return calendar.end_of(start, take)
        start = (start // DAY_MIN + 1) * DAY_MIN


def latest_start(task: Task, end: int, calendar: Calendar, day_dose: float) -> int:
    """Return the latest start of a task that is done by ``end`` with its people free; negative where none is."""
    if end <= 0 or task.minutes == 0:
        return end
    if not task.dose and not task.in_one_day:
        return calendar.start_of(end, task.minutes)
    per_day = int(day_dose / task.dose_per_min + 1e-9) if task.dose else task.minutes
    left = task.minutes
    while end > 0:
        midnight = (end - 1) // DAY_MIN * DAY_MIN
        today = calendar.count(end) - calendar.count(midnight)
        take = min(left, per_day, today)
        if take == left:
            return calendar.start_of(end, take)
        if not task.in_one_day:
            left -= take
        end = midnight
    return -left


@dataclass(frozen=True)
class Load:
    """What one kind of capacity has to bear: tasks, their demand, and how much there is up to a moment."""

    tasks: npt.NDArray[np.int64]
    demand: Floats
    moments: Floats
    before: Floats
    """Capacity before each moment, straight in between."""
    by_day: bool = False
    """Capacity comes whole with the first minute of a day, as vibration does."""

    def upto(self, moment: Floats | float, as_end: bool) -> Floats:
        """Return the capacity before ``moment``; by days an end counts its whole day, a start not yet."""
        if not self.by_day:
            return np.asarray(np.interp(moment, self.moments, self.before))
        side = np.searchsorted(self.moments, moment, side="left" if as_end else "right")
        return np.asarray(self.before[side if as_end else np.maximum(side - 1, 0)])

    def when(self, done: float) -> int:
        """Return the first whole minute by which the capacity reaches ``done``; the last moment if never."""
        at = int(np.searchsorted(self.before, done - SLACK, side="left"))
        if at == 0 or at == len(self.before):
            return int(self.moments[min(at, len(self.moments) - 1)])
        share = (done - self.before[at - 1]) / (self.before[at] - self.before[at - 1])
        moment = self.moments[at - 1] + share * (self.moments[at] - self.moments[at - 1])
        return int(np.ceil(moment - SLACK))

    def refutes(self, head: Floats, due: Floats) -> bool:
        """Whether the tasks between some head and due ask for more than there is."""
        if not len(self.tasks):
            return False
        heads, dues = head[self.tasks], due[self.tasks]
        order = np.argsort(dues, kind="stable")
        heads, dues, demand = heads[order], dues[order], self.demand[order]
        starts = np.unique(heads)
        asked = np.cumsum(np.where(heads >= starts[:, None], demand, 0.0), axis=1)
        there = self.upto(dues, True) - self.upto(starts, False)[:, None]
        return bool((asked > np.maximum(there, 0.0) + SLACK).any())


@dataclass
class Bound:
    """The bound of one set of works, up to a horizon by which a schedule is known to be done."""

    works: Works
    horizon: int

    @cached_property
    def heads(self) -> tuple[list[int], list[int]]:
        """Earliest start and end of each task; by chains, and by the hours of those who do what comes before."""
        works = self.works
        starts, ends = [0] * len(works.tasks), [0] * len(works.tasks)
        ancestors: list[frozenset[int]] = [frozenset()] * len(works.tasks)
        for i in works.topological:
            begin = max([works.tasks[i].not_before] + [after.earliest(ends[j]) for j, after in works.before[i]])
            starts[i] = works.calendar.next_opening(begin) if works.tasks[i].minutes else begin
            ends[i] = earliest_end(works.tasks[i], begin, works.calendar, works.day_dose)
            ancestors[i] = frozenset().union(*(ancestors[j] | {j} for j, _ in works.before[i]))
            if ancestors[i]:
                ends[i] = max(ends[i], self.by_hours(ancestors[i] | {i}, starts))
        return starts, ends

    def by_hours(self, group: frozenset[int], starts: list[int]) -> int:
        """Return the earliest time by which the people can have done a whole group of tasks."""
        best = 0
        for _, demand, load in self.person_demand:
            mine = sorted(((starts[i], demand[i]) for i in group if demand[i]), reverse=True)
            asked = 0.0
            for place, (start, minutes) in enumerate(mine):
                asked += minutes
                if place + 1 < len(mine) and mine[place + 1][0] == start:
                    continue
                best = max(best, load.when(float(load.upto(float(start), False)) + asked))
        return best

    @cached_property
    def person_sets(self) -> list[frozenset[int]]:
        """Groups of people that some task can only be done by, and everybody."""
        found = dict.fromkeys(
            frozenset(p for p, person in enumerate(self.works.people) if person.can(role))
            for task in self.works.tasks for role in task.needs
        )
        found[frozenset(range(len(self.works.people)))] = None
        return list(found)

    @cached_property
    def person_demand(self) -> list[tuple[frozenset[int], list[int], Load]]:
        """For each group its person-minutes by task, and its hours as a load."""
        works, found = self.works, []
        for group in self.person_sets:
            demand = [
                task.minutes * sum(
                    {p for p, person in enumerate(works.people) if person.can(role)} <= group for role in task.needs)
                for task in works.tasks
            ]
            found.append((group, demand, self.load_of(group, demand)))
        return found

    def load_of(self, group: frozenset[int], demand: list[int]) -> Load:
        """Return the load of a group of people by their hours."""
        calendars = [self.works.people[p].calendar for p in group]
        moments, before = hours_curve(calendars, self.horizon)
        tasks = np.array([i for i, d in enumerate(demand) if d], dtype=np.int64)
        return Load(tasks, np.array([float(demand[i]) for i in tasks]), moments, before)

    @cached_property
    def loads(self) -> list[Load]:
        """All kinds of capacity: people's hours, tools, vibration."""
        works = self.works
        found = [load for _, _, load in self.person_demand]
        for tool in sorted({task.tool for task in works.tasks if task.tool}):
            moments, before = hours_curve([works.calendar], self.horizon)
            tasks = np.array([i for i, task in enumerate(works.tasks) if task.tool == tool], dtype=np.int64)
            found.append(Load(tasks, np.array([float(works.tasks[i].minutes) for i in tasks]), moments, before))
        return found + self.dose_loads

    @cached_property
    def dose_loads(self) -> list[Load]:
        """Vibration as a capacity by days, for each group of people."""
        works, found = self.works, []
        for group, demand, _ in self.person_demand:
            tasks = np.array([i for i, d in enumerate(demand) if d and works.tasks[i].dose], dtype=np.int64)
            if not len(tasks):
                continue
            days = [day for p in group for day in working_days(works.people[p].calendar, self.horizon)]
            moments = np.array(sorted(set(days)), dtype=np.float64) * DAY_MIN
            each = np.array([float(days.count(int(m) // DAY_MIN)) for m in moments]) * works.day_dose
            before = np.concatenate([[0.0], np.cumsum(each)])
            doses = np.array([works.tasks[i].dose for i in tasks])
            found.append(Load(tasks, doses, moments, before, by_day=True))
        return found

    def dues(self, end: int) -> list[int]:
        """Return the latest end of each task where all must be done by ``end``."""
        works = self.works
        latest = [end] * len(works.tasks)
        for i in reversed(works.topological):
            for j, after in works.behind[i]:
                begin = latest_start(works.tasks[j], latest[j], works.calendar, works.day_dose)
                latest[i] = min(latest[i], after.latest(begin))
        return latest

    def refuted(self, end: int) -> bool:
        """Whether no schedule can be done by ``end``."""
        starts, ends = self.heads
        dues = self.dues(end)
        if any(a > b for a, b in zip(ends, dues, strict=True)):
            return True
        head, due = np.array(starts, dtype=np.float64), np.array(dues, dtype=np.float64)
        return any(load.refutes(head, due) for load in self.loads)

    def find(self, known: int) -> int:
        """Return the least end that is not refuted; ``known`` is the end of a schedule that exists."""
        calendar = self.works.calendar
        if not self.works.tasks:
            return 0
        low, high = calendar.count(max(self.heads[1])), calendar.count(known)
        while low < high:
            middle = (low + high) // 2
            if self.refuted(self.end_after(middle)):
                low = middle + 1
            else:
                high = middle
        return self.end_after(low)

    def end_after(self, worked_min: int) -> int:
        """Return the moment by which the shop has worked so many minutes."""
        return self.works.calendar.moment(worked_min - 1) + 1 if worked_min > 0 else 0


def hours_curve(calendars: list[Calendar], horizon: int) -> tuple[Floats, Floats]:
    """Return moments and the person-minutes of all calendars before each, straight in between."""
    for calendar in calendars:
        calendar.lay_out(horizon)
    marks = sorted({0, horizon} | {m for c in calendars for m in (*c.starts, *c.ends) if m <= horizon})
    total = [float(sum(calendar.count(mark) for calendar in calendars)) for mark in marks]
    return np.array(marks, dtype=np.float64), np.array(total)


def working_days(calendar: Calendar, horizon: int) -> list[int]:
    """Return the days with working hours up to a horizon."""
    calendar.lay_out(horizon)
    return sorted({start // DAY_MIN for start in calendar.starts if start <= horizon})
