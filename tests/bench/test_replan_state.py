"""Where a zone stands by its log: which readings hold now, which step was last, what was said of a mark since."""

from __future__ import annotations

from typing import Any

import pytest
from bench_jobs import PEEL, answer, panel, zone
from bench_logs import NINE, Book, at, work_step

from finishplan import wording
from finishplan.bench.course import course_of
from finishplan.bench.progress import progress
from finishplan.bench.replan import replan
from finishplan.bench.zones_now import left_to_do


def found(**changes: Any) -> Any:
    return answer(panel(zone(PEEL, **changes)))


def field(made: Any, book: Book) -> Any:
    return replan(made.job, made.profile, made.plan, book.lines).job.panels[0].zones[0]


def test_a_reading_after_a_step_nobody_timed_says_that_it_was_begun() -> None:
    made, book = found(), Book()
    first = made.plan.panels[0].sequence[0]
    book.read(391.0, 1, first)
    state = at(made, book).zone("part", "field")
    assert (state.begun, state.done, [r.um for r in state.readings]) == (first, (), [391.0])
    assert field(made, book).previous_step == first


def test_such_a_reading_holds_when_the_step_is_then_said_to_be_done() -> None:
    made, book = found(), Book()
    first = made.plan.panels[0].sequence[0]
    book.read(391.0, 1, first)
    book.done(first)
    assert [r.um for r in at(made, book).zone("part", "field").readings] == [391.0]


def test_a_reading_before_the_first_stroke_that_is_logged_too_late_tells_nothing() -> None:
    made, book = found(), Book()
    first = made.plan.panels[0].sequence[0]
    book.read(401.0, 1)
    book.done(first)
    book.read(250.0, 1)
    state = at(made, book).zone("part", "field")
    assert [r.um for r in state.start if r.spot == 1] == [401.0]
    assert state.readings == ()


def test_a_reading_after_a_step_that_is_long_past_tells_nothing_of_now() -> None:
    made, book = found(), Book()
    first, second = made.plan.panels[0].sequence[:2]
    book.done(first)
    book.done(second)
    book.read(250.0, 1, first)
    assert at(made, book).zone("part", "field").readings == ()


def test_coarser_scratches_of_earlier_work_outlast_a_step_only_begun() -> None:
    made, book = found(previous_step="P600"), Book()
    first = made.plan.panels[0].sequence[0]
    assert first != "P600"
    book.minutes(first, 3.0)
    assert field(made, book).previous_step == "P600"
    book.done(first)
    assert field(made, book).previous_step == first


def test_what_was_said_of_a_mark_is_less_by_the_steps_since() -> None:
    made, book = found(), Book()
    first, second = made.plan.panels[0].sequence[:2]
    takes = made.plan.panels[0].steps[1].zones[0].removal_um
    work_step(book, made.job, made.plan, 0, first)
    book.add("defect seen", panel="part", zone="field",
             values={"defect": 0, "seen": "still there", "depth_um": takes + 3.0})
    assert field(made, book).defects[0].depth_um == takes + 3.0
    book.done(second)
    assert field(made, book).defects[0].depth_um == pytest.approx(3.0)
    book.add("defect seen", panel="part", zone="field", values={"defect": 0, "seen": "still there", "depth_um": 1.0})
    assert field(made, book).defects[0].depth_um == 1.0
    book.done(made.plan.panels[0].sequence[2])
    assert field(made, book).defects == ()


def test_sheets_taken_for_a_step_going_on_leave_its_readings() -> None:
    made, book = found(), Book()
    first = made.plan.panels[0].sequence[0]
    book.minutes(first, 4.0)
    book.read(390.0, 1, first)
    book.add("sheets", panel="part", step=first, values={"count": 2})
    assert [r.um for r in at(made, book).zone("part", "field").readings] == [390.0]


def test_readings_before_the_last_minutes_are_not_those_a_new_plan_starts_from() -> None:
    made, book = found(), Book()
    first = made.plan.panels[0].sequence[0]
    book.minutes(first, 4.0)
    for spot in (1, 2, 3):
        book.read(390.0, spot, first)
    fresh = replan(made.job, made.profile, made.plan, book.lines)
    agreed = {"values": {"why": "read", "role": "finisher"}}
    with_readings = Book([*book.lines])
    with_readings.add("replan", **agreed)
    made_again = course_of(fresh.job, made.profile, fresh.plan)
    assert "check|part|field|before" in progress(made_again, with_readings.lines, NINE).done
    book.minutes(first, 2.0)
    book.add("replan", **agreed)
    assert "check|part|field|before" not in progress(made_again, book.lines, NINE).done


def test_a_step_counts_as_left_while_one_zone_has_it_to_do() -> None:
    edge = {"name": "edge", "kind": "edge", "area_m2": 0.05,
            "readings": [{"um": um} for um in (262, 258, 265, 261)], "defects": []}
    made, book = answer(panel(zone(PEEL), edge)), Book()
    names = made.plan.panels[0].sequence
    for name in names[:-1]:
        book.done(name)
    book.done(names[-1], zone="edge")
    zones = [z for z in at(made, book).zones if z.panel == "part"]
    assert left_to_do(made.plan.panels[0], zones) == (names[-1],)
    book.done(names[-1], zone="field")
    assert left_to_do(made.plan.panels[0], list(at(made, book).zones)) == ()


def test_what_changes_is_said_in_film_and_in_readings() -> None:
    made, book = found(), Book()
    first = made.plan.panels[0].sequence[0]
    work_step(book, made.job, made.plan, 0, first)
    for line in [line for line in book.lines if line.kind == "reading"]:
        book.add("set aside", values={"line": line.number, "reason": "read again"})
    for spot, um in enumerate((402, 398, 405, 400, 395), start=1):
        book.read(um - 31.0, spot, first)
    book.add("defect seen", panel="part", zone="field", values={"defect": 0, "seen": "still there", "depth_um": 12.0})
    then = replan(made.job, made.profile, made.plan, book.lines)
    said = {change.what for change in then.changes}
    rest = made.plan.panels[0].zones[0].removal_um - made.plan.panels[0].steps[0].zones[0].removal_um
    now = then.plan.panels[0].zones[0]
    assert now.removal_um > rest + 1.0
    assert (f"{wording.removal_words(now.removal_um)} um still to be taken, by the old plan "
            f"{wording.removal_words(rest)}") in said
    assert f"the film is 369 um in the mean, by the old plan 385; we count on {int(now.film_low_um)}" in said
    assert all("P800 done; read 371, 367, 374, 369, 364 um (mean 369); that is -31 um" in c.why for c in then.changes)
