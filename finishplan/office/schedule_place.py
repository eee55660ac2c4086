"""One schedule from one order of tasks: each in turn at the earliest time its people, tool and waits allow.

A task runs on over breaks and nights; another task never comes in between, save where the day's vibration
is used up: then it rests until the next day and its person does other work meanwhile.
"""

from __future__ import annotations

import heapq
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from finishplan.office.schedule_model import Works
from finishplan.office.working_time import DAY_MIN, Calendar, intersect

Span = tuple[int, int]
Openings = tuple[list[int], list[int]]
SLACK = 1e-9


class OutOfTime(Exception):
    """The openings laid out so far are not enough; never leaves this room."""


@dataclass(frozen=True)
class Placed:
    """When and by whom a task is done."""

    team: tuple[int, ...]
    spans: tuple[Span, ...]

    @property
    def start(self) -> int:
        """First minute."""
        return self.spans[0][0]

    @property
    def end(self) -> int:
        """End of the last minute."""
        return self.spans[-1][1]


class Diary:
    """Free time of one person or tool, and the vibration of each day."""

    def __init__(self, calendar: Calendar, horizon: int) -> None:
        calendar.lay_out(horizon)
        self.starts = list(calendar.starts)
        self.ends = list(calendar.ends)
        self.onward = dict(zip(self.ends, self.starts[1:], strict=False))
        """Where work that stops at closing time goes on."""
        self.dose: dict[int, float] = {}

    def book(self, spans: Sequence[Span]) -> None:
        """Take spans out of the free time."""
        for begin, end in spans:
            while begin < end:
                at = bisect_right(self.starts, begin) - 1
                low, high = self.starts[at], self.ends[at]
                stop = min(end, high)
                pieces = [(a, b) for a, b in ((low, begin), (stop, high)) if a < b]
                self.starts[at:at + 1] = [a for a, _ in pieces]
                self.ends[at:at + 1] = [b for _, b in pieces]
                begin = stop


@dataclass(frozen=True)
class Demand:
    """What a walk through free time looks for."""

    earliest: int
    minutes: int
    in_one_day: bool
    dose_per_min: float
    day_dose: float


def walk(free: Openings, onward: dict[int, int], dose: dict[int, float], want: Demand) -> tuple[Span, ...]:
    """Return the first spans of free time that hold the wanted minutes; raises OutOfTime at the list's end."""
    starts, ends = free
    at = max(0, bisect_right(starts, want.earliest) - 1)
    while at < len(ends) and ends[at] <= want.earliest:
        at += 1
    while at < len(starts):
        spans, at = run_from(free, onward, dose, want, at)
        if spans:
            return spans
    raise OutOfTime


def run_from(
    free: Openings, onward: dict[int, int], dose: dict[int, float], want: Demand, at: int
) -> tuple[tuple[Span, ...], int]:
    """Return the spans of a run that begins in opening ``at``, or none and the opening to try next."""
    starts, ends = free
    now, left = max(starts[at], want.earliest), want.minutes
    spans: list[Span] = []
    while at < len(starts):
        room = ends[at] - now
        bearable = dose_minutes(now // DAY_MIN, dose, want) - minutes_today(spans, now // DAY_MIN, want)
        take = min(left, room, bearable)
        if take > 0:
            spans.append((now, now + take))
            left -= take
        if left == 0:
            return joined(spans), at
        if take < room:
            at = next_day(starts, at, now // DAY_MIN)
        elif goes_on(free, onward, at) or (want.dose_per_min and days_of(spans) > 1):
            at += 1
        else:
            return (), at + 1
        if at >= len(starts):
            break
        now = starts[at]
        if want.in_one_day and spans and now // DAY_MIN > spans[0][0] // DAY_MIN:
            return (), at
    raise OutOfTime


def goes_on(free: Openings, onward: dict[int, int], at: int) -> bool:
    """Whether opening ``at`` ends at closing time and the next one is free from its start."""
    starts, ends = free
    return onward.get(ends[at]) == (starts[at + 1] if at + 1 < len(starts) else None)


def days_of(spans: list[Span]) -> int:
    """Return how many days spans reach over."""
    return spans[-1][0] // DAY_MIN - spans[0][0] // DAY_MIN + 1 if spans else 0


def dose_minutes(day: int, dose: dict[int, float], want: Demand) -> int:
    """Return how many more whole minutes of this tool the person's day bears."""
    if not want.dose_per_min:
        return want.minutes
    return max(0, int((want.day_dose - dose.get(day, 0.0)) / want.dose_per_min + SLACK))


def minutes_today(spans: list[Span], day: int, want: Demand) -> int:
    """Return the minutes of this run that its own day has borne already; 0 for a task without vibration."""
    if not want.dose_per_min:
        return 0
    return sum(end - begin for begin, end in spans if begin // DAY_MIN == day)


def next_day(starts: list[int], at: int, day: int) -> int:
    """Return the first opening of a later day."""
    return bisect_right(starts, (day + 1) * DAY_MIN - 1, lo=at)


def joined(spans: list[Span]) -> tuple[Span, ...]:
    """Return spans with those that touch made one."""
    found: list[Span] = []
    for begin, end in spans:
        if found and found[-1][1] == begin:
            found[-1] = (found[-1][0], end)
        else:
            found.append((begin, end))
    return tuple(found)


@dataclass
class Diaries:
    """The diaries of all people and tools while a schedule is being made."""

    works: Works
    people: list[Diary]
    tools: dict[str, Diary]

    @classmethod
    def fresh(cls, works: Works, horizon: int) -> Diaries:
        """Return empty diaries up to ``horizon``."""
        tools = {task.tool for task in works.tasks if task.tool}
        return cls(works, [Diary(person.calendar, horizon) for person in works.people],
                   {name: Diary(works.calendar, horizon) for name in sorted(tools)})

    def earliest(self, i: int, earliest: int) -> Placed:
        """Return the earliest way to do task ``i`` from ``earliest`` on: team and spans; no minutes need no hours."""
        task, best = self.works.tasks[i], None
        if task.minutes == 0:
            moment = max(earliest, task.not_before)
            return Placed(self.works.teams[i][0], ((moment, moment),))
        want = Demand(max(earliest, task.not_before), task.minutes, task.in_one_day, task.dose_per_min,
                      self.works.day_dose)
        for team in self.works.teams[i]:
            spans = self.try_team(team, task.tool, want)
            if best is None or (spans[-1][1], -spans[0][0]) < (best.end, -best.start):
                best = Placed(team, spans)
        assert best is not None
        return best

    def try_team(self, team: tuple[int, ...], tool: str, want: Demand) -> tuple[Span, ...]:
        """Return the earliest spans of one team."""
        diaries = [self.people[p] for p in team]
        free: Openings = (diaries[0].starts, diaries[0].ends)
        for other in diaries[1:] + ([self.tools[tool]] if tool else []):
            free = intersect(free, (other.starts, other.ends), want.earliest)
        dose = diaries[0].dose
        if want.dose_per_min and len(team) > 1:
            days = {day for diary in diaries for day in diary.dose}
            dose = {day: max(diary.dose.get(day, 0.0) for diary in diaries) for day in days}
        return walk(free, diaries[0].onward, dose, want)

    def book(self, i: int, placed: Placed) -> None:
        """Write a placed task into the diaries of its people and tool."""
        task = self.works.tasks[i]
        if task.minutes == 0:
            return
        for p in placed.team:
            self.people[p].book(placed.spans)
            for begin, end in placed.spans if task.dose else ():
                for day in range(begin // DAY_MIN, (end - 1) // DAY_MIN + 1):
                    part = min(end, (day + 1) * DAY_MIN) - max(begin, day * DAY_MIN)
                    self.people[p].dose[day] = self.people[p].dose.get(day, 0.0) + part * task.dose_per_min
        if task.tool:
            self.tools[task.tool].book(placed.spans)


def place_all(works: Works, rank: Sequence[float], horizon: int) -> tuple[list[Placed], int]:
    """Return all tasks placed one after the other by ``rank``, lowest first, and the horizon it took.

    A task is placed only after those it waits for.
    """
    while True:
        try:
            return place_within(works, rank, horizon), horizon
        except OutOfTime:
            horizon *= 2


def place_within(works: Works, rank: Sequence[float], horizon: int) -> list[Placed]:
    """Return all tasks placed within ``horizon`` minutes; raises OutOfTime where that is too short."""
    diaries = Diaries.fresh(works, horizon)
    waits = [len(before) for before in works.before]
    ready = [(rank[i], i) for i, n in enumerate(waits) if n == 0]
    heapq.heapify(ready)
    placed: list[Placed | None] = [None] * len(works.tasks)
    while ready:
        _, i = heapq.heappop(ready)
        begin = 0
        for j, after in works.before[i]:
            earlier = placed[j]
            assert earlier is not None
            begin = max(begin, after.earliest(earlier.end))
        done = diaries.earliest(i, begin)
        diaries.book(i, done)
        placed[i] = done
        for j, _ in works.behind[i]:
            waits[j] -= 1
            if waits[j] == 0:
                heapq.heappush(ready, (rank[j], j))
    return [one for one in placed if one is not None]
