import dataclasses
import re

import pytest
from bench_jobs import DULL, NICK, SCRATCH, answer, demo, every_answer, panel, worked, zone
from hypothesis import given, settings
from hypothesis import strategies as st

from finishplan.bench.columns import width_of
from finishplan.bench.places import letter_of
from finishplan.bench.sheet import sheets_of
from finishplan.bench.sheet_rules import ten_rules
from finishplan.bench.sheet_text import PAGE_LINES, fill_pages, pages, row_block, runs, sheet_text, whole_text
from finishplan.planning.result import VERDICTS

STEP_ROW = re.compile(r"^\d+ +(P\d+|US \d+|JIS #\d+|\w+ compound) \|", re.MULTILINE)
names = st.text(alphabet=st.characters(codec="utf-8"), min_size=1, max_size=200).filter(lambda s: bool(s.strip()))


def lines_of(text):
    return text.replace("\f", "\n").split("\n")


def check_layout(text):
    assert all(width_of(line) <= 80 for line in lines_of(text))
    for page in text.split("\f"):
        assert len(page.rstrip("\n").split("\n")) <= PAGE_LINES
    assert not re.search(r"\b(nan|None)\b", text)


def test_every_sheet_keeps_80_columns_and_66_lines():
    for found in every_answer():
        check_layout(whole_text(found))


def test_all_is_ascii_where_the_names_are():
    for found in every_answer():
        assert whole_text(found).isascii()


def test_a_panel_that_is_not_go_prints_do_not_start_and_no_step():
    stopped = 0
    for found in every_answer():
        for sheet, plan in zip(sheets_of(found), found.plan.panels, strict=True):
            text = sheet_text(sheet)
            if plan.all_go:
                assert "DO NOT START" not in text
                continue
            stopped += 1
            assert "DO NOT START" in text
            assert not STEP_ROW.search(text)
            assert not re.search(r"^[FS]\d  ", text, re.MULTILINE)
            assert "LEAST" not in text
            for zone_plan in plan.zones:
                if zone_plan.verdict != "go":
                    assert f"{zone_plan.name}: {zone_plan.verdict.upper()}" in text
    assert stopped >= 8


VERDICT_CASES = {
    "identify first": {"finish_id": {"result": "unknown"}},
    "measure first": {"zone": {"readings": []}},
    "not enough film": {"zone": {"readings": [{"um": um} for um in (101, 102, 101, 100, 102, 101, 101, 102)]}},
    "refer": {"defect": {"kind": "crack"}},
}


@pytest.mark.parametrize("verdict", VERDICT_CASES)
def test_each_verdict_says_why_and_what_first(verdict):
    case = VERDICT_CASES[verdict]
    changes = {"finish_id": case["finish_id"]} if "finish_id" in case else {}
    found = answer(panel(zone(case.get("defect", SCRATCH), **case.get("zone", {}))), **changes)
    assert found.plan.panels[0].zones[0].verdict == verdict
    text = sheet_text(sheets_of(found)[0])
    assert f"field: {verdict.upper()}" in text
    for label in (" Why", " First"):
        assert f"\n{label.strip():9} " in text
    assert set(VERDICT_CASES) == set(VERDICTS) - {"go"}


def test_a_step_row_names_grade_tool_wet_strokes_sheets_and_minutes():
    text = sheet_text(sheets_of(worked("broken_off_levels"))[0])
    assert re.search(r"^1   P1000 \| machine, soft pad \| WET \| across \| \d+ sheets? \| about \d+ min", text,
                     re.MULTILINE)
    for label in ("How", "Done", "Stop if"):
        assert re.search(rf"^{label} ", text, re.MULTILINE)


def test_step_rows_hold_no_film_figure():
    for found in every_answer():
        for sheet in sheets_of(found):
            for row in sheet.rows:
                assert not re.search(r"\d\s*um\b", "\n".join(row_block(sheet, row)))


def test_film_figures_stand_only_in_reading_boxes():
    for found in every_answer():
        for sheet in sheets_of(found):
            if sheet.state != "go":
                continue
            for line in sheet_text(sheet).split("\n"):
                if re.search(r"\d um\b", line):
                    assert "LEAST" in line, line


def test_the_least_figures_print():
    for sheet in sheets_of(demo()):
        text = " ".join(sheet_text(sheet).split())
        for check in sheet.checks:
            assert f"LEAST {check.least_um} um" in text
        for work in sheet.local:
            for mark in work.marks:
                assert f"LEAST {mark.least_um} um" in text


def test_every_hold_point_has_a_place_to_sign():
    for sheet in sheets_of(demo()):
        text = sheet_text(sheet)
        assert text.count("[ ] HOLD") == len(sheet.holds) == text.count("signed ______________")


def test_work_stands_in_the_order_in_which_it_is_done():
    text = sheet_text(sheets_of(worked("near_an_edge"))[1])
    order = ["STOP at any of these four", "THE PART", "NOT ON THIS PART", "BEFORE YOU START", "[ ] READ  before",
             "FILLS FIRST", "THEN SPOTS", "STEPS over", "Before any compound", "\n1   cutting",
             "[ ] READ  after cutting", "\n2   polishing", "\n3   finishing", "[ ] READ  at the end", "Cold, next day",
             "CAUTIONS"]
    places = [text.index(words) for words in order]
    assert places == sorted(places)


def test_nothing_to_do_says_so():
    found = answer(panel(zone({**DULL, "wish": "leave"}, {"kind": "polish_build_up"})))
    text = sheet_text(sheets_of(found)[0])
    assert "NOTHING TO DO ON THIS PART" in text
    assert "LEAVE IT, DO NOT CHASE IT" in " ".join(text.split())
    assert "Clean only" in text
    assert not STEP_ROW.search(text)


def test_the_ten_rules_close_the_sheets():
    last = " ".join(whole_text(demo()).split("\f")[-1].split())
    assert all(rule in last for rule in ten_rules())


def test_the_same_answer_gives_the_same_text():
    assert whole_text(demo()) == whole_text(demo())





@settings(max_examples=60, deadline=None)
@given(names, names, names)
def test_names_of_any_script_keep_the_columns(title, name, zone_name):
    for sheet in sheets_of(worked("spots_and_fills"))[:2]:
        strange = dataclasses.replace(
            sheet, title=title, panel=name, taped=(zone_name,),
            spots=tuple(dataclasses.replace(s, zone=zone_name) for s in sheet.spots),
            marks=tuple(dataclasses.replace(m, zone=zone_name, note=name) for m in sheet.marks),
            checks=tuple(dataclasses.replace(c, zone=zone_name) for c in sheet.checks),
            local=tuple(dataclasses.replace(w, zone=zone_name) for w in sheet.local),
            rows=tuple(dataclasses.replace(r, by=tuple((zone_name, way) for _, way in r.by), joins=(zone_name,))
                       for r in sheet.rows),
        )
        check_layout(sheet_text(strange))


@pytest.mark.parametrize("name", [
    "Deckel " * 28, "蓋" * 200, "крышка рояля", "غطاء البيانو", "ฝาเปียโน", "🎹" * 100, "lid dil",
    "e\u0301" * 100, "#" * 200,
])
def test_a_whole_job_with_strange_names(name):
    made = panel(zone(SCRATCH, NICK, name=name), {"name": "edge " + name[:150], "kind": "edge", "area_m2": 0.05,
                 "readings": [{"um": um} for um in (262, 258, 265)]}, name=name)
    found = answer(made, panel(zone({"kind": "crack", "note": f"{name}\n{name}"}), name="other"), title=name,
                   finish_id={"result": "polyester", "how": name * 3})
    text = whole_text(found)
    check_layout(text)
    assert "DO NOT START" in text


def test_a_long_name_is_cut_and_says_so():
    text = sheet_text(sheets_of(answer(panel(zone(DULL), name="n" * 150), title="t" * 200))[0])
    assert "tttt..." in text
    assert "nnnn..." in text


def test_two_hundred_defects_go_on_over_pages_that_count_themselves():
    (few,) = sheets_of(answer(panel(zone(NICK))))
    sheet = dataclasses.replace(
        few, marks=tuple(dataclasses.replace(few.marks[0], letter=letter_of(k)) for k in range(200)))
    found = pages(sheet)
    assert len(found) > 3
    for number, page in enumerate(found, start=1):
        assert page[1].endswith(f"page {number} of {len(found)}")
    check_layout(sheet_text(sheet))
    text = sheet_text(sheet)
    assert all(f"\nMark {mark.letter} " in text for mark in sheet.marks)


def test_no_block_is_split_that_a_page_could_hold():
    blocks = [[f"{b}.{k}" for k in range(7)] for b in range(20)]
    for page in fill_pages(blocks, 30):
        assert len(page) == 28 or page[-1].startswith("19.")
    (first, second) = fill_pages([["a"], [str(k) for k in range(12)]], 10)
    assert (first[0], first[-1], second) == ("a", "8", ["9", "10", "11"])


def test_runs_of_spots():
    assert runs(["1", "2"]) == "1 2"
    assert runs(["4", "5", "6", "x"]) == "4-6 x"


def test_one_small_panel_is_one_page():
    assert len(pages(sheets_of(worked("buffing_only"))[0])) == 1
