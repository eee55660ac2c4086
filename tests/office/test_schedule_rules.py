"""Schedules of random small shops: every rule kept, the bound below them, and the best found where all are tried."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_works import calendar, least_end, one_more, works
from schedule_checker import broken_rules

from finishplan.errors import BadValue, FinishplanError, UnknownName
from finishplan.office.schedule_bound import Bound
from finishplan.office.schedule_model import After, Person, Task, Works, check_works
from finishplan.office.schedule_place import place_all
from finishplan.office.schedule_search import Search

HORIZON = 30 * 1440


@settings(max_examples=150)
@given(works(), st.randoms(use_true_random=False))
def test_any_order_of_tasks_keeps_every_rule(of: Works, rng: Random) -> None:
    placed, _ = place_all(of, [rng.random() for _ in of.tasks], HORIZON)
    assert broken_rules(of, placed) == []


@settings(max_examples=60)
@given(works())
def test_no_schedule_is_done_before_the_bound(of: Works) -> None:
    found = Search(of, {}, Random(1)).go(tries=12)
    assert broken_rules(of, found.placed) == []
    assert found.bound <= found.score.last
    for seed in range(6):
        rng = Random(seed)
        other, _ = place_all(of, [rng.random() for _ in of.tasks], HORIZON)
        assert max(one.end for one in other) >= found.bound


@settings(max_examples=60)
@given(works(), st.sampled_from(("finisher", "trainee")))
def test_one_more_person_never_makes_the_bound_later(of: Works, role: str) -> None:
    placed, _ = place_all(of, [0.0] * len(of.tasks), HORIZON)
    known = max(one.end for one in placed)
    assert Bound(one_more(of, role), known).find(known) <= Bound(of, known).find(known)


@settings(max_examples=40)
@given(works(most=4, unit=60, jobs=1, plain=True))
def test_the_search_finds_what_trying_everything_finds(of: Works) -> None:
    best = least_end(of, slots=26)
    found = Search(of, {}, Random(3)).go(tries=150)
    assert found.bound <= best
    assert found.score.last == best


def test_a_due_job_goes_first_and_lateness_is_counted() -> None:
    person = Person("A", "A", frozenset({"finisher"}), calendar())
    tasks = tuple(Task(f"{job}{k}", job, f"{job}{k}", 60, ("finisher",), (After(f"{job}{k - 1}"),) if k else ())
                  for job in ("late", "soon") for k in range(3))
    of = check_works(Works(tasks, (person,), person.calendar, 1e9))
    found = Search(of, {"soon": 1440}, Random(1)).go(tries=30)
    ready = Search(of, {}, Random(1)).ready(list(found.placed))
    assert ready["soon"] == 12 * 60
    assert found.score.late_min == 0
    tight = Search(of, {"soon": 600, "late": 720}, Random(1)).go(tries=30)
    assert tight.score.late_min > 0


def test_the_same_seed_gives_the_same_schedule_and_progress_is_told() -> None:
    person = Person("A", "A", frozenset({"finisher"}), calendar())
    tasks = tuple(Task(f"{job}{k}", f"job {job}", f"{k}", 45, ("finisher",)) for job in range(3) for k in range(3))
    of = check_works(Works(tasks, (person,), person.calendar, 1e9))
    seen: list[tuple[int, int]] = []
    first = Search(of, {}, Random(7)).go(tries=40, progress=lambda done, all_: seen.append((done, all_)))
    again = Search(of, {}, Random(7)).go(tries=40)
    assert first.placed == again.placed
    assert seen == [(k, 40) for k in range(2, 41)]


def test_a_search_stops_when_told_and_keeps_what_it_has() -> None:
    person = Person("A", "A", frozenset({"finisher"}), calendar())
    tasks = tuple(Task(f"{job}", f"job {job}", "work", 45, ("finisher",)) for job in range(4))
    of = check_works(Works(tasks, (person,), person.calendar, 1e9))
    found = Search(of, {}, Random(7)).go(tries=500, stop=lambda: True)
    assert (found.tries, found.stopped) == (2, True)
    assert broken_rules(of, found.placed) == []


def test_vibration_rests_until_the_next_day_while_other_work_goes_on() -> None:
    person = Person("A", "A", frozenset({"finisher"}), calendar())
    tasks = (Task("sand", "j", "sand", 100, ("finisher",), dose=1000.0), Task("write", "j", "write", 60, ("finisher",)))
    of = check_works(Works(tasks, (person,), person.calendar, 600.0))
    placed, _ = place_all(of, [0.0, 1.0], HORIZON)
    assert placed[0].spans == ((480, 540), (1920, 1960))
    assert placed[1].spans == ((540, 600),)
    assert Bound(of, placed[0].end).find(placed[0].end) == placed[0].end


TASK = Task("a", "j", "cut", 60, ("finisher",))
WAITS = Task("a", "j", "cut", 60, ("finisher",), (After("b"),))


@pytest.mark.parametrize(("tasks", "kind", "text"), [
    ((TASK, TASK), FinishplanError, "two tasks share an id; give each its own"),
    ((WAITS,), UnknownName, "task 'cut': task is 'b'; choose one of: a"),
    ((WAITS, Task("b", "j", "fill", 60, ("finisher",), (After("a"),))),
     FinishplanError, "task 'cut' waits for itself by way of others; break the ring"),
    ((Task("a", "j", "cut", -1, ("finisher",)),), BadValue, "task 'cut': minutes is -1; give 0 or more"),
    ((Task("a", "j", "cut", 60, ("welder",)),), FinishplanError,
     "nobody in the shop is a welder, and 'cut' of 'j' needs one"),
    ((Task("a", "j", "lift", 60, ("finisher", "anyone")),), FinishplanError,
     "'lift' of 'j' takes 2 people together and the shop has 1; add people, or bring in helpers"),
    ((Task("a", "j", "visit", 300, ("finisher",), in_one_day=True),), BadValue,
     "task 'visit' of 'j': minutes is 300; it must be done in one day and the longest day has 240 min; divide it"),
    ((Task("a", "j", "sand", 10, ("finisher",), dose=1e6),), FinishplanError,
     "not one minute a day of this tool stays under the shop's vibration cap"),
])
def test_works_that_cannot_be_done_are_named(tasks: tuple[Task, ...], kind: type[Exception], text: str) -> None:
    person = Person("A", "A", frozenset({"finisher"}), calendar())
    with pytest.raises(kind, match=text):
        check_works(Works(tasks, (person,), person.calendar, 600.0))
