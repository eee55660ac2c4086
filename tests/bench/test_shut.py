"""Steps that a stop keeps shut: which, until who signed, and how long a signature holds."""

from __future__ import annotations

from dataclasses import replace

import pytest
from bench_jobs import SCRATCH, answer, demo, panel, zone

from finishplan import reference
from finishplan.bench.course import course_of
from finishplan.bench.shut import FILL_TRIGGERS, NO_WORK_HERE, Leg, shut_tasks, trigger_of, unsigned_stops
from finishplan.safety.sign_off import SignOff, ground_of


def signed(*ids: str, revision: int = 1) -> list[SignOff]:
    return [SignOff(name, "F1", "2031-05-12", "looked at it here", revision) for name in ids]


def test_every_trigger_named_here_is_one_of_the_table() -> None:
    keys = {row["trigger_key"] for row in reference.rows("cautions") if row["severity"] == "stop"}
    assert {*FILL_TRIGGERS, *NO_WORK_HERE, "wheel", "wet_and_mains"} <= keys


def test_holds_and_readings_are_never_shut_and_unsigned_work_is() -> None:
    found = demo()
    course = course_of(found.job, found.profile, found.plan)
    stops = unsigned_stops([Leg(1, found.cautions)], [])
    shut = shut_tasks(found, course, stops)
    assert {c.severity for c in stops} == {"stop"}
    assert {task.what for task in course.tasks if task.key in shut} == {"pour", "repair", "step", "wash"}
    assert {task.key for task in course.tasks if task.what in ("step", "pour")} <= set(shut)
    assert shut_tasks(found, course, unsigned_stops([Leg(1, found.cautions)], signed(*(c.id for c in stops)))) == {}


def test_resin_keeps_the_pour_shut_and_nothing_else() -> None:
    found = demo()
    course = course_of(found.job, found.profile, found.plan)
    peroxide = [c for c in found.cautions if trigger_of(c) == "peroxide" and c.severity == "stop"]
    assert [c.id for c in peroxide] == ["F3", "F4", "F5"]
    assert {course.task(key).what for key in shut_tasks(found, course, peroxide)} == {"pour"}


def test_a_stop_of_work_that_is_not_on_the_course_shuts_nothing() -> None:
    found = demo()
    course = course_of(found.job, found.profile, found.plan)
    refinish = [c for c in found.cautions if c.id == "F14"]
    assert len(refinish) == 1 and shut_tasks(found, course, refinish) == {}


def test_a_wheel_shuts_the_steps_on_the_wheel() -> None:
    found = answer(panel(zone(SCRATCH), name="part"),
                   panel(zone(SCRATCH), name="leg", compounds_by="wheel"))
    course = course_of(found.job, found.profile, found.plan)
    by_id = {c.id: c for c in found.cautions if c.severity == "stop"}
    shut = [course.task(key) for key in shut_tasks(found, course, [by_id["M1"]])]
    assert shut and {task.panel for task in shut} == {"leg"}
    assert all("compound" in task.step for task in shut)
    assert trigger_of(by_id["M1"]) == "wheel"


def test_a_signature_of_an_earlier_revision_does_not_count() -> None:
    found = demo()
    ids = {c.id for c in found.cautions if c.severity == "stop"}
    assert {c.id for c in unsigned_stops([Leg(4, found.cautions)], signed(*ids, revision=3))} == ids
    assert unsigned_stops([Leg(4, found.cautions)], signed(*ids, revision=5)) == ()


def test_before_work_begins_a_signature_holds_on_the_ground_it_was_given_on() -> None:
    """As the Safety page has it: an edit elsewhere asks for nothing anew, other ground does."""
    found = demo()
    stops = [c for c in found.cautions if c.severity == "stop"]
    given = [replace(one, ground=ground_of(c)) for one, c in zip(signed(*(c.id for c in stops)), stops, strict=True)]
    assert unsigned_stops([Leg(4, found.cautions)], given) == ()
    other = tuple(replace(c, text="something else") if c.id == "L1" else c for c in found.cautions)
    assert [c.id for c in unsigned_stops([Leg(4, other)], given)] == ["L1"]


def test_over_a_new_plan_a_stop_stays_signed_where_it_says_the_same() -> None:
    found = demo()
    ids = [c.id for c in found.cautions if c.severity == "stop"]
    first = Leg(1, found.cautions)
    assert unsigned_stops([first, Leg(3, found.cautions)], signed(*ids)) == ()
    other = tuple(replace(c, text="something else") if c.id == "L1" else c for c in found.cautions)
    assert [c.id for c in unsigned_stops([first, Leg(3, other)], signed(*ids))] == ["L1"]
    assert unsigned_stops([first, Leg(3, other)], [*signed(*ids), *signed("L1", revision=3)]) == ()
    assert [c.id for c in unsigned_stops([first, Leg(3, other), Leg(5, found.cautions)], signed(*ids))] == ["L1"]


@pytest.mark.parametrize("dropped", ["M1", "E1", "S3"])
def test_a_stop_that_came_back_is_signed_anew(dropped: str) -> None:
    found = demo()
    ids = [c.id for c in found.cautions if c.severity == "stop"]
    without = tuple(c for c in found.cautions if c.id != dropped)
    legs = [Leg(1, found.cautions), Leg(3, without), Leg(5, found.cautions)]
    assert [c.id for c in unsigned_stops(legs, signed(*ids))] == ([dropped] if dropped in ids else [])
