"""Cards of the bench: every task of every job has one, and it says what the sheet says, in words."""

from __future__ import annotations

import re
from dataclasses import asdict
from typing import Any

import pytest
from bench_jobs import NAMES, demo, worked
from bench_logs import Book, at, course, until
from test_log import ONE_OF_EACH, log_of

from finishplan.bench.course import least_um
from finishplan.bench.line_words import line_words
from finishplan.bench.log import read_log_dict
from finishplan.bench.log_lines import LINES
from finishplan.bench.sheet import sheets_of
from finishplan.bench.task_card import KINDS_OF_TASK, card_of, check_words, next_spots, read_so_far


def answers() -> list[Any]:
    return [*(worked(name) for name in NAMES), demo()]


@pytest.mark.parametrize("at_place", range(len(NAMES) + 1))
def test_every_task_has_a_card_in_words(at_place: int) -> None:
    found = answers()[at_place]
    line = course(found)
    for task in line.tasks:
        card = card_of(found, line, task)
        told = " ".join(str(value) for value in asdict(card).values())
        assert card.big and card.kind == KINDS_OF_TASK[task.what]
        assert card.how or card.lines or card.facts
        assert not re.search(r"\bnan\b|None|\{|_um", told.replace("'", "").replace("{name", "").replace("{how", "")
                             if not card.lines else card.big), told


def test_a_step_says_what_its_sheet_says() -> None:
    found = demo()
    line = course(found)
    sheet = next(s for s in sheets_of(found) if s.panel == "front lid flap")
    for row in sheet.rows:
        task = line.task(f"step|front lid flap|{row.step}")
        card = card_of(found, line, task)
        assert (card.big, card.how, card.done_when, card.stop_if) == (row.step, row.how, row.done_when, row.stop_if)
        assert dict(card.facts)["Direction"] == row.direction
        assert card.least == tuple((z, least_um(line.panel(task.panel), z, row.step)) for z in task.zones)


def test_a_fill_is_poured_on_one_card_and_cut_on_another() -> None:
    found = demo()
    line = course(found)
    pour = card_of(found, line, line.task("pour|main lid, top|field|1"))
    cut = card_of(found, line, line.task("repair|main lid, top|field|1"))
    assert [part.name for part in pour.lines] == ["prepare", "pour"]
    assert [part.name.split(",")[0] for part in cut.lines] == ["P600", "P1000", "P1500"]
    assert pour.big == cut.big == "Fill b" and "24 h after the pour" in cut.lines[0].name
    spot = card_of(found, line, line.task("repair|main lid, top|field|0"))
    assert spot.big == "Spot a" and dict(spot.facts)["Ring"] == "ring 90 mm round it"


def test_readings_go_to_the_spots_not_read_yet() -> None:
    found, book = demo(), Book(panel="main lid, top")
    task = until(found, book, "check")
    assert task.check is not None
    where = at(found, book)
    spots = [int(spot) for spot in task.check.spots]
    assert next_spots(task, where, 2) == spots[:2]
    book.read(400, spots[0])
    where = at(found, book)
    assert next_spots(task, where, 2) == spots[1:3]
    assert next_spots(task, where, len(spots)) == [*spots[1:], None]
    assert check_words(task, where) == f"1 of {task.readings} read: 400 um"
    assert [line.values.um for line in read_so_far(where, task.panel, task.zones[0], task.step)] == [400]


def test_every_kind_of_line_is_told_in_words() -> None:
    log = read_log_dict(log_of(*({"kind": kind, **line} for kind, line in ONE_OF_EACH.items())))
    told = {line.kind: line_words(line) for line in log.lines}
    assert set(told) == set(LINES)
    assert told["reading"] == "part, field: 412 um at spot 3 after P800"
    assert told["minutes"] == "part: 13 min of P800" or told["minutes"] == "part: 12 min of P800"
    assert told["replan"] == "new plan agreed: thin at spot 3"
    assert told["set aside"] == "line 1 set aside"
    assert told["work begun"] == "work begun by the plan of revision 3"
    assert all("None" not in words and "_" not in words for words in told.values())
