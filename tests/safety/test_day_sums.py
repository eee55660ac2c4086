"""The sums fed from a plan: what goes in, what comes out, and the upper values taken where nothing is said."""

import math

import pytest
from made_situations import (
    CHIP,
    DRY,
    NICK_OF_NO_SIZE,
    SCRATCH,
    SWIRLS,
    Raw,
    panel,
    powered_by,
    raised,
    raw_job,
    situation,
)

from finishplan.planning.materials import resin_grams
from finishplan.safety.air_figures import ROOM_UNKNOWN, Law, fill_figures, workroom
from finishplan.safety.body_figures import BACKGROUND_DBA
from finishplan.safety.day_air import NO_SIZE
from finishplan.safety.day_body import NO_WHEEL_FIGURE, in_one_day, noise_time, trigger_time
from finishplan.safety.day_sums import ROOM_MISSING, DaySums, day_sums, highest, share_of
from finishplan.safety.lifting import lid_share
from finishplan.safety.noise import lex_8h, osha_dose
from finishplan.safety.vapour import near_face, styrene_release
from finishplan.safety.vibration import a8
from finishplan.safety.worked import Worked, typed

WIPE: Raw = {"substance": "isopropyl alcohol", "ml": 60.0, "minutes": 10.0}
SITE: Raw = {"room_m3": 60.0, "air_changes_per_h": 1.0}


def of(raw: Raw, shop: Raw | None = None) -> DaySums:
    return day_sums(situation(raw, shop))


def inputs(figure: Worked) -> dict[str, tuple[float | str, str]]:
    return {given.name: (given.value, given.kind) for given in figure.inputs}


def test_wipe_of_the_job_is_the_sum_by_hand() -> None:
    """60 ml, 10 min, 60 m3, 1 change an hour: 625 ppm near the face in 15 min, worked out by hand."""
    near = next(f for f in of(raw_job(solvents=[WIPE], site=SITE)).air.solvents if "near the face, 15 min" in f.what)
    assert near.value == pytest.approx(625.0, abs=0.5) and near.share == pytest.approx(1.25, abs=0.005)
    found = inputs(near)
    assert found["isopropyl alcohol"] == (60.0, "measured here")
    assert found["evaporation time"] == (10.0, "measured here")
    assert found["room"] == (60.0, "measured here") and found["air changes"] == (1.0, "measured here")
    assert found["stay from the start"] == (60.0, "assumed")


def test_wipe_without_minutes_dries_in_the_longest_look_of_the_plan_at_least_5() -> None:
    wipe = {"substance": "acetone", "ml": 20.0}
    still = inputs(of(raw_job(solvents=[wipe])).air.solvents[0])["evaporation time"]
    assert still == (5.0, "assumed")
    worked = of(raw_job(panel({**SWIRLS, "area_m2": 4.0}, area_m2=4.0), solvents=[wipe])).air.solvents[0]
    assert inputs(worked)["evaporation time"] == (9.0, "assumed"), "1 min and 2 min a m2 of one look"


def test_entries_of_one_substance_add_up_at_the_rate_of_the_fastest() -> None:
    entries = [{"substance": "acetone", "ml": 30.0, "minutes": minutes} for minutes in (10.0, 60.0)]
    found = inputs(of(raw_job(solvents=entries)).air.solvents[0])
    assert found["acetone"][0] == 60.0
    assert found["evaporation time"] == (20.0, "assumed")
    slow = [{"substance": "acetone", "ml": 9.0, "minutes": 1440.0}] * 2
    assert inputs(of(raw_job(solvents=slow)).air.solvents[0])["evaporation time"][0] == 1440.0


def test_home_has_its_windows_shut_unless_somebody_says() -> None:
    def changes(**site: object) -> tuple[float | str, str]:
        room = of(raw_job(solvents=[WIPE], site={"room_m3": 60.0, "air_changes_per_h": None, **site})).room
        return room.air_changes_per_h.value, room.air_changes_per_h.kind

    assert changes(kind="home") == (0.5, "assumed")
    assert changes(kind="home", air_changes_per_h=2.0) == (2.0, "measured here")
    assert changes() == (1.0, "published")


def test_without_a_room_only_the_sums_that_need_none_and_it_says_so() -> None:
    sums = of(raw_job(panel(CHIP), solvents=[WIPE], site={"room_m3": None}))
    assert [f.no_number for f in (*sums.air.solvents, *sums.air.resin)] == [ROOM_UNKNOWN, ROOM_UNKNOWN]
    assert len(sums.air.fire) == 2 and all(f.value is not None for f in sums.air.fire)
    assert ROOM_MISSING in sums.notes
    assert all(f.value is None for f in sums.shared)
    found = raised(raw_job(panel(CHIP), solvents=[WIPE], site={"room_m3": None}))
    assert found["S2"].text.startswith("More than 50 ml of solvent in one go; the air sum gives no share")
    assert found["S10"].text.startswith("Vapours add up; the shared sum has no number here. Do one")
    assert ROOM_MISSING not in of(raw_job(panel(SCRATCH), site={"room_m3": None})).notes


def test_styrene_of_the_fill_is_that_of_the_grams_mixed() -> None:
    facts = situation(raw_job(panel({**CHIP, "count": 20}), fill={"styrene_percent": 35, "gel_min": 45}, site=SITE))
    sums = day_sums(facts)
    grams = resin_grams(facts.plan, facts.profile, None)
    assert grams is not None and facts.resin_g == grams
    release = styrene_release(grams, 35.0)
    line = next(f for f in sums.air.resin if f.what == "styrene, gel-coat law, near the face, 15 min")
    by_hand = near_face(release.gel_coat_mg, molar_mass_g_per_mol=104.2, room_m3=60.0, evaporation_min=45.0,
                        saturation_ppm=5.0 / 760.0 * 1e6)
    assert line.value == pytest.approx(by_hand.c15_ppm)
    assert inputs(line)["styrene share"] == (35.0, "measured here")
    assert inputs(line)["resin mixed"] == (grams, "assumed")


def test_fill_without_a_size_has_no_number_and_one_of_two_is_said() -> None:
    none = of(raw_job(panel(NICK_OF_NO_SIZE)))
    assert [(f.value, f.no_number) for f in none.air.resin] == [(None, NO_SIZE)]
    assert none.air.resin_fire == ()
    some = of(raw_job(panel(CHIP, {**NICK_OF_NO_SIZE, "count": 2})))
    assert all("without 2 of unknown size" in " ".join(f.warnings) for f in some.air.resin)


def test_gel_time_over_a_day_and_a_resin_without_styrene() -> None:
    slow = of(raw_job(panel(CHIP), fill={"gel_min": 9000.0})).air.resin[0]
    assert inputs(slow)["time to gel"] == (1440.0, "assumed")
    assert of(raw_job(panel(CHIP), fill={"styrene_percent": 0.0})).air.resin == ()


def test_open_pot_of_resin_has_its_cloud() -> None:
    facts = situation(raw_job(panel({**CHIP, "count": 20}), fill={"styrene_percent": 40}))
    cloud = day_sums(facts).air.resin_fire[0]
    ml = (facts.resin_g or 0.0) * 0.40 / 0.91
    assert cloud.value == pytest.approx(ml * 0.91 / 104.2 * 24.45 / 1000.0 / 0.009)
    assert cloud.what.startswith("open pot, ")


def test_noise_takes_minutes_by_tool_and_fills_the_day_at_70() -> None:
    facts = situation(raw_job(panel({**SWIRLS, "area_m2": 3.0}, area_m2=3.0)))
    minutes = facts.minutes_by_way[("rotary", "compound")]
    day = [(minutes, 87.0), (480.0 - minutes, BACKGROUND_DBA)]
    osha, _, lex = day_sums(facts).noise
    assert lex.value == pytest.approx(lex_8h(day))
    assert osha.value == pytest.approx(osha_dose(day).dose_percent)


def test_level_of_the_shop_and_the_line_with_10_db() -> None:
    raw = raw_job(panel({**SWIRLS, "area_m2": 3.0}, area_m2=3.0))
    measured = of(raw, powered_by("mains", noise_dba=80.0, noise_from="measured at the ear"))
    declared = of(raw, powered_by("mains", noise_dba=80.0, noise_from="maker's sheet"))
    assert len(measured.noise) == 3 and len(declared.noise) == 6
    assert measured.lex_dba is not None and declared.lex_dba is not None
    assert declared.lex_dba > measured.lex_dba + 5.0
    kinds = {g.kind for f in measured.noise for g in f.inputs if g.name == "buffing by rotary, noise"}
    assert kinds == {"measured here"}
    words = raised(raw, powered_by("mains", noise_dba=80.0, noise_from="maker's sheet"))["N1"]
    assert f"{math.ceil(declared.lex_dba * 10 - 1e-9) / 10:g} dB(A)" in words.text
    assert "10 dB on top" in words.notes[0]


@pytest.mark.parametrize(("said", "declared"), [
    ("measured at the ear", False), ("Measured, 3 March", False), ("not measured", True), ("declared", True),
    ("maker's measured value", True), ("", True), ("unmeasured", True), ("declared, later measured", True),
])
def test_only_a_measured_level_is_taken_for_one(said: str, declared: bool) -> None:
    facts = situation(raw_job(panel(SWIRLS)), powered_by("mains", noise_dba=80.0, noise_from=said))
    assert noise_time(facts.profile.tool("rotary", "compound"), 10.0).declared is declared


def test_more_tool_minutes_than_a_day_keeps_the_worst_8_h() -> None:
    facts = situation(raw_job(panel({**SWIRLS, "area_m2": 30.0}, area_m2=30.0),
                              panel({**SCRATCH, "count": 400, "wish": "remove"}, name="top", area_m2=3.0)))
    total = sum(facts.minutes_by_way.values())
    assert total > 480.0
    sums = day_sums(facts)
    assert sums.lex_dba == pytest.approx(87.0, abs=1e-6)
    assert sums.notes[-1].startswith("Noise and vibration: the plan holds more tool minutes than a day of 8 h")
    tool = facts.profile.tool
    parts = [noise_time(tool("machine", "sheet"), 300.0), noise_time(tool("rotary", "compound"), 300.0)]
    kept = in_one_day(parts, lambda part: float(part.level_dba.value))
    assert [(p.level_dba.value, p.minutes) for p in kept] == [(87.0, 300.0), (86.0, 180.0)]


def test_vibration_by_hand() -> None:
    facts = situation(raw_job(panel({**SWIRLS, "area_m2": 3.0}, area_m2=3.0)))
    minutes = facts.minutes_by_way[("rotary", "compound")]
    likely, low, high = day_sums(facts).vibration
    assert (likely.value, low.value, high.value) == pytest.approx(tuple(a8([(minutes, a)]) for a in (4.0, 2.5, 6.0)))
    own = situation(raw_job(panel({**SWIRLS, "area_m2": 3.0}, area_m2=3.0)), powered_by("mains", a_m_s2=3.0))
    part = trigger_time(own.profile.tool("rotary", "compound"), 60.0)
    assert part is not None
    assert (part.low_m_per_s2, part.likely_m_per_s2.value, part.high_m_per_s2) == pytest.approx((3.0, 3.0, 4.2))
    shaking = situation(raw_job(), powered_by("mains", a_m_s2=40.0))
    fastest = trigger_time(shaking.profile.tool("wheel", "compound"), 1.0)
    assert fastest is not None and fastest.high_m_per_s2 == 40.0


def test_wheel_has_no_vibration_figure_and_that_is_said() -> None:
    wheel = panel(SWIRLS, compounds_by="wheel", off=True)
    assert of(raw_job(wheel)).vibration == ()
    both = of(raw_job(wheel, panel(SWIRLS, name="rim")))
    assert all(NO_WHEEL_FIGURE in f.warnings for f in both.vibration)


def test_hand_work_makes_no_noise_and_no_vibration() -> None:
    sums = of(raw_job(panel(SWIRLS, compounds_by="hand")))
    assert sums.noise == sums.vibration == ()
    assert sums.lex_dba is None and sums.a8_m_per_s2 == 0.0


def test_hardware_at_the_wheel_counts_its_table_minutes() -> None:
    facts = situation(raw_job(hardware=[{"task": "polish one caster", "count": 3, "brass": "solid"}]))
    assert facts.minutes_by_way == {("wheel", "compound"): facts.hardware_wheel_minutes}
    assert facts.hardware_wheel_minutes > 0.0
    assert day_sums(facts).lex_dba == pytest.approx(
        lex_8h([(facts.hardware_wheel_minutes, 88.0), (480.0 - facts.hardware_wheel_minutes, 70.0)]))


def test_dust_is_that_of_the_dry_sheets() -> None:
    raw = raw_job(panel({"kind": "orange_peel", "area_m2": 1.0, "depth_um": 30.0, "seen_in": "detail"}))
    assert of(raw).dust == ()
    facts = situation(raw, DRY)
    taken = sum(s.volume_cm3 for p in facts.plan.panels for s in p.steps if s.is_sheet)
    grams = day_sums(facts).dust[0]
    assert taken > 20.0 and grams.value == pytest.approx(1.2 * taken)
    noted = day_sums(situation(raw, {**DRY, "place": "France"})).dust[0].notes
    assert any(note.startswith("wood dust: 1 mg/m3 (France (law)") for note in noted)
    own = {**DRY, "local_limits": {"wood dust": {"twa": 0.5, "unit": "mg/m3"}}}
    assert any("0.5 mg/m3 (our shop's own limit" in note for note in day_sums(situation(raw, own)).dust[0].notes)


def test_lid_is_its_one_face() -> None:
    top = panel(SWIRLS, name="main lid, top", area_m2=1.5, off=True)
    front = panel(SWIRLS, name="front lid", area_m2=0.6, off=True)
    under = panel(SWIRLS, name="lid underside", area_m2=2.1, off=True)
    edge = panel(SWIRLS, name="lid edges", area_m2=0.1, off=True)
    uneven, _, whole = of(raw_job(top, front, under, edge)).lid
    by_hand = lid_share(2.1, 22.0, 0.9, 2)
    assert whole.value == pytest.approx(by_hand.lid_kg) and uneven.value == pytest.approx(by_hand.uneven_kg)
    assert inputs(whole)["thickness of the lid"] == (22.0, "assumed")
    assert inputs(whole)["hardware left on the lid"] == (0.0, "assumed")
    alone = of(raw_job(top, site={"alone": True})).lid
    assert alone[0].value == pytest.approx(lid_share(1.5, 22.0, 0.9, 1).uneven_kg)
    assert "never a lift for one" in alone[0].warnings[0]


@pytest.mark.parametrize(("kind", "area_m2"), [("grand", 2.1), ("upright", 0.5), (None, 2.1)])
def test_lid_nobody_surveyed_is_that_of_the_table(kind: str | None, area_m2: float) -> None:
    sums = of(raw_job(instrument={"kind": kind}, hardware=[{"task": "lid off"}]))
    assert inputs(sums.lid[0])["area of the lid"] == (area_m2, "assumed")


def test_whole_day_has_every_figure_once() -> None:
    raw = raw_job(panel(CHIP, SCRATCH, SWIRLS, name="lid", off=True, compounds_by="wheel"), solvents=[WIPE])
    sums = of(raw, DRY)
    parts = (sums.air.solvents, sums.air.resin, sums.shared, sums.air.fire, sums.air.resin_fire, sums.noise,
             sums.dust, sums.lid, sums.wheel)
    assert all(parts)
    assert sum(map(len, parts)) == len(sums.figures) == len(set(sums.figures))


def test_blanks_are_filled_with_the_sums_results_rounded_up() -> None:
    wiped = raised(raw_job(solvents=[WIPE], site=SITE))
    assert wiped["S2"].text.startswith("The air sum reaches 125 % of the limit 500 ppm (NIOSH STEL, 15 min). ")
    assert wiped["S3"].text.startswith("The vapour of 60 ml can make 0.97 m3 of air ready to burn. ")
    both = raised(raw_job(solvents=[WIPE, {"substance": "toluene", "ml": 1.0, "minutes": 10.0}], site=SITE))
    sums = of(raw_job(solvents=[WIPE, {"substance": "toluene", "ml": 1.0, "minutes": 10.0}], site=SITE))
    most = max(f.value or 0.0 for f in sums.shared)
    said = float(both["S10"].text.split("come to ")[1].split(" of")[0])
    assert most <= said < most * 1.1
    face = raw_job(panel({**SWIRLS, "area_m2": 8.0}, area_m2=8.0))
    assert f"{math.ceil(of(face).a8_m_per_s2 * 100 - 1e-9) / 100:g} m/s2" in raised(face)["V1"].text
    lid = raw_job(panel(SWIRLS, name="lid", area_m2=2.1, off=True))
    weights = lid_share(2.1, 22.0, 0.9, 2)
    assert f"about {math.ceil(weights.lid_kg)} kg" in raised(lid)["L1"].text
    assert f"comes to {math.ceil(weights.uneven_kg)} kg, over" in raised(lid)["L2"].text
    home = raw_job(panel(SWIRLS, name="lid", area_m2=1.5, off=True), site={"kind": "home"})
    assert "kg; a home has steps and corners" in raised(home)["L2"].text
    large = {**CHIP, "length_mm": 200, "width_mm": 150, "depth_um": 440.0, "count": 8}
    pour = raised(raw_job(panel(large), site={"room_m3": 20.0}))["F2"].text
    assert " % of 100 ppm (NIOSH STEL, 15 min). Do fewer fills" in pour


def test_only_the_line_that_decides_raises_a_caution() -> None:
    figures = fill_figures(typed("resin", 40.0, "g"), None, None, workroom(60.0), Law())
    most = max(f.share or 0.0 for f in figures)
    assert share_of(figures) < 0.5 < most
    found = highest(figures)
    assert found is not None and "gel-coat law" in found.what


def test_figures_round_up_and_a_ceiling_of_a_mask_down() -> None:
    one = Worked("noise", "level", 81.42, "dB(A)", "f", ())
    assert one.rounded == "81.5"
    assert Worked("MUC", "ceiling", 166.7, "ppm", "f", ()).rounded == "166"
    assert Worked("noise", "level", None, "dB(A)", "f", (), no_number="why").rounded == "no number"
