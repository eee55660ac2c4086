"""The bench log: only added to, each line once, set aside with a reason."""

from __future__ import annotations

import threading

import pytest
from store_examples import HOSTILE, at, job

from finishplan.errors import BadValue, FinishplanError
from finishplan.records.bench_log import lines, set_aside, write_line
from finishplan.records.faults import NoSuchDocument
from finishplan.records.store import Store


def test_lines_come_back_in_order_with_what_stood_then(store: Store) -> None:
    job_id = store.start(job(), "Ana", at()).id
    first = write_line(store, job_id, "reading", {"um": 372.5, "spot": 1}, "Ana", at(1), panel="lid", step="P1500")
    store.save(job_id, job("b"), 1, "Ana", at(2))
    second = write_line(store, job_id, "note", {}, "Ben", at(3))
    assert lines(store, job_id) == (first, second)
    assert (first.number, first.kind, first.panel, first.step) == (1, "reading", "lid", "P1500")
    assert (first.values, first.who, first.at, first.revision) == ({"um": 372.5, "spot": 1}, "Ana", at(1), 1)
    assert (second.number, second.revision, second.panel, second.set_aside) == (2, 2, "", None)
    assert lines(store, job_id, after=1) == (second,)
    assert lines(store, job_id, limit=1) == (first,)
    assert len(store.history(job_id)) == 2, "the log is no part of the job's revisions"


def test_a_line_sent_twice_is_kept_once(store: Store) -> None:
    job_id = store.start(job(), "Ana", at()).id
    first = write_line(store, job_id, "reading", {"um": 372}, "Ana", at(1), key="tap 1")
    assert write_line(store, job_id, "reading", {"um": 372}, "Ana", at(2), key="tap 1") == first
    assert write_line(store, job_id, "reading", {"um": 372}, "Ana", at(3), key="tap 2").number == 2
    other = store.start(job(), "Ana", at()).id
    assert write_line(store, other, "reading", {"um": 372}, "Ana", at(3), key="tap 1").number == 1


def test_a_line_set_aside_stays_and_can_be_taken_back_in(store: Store) -> None:
    job_id = store.start(job(), "Ana", at()).id
    line = write_line(store, job_id, "reading", {"um": 372}, "Ana", at(1))
    write_line(store, job_id, "reading", {"um": 380}, "Ana", at(2))
    aside = set_aside(store, job_id, 1, "the gauge drifted", "Ben", at(3))
    assert (aside.set_aside, aside.set_aside_by, aside.values) == ("the gauge drifted", "Ben", {"um": 372})
    assert [entry.set_aside for entry in lines(store, job_id)] == ["the gauge drifted", None]
    assert set_aside(store, job_id, 1, "wrong spot", "Ana", at(4)).set_aside == "wrong spot"
    assert set_aside(store, job_id, 1, None, "Ana", at(5)) == line


def test_two_people_logging_at_once_lose_no_line(store: Store) -> None:
    job_id = store.start(job(), "Ana", at()).id

    def log(person: int) -> None:
        for number in range(8):
            write_line(store, job_id, "minutes", {"min": number}, f"person {person}", at(number))

    people = [threading.Thread(target=log, args=(person,)) for person in range(4)]
    for person in people:
        person.start()
    for person in people:
        person.join()
    kept = lines(store, job_id)
    assert [line.number for line in kept] == list(range(1, 33))
    assert sorted((line.who, line.values["min"]) for line in kept) == [
        (f"person {person}", number) for person in range(4) for number in range(8)]


@pytest.mark.parametrize("text", [*HOSTILE.values(), "a\0b", "\ud800"], ids=[*HOSTILE, "nul", "half a character"])
def test_text_of_people_comes_back_as_it_was(store: Store, text: str) -> None:
    job_id = store.start(job(), "Ana", at()).id
    write_line(store, job_id, "note", {"text": text}, "Ana", at(), panel=text, step=text, key=text)
    line = lines(store, job_id)[0]
    assert (line.panel, line.step, line.values) == (text, text, {"text": text})
    set_aside(store, job_id, 1, f"why {text}", "Ana", at())


def test_what_cannot_be_kept_is_said(store: Store) -> None:
    job_id = store.start(job(), "Ana", at()).id
    with pytest.raises(FinishplanError, match=r"the log line holds what cannot be kept .* correct it$"):
        write_line(store, job_id, "reading", {"um": float("nan")}, "Ana", at())
    with pytest.raises(BadValue, match=r"length of the log line is 1000.*; at most 100000 letters are kept"):
        write_line(store, job_id, "note", {"text": "x" * 100_000}, "Ana", at())
    with pytest.raises(BadValue, match="kind of log line is ' '; say what was done"):
        write_line(store, job_id, " ", {}, "Ana", at())
    with pytest.raises(BadValue, match="who is ''; give the name of the person who does this"):
        write_line(store, job_id, "note", {}, "", at())
    with pytest.raises(NoSuchDocument):
        write_line(store, "nowhere", "note", {}, "Ana", at())
    with pytest.raises(BadValue, match="log line is 9; the log of this job has no line of that number"):
        set_aside(store, job_id, 9, "why", "Ana", at())
    assert lines(store, job_id) == ()
    write_line(store, job_id, "note", {}, "Ana", at())
    with pytest.raises(BadValue, match="reason is ' '; say why the line does not count"):
        set_aside(store, job_id, 1, " ", "Ana", at())
