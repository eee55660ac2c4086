"""The scheduler on the 6 x 6 job shop of Fisher and Thompson (1963), whose least makespan is known to be 55.

Source: Muth and Thompson (ed.), Industrial Scheduling, 1963, as every collection of job-shop instances
prints it (there ft06 or mt06); optimum 55. Machines are people here, and a unit of time is one day.
"""

from __future__ import annotations

from datetime import date
from itertools import pairwise
from random import Random

import pytest

from finishplan.office.schedule_model import After, Person, Task, Works, check_works
from finishplan.office.schedule_search import Found, Search
from finishplan.office.working_time import Calendar

UNIT = 1440
ROUND_THE_CLOCK = tuple(((0, UNIT),) for _ in range(7))
OPTIMUM = 55
FT06 = (
    ((2, 1), (0, 3), (1, 6), (3, 7), (5, 3), (4, 6)),
    ((1, 8), (2, 5), (4, 10), (5, 10), (0, 10), (3, 4)),
    ((2, 5), (3, 4), (5, 8), (0, 9), (1, 1), (4, 7)),
    ((1, 5), (0, 5), (2, 5), (3, 3), (4, 8), (5, 9)),
    ((2, 9), (1, 3), (4, 5), (5, 4), (0, 3), (3, 1)),
    ((1, 3), (3, 3), (5, 9), (0, 10), (4, 4), (2, 1)),
)


def works() -> Works:
    calendar = Calendar(date(2026, 1, 5), ROUND_THE_CLOCK)
    tasks = tuple(
        Task(f"{j}.{k}", f"job {j}", f"{j}.{k}", minutes * UNIT, (f"machine {machine}",),
             (After(f"{j}.{k - 1}"),) if k else ())
        for j, row in enumerate(FT06) for k, (machine, minutes) in enumerate(row)
    )
    people = tuple(Person(f"{m}", f"{m}", frozenset({f"machine {m}"}), calendar) for m in range(6))
    return check_works(Works(tasks, people, calendar, 1e9))


@pytest.fixture(scope="module")
def found() -> Found:
    return Search(works(), {}, Random(0)).go(tries=1500)


def test_the_known_optimum_is_found(found: Found) -> None:
    assert found.score.last == OPTIMUM * UNIT


def test_the_bound_is_no_higher_than_the_optimum_and_no_lower_than_the_longest_job(found: Found) -> None:
    longest = max(sum(minutes for _, minutes in row) for row in FT06)
    assert longest * UNIT <= found.bound <= OPTIMUM * UNIT


def test_no_machine_does_two_things_and_every_job_keeps_its_order(found: Found) -> None:
    placed = dict(zip([task.id for task in works().tasks], found.placed, strict=True))
    for machine in range(6):
        mine = sorted((placed[f"{j}.{k}"].start, placed[f"{j}.{k}"].end)
                      for j, row in enumerate(FT06) for k, (m, _) in enumerate(row) if m == machine)
        assert all(end <= start for (_, end), (start, _) in pairwise(mine))
    for j in range(6):
        assert all(placed[f"{j}.{k}"].end <= placed[f"{j}.{k + 1}"].start for k in range(5))
