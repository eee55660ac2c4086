"""The log as rows: what belongs together stands in one, nothing is left out, and it can be narrowed."""

from __future__ import annotations

from bench_logs import Book

from finishplan.bench.log_lines import LINES
from finishplan.bench.log_rows import ASIDE, GROUPS, narrowed, rows_of


def book() -> Book:
    made = Book()
    for spot, um in enumerate((390.0, 391.0, 388.0), start=1):
        made.read(um, spot)
    made.minutes("P800", 12.0)
    made.add("sheets", panel="part", step="P800", values={"count": 2})
    made.done("P800")
    made.read(371.0, 1, "P800", who="F2")
    made.read(372.0, 2, "P800")
    made.read(96.0, 3, "P800", values={"beside": 8})
    made.add("note", values={"text": "dust"})
    return made


def test_a_round_of_readings_and_a_step_are_one_row_each() -> None:
    rows = rows_of(book().lines, {})
    assert [(row.numbers, row.what) for row in rows] == [
        ("1 to 3", "part, field: 390, 391 and 388 um at spots 1, 2 and 3 before the first stroke"),
        ("4 to 6", "part: P800 done, 12 min, two sheets"),
        ("7", "part, field: 371 um at spot 1 after P800"), ("8", "part, field: 372 um at spot 2 after P800"),
        ("9", "part, field: 96 um at spot 3 after P800, beside line 8"), ("10", "note: dust")]
    assert [line for row in rows for line in row.lines] == book().lines


def test_a_line_that_does_not_count_stands_alone_with_its_reason() -> None:
    rows = rows_of(book().lines, {2: "slipped"})
    assert [(row.numbers, row.aside) for row in rows][:3] == [("1", ""), ("2", "slipped"), ("3", "")]


def test_two_steps_in_a_row_and_work_without_its_step_are_told_apart() -> None:
    made = Book()
    made.minutes("P800", 12.0)
    made.minutes("P800", 9.0)
    made.add("sheets", panel="part", step="P800", values={"count": 1})
    made.done("P1000")
    assert [row.what for row in rows_of(made.lines, {})] == [
        "part: 12 min of P800", "part: 9 min of P800 and one sheet of P800", "part: P1000 done"]


def test_the_log_is_narrowed_by_panel_and_group() -> None:
    made = book()
    made.read(400.0, 1, panel="lid")
    assert [line.number for line in narrowed(made.lines, {}, "lid")] == [11]
    assert [line.number for line in narrowed(made.lines, {}, "part", ["work"])] == [4, 5, 6]
    assert [line.number for line in narrowed(made.lines, {}, "", ["readings", "notes and photos"])] == [
        1, 2, 3, 7, 8, 9, 10, 11]
    assert [line.number for line in narrowed(made.lines, {5: "x"}, "", [ASIDE])] == [5]
    assert narrowed(made.lines, {}) == tuple(made.lines)


def test_every_kind_of_line_stands_in_one_group() -> None:
    grouped = [kind for kinds in GROUPS.values() for kind in kinds]
    assert len(grouped) == len(set(grouped)) and set(LINES.values()) - set(grouped) == {LINES["work begun"]}
