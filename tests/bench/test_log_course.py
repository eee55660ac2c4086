"""The bench order, what comes next, stops and waits."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from typing import Any

import pytest
from bench_jobs import DULL, NAMES, NICK, PEEL, SCRATCH, answer, demo, panel, worked, zone
from bench_logs import NINE, Book, at, course, do, until

from finishplan.bench.checks import holds_of
from finishplan.bench.course import ORDERS, WHATS, Course, course_of, least_um
from finishplan.bench.log_lines import HOLDS
from finishplan.bench.new_line import CannotSign, check_line, task_words
from finishplan.bench.progress import progress
from finishplan.bench.replan import replan
from finishplan.errors import UnknownName

EDGE = {"name": "edge", "kind": "edge", "area_m2": 0.05,
        "readings": [{"um": um} for um in (262, 258, 265, 261)], "defects": []}


def every_course() -> list[tuple[Any, Course]]:
    answers = [demo(), worked(NAMES[0]), worked(NAMES[-1])]
    answers += [answer(panel(zone(PEEL, NICK), EDGE), panel(zone(DULL), name="other")),
                answer(panel(zone(PEEL), target={"finish": "satin", "last_sheet": "P1000"}))]
    return [(found, course(found, order)) for found in answers for order in ORDERS]


def test_every_piece_of_work_stands_on_the_course_once() -> None:
    for found, made in every_course():
        assert max(Counter(task.key for task in made.tasks).values()) == 1
        assert {task.what for task in made.tasks} <= set(WHATS)
        for planned in found.plan.panels:
            ready = planned.all_go and planned.steps
            steps = [task.step for task in made.tasks if task.what == "step" and task.panel == planned.name]
            assert steps == (list(planned.sequence) if ready else [])
            holds = [t.hold.key for t in made.tasks if t.hold is not None and t.panel == planned.name]
            assert sorted(holds) == sorted(h.key for h in holds_of(found.job, planned) if ready)
            repairs = [t for t in made.tasks if t.what == "repair" and t.panel == planned.name]
            local = [d for z in planned.zones for d in z.defects if d.repair in ("fill", "spot")]
            assert len(repairs) == (len(local) if ready else 0)


def test_every_hold_point_has_a_name_in_the_log() -> None:
    keys = {hold.key for found, _ in every_course() for plan in found.plan.panels for hold in holds_of(found.job, plan)}
    assert keys == set(HOLDS)


def test_by_grade_all_sheets_come_before_the_wash_and_all_compounds_after() -> None:
    made = course(demo())
    order = [task.step for task in made.tasks if task.what == "step"]
    ranks = [list(demo().plan.set_up_steps).index(step) for step in order]
    assert ranks == sorted(ranks)
    wash = next(k for k, task in enumerate(made.tasks) if task.what == "wash")
    sheets = {s.step for p in demo().plan.panels for s in p.steps if s.is_sheet}
    assert all((k < wash) == (task.step in sheets) for k, task in enumerate(made.tasks) if task.what == "step")
    fills = [k for k, task in enumerate(made.tasks) if task.what in ("pour", "repair")]
    assert max(fills) < min(k for k, task in enumerate(made.tasks) if task.what == "step")
    assert next(task.what for task in made.tasks if task.what in ("pour", "repair")) == "pour"


def test_by_panel_a_panel_is_done_before_the_next_but_for_the_cold_look() -> None:
    made = course(demo(), "by panel")
    work = [task.panel for task in made.tasks if task.what in ("step", "repair", "wash")]
    assert work == sorted(work, key=list(dict.fromkeys(work)).index)
    first_end = next(k for k, task in enumerate(made.tasks) if task.key.endswith("|end"))
    assert all(task.what in ("check", "hold") for task in made.tasks[first_end:])


def test_what_comes_after_what_on_one_panel() -> None:
    found = answer(panel(zone(PEEL, NICK)))
    names = found.plan.panels[0].sequence
    sheets = [s.step for s in found.plan.panels[0].steps if s.is_sheet]
    for order in ORDERS:
        keys = [task.key.replace("|part", "").replace("|field", "") for task in course(found, order).tasks]
        assert keys == [
            "hold|cleaned", "hold|test spot", "check|before", "pour|1", "repair|1", f"step|{names[0]}",
            "check|levelled", "hold|levelled", *(f"step|{name}" for name in sheets[1:]),
            "wash|" if order == "by grade" else "wash", "hold|before compound",
            *(f"step|{name}" for name in names[len(sheets):]), "check|end", "hold|cold"]


def test_compounds_alone_need_no_wash_down() -> None:
    assert "wash" not in {task.what for task in course(answer(panel(zone(DULL)))).tasks}


def test_a_panel_that_is_not_go_is_held_back() -> None:
    made = course(demo())
    assert [(h.panel, h.verdicts[0][1]) for h in made.held_back] == [
        ("rim, bass side", "measure first"), ("key slip", "not enough film"), ("arm, treble", "refer")]
    assert not {task.panel for task in made.tasks} & {h.panel for h in made.held_back}


def test_an_order_that_is_none_is_told() -> None:
    with pytest.raises(UnknownName, match="order is 'by colour'; choose one of: by grade, by panel"):
        course(demo(), "by colour")


@pytest.mark.parametrize("order", ORDERS)
def test_the_demo_can_be_walked_to_its_end(order: str) -> None:
    found, book = demo(), Book()
    made = course(found, order)
    for task in made.tasks:
        here = progress(made, book.lines)
        assert here.next == task
        before = {t.key for t in made.tasks if t.key in here.done}
        zones = {z.name: z for p in found.plan.panels if p.name == task.panel for z in p.zones}
        least = task.check.least_um if task.check else 0
        do(book, task, least + 5.0 if task.check else 0.0)
        assert zones or not task.panel
        assert {t.key for t in made.tasks if t.key in progress(made, book.lines).done} == before | {task.key}
    end = progress(made, book.lines)
    assert end.finished
    assert end.next is None
    assert end.stops == ()


def test_a_check_wants_as_many_readings_as_the_policy() -> None:
    found, book = answer(panel(zone(PEEL))), Book()
    task = until(found, book, "check")
    assert task.readings == 3
    for spot in (1, 2):
        book.read(398.0, spot)
        assert at(found, book).next == task
    book.read(398.0, 3)
    assert at(found, book).next != task


def test_readings_before_more_minutes_do_not_settle_a_check() -> None:
    found, book = answer(panel(zone(PEEL))), Book()
    step = until(found, book, "step").step
    for spot in (1, 2, 3):
        book.read(390.0, spot, step)
    book.minutes(step, 4.0)
    book.done(step)
    here = at(found, book).next
    assert here is not None
    assert here.key == "check|part|field|levelled"


def test_a_reading_under_its_least_stops_with_two_ways_on() -> None:
    found, book = answer(panel(zone(PEEL))), Book()
    step = until(found, book, "step").step
    book.done(step)
    least = least_um(found.plan.panels[0], "field", step)
    assert least is not None
    low = book.read(least - 1.0, 1, step)
    here = at(found, book)
    (stop,) = here.stops
    assert here.next is None
    assert (stop.panel, stop.zone, stop.step, stop.line, stop.least_um) == ("part", "field", step, low.number, least)
    assert [key for key, _ in stop.ways] == ["read twice", "replan"]
    assert stop.why.startswith(f"part, field: {least - 1} um after {step}, and LEAST is {least}.")
    assert not stop.settled


def test_just_at_the_least_is_enough() -> None:
    found, book = answer(panel(zone(PEEL))), Book()
    least = least_um(found.plan.panels[0], "field", "")
    assert least is not None
    book.read(float(least), 1)
    assert at(found, book).stops == ()
    book.read(least - 0.01, 2)
    assert len(at(found, book).stops) == 1


@pytest.mark.parametrize(("beside", "stops", "odd", "ways"), [
    ((), 1, 0, 2), ((+5,), 1, 0, 2), ((+5, +5), 0, 1, 0), ((+5, -5), 1, 0, 1), ((-5, -5), 1, 0, 1)])
def test_two_readings_beside_a_low_one_settle_it(beside: tuple[int, ...], stops: int, odd: int, ways: int) -> None:
    found, book = answer(panel(zone(PEEL))), Book()
    least = least_um(found.plan.panels[0], "field", "")
    assert least is not None
    low = book.read(least - 10.0, 1)
    for off in beside:
        book.read(float(least + off), values={"beside": low.number})
    here = at(found, book)
    assert (len(here.stops), len(here.odd)) == (stops, odd)
    if here.stops:
        assert len(here.stops[0].ways) == ways
        assert here.stops[0].settled == (ways == 1)
    if len(beside) == 2 and stops:
        assert "It repeats." in here.stops[0].why


def test_readings_elsewhere_do_not_lift_a_stop() -> None:
    found, book = answer(panel(zone(PEEL))), Book()
    least = least_um(found.plan.panels[0], "field", "")
    assert least is not None
    book.read(least - 10.0, 1)
    for spot in (2, 3, 4):
        book.read(least + 50.0, spot)
    assert len(at(found, book).stops) == 1


def test_a_low_reading_set_aside_stops_nothing_and_settles_nothing() -> None:
    found, book = answer(panel(zone(PEEL))), Book()
    task = until(found, book, "check")
    for spot in (1, 2, 3):
        book.read(50.0, spot)
    for number in [line.number for line in book.lines if line.kind == "reading"]:
        book.add("set aside", values={"line": number, "reason": "probe not pressed on"})
    here = at(found, book)
    assert here.stops == ()
    assert here.next == task


def test_a_stop_ends_with_a_new_plan() -> None:
    found, book = answer(panel(zone(PEEL))), Book()
    until(found, book, "check")
    for spot, um in enumerate((290.0, 292.0, 295.0, 291.0, 289.0), start=1):
        book.read(um, spot)
    for stop in at(found, book).stops:
        assert stop.panel == "part"
    then = replan(found.job, found.profile, found.plan, book.lines)
    book.add("replan", values={"why": "thinner than read", "role": "finisher"})
    here = progress(course_of(then.job, found.profile, then.plan), book.lines)
    assert here.stops == ()
    assert {"hold|part|cleaned", "hold|part|test spot", "check|part|field|before"} <= here.done
    assert here.next is not None
    assert here.next.what == "step"


def test_readings_the_new_plan_was_made_from_count_only_at_or_over_its_least() -> None:
    found, book = answer(panel(zone(PEEL))), Book()
    least = least_um(found.plan.panels[0], "field", "")
    for spot in (1, 2, 3):
        book.read(float(least or 0) - 1.0, spot)
    book.add("replan", values={"why": "kept as it is", "role": "finisher"})
    assert "check|part|field|before" not in at(found, book).done


def test_a_fill_keeps_its_panel_waiting_and_no_other() -> None:
    found = answer(panel(zone(PEEL, NICK)), panel(zone(PEEL), name="other"))
    book = Book()
    pour = until(found, book, "pour")
    poured = book.add("poured", panel=pour.panel, zone=pour.zones[0], values={"defect": pour.defect})
    here = at(found, book, NINE + timedelta(hours=1))
    assert [w.task.what for w in here.waiting] == ["repair", "step"]
    assert here.waiting[0].not_before == poured.at + timedelta(hours=24)
    assert here.waiting[1].not_before == poured.at + timedelta(hours=72)
    assert here.next is not None
    assert here.next.panel == "other"
    later = at(found, book, NINE + timedelta(hours=24))
    assert later.next is not None
    assert (later.next.what, later.next.panel) == ("repair", "part")
    do(book, later.next)
    still = at(found, book, NINE + timedelta(hours=71))
    assert still.next is not None
    assert still.next.panel == "other"
    assert at(found, book, NINE + timedelta(hours=73)).next.key.startswith("step|part|")  # type: ignore[union-attr]


def test_a_cold_room_cures_longer() -> None:
    found = answer(panel(zone(NICK, PEEL)), site={"temperature_c": 10.0})
    waits = {task.what: task.wait_h for task in course(found).tasks if task.waits_for}
    assert waits == {"repair": 48.0, "step": 144.0}


def test_the_whole_jobs_wash_down_waits_for_every_panel() -> None:
    found = answer(panel(zone(PEEL, NICK)), panel(zone(PEEL), name="other"))
    book = Book()
    for _ in range(60):
        here = at(found, book, NINE + timedelta(hours=1), "by grade")
        if here.next is None:
            break
        do(book, here.next)
    assert not any(line.kind == "wash-down" for line in book.lines)
    assert {task.panel for task in here.course.tasks if task.key not in here.done} == {"part", "other", ""}


def test_a_trainees_signature_signs_nothing() -> None:
    found, book = answer(panel(zone(PEEL))), Book()
    line = book.sign("cleaned", role="trainee", who="T1")
    assert "hold|part|cleaned" not in at(found, book).done
    book.lines.pop()
    with pytest.raises(CannotSign, match="T1 is a trainee, and a trainee signs no hold point; ask a finisher to sign"):
        check_line(at(found, book), line)


def test_every_task_has_words() -> None:
    for _, made in every_course():
        assert all(task_words(task) for task in made.tasks)
    found = answer(panel(zone({**SCRATCH, "depth_um": 20.0}, DULL, area_m2=1.5)))
    words = [task_words(task) for task in course(found).tasks]
    assert "the spot of mark 0 in field is done" in words
