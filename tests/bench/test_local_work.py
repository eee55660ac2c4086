import pytest
from bench_jobs import DULL, NICK, SCRATCH, answer, every_answer, panel, worked, zone

from finishplan.bench.sheet import sheets_of

CHIP = {"kind": "chip", "depth_um": 620.0, "missing_ml": 0.2}


def sheet(*defects, site=None, panel_changes=None, zone_changes=None, **changes):
    made = panel(zone(*defects, **(zone_changes or {})), **(panel_changes or {}))
    (found,) = sheets_of(answer(made, site=site or {"temperature_c": 20}, **changes))
    return found


def names(work):
    return [row.step for row in work.rows]


def test_fills_come_before_spots():
    found = sheets_of(worked("near_an_edge"))[1]
    assert [work.repair for work in found.local] == ["fill", "spot"]
    assert [mark.letter for work in found.local for mark in work.marks] == ["b", "a"]


def test_every_spot_and_fill_of_a_panel_that_starts_is_on_its_sheet():
    for found in every_answer():
        for sheet_, plan in zip(sheets_of(found), found.plan.panels, strict=True):
            local = [d for z in plan.zones for d in z.defects if d.repair in ("spot", "fill")]
            told = sum(len(work.marks) for work in sheet_.local)
            assert told == (len(local) if sheet_.state == "go" else 0)
            for work in sheet_.local:
                ladders = {d.local_steps for z in plan.zones if z.name == work.zone for d in z.defects
                           if d.repair == work.repair}
                assert tuple(r.step for r in work.rows if r.wet is not None) in ladders


def test_local_and_panel_minutes_add_up_to_the_plan():
    for found in every_answer():
        for sheet_, plan in zip(sheets_of(found), found.plan.panels, strict=True):
            if sheet_.state == "go":
                total = sum(w.minutes for w in sheet_.local) + sum(r.minutes for r in sheet_.rows)
                assert total == pytest.approx(plan.minutes)
                assert sheet_.minutes == pytest.approx(plan.minutes)


def test_a_fill_waits_a_day_for_the_first_sheet_and_three_for_the_rest():
    (fill,) = sheet(NICK).local
    assert names(fill) == ["prepare", "pour", "P600", "P1000", "P1500"]
    assert [row.wait for row in fill.rows] == [
        "", "", "not before 24 h after the pour", "not before 72 h after the pour", ""]
    assert fill.then == "not before 72 h after the pour: steps 1 to 3 with the rest"
    assert fill.warning == ""


def test_a_cooler_room_waits_longer_and_a_cold_one_does_not_pour():
    # Twice as long every 10 C colder: 24 h at 20 C is 24 x 2^0.1 = 25.7 h at 19 C, and 48 h at 10 C.
    assert sheet(NICK, site={"temperature_c": 19}).local[0].rows[2].wait == "not before 26 h after the pour"
    cold = sheet(NICK, site={"temperature_c": 10}).local[0]
    assert cold.rows[2].wait == "not before 48 h after the pour"
    assert cold.warning.startswith("DO NOT POUR: the room is at 10 C and no fill goes under 18 C")
    assert "not known" in sheet(NICK, site={"kind": "shop"}).local[0].warning


def test_a_deep_fill_is_poured_twice_and_a_standing_part_gets_a_dam():
    assert "second pour" in names(sheet(CHIP).local[0])
    assert next(row.wait for row in sheet(CHIP).local[0].rows if row.wait) == "not before 24 h after the last pour"
    assert "second pour" not in names(sheet(NICK).local[0])
    standing = sheet(NICK, panel_changes={"position": "upright", "off": False})
    assert names(standing.local[0])[:3] == ["prepare", "dam", "pour"]


def test_a_softened_deep_fill_is_still_deep():
    soft = sheet({**CHIP, "wish": "soften"})
    assert "second pour" in names(soft.local[0])


def test_a_narrow_scratch_is_opened_first():
    deep = {"kind": "scratch", "depth_um": 120.0, "width_mm": 0.3, "length_mm": 100}
    (fill,) = sheet(deep).local
    assert fill.rows[0].step == "open to at least 0.5 mm, prepare"


def test_kinds_that_only_resin_mends_bring_their_own_advice():
    assert "looseness" in sheet(CHIP).local[0].marks[0].note
    assert sheet(SCRATCH).local[0].marks[0].note == ""


def test_a_spot_has_its_ring_rounded_up_to_5_mm():
    # pi x 20 um / (2 x 0.0005) = 62.8 mm by hand, so 65.
    (spot,) = sheet(SCRATCH).local
    assert spot.marks[0].ring_mm == 65
    assert names(spot) == ["ring", "P1000", "P1500"]
    assert spot.then == "steps 1 to 3 with the rest"


def test_least_reading_beside_a_spot_by_hand():
    # Scratch 20 um deep, rings P1000 (r 3.66) and P1500 (r 2.52), then three compounds: what is taken there is
    # 20 + 2 x 3.66 + max(h1, 2 x 2.52) + the later compounds; keep 80, overcut 0.15, ultrasonic 2 um + 3 %.
    found = answer(panel(zone(SCRATCH)))
    (plan,) = found.plan.panels
    (spot,) = sheets_of(found)[0].local
    profile = found.profile
    r = {name: profile.step(name).scratch_depth_um for name in ("P1000", "P1500", *plan.sequence)}
    first = plan.steps[0].zones[0].removal_um
    later = sum(step.zones[0].removal_um for step in plan.steps[1:])
    there = 20.0 + 2 * r["P1000"] + max(first, 2 * r["P1500"]) + later
    exact = (80 + 1.15 * there + r[plan.sequence[-1]] + 2.0) / 0.97
    assert exact <= spot.marks[0].least_um < exact + 1
    assert spot.marks[0].least_um > plan.zones[0].least_start_um


def test_a_spot_that_reaches_over_the_edge_counts_an_edges_overcut():
    def least(x):
        made = panel(zone({**SCRATCH, "at": {"x": x, "y": 0.5}}), size_m={"width": 1.0, "height": 0.5})
        return sheets_of(answer(made))[0].local[0].marks[0].least_um

    assert least(0.05) > least(0.5)


def test_marks_of_one_kind_of_repair_stand_together():
    (fill,) = sheet(NICK, {**NICK, "depth_um": 180.0}, DULL).local
    assert [mark.letter for mark in fill.marks] == ["a", "b"]


def test_worked_job_with_many_fills():
    lid = sheets_of(worked("spots_and_fills"))[2]
    by_zone = {}
    for work in lid.local:
        by_zone.setdefault(work.zone, []).append(names(work))
    assert len(by_zone["field"]) == 3  # one pour; opened and one pour; two pours
    assert by_zone["edges"] == [["prepare", "pour", "P600", "P1000", "P1500", "P2500"]]
