"""Assumed safety figures that a shop replaces: the sum moves by hand, and the kind says whether it was measured."""

from __future__ import annotations

from typing import Any

import pytest
from made_situations import CHIP, SWIRLS, panel, powered_by, raised, raw_job, situation

from finishplan.errors import FinishplanError
from finishplan.reference import Sourced
from finishplan.safety.day_air import resin_cloud, room_of
from finishplan.safety.day_body import kind_of, noise_time, trigger_time
from finishplan.safety.day_sums import day_sums
from finishplan.safety.vapour import MAX_BETA_M3_PER_MIN, NEAR_FACE_CLASSES, near_face, room_air, solvent_mass_mg
from finishplan.safety.worked import Worked
from finishplan.shop.policy import NEAR_FACE, SAFETY_FIGURES, Policy, policy_figures
from finishplan.shop.profile import apply_shop, default_profile

WIPE = {"substance": "isopropyl alcohol", "ml": 60, "minutes": 10}
ROOM = {"kind": "shop", "room_m3": 60}


def wipe(**policy: Any) -> dict[str, Worked]:
    job = raw_job(solvents=[WIPE])
    job["site"] = ROOM
    sums = day_sums(situation(job, {"policy": policy} if policy else None))
    return {figure.what: figure for figure in sums.air.solvents}


def given(figures: dict[str, Worked], name: str) -> Sourced:
    return next(i for f in figures.values() for i in f.inputs if i.name.startswith(name))


def test_the_class_at_the_face_moves_the_near_face_line_and_not_the_room() -> None:
    near, room = "isopropyl alcohol, near the face, 15 min", "isopropyl alcohol, in the room, 15 min"
    low, high = wipe(), wipe(near_face_class="high")
    assert low[near].value == pytest.approx(625.0, abs=1.0), "as worked out by hand"
    by_hand = near_face(
        solvent_mass_mg(60.0, 0.79), molar_mass_g_per_mol=60.1, room_m3=60.0, air_changes_per_h=1.0,
        evaporation_min=10.0, stay_min=60.0, beta_m3_per_min=11.0).c15_ppm
    assert high[near].value == pytest.approx(by_hand) and by_hand < 0.7 * float(low[near].value or 0.0)
    assert high[room].value == low[room].value
    assert given(high, "air flow at the face, high class").kind == "published"
    assert set(NEAR_FACE) == set(NEAR_FACE_CLASSES) and max(NEAR_FACE_CLASSES.values()) < MAX_BETA_M3_PER_MIN


def test_a_typed_stay_and_air_change_count_as_assumed_until_said_to_be_measured() -> None:
    own = wipe(stay_min=240.0, air_changes_per_h=3.0)
    expected = room_air(solvent_mass_mg(60.0, 0.79), molar_mass_g_per_mol=60.1, room_m3=60.0, air_changes_per_h=3.0,
                        evaporation_min=10.0, stay_min=240.0).twa8_ppm
    assert own["isopropyl alcohol, in the room, 8 h"].value == pytest.approx(expected)
    assert (given(own, "stay").kind, given(own, "air changes").kind) == ("assumed", "assumed")
    measured = wipe(stay_min=240.0, air_changes_per_h=3.0, safety_measured=["air_changes_per_h"])
    assert (given(measured, "stay").kind, given(measured, "air changes").kind) == ("assumed", "measured here")
    assert given(wipe(), "air changes").kind == "published"
    same = wipe(stay_min=60.0, safety_measured=["stay_min"])
    assert given(same, "stay").kind == "measured here", "measured, and the same as the shipped one"


def test_the_jobs_own_figures_come_before_the_shops() -> None:
    job = raw_job(solvents=[WIPE])
    room = room_of(situation(job, {"policy": {"air_changes_per_h": 9.0}}))
    assert (room.air_changes_per_h.value, room.air_changes_per_h.kind) == (4, "measured here")
    home = raw_job(solvents=[WIPE])
    home["site"] = {"kind": "home", "room_m3": 40}
    assert room_of(situation(home, {"policy": {"air_changes_per_h": 9.0}})).air_changes_per_h.value == 0.5
    assert room_of(situation(home, {"policy": {"air_changes_shut_per_h": 0.3}})).air_changes_per_h.value == 0.3


def test_styrene_share_and_gel_time_of_the_shop_are_used_where_no_sheet_is_at_hand() -> None:
    shop = {"policy": {"styrene_percent": 45.0, "gel_min": 20.0, "safety_measured": ["gel_min"]}}
    facts = situation(raw_job(panel(CHIP)), shop)
    figures = {f.what: f for f in day_sums(facts).air.resin}
    assert (given(figures, "styrene share").value, given(figures, "styrene share").kind) == (45.0, "assumed")
    assert (given(figures, "time to gel").value, given(figures, "time to gel").kind) == (20.0, "measured here")
    cloud = resin_cloud(facts, room_of(facts))
    assert "x 45 %" in cloud[0].inputs[0].source
    sheet = situation(raw_job(panel(CHIP), fill={"resin": "polyester", "styrene_percent": 38}), shop)
    held = {f.what: f for f in day_sums(sheet).air.resin}
    assert (given(held, "styrene share").value, given(held, "styrene share").kind) == (38, "measured here")


BUFFED = {**SWIRLS, "area_m2": 2.0}


def wiped(shop: dict[str, Any] | None = None, **solvent: Any) -> dict[str, Sourced]:
    """Inputs of the vapour sum of one alcohol on a face of 2 m2 that is buffed."""
    job = raw_job(panel(BUFFED, area_m2=2.0), solvents=[{"substance": "isopropyl alcohol", **solvent}])
    sums = day_sums(situation(job, shop))
    for figures in (sums.air.solvents, sums.air.fire):
        names = [{i.name for i in figure.inputs} for figure in figures]
        assert all(("solvent that a wipe takes" in found) == ("ml" not in solvent) for found in names)
    return {i.name: i for i in sums.air.solvents[0].inputs}


def test_a_solvent_without_ml_takes_the_shops_figure_for_every_wipe_of_the_plan() -> None:
    steps = situation(raw_job(panel(BUFFED, area_m2=2.0))).plan.panels[0].steps
    wipes = 1 + sum(not step.is_sheet for step in steps)
    assert wipes >= 3 and all(step.area_m2 == 2.0 for step in steps), "before the first step and after each compound"
    shipped = wiped()
    assert (shipped["isopropyl alcohol"].value, shipped["isopropyl alcohol"].kind) == (wipes * 2.0 * 10.0, "assumed")
    assert shipped["faces wiped, all wipes together"].value == wipes * 2.0
    per = shipped["solvent that a wipe takes"]
    assert (per.value, per.unit, per.kind) == (10.0, "ml/m2", "assumed")
    longest = max(step.look_minutes for step in steps)
    assert number(shipped["evaporation time"]) == pytest.approx(wipes * max(5.0, longest)), "one wipe after the other"
    own = wiped({"policy": {"wipe_ml_per_m2": 25.0, "safety_measured": ["wipe_ml_per_m2"]}})
    assert own["isopropyl alcohol"].value == wipes * 2.0 * 25.0
    assert own["isopropyl alcohol"].kind == "assumed", "how many wipes stays assumed"
    assert own["solvent that a wipe takes"].kind == "measured here"
    assert wiped({"policy": {"wipe_ml_per_m2": 25.0}})["solvent that a wipe takes"].kind == "assumed"


def test_typed_ml_come_before_the_wipes_and_typed_minutes_are_those_of_a_wipe() -> None:
    typed = wiped(ml=30.0, minutes=10.0)
    assert (typed["isopropyl alcohol"].value, typed["isopropyl alcohol"].kind) == (30.0, "measured here")
    assert wiped({"policy": {"wipe_ml_per_m2": 25.0}}, ml=30.0)["isopropyl alcohol"].value == 30.0
    slow = wiped(minutes=20.0)
    each_ml = 2.0 * 10.0
    assert number(slow["evaporation time"]) == pytest.approx(20.0 * number(slow["isopropyl alcohol"]) / each_ml)


def test_wipes_of_panels_with_repairs_alone_and_of_a_job_without_work() -> None:
    chip = situation(raw_job(panel(CHIP, compounds_by="hand"), panel(name="left alone", area_m2=3.0)))
    idle = situation(raw_job(panel(area_m2=2.0), panel(name="other", area_m2=3.0)))
    assert [w.area_m2 for w in idle.wipes] == [2.0, 3.0], "what is named is used: each face once"
    assert {w.area_m2 for w in chip.wipes} == {1.0}, "a panel that is not worked is not wiped"
    both = situation(raw_job(panel(area_m2=2.0), solvents=[
        {"substance": "acetone"}, {"substance": "acetone", "ml": 7.0, "minutes": 2.0}])).solvents
    assert (both[0].ml, both[0].wipes, both[0].minutes) == (27.0, 1, pytest.approx(27.0 / 4.0))


def test_the_wipes_amount_trips_the_cautions_of_that_amount() -> None:
    job = raw_job(panel(BUFFED, area_m2=2.0), solvents=[{"substance": "isopropyl alcohol"}])
    found, wipes = raised(job), len(situation(job).wipes)
    assert f"The vapour of {20 * wipes} ml can make" in found["S3"].text and 20 * wipes > 50 and "S2" in found
    little = {"policy": {"wipe_ml_per_m2": 1.0}}
    notes = day_sums(situation(job, little)).notes
    assert ("No millilitres are typed for isopropyl alcohol: every wipe of the plan is taken at 1 ml/m2 (assumed)."
            in notes)
    assert not any("No millilitres" in note for note in day_sums(situation(raw_job(solvents=[WIPE]))).notes)
    assert "S3" not in raised(job, little) and 2 * wipes <= 10


def number(given: Sourced) -> float:
    assert not isinstance(given.value, str)
    return given.value


def test_background_wipe_and_lid_of_the_shop() -> None:
    loud = day_sums(situation(raw_job(panel(SWIRLS)), {"policy": {"background_dba": 80.0, "least_dry_min": 12.0}}))
    quiet = day_sums(situation(raw_job(panel(SWIRLS))))
    assert loud.lex_dba is not None and quiet.lex_dba is not None and loud.lex_dba > quiet.lex_dba + 3.0
    dried = situation(raw_job(panel(SWIRLS), solvents=[{"substance": "acetone", "ml": 20}]),
                      {"policy": {"least_dry_min": 12.0}})
    assert dried.wipe_minutes == 12.0
    lid = raw_job(panel(SWIRLS, name="lid, top", off=True))
    thick, usual = (day_sums(situation(lid, shop)).lid[-1].value or 0.0
                    for shop in ({"policy": {"lid_thickness_mm": 44.0}}, None))
    assert thick - usual == pytest.approx(1.0 * 0.022 * 725.0)


@pytest.mark.parametrize(("said", "kind"), [
    ("", "assumed"), ("  ", "assumed"), ("measured at the ear, May", "measured here"), ("not measured", "published"),
    ("the maker's sheet", "published"), ("measured by the maker: declared", "published")])
def test_a_typed_tool_figure_is_of_the_kind_that_the_shop_says(said: str, kind: str) -> None:
    shop = powered_by("mains", a_m_s2=3.0, a_from=said, noise_dba=84.0, noise_from=said)
    tool = situation(raw_job(), shop).profile.tool("rotary", "compound")
    part = trigger_time(tool, 60.0)
    assert part is not None and part.likely_m_per_s2.kind == kind == noise_time(tool, 60.0).level_dba.kind
    assert noise_time(tool, 60.0).declared == (kind != "measured here"), "10 dB on top of all but a measured one"
    assert kind_of(said)[0] == kind


@pytest.mark.parametrize(("policy", "said"), [
    ({"near_face_class": "gale"}, "near_face_class is 'gale'; .*choose one of: low, moderate, high"),
    ({"stay_min": -1.0}, "stay_min is -1"),
    ({"air_changes_per_h": 0.0}, "air_changes_per_h is 0"),
    ({"gel_min": 1500.0}, "gel_min is 1500"),
    ({"styrene_percent": 80.0}, "styrene_percent is 80"),
    ({"background_dba": 200.0}, "background_dba is 200"),
    ({"wipe_ml_per_m2": 0.0}, "wipe_ml_per_m2 is 0; give a number over 0"),
    ({"wipe_ml_per_m2": "a few"}, "wipe_ml_per_m2 is 'a few'"),
    ({"safety_measured": ["stay"]}, "safety_measured"),
])
def test_figures_that_cannot_be_are_told_in_one_line(policy: dict[str, Any], said: str) -> None:
    with pytest.raises(FinishplanError, match=said) as told:
        apply_shop(default_profile(), {"format": "finishplan-shop", "version": 1, "policy": policy})
    assert "\n" not in str(told.value)


def test_kinds_of_the_policys_own_list() -> None:
    kinds = {f.name: f.kind for f in policy_figures(Policy(stay_min=45.0, gel_min=20.0, safety_measured=("gel_min",)))}
    assert (kinds["stay_min"], kinds["gel_min"]) == ("assumed", "measured here")
    assert set(SAFETY_FIGURES) < set(kinds)


def test_the_heat_caution_says_its_figures_itself() -> None:
    text = raised(raw_job(panel(SWIRLS, compounds_by="random orbit")))["M7"].text
    assert "at 45 C pause, at 55 C stop" in text and "in the plan" not in text
