import dataclasses

import pytest
from bench_jobs import DULL, NICK, PEEL, SCRATCH, answer, demo, every_answer, panel, worked, zone

from finishplan.bench.sheet import STATES, Row, Sheet, sheets_of
from finishplan.shop.profile import apply_shop, default_profile

EDGE = {"name": "edge", "kind": "edge", "area_m2": 0.05,
        "readings": [{"um": um} for um in (262, 258, 265, 261)], "defects": []}


def test_one_sheet_a_panel_in_the_jobs_order():
    for found in every_answer():
        sheets = sheets_of(found)
        assert [s.panel for s in sheets] == [p.name for p in found.job.panels]
        assert [(s.number, s.of) for s in sheets] == [(k + 1, len(sheets)) for k in range(len(sheets))]


def test_a_panel_that_is_not_all_go_has_no_steps():
    seen = set()
    for found in every_answer():
        for sheet, plan in zip(sheets_of(found), found.plan.panels, strict=True):
            assert sheet.state == ("stop" if not plan.all_go else "go" if plan.steps else "nothing")
            seen.add(sheet.state)
            if sheet.state != "go":
                assert (sheet.rows, sheet.local, sheet.holds, sheet.checks, sheet.minutes) == ((), (), (), (), 0.0)
            assert [z.zone for z in sheet.zones] == [z.name for z in plan.zones if z.verdict != "go"]
            assert all(z.reasons and z.first for z in sheet.zones)
    assert seen >= {"stop", "go"}


def test_states_are_all_met():
    met = {answer_state(DULL), answer_state({**DULL, "wish": "leave"}), answer_state({"kind": "crack"})}
    assert met == set(STATES)


def answer_state(defect):
    return sheets_of(answer(panel(zone(defect))))[0].state


def test_a_row_a_step_with_everything_said():
    for found in every_answer():
        for sheet, plan in zip(sheets_of(found), found.plan.panels, strict=True):
            if sheet.state != "go":
                continue
            assert [row.step for row in sheet.rows] == [step.step for step in plan.steps]
            for row, step in zip(sheet.rows, plan.steps, strict=True):
                assert all((row.direction, row.amount, row.by, row.how, row.done_when, row.stop_if))
                assert row.minutes == pytest.approx(step.minutes + step.look_minutes)
                assert (row.wet is None) == (not step.is_sheet)
                assert bool(row.tape) == step.is_sheet
                assert [name for name, _ in row.by] == [z.zone for z in step.zones]


def test_no_film_figure_lives_in_a_row():
    names = {f.name for f in dataclasses.fields(Row)}
    assert not any("um" in name.split("_") for name in names)
    assert not {"price", "cost", "curve"} & {f.name for f in dataclasses.fields(Sheet)}


def test_every_mark_that_goes_with_the_zone_is_taken_out_once():
    for found in every_answer():
        for sheet in sheets_of(found):
            if sheet.state == "go":
                taken = [letter for row in sheet.rows for letter in (*row.takes_out, *row.softens)]
                assert sorted(taken) == sorted(m.letter for m in sheet.marks if m.repair in ("sand", "buff"))


def test_a_softened_mark_is_told_apart():
    (sheet,) = sheets_of(answer(panel(zone({**PEEL, "wish": "soften"}, DULL))))
    assert sheet.rows[0].softens == ("a",)
    assert sheet.rows[0].takes_out == ("b",)
    assert sheet.marks[0].to_do.startswith("soften with P")


def test_edges_join_and_are_taped_until_then():
    (sheet,) = sheets_of(answer(panel(zone(PEEL), EDGE)))
    assert sheet.taped == ("edge",)
    assert {row.tape for row in sheet.rows if row.wet is not None} == {"taped: edge"}
    assert [row.joins for row in sheet.rows if row.joins] == [("edge",)]
    assert any("Edge: by hand" in line for line in sheet.always)


def test_without_an_edge_zone_the_outer_strip_is_taped_but_for_the_last_two():
    (sheet,) = sheets_of(answer(panel(zone({"kind": "ripple", "depth_um": 60.0}))))
    tapes = [row.tape for row in sheet.rows if row.wet is not None]
    assert len(tapes) >= 3
    assert tapes[0] == "outer 15 to 20 mm taped"
    assert set(tapes[-2:]) == {"tape off"}


def test_sheets_as_many_as_the_materials_list():
    for found in every_answer():
        bought = {line.item: line.quantity for line in found.materials}
        used: dict[str, int] = {}
        for sheet in sheets_of(found):
            for row in sheet.rows:
                if row.wet is not None:
                    used[row.step] = used.get(row.step, 0) + int(row.amount.split()[0])
        for step, count in used.items():
            assert count <= bought[f"sheet {step}"]


def test_dry_sheets_say_so():
    shop = apply_shop(default_profile(), {"format": "finishplan-shop", "version": 1,
                                          "steps": [{"step": s.step, "wet": False} for s in
                                                    answer(panel(zone(PEEL))).plan.panels[0].steps if s.is_sheet]})
    (sheet,) = sheets_of(answer(panel(zone(PEEL)), profile=shop))
    assert {row.wet for row in sheet.rows if row.step.startswith("P")} == {False}
    assert sheet.always[0].startswith("DRY:")
    assert not any("mains sander" in text for text in sheet.not_here)


def test_other_grading_systems_keep_their_name():
    made = answer(panel(zone(PEEL)), profile=default_profile())
    steps = [s.step for s in made.plan.panels[0].steps]
    assert all(name.startswith("P") or name.endswith("compound") for name in steps)
    us = default_profile().with_steps(["US 600", "US 1000"])
    assert us.step("US 600").system == "US"


def test_work_broken_off_is_told():
    lid = sheets_of(worked("broken_off_levels"))[0]
    assert lid.notes == ("Work stopped here once after P500 (field): go on from there, its lines must go too.",)


def test_stop_and_high_cautions_of_the_panel_are_in_full_and_no_id_is_lost():
    for found in every_answer():
        ids = {c.id for c in found.cautions}
        for sheet in sheets_of(found):
            assert {c.id for c in sheet.cautions} | set(sheet.cautions_by_id) == ids
            assert not {c.id for c in sheet.cautions} & set(sheet.cautions_by_id)
            assert {c.severity for c in sheet.cautions} <= {"stop", "high"}


def test_a_panel_with_fills_prints_the_peroxide_cautions_and_its_neighbour_names_them():
    filled, buffed = sheets_of(answer(panel(zone(NICK)), panel(zone(DULL), name="other")))
    assert "F3" in {c.id for c in filled.cautions}
    assert "F3" in buffed.cautions_by_id


def test_what_no_panel_raises_alone_stands_in_full_on_each():
    found = answer(panel(zone(DULL)), panel(zone(DULL), name="other"))
    whole_day = dataclasses.replace(found.cautions[0], id="Z9", severity="stop", text="A day's sum.")
    for sheet in sheets_of(dataclasses.replace(found, cautions=(whole_day, *found.cautions))):
        assert "Z9" in {c.id for c in sheet.cautions}


def test_the_same_answer_gives_the_same_sheets():
    assert sheets_of(demo()) == sheets_of(demo())


def test_a_lean_first_cut_is_told():
    (sheet,) = sheets_of(answer(panel(zone({"kind": "ripple", "depth_um": 40.0})), crew={"first_cut": "lean"}))
    assert "Finisher only" in sheet.rows[0].how


def test_a_place_is_in_cm_where_the_size_is_known():
    made = {**SCRATCH, "at": {"x": 0.25, "y": 0.5}}
    (sized,) = sheets_of(answer(panel(zone(made), size_m={"width": 1.2, "height": 0.8})))
    (bare,) = sheets_of(answer(panel(zone(made))))
    assert (sized.marks[0].where, sized.place_unit) == ("(30, 40)", "cm")
    assert (bare.marks[0].where, bare.place_unit) == ("(25, 50)", "hundredths")
