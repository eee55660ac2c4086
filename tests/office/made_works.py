"""Small scheduling problems, drawn at random, and an exhaustive answer to the smallest."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import product

from hypothesis import strategies as st

from finishplan.office.schedule_model import After, Person, Task, Works, check_works
from finishplan.office.working_time import Calendar, read_week

FIRST = date(2026, 3, 2)
HOURS = {"mon": (("08:00", "10:00"), ("11:00", "12:00")), "tue": (("08:00", "11:00"),), "wed": (("09:00", "10:00"),),
         "thu": (("08:00", "12:00"),)}
ROLES = ("finisher", "trainee")


def calendar(off: frozenset[date] = frozenset()) -> Calendar:
    return Calendar(FIRST, read_week(HOURS), off)


@st.composite
def works(draw: st.DrawFn, most: int = 10, unit: int = 7, jobs: int = 2, plain: bool = False) -> Works:
    """Tasks with waits, people, a tool, appointments and vibration; ``plain`` leaves out vibration."""
    common = calendar()
    away = calendar(frozenset({date(2026, 3, draw(st.integers(3, 12)))}))
    people = [Person("A", "A", frozenset({"finisher"}), common)]
    for k in range(draw(st.integers(0, 2))):
        hours = common if plain else draw(st.sampled_from((common, away)))
        people.append(Person(f"P{k}", f"P{k}", frozenset({draw(st.sampled_from(ROLES))}), hours))
    held = {role for person in people for role in person.roles}
    tasks: list[Task] = []
    for k in range(draw(st.integers(1, most))):
        pair = len(people) > 1 and draw(st.integers(0, 4)) == 0
        minutes = draw(st.integers(0, 180 // unit if plain else 12)) * unit
        dose = 0.0 if plain or pair or draw(st.integers(0, 3)) else float(minutes * draw(st.integers(1, 3)))
        earlier = [task for task in tasks if draw(st.integers(0, 3)) == 0]
        waits = tuple(After(t.id, draw(st.sampled_from((0.0, 0.0, 0.0, 5.0, 24.0))), draw(st.integers(0, 5)) == 0)
                      for t in earlier)
        tasks.append(Task(
            f"t{k}", f"j{draw(st.integers(0, jobs - 1))}", f"task {k}", minutes,
            ("finisher", "anyone") if pair else (draw(st.sampled_from(sorted(held))),), waits,
            not_before=draw(st.sampled_from((0, 0, 0, 1980))), dose=dose,
            tool="wheel" if draw(st.integers(0, 4)) == 0 else "", in_one_day=pair))
    return check_works(Works(tuple(tasks), tuple(people), common, 150.0))


def one_more(of: Works, role: str) -> Works:
    """The same works with one more person of a role."""
    extra = Person("extra", "extra", frozenset({role}), of.calendar)
    return replace(of, people=(*of.people, extra))


def least_end(of: Works, slots: int) -> int:
    """The earliest end of all tasks, by trying every start in working hours: for a few tasks of whole hours.

    Everybody works the same hours, time goes in hours, and nothing vibrates.
    """
    hours = [m for m in range(0, 40 * 1440, 60) if is_open(of.calendar, m)][:slots]
    order = of.topological
    best = [10**9]

    def place(at: int, taken: frozenset[tuple[object, int]], ends: dict[str, int]) -> None:
        last = max(ends.values(), default=0)
        if last >= best[0]:
            return
        if at == len(order):
            best[0] = last
            return
        task = of.tasks[order[at]]
        begin = max([task.not_before, *(wait.earliest(ends[wait.task]) for wait in task.after)])
        if task.minutes == 0:
            place(at + 1, taken, ends | {task.id: begin})
            return
        teams = {tuple(sorted(pick)) for pick in product(range(len(of.people)), repeat=len(task.needs))
                 if len(set(pick)) == len(pick)
                 and all(of.people[p].can(role) for p, role in zip(pick, task.needs, strict=True))}
        for first in range(len(hours)):
            used = hours[first:first + task.minutes // 60]
            if hours[first] < begin or len(used) < task.minutes // 60:
                continue
            if task.in_one_day and used[0] // 1440 != used[-1] // 1440:
                continue
            end = used[-1] + 60
            for team in teams:
                mine = {(p, m) for p in team for m in used} | ({(task.tool, m) for m in used} if task.tool else set())
                if not mine & taken:
                    place(at + 1, taken | mine, ends | {task.id: end})

    place(0, frozenset(), {})
    return best[0]


def is_open(of: Calendar, minute: int) -> bool:
    of.lay_out(minute)
    return any(a <= minute < b for a, b in zip(of.starts, of.ends, strict=True))
