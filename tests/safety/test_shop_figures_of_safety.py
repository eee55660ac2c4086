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
