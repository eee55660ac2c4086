"""The log file: every kind of line there and back, and one clear sentence for every bad one."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

import pytest
from bench_jobs import DULL, PEEL, answer, panel, zone
from bench_logs import Book

from finishplan.bench.log import from_kept, kept_values, log_as_dict, read_line, read_log_dict
from finishplan.bench.log_lines import LINES, ReadingLine, as_reading
from finishplan.bench.log_sums import (
    counted,
    in_force,
    legs,
    minutes_by_step,
    readings_by_zone,
    replans,
    sheets_used_up,
    steps_done,
    why_aside,
)
from finishplan.errors import FinishplanError

AT = "2031-05-12T09:30:00+02:00"
ONE_OF_EACH: dict[str, dict[str, Any]] = {
    "reading": {"panel": "part", "zone": "field", "step": "P800",
                "values": {"um": 412.0, "spot": 3, "at": {"x": 0.5, "y": 0.5}, "gauge": "no 2"}},
    "shim check": {"values": {"shim_um": 250.0, "um": 252.0, "gauge": "no 2"}},
    "minutes": {"panel": "part", "step": "P800", "values": {"minutes": 12.5, "started": AT}},
    "sheets": {"panel": "part", "step": "P800", "values": {"count": 2}},
    "note": {"values": {"text": "dust in the air"}},
    "photo": {"panel": "part", "values": {"digest": "ab12"}},
    "poured": {"panel": "part", "zone": "field", "values": {"defect": 0}},
    "repair done": {"panel": "part", "zone": "field", "values": {"defect": 0, "repair": "fill"}},
    "defect seen": {"panel": "part", "zone": "field", "values": {"defect": 0, "seen": "still there", "depth_um": 4.0}},
    "step done": {"panel": "part", "step": "P800"},
    "wash-down": {},
    "hold signed": {"panel": "part", "values": {"hold": "cleaned", "role": "finisher"}},
    "replan": {"values": {"why": "thin at spot 3", "role": "finisher",
                          "taken": [{"panel": "part", "zone": "field", "removal_um": 12.0, "read": True}]}},
    "work begun": {"values": {"revision": 3, "shop_revision": 1, "sequence": ["P800", "P1500"]}},
    "set aside": {"values": {"line": 1, "reason": "slipped"}},
}


def log_of(*lines: dict[str, Any]) -> dict[str, Any]:
    numbered = [{"number": n, "at": AT, "who": "F1", **line} for n, line in enumerate(lines, start=1)]
    return {"format": "finishplan-log", "version": 1, "title": "made for a test", "lines": numbered}


def test_every_kind_has_an_example() -> None:
    assert set(ONE_OF_EACH) == set(LINES)


def test_every_kind_goes_through_json_and_back() -> None:
    log = read_log_dict(log_of(*({"kind": kind, **line} for kind, line in ONE_OF_EACH.items())))
    again = read_log_dict(json.loads(json.dumps(log_as_dict(log))))
    assert again == log
    assert [line.kind for line in log.lines] == list(ONE_OF_EACH)
    assert all(type(line) is LINES[line.kind] for line in log.lines)


@dataclass
class Kept:
    number: int
    at: datetime
    who: str
    kind: str
    panel: str
    step: str
    values: dict[str, Any]
    set_aside: str | None = None


@pytest.mark.parametrize("kind", ONE_OF_EACH)
def test_a_store_keeps_every_kind(kind: str) -> None:
    first = read_line({"number": 1, "at": AT, "who": "F1", "kind": "note", "values": {"text": "first"}})
    line = read_line({"number": 2, "at": AT, "who": "F1", "kind": kind, **ONE_OF_EACH[kind]})
    values = kept_values(line)
    json.dumps(values, allow_nan=False)
    kept = [Kept(of.number, of.at, of.who, of.kind, of.panel, of.step, kept_values(of)) for of in (first, line)]
    assert from_kept(kept) == (first, line)


def test_the_stores_mark_comes_along() -> None:
    line = read_line({"number": 1, "at": AT, "who": "F1", "kind": "reading", **ONE_OF_EACH["reading"]})
    kept = Kept(1, line.at, "F1", "reading", "part", "P800", kept_values(line), "slipped")
    assert why_aside(from_kept([kept])) == {1: "slipped"}


def test_a_reading_is_the_surveys_reading() -> None:
    line = read_line({"number": 1, "at": AT, "who": "F1", "kind": "reading", **ONE_OF_EACH["reading"]})
    assert isinstance(line, ReadingLine)
    reading = as_reading(line)
    assert (reading.um, reading.spot, reading.method, reading.at) == (412.0, 3, "ultrasonic", line.values.at)


BAD = [
    ({"kind": "reading", "panel": "p", "zone": "z", "values": {"um": 0}},
     "log line 1, reading: values: um is 0; give film in um, over 0 and up to 5000"),
    ({"kind": "reading", "panel": "p", "zone": "z", "values": {"um": "412"}}, "um is '412'; give film in um"),
    ({"kind": "reading", "panel": "p", "zone": "z", "values": {}}, "um is missing; add 'um'"),
    ({"kind": "reading", "panel": "p", "values": {"um": 4.0}}, "log line 1, reading: zone is missing; add 'zone'"),
    ({"kind": "reading", "panel": "p", "zone": "z", "values": {"um": 4.0, "method": "eye"}},
     "method is 'eye'; choose one of: ultrasonic"),
    ({"kind": "reading", "panel": "p", "zone": "z", "values": {"um": 4.0, "spott": 1}},
     "unknown key 'spott'; did you mean 'spot'?"),
    ({"kind": "reading", "panel": "p", "zone": "z", "values": {"um": 4.0, "beside": 7}},
     "log line 1: beside is 7; no earlier line has that number"),
    ({"kind": "minutes", "panel": "p", "step": "P800", "values": {"minutes": -3}},
     "minutes is -3; give a number over 0"),
    ({"kind": "minutes", "panel": "p", "step": "P800", "values": {"minutes": 2000.0}}, "give a number up to 1440"),
    ({"kind": "minutes", "panel": "p", "step": "P800", "values": {"minutes": 2.0, "started": "09:30"}},
     "started is '09:30'; give day, time and offset, as 2031-05-12T09:30:00+02:00"),
    ({"kind": "sheets", "panel": "p", "step": "P800", "values": {"count": 1.5}}, "count is 1.5; give a whole number"),
    ({"kind": "hold signed", "panel": "p", "values": {"hold": "lunch", "role": "finisher"}},
     "hold is 'lunch'; choose one of: cleaned, test spot, levelled, before compound, cold"),
    ({"kind": "replan", "values": {"why": "", "role": "finisher"}}, "why is ''; letters: give at least 1"),
    ({"kind": "set aside", "values": {"line": 9, "reason": "x"}}, "log line 1: line is 9; no earlier line has that"),
    ({"kind": "readin"}, "log line 1: kind is 'readin'; did you mean 'reading'? choose one of: reading, shim check"),
    ({"kind": "note", "values": {"text": "a"}, "at": "2031-05-12T09:30:00"}, "log line 1: at is '2031-05-12T09:30:00'"),
    ({"kind": "note", "values": {"text": "a"}, "at": None}, "at is null; give day, time and offset"),
    ({"kind": "note", "values": {"text": "a"}, "who": ""}, "who is ''; letters: give at least 1"),
]


@pytest.mark.parametrize(("line", "words"), BAD)
def test_a_bad_line_is_one_sentence(line: dict[str, Any], words: str) -> None:
    with pytest.raises(FinishplanError) as caught:
        read_log_dict(log_of(line))
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(("raw", "words"), [
    ([], "this is not a bench log"),
    ({"format": "finishplan-job", "version": 1}, 'a bench log says "format": "finishplan-log"'),
    ({"format": "finishplan-log", "version": 2}, "this program reads bench logs of version 1"),
    ({"format": "finishplan-log", "version": True}, "this program reads bench logs of version 1"),
    ({"format": "finishplan-log", "version": 1, "line": []}, "a bench log has no key 'line'"),
    ({"format": "finishplan-log", "version": 1, "lines": {}}, "lines is {}; give a list in [ ]"),
    ({"format": "finishplan-log", "version": 1, "title": 3}, "title is 3; give text in quotes"),
    ({"format": "finishplan-log", "version": 1, "lines": [3]}, "log line is 3; a line is an object in { }"),
])
def test_what_is_no_log_is_told(raw: Any, words: str) -> None:
    with pytest.raises(FinishplanError) as caught:
        read_log_dict(raw)
    assert words in str(caught.value)


def test_numbers_rise() -> None:
    raw = log_of({"kind": "wash-down"}, {"kind": "wash-down"})
    raw["lines"][1]["number"] = 1
    with pytest.raises(FinishplanError, match="number is 1; it follows 1; numbers rise from line to line"):
        read_log_dict(raw)


def test_sums_by_step_zone_and_sheet() -> None:
    book = Book()
    book.minutes("P800", 10.0)
    book.minutes("P800", 5.5)
    wrong = book.minutes("P1500", 90.0)
    book.add("sheets", panel="part", step="P800", values={"count": 2})
    book.add("sheets", panel="part", step="P800", values={"count": 1})
    first = book.read(380.0, 1, "P800")
    book.add("set aside", values={"line": wrong.number, "reason": "the other panel"})
    assert minutes_by_step(book.lines) == {("part", "P800"): 15.5}
    assert sheets_used_up(book.lines) == {"P800": 3}
    assert readings_by_zone(book.lines) == {("part", "field"): (first,)}


def test_a_line_set_aside_can_come_back() -> None:
    book = Book()
    line = book.read(380.0, 1)
    book.add("set aside", values={"line": line.number, "reason": "dust under the probe"})
    assert counted(book.lines) == ()
    assert why_aside(book.lines) == {1: "dust under the probe"}
    book.add("set aside", values={"line": line.number, "reason": None})
    assert counted(book.lines) == (line,)


def test_steps_done_by_zone() -> None:
    edge = {"name": "edge", "kind": "edge", "area_m2": 0.05, "readings": [{"um": um} for um in (262, 258, 265)],
            "defects": []}
    found = answer(panel(zone(PEEL), edge))
    names = found.plan.panels[0].sequence
    book = Book()
    book.done(names[0])
    book.done(names[-1], zone="edge")
    done = steps_done(found.plan, book.lines)
    assert done == {("part", "field"): (names[0],), ("part", "edge"): (names[-1],)}


def test_the_log_is_split_where_a_new_plan_came() -> None:
    book = Book()
    before = book.read(400.0)
    agreed = book.add("replan", values={"why": "thin", "role": "finisher"})
    after = book.read(380.0)
    assert legs(book.lines) == [(before,), (after,)]
    assert in_force(book.lines) == (after,)
    assert replans(book.lines) == (agreed,)


@dataclass
class Gauge:
    book: Book = field(default_factory=Book)

    def shim(self, um: float, gauge: str = "") -> None:
        self.book.add("shim check", values={"shim_um": 250.0, "um": um, "gauge": gauge})


def test_a_drifted_gauge_sets_its_readings_aside() -> None:
    gauge = Gauge()
    gauge.shim(252.0)
    good = gauge.book.read(400.0)
    gauge.shim(251.0)
    bad = gauge.book.read(380.0)
    other = gauge.book.read(381.0, values={"gauge": "no 2"})
    gauge.shim(262.0)
    still = gauge.book.read(379.0)
    gauge.shim(250.5)
    fine = gauge.book.read(390.0)
    aside = why_aside(gauge.book.lines)
    assert set(aside) == {bad.number, still.number}
    assert "read 262 um on a shim of 250 um, and may be off by 10" in aside[bad.number]
    assert [line for line in counted(gauge.book.lines) if isinstance(line, ReadingLine)] == [good, other, fine]


def test_a_shim_check_set_aside_no_longer_counts() -> None:
    gauge = Gauge()
    reading = gauge.book.read(400.0)
    gauge.shim(300.0)
    assert reading not in counted(gauge.book.lines)
    gauge.book.add("set aside", values={"line": 2, "reason": "wrong shim"})
    assert reading in counted(gauge.book.lines)


def test_nothing_done_means_no_steps() -> None:
    found = answer(panel(zone(DULL)))
    assert steps_done(found.plan, ()) == {("part", "field"): ()}
