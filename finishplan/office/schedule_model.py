"""What a schedule is made of: tasks, what they wait for, the people, and the rules of the day.

Nothing here knows of finish work: a task has minutes, people, perhaps a tool and a vibration dose.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import islice, product

from finishplan.errors import BadValue, FinishplanError, UnknownName
from finishplan.office.working_time import Calendar, morning_after

ANYONE = "anyone"
"""A role that every person has."""
MINUTES_PER_HOUR = 60
MOST_TEAMS = 500
MOST_PICKS = 20_000
"""A task looks at so many teams at most, those of the people named first: shops are smaller than that."""


@dataclass(frozen=True)
class After:
    """One thing a task waits for: another task, then hours by the clock, or the next day."""

    task: str
    hours: float = 0.0
    overnight: bool = False

    def earliest(self, end: int) -> int:
        """Return the earliest moment after the other task ended at ``end``, opening hours apart."""
        later = end + round(self.hours * MINUTES_PER_HOUR)
        return max(later, morning_after(end)) if self.overnight else later

    def latest(self, start: int) -> int:
        """Return the latest end of the other task for a start at ``start``."""
        sooner = start - round(self.hours * MINUTES_PER_HOUR)
        return min(sooner, start // 1440 * 1440) if self.overnight else sooner


@dataclass(frozen=True)
class Task:
    """One piece of work that people do without another task in between, save over breaks and nights."""

    id: str
    job: str
    what: str
    minutes: int
    needs: tuple[str, ...]
    """A role for every person it takes; all of them stay to its end."""
    after: tuple[After, ...] = ()
    not_before: int = 0
    dose: float = 0.0
    """Vibration of the whole task: sum of a^2 x minutes, (m/s2)^2 min."""
    tool: str = ""
    """A thing the shop has once; empty for none."""
    in_one_day: bool = False
    """An appointment: begun and ended on one day."""
    phase: str = ""

    @property
    def dose_per_min(self) -> float:
        """Vibration dose of one minute."""
        return self.dose / self.minutes if self.minutes else 0.0


@dataclass(frozen=True)
class Person:
    """Somebody who works, with roles and working hours."""

    id: str
    name: str
    roles: frozenset[str]
    calendar: Calendar

    def can(self, role: str) -> bool:
        """Whether the person takes this role."""
        return role == ANYONE or role in self.roles


@dataclass(frozen=True)
class Works:
    """All tasks and people of a schedule, checked: the problem to be solved."""

    tasks: tuple[Task, ...]
    people: tuple[Person, ...]
    calendar: Calendar
    day_dose: float
    """Most vibration dose of a person and day."""

    @cached_property
    def at(self) -> dict[str, int]:
        """Place of each task by its id."""
        return {task.id: i for i, task in enumerate(self.tasks)}

    @cached_property
    def before(self) -> list[list[tuple[int, After]]]:
        """For each task the tasks it waits for."""
        return [[(self.at[after.task], after) for after in task.after] for task in self.tasks]

    @cached_property
    def behind(self) -> list[list[tuple[int, After]]]:
        """For each task the tasks that wait for it."""
        found: list[list[tuple[int, After]]] = [[] for _ in self.tasks]
        for i, waits in enumerate(self.before):
            for j, after in waits:
                found[j].append((i, after))
        return found

    @cached_property
    def teams(self) -> list[tuple[tuple[int, ...], ...]]:
        """For each task the sets of people who can do it together."""
        known: dict[tuple[str, ...], tuple[tuple[int, ...], ...]] = {}
        for task in self.tasks:
            if task.needs not in known:
                known[task.needs] = teams_of(task, self.people)
        return [known[task.needs] for task in self.tasks]

    @cached_property
    def topological(self) -> tuple[int, ...]:
        """All tasks, each after those it waits for. Raises FinishplanError where they wait in a ring."""
        waits = [len(before) for before in self.before]
        ready = [i for i, n in enumerate(waits) if n == 0]
        order = []
        while ready:
            i = ready.pop()
            order.append(i)
            for j, _ in self.behind[i]:
                waits[j] -= 1
                if waits[j] == 0:
                    ready.append(j)
        if len(order) < len(self.tasks):
            stuck = next(i for i, n in enumerate(waits) if n > 0)
            raise FinishplanError(f"task {self.tasks[stuck].what!r} waits for itself by way of others; break the ring")
        return tuple(order)


def teams_of(task: Task, people: Sequence[Person]) -> tuple[tuple[int, ...], ...]:
    """Return the sets of different people who can do a task together.

    Raises FinishplanError where nobody, or too few, can.
    """
    able = [[p for p, person in enumerate(people) if person.can(role)] for role in task.needs]
    for role, who in zip(task.needs, able, strict=True):
        if not who:
            raise FinishplanError(
                f"nobody in the shop is a {role}, and {task.what!r} of {task.job!r} needs one; "
                f"add a person of that role, or give the panel to someone else"
            )
    picks = (tuple(sorted(set(pick))) for pick in product(*able) if len(set(pick)) == len(pick))
    found: dict[tuple[int, ...], None] = {}
    for pick in islice(picks, MOST_PICKS):
        found[pick] = None
        if len(found) >= MOST_TEAMS:
            break
    if not found:
        raise FinishplanError(
            f"{task.what!r} of {task.job!r} takes {len(task.needs)} people together and the shop has "
            f"{len(people)}; add people, or bring in helpers"
        )
    return tuple(found)


def check_works(works: Works) -> Works:
    """Return ``works`` after refusing twins, unknown tasks, rings, and what no day is long enough for."""
    if len(works.at) < len(works.tasks):
        raise FinishplanError("two tasks share an id; give each its own")
    for task in works.tasks:
        for after in task.after:
            if after.task not in works.at:
                raise UnknownName("task", after.task, works.at, f"task {task.what!r}")
        if task.minutes < 0:
            raise BadValue("minutes", task.minutes, "give 0 or more", f"task {task.what!r}")
        longest = works.calendar.longest_day()
        if task.in_one_day and task.minutes > longest:
            raise BadValue("minutes", task.minutes,
                           f"it must be done in one day and the longest day has {longest} min; divide it",
                           f"task {task.what!r} of {task.job!r}")
        if task.dose_per_min > works.day_dose:
            raise FinishplanError(
                f"task {task.what!r} of {task.job!r}: not one minute a day of this tool stays under the shop's "
                "vibration cap; take another tool, or raise the cap"
            )
    _ = works.topological, works.teams
    return works
