"""Holds a schedule against every rule, minute by minute, without a line of the code that made it."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime, timedelta

from finishplan.office.schedule_model import Person, Works
from finishplan.office.schedule_place import Placed

DAY = 1440


def open_at(person: Person, minute: int) -> bool:
    day = person.calendar.first_day + timedelta(days=minute // DAY)
    if day in person.calendar.off:
        return False
    return any(begin <= minute % DAY < end for begin, end in person.calendar.week[day.weekday()])


def minutes_of(placed: Placed) -> list[int]:
    return [minute for begin, end in placed.spans for minute in range(begin, end)]


def broken_rules(works: Works, placed: list[Placed] | tuple[Placed, ...]) -> list[str]:
    """Return every rule that a schedule breaks, in words."""
    found: list[str] = []
    busy: dict[tuple[str, object], dict[int, str]] = defaultdict(dict)
    dose: dict[tuple[int, int], float] = defaultdict(float)
    for task, one in zip(works.tasks, placed, strict=True):
        minutes = minutes_of(one)
        if len(minutes) != task.minutes:
            found.append(f"{task.id}: {len(minutes)} minutes instead of {task.minutes}")
        if len(set(one.team)) != len(task.needs):
            found.append(f"{task.id}: {one.team} for {task.needs}")
        if not can_share(works, one.team, task.needs):
            found.append(f"{task.id}: the team lacks a role of {task.needs}")
        for p in one.team:
            if not all(open_at(works.people[p], minute) for minute in minutes):
                found.append(f"{task.id}: outside the hours of {works.people[p].id}")
        for kind, name in [("person", p) for p in one.team] + ([("tool", task.tool)] if task.tool else []):
            for minute in minutes:
                if minute in busy[kind, name]:
                    found.append(f"{kind} {name} at {minute}: {busy[kind, name][minute]} and {task.id}")
                busy[kind, name][minute] = task.id
        for minute in minutes if task.dose else []:
            for p in one.team:
                dose[p, minute // DAY] += task.dose / task.minutes
        if task.in_one_day and minutes and minutes[0] // DAY != minutes[-1] // DAY:
            found.append(f"{task.id}: an appointment over two days")
        if one.start < task.not_before:
            found.append(f"{task.id}: before it may begin")
        if not task.dose and minutes and interrupted(works, one, minutes):
            found.append(f"{task.id}: interrupted although its people are there")
        for after in task.after:
            found += wait_broken(works, placed, task.id, one.start, after.task, after.hours, after.overnight)
    found += [f"person {p}, day {day}: dose {d:.1f}" for (p, day), d in dose.items() if d > works.day_dose + 1e-6]
    return found


def can_share(works: Works, team: tuple[int, ...], needs: tuple[str, ...]) -> bool:
    """Whether the people can be given the roles, one each."""
    if not needs:
        return True
    return any(
        works.people[p].can(needs[0]) and can_share(works, tuple(q for q in team if q != p), needs[1:]) for p in team)


def interrupted(works: Works, one: Placed, minutes: list[int]) -> bool:
    """Whether a working minute of the whole team lies between the task's first and last minute, unused."""
    used = set(minutes)
    return any(
        minute not in used and any(open_at(works.people[p], minute) for p in one.team)
        for minute in range(minutes[0], minutes[-1]))


def wait_broken(
    works: Works, placed: list[Placed] | tuple[Placed, ...], name: str, start: int, other: str, hours: float,
    overnight: bool,
) -> list[str]:
    end = placed[[task.id for task in works.tasks].index(other)].end
    if start < end + hours * 60 - 0.5:
        return [f"{name}: begins {start}, {hours} h after {other} is {end + hours * 60}"]
    zero = datetime(2026, 1, 1)
    last_day = (zero + timedelta(minutes=end) - timedelta(seconds=1)).date()
    if overnight and end > 0 and (zero + timedelta(minutes=start)).date() <= last_day:
        return [f"{name}: on the same day as {other}"]
    return []
