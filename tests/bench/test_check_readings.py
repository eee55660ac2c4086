import pytest
from bench_jobs import DULL, PEEL, SCRATCH, answer, every_answer, panel, zone

from finishplan.bench.checks import BEFORE_ALL, checks_of, holds_of, whole_um
from finishplan.bench.sheet import sheets_of

EDGE = {"name": "edge", "kind": "edge", "area_m2": 0.05,
        "readings": [{"um": um} for um in (262, 258, 265, 261)], "defects": []}


def pairs(found):
    return list(zip(found.job.panels, found.plan.panels, strict=True))


def test_least_readings_are_the_plans_rounded_up():
    count = 0
    for found in every_answer():
        for surveyed, plan in pairs(found):
            for check in checks_of(surveyed, plan):
                zone_plan = next(z for z in plan.zones if z.name == check.zone)
                exact = zone_plan.least_start_um if check.after == 0 else next(
                    z.least_reading_um for z in plan.steps[check.after - 1].zones if z.zone == check.zone)
                assert exact <= check.least_um < exact + 1
                assert isinstance(check.least_um, int)
                count += 1
    assert count > 40


def test_whole_um_never_rounds_down():
    assert [whole_um(x) for x in (90.0, 90.001, 90.999)] == [90, 91, 91]


def test_every_worked_zone_is_read_before_and_at_the_end():
    for found in every_answer():
        for surveyed, plan in pairs(found):
            worked = {z.name for z in plan.zones if z.starts_at}
            checks = checks_of(surveyed, plan)
            for moment in ("before", "end"):
                assert {c.zone for c in checks if c.moment == moment} == worked
            assert [c.after for c in checks] == sorted(c.after for c in checks)


def test_three_readings_where_a_sheet_levels():
    found = answer(panel(zone(PEEL)))
    ((surveyed, plan),) = pairs(found)
    checks = checks_of(surveyed, plan)
    assert [(c.moment, c.after) for c in checks] == [("before", 0), ("levelled", 1), ("end", len(plan.steps))]
    assert checks[0].least_um > checks[1].least_um > checks[2].least_um
    assert checks[0].spots == ("1", "2", "3", "4", "5")


def test_an_edge_that_joins_with_a_compound_is_not_read_in_between():
    found = answer(panel(zone(PEEL), EDGE))
    ((surveyed, plan),) = pairs(found)
    assert [c.moment for c in checks_of(surveyed, plan) if c.zone == "edge"] == ["before", "end"]


def test_an_edge_with_leave_for_sheets_is_read_after_its_first():
    found = answer(panel(zone(PEEL), {**EDGE, "sheets_allowed": True, "defects": [
        {"kind": "orange_peel", "depth_um": 6.0}]}))
    ((surveyed, plan),) = pairs(found)
    checks = [c for c in checks_of(surveyed, plan) if c.zone == "edge"]
    edge = next(z for z in plan.zones if z.name == "edge")
    first = [s.step for s in plan.steps].index(edge.starts_at)
    assert plan.steps[first].is_sheet
    assert [(c.moment, c.after) for c in checks] == [
        ("before", 0), ("levelled", first + 1), ("end", len(plan.steps))]


def test_five_hold_points_in_the_order_of_work():
    found = answer(panel(zone(PEEL)))
    holds = holds_of(found.job, found.plan.panels[0])
    sheets = sum(step.is_sheet for step in found.plan.panels[0].steps)
    assert [(h.key, h.after) for h in holds] == [
        ("cleaned", BEFORE_ALL), ("test spot", BEFORE_ALL), ("levelled", 1), ("before compound", sheets),
        ("cold", len(found.plan.panels[0].steps))]
    assert "polyester, solvent on a hidden spot" in holds[0].text
    assert not any("{" in h.text for h in holds)


def test_satin_has_no_hold_before_compounds():
    found = answer(panel(zone(PEEL), target={"finish": "satin", "last_sheet": "P1000"}))
    assert "before compound" not in [h.key for h in holds_of(found.job, found.plan.panels[0])]


@pytest.mark.parametrize(("cleared", "words"), [(True, "P1000 cleared it"), (False, "no step cleared it")])
def test_a_test_spot_that_was_done_is_told(cleared, words):
    spot = {"panel": "part", "zone": "field", "defect": 0,
            "steps": [{"step": "P1500", "minutes": 4}, {"step": "P1000", "minutes": 5, "cleared": cleared}]}
    found = answer(panel(zone(SCRATCH)), test_spot=spot)
    (sheet,) = sheets_of(found)
    assert any(f"done on part, field: {words}" in hold.text for hold in sheet.holds)


def test_nothing_to_do_has_neither_holds_nor_checks():
    found = answer(panel(zone({**DULL, "wish": "leave"})))
    assert found.plan.all_go
    assert checks_of(found.job.panels[0], found.plan.panels[0]) == ()
    assert holds_of(found.job, found.plan.panels[0]) == ()
