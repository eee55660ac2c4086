"""What is refused, and what is asked, before a line goes into the log."""

from __future__ import annotations

from typing import Any

import pytest
from bench_jobs import NICK, PEEL, answer, demo, panel, zone
from bench_logs import NINE, Book, at, course, do, until

from finishplan.bench.log_lines import LogLine
from finishplan.bench.new_line import CannotSign, OutOfOrder, WorkStopped, check_line, questions
from finishplan.bench.progress import progress
from finishplan.errors import BadValue, UnknownName

EDGE = {"name": "edge", "kind": "edge", "area_m2": 0.05,
        "readings": [{"um": um} for um in (262, 258, 265, 261)], "defects": []}

# What is refused.


def refused(found: Any, book: Book, kind: str, order: str = "by panel", **changes: Any) -> str:
    line = book.add(kind, **changes)
    book.lines.pop()
    with pytest.raises((OutOfOrder, WorkStopped, BadValue, UnknownName, CannotSign)) as caught:
        check_line(at(found, book, NINE, order), line)
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_a_step_out_of_order_is_one_sentence() -> None:
    found, book = answer(panel(zone(PEEL))), Book()
    first, second = found.plan.panels[0].sequence[:2]
    assert refused(found, book, "step done", panel="part", step=first) == (
        "part: first a finisher signs the hold point 'cleaned'; log that, or replan")
    until(found, book, "step")
    assert refused(found, book, "step done", panel="part", step=second) == (
        f"part: first {first} is done; log that, or replan")
    book.done(first)
    assert refused(found, book, "step done", panel="part", step=second) == (
        f"part: first read the film in field after {first} (three readings); log that, or replan")


def test_work_under_a_stop_is_refused_and_other_panels_are_not_held_by_it() -> None:
    found = answer(panel(zone(PEEL)), panel(zone(PEEL), name="other"))
    book = Book()
    first = until(found, book, "step").step
    book.read(100.0, 9)
    assert refused(found, book, "step done", panel="part", step=first).startswith(
        "work on part is stopped: 100 um in field is under LEAST ")
    for task in course(found, "by panel").tasks:
        if task.panel == "other" and task.what != "step":
            do(book, task)
        elif task.panel == "other":
            break
    check_line(at(found, book), book.done(first, panel="other"))


def test_a_fill_that_has_not_cured_is_not_sanded() -> None:
    found, book = answer(panel(zone(PEEL, NICK))), Book()
    pour = until(found, book, "pour")
    do(book, pour)
    book.add("repair done", panel="part", zone="field", values={"defect": pour.defect, "repair": "fill"})
    first = found.plan.panels[0].sequence[0]
    said = refused(found, book, "step done", panel="part", step=first)
    assert said == "part: not before 15 May 09:00, the fill has to cure"


@pytest.mark.parametrize(("kind", "changes", "words"), [
    ("note", {"panel": "pert", "values": {"text": "a"}}, "panel is 'pert'; did you mean 'part'? choose one of: part"),
    ("reading", {"panel": "part", "zone": "feld", "values": {"um": 400.0}}, "zone is 'feld'; did you mean 'field'?"),
    ("minutes", {"panel": "part", "step": "P240", "values": {"minutes": 3.0}}, "panel 'part': step is 'P240'; "),
    ("reading", {"panel": "part", "zone": "edge", "step": "P800", "values": {"um": 250.0}},
     "panel 'part', zone 'edge': step is 'P800'; this zone does not take it"),
    ("repair done", {"panel": "part", "zone": "field", "values": {"defect": 9}}, "the zone has no entry at that place"),
    ("repair done", {"panel": "part", "zone": "field", "values": {"defect": 0}},
     "repair is 'fill'; the plan for this orange_peel is: sand"),
    ("set aside", {"values": {"line": 40, "reason": "x"}}, "set aside: line is 40; the log has no line of that number"),
    ("hold signed", {"panel": "part", "values": {"hold": "cold", "role": "finisher"}}, "part: first a finisher signs"),
    ("replan", {"values": {"why": "thin", "role": "trainee"}}, "a trainee signs no new plan"),
])
def test_lines_that_cannot_be(kind: str, changes: dict[str, Any], words: str) -> None:
    found = answer(panel(zone(PEEL), EDGE))
    assert found.plan.panels[0].sequence[0] == "P800"
    assert words in refused(found, Book(), kind, **changes)


def test_a_panel_held_back_takes_no_step() -> None:
    assert refused(demo(), Book(), "note", panel="lid", values={"text": "a"}).startswith("log line: panel is 'lid'")
    said = refused(demo(), Book(), "minutes", panel="key slip", step="P800", values={"minutes": 3.0})
    assert said == "panel 'key slip': step is 'P800'; nothing is done on this panel by the plan"


# What is asked.


def asked(found: Any, line: LogLine, book: Book | None = None) -> str:
    lines = list(book.lines) if book else []
    if line in lines:
        lines.remove(line)
    return " ".join(questions(progress(course(found), lines), line))


@pytest.mark.parametrize(("um", "words"), [
    (4120.0, "4120 um, and here it was about 400: did you mean 412?"),
    (41.0, "41 um, and here it was about 400: did you mean 410?"),
    (1500.0, "1500 um, and here it was about 400: is it the right place?"),
    (12.0, ""), (110.0, ""), (390.0, ""), (150.0, ""), (590.0, ""),
    (700.0, "700 um, and here it was about 400: is it the right place?"),
])
def test_a_slip_of_the_decimal_point_is_asked(um: float, words: str) -> None:
    assert asked(answer(panel(zone(PEEL))), Book().read(um, 1)) == words


def test_film_does_not_grow() -> None:
    found, book = answer(panel(zone(PEEL))), Book()
    step = found.plan.panels[0].sequence[0]
    book.done(step)
    assert asked(found, book.read(425.0, 1, step), book) == (
        "425 um at spot 1, and it was 402 there: film does not grow; is it the same spot, and clean?")
    assert asked(found, book.read(385.0, 1, step), book) == ""


def test_a_timer_left_running_is_asked() -> None:
    found, book = answer(panel(zone(PEEL))), Book()
    step = found.plan.panels[0].sequence[0]
    night = book.minutes(step, 900.0, clock="08:00", values={"started": "2031-05-11T17:00:00+02:00"})
    assert asked(found, night) == f"the timer of {step} on part ran over night (15 h): how many minutes were worked?"
    long = book.minutes(step, 300.0, clock="15:00", values={"started": "2031-05-12T10:00:00+02:00"})
    assert asked(found, long).startswith(f"5 h of {step} on part, planned were ")
    assert asked(found, long).endswith("is it so, or was the timer left running?")
    assert asked(found, book.minutes(step, 12.0)) == ""


def test_the_same_step_twice_is_told_and_counts_once() -> None:
    found, book = answer(panel(zone(PEEL))), Book()
    step = found.plan.panels[0].sequence[0]
    until(found, book, "step")
    book.done(step, clock="10:12")
    again = book.done(step, who="F2")
    assert asked(found, again, book) == f"F1 logged {step} on part as done at 10:12; it counts once: log it again?"
    assert at(found, book).zone("part", "field").done == (step,)


def test_signing_for_own_work_is_asked() -> None:
    found, book = answer(panel(zone(PEEL))), Book()
    step = found.plan.panels[0].sequence[0]
    book.minutes(step, 10.0, who="F1")
    assert asked(found, book.sign("levelled", who="F1"), book) == (
        "F1 worked on part: is another finisher there to look and sign?")
    assert asked(found, book.sign("levelled", who="F2"), book) == ""
