"""The sums as shown, on cases worked by hand beforehand; and what is shown when a number is not possible."""

import pytest

from finishplan.errors import BadValue, UnknownName
from finishplan.safety import vapour
from finishplan.safety.air_figures import (
    NOT_LISTED,
    ROOM_UNKNOWN,
    Law,
    fill_figures,
    shared_figures,
    solvent_figures,
    workroom,
)
from finishplan.safety.body_figures import (
    NONE_COUNTED,
    NoiseTime,
    TriggerTime,
    noise_figures,
    vibration_figures,
    with_background,
)
from finishplan.safety.dust import dust_scale
from finishplan.safety.fire_figures import lel_figures
from finishplan.safety.handling_figures import dust_figures, lid_figures, wheel_figure
from finishplan.safety.lifting import lid_share
from finishplan.safety.tables import substances, workplace
from finishplan.safety.vapour import lel_air, near_face, room_air, solvent_mass_mg, styrene_release
from finishplan.safety.vibration import a8, minutes_to, points
from finishplan.safety.wheels import rim_speed
from finishplan.safety.worked import BASIS, Worked, deciding, typed

ROOM = workroom(60.0)
LAW = Law()
WIPE = (typed("wipe", 60.0, "ml"), typed("evaporation time", 10.0, "min"))


def shown(figures: tuple[Worked, ...]) -> dict[str, Worked]:
    return {one.what: one for one in figures}


def test_a_wipe_of_60_ml_isopropyl_alcohol() -> None:
    """60 ml, SG 0.79, 10 min, 60 m3, 1 change an hour, 60 min stay: by hand, to the digits written down."""
    mass = solvent_mass_mg(60.0, 0.79)
    where = {"molar_mass_g_per_mol": 60.1, "room_m3": 60.0}
    room, near = room_air(mass, **where), near_face(mass, **where)
    assert mass == pytest.approx(47_400.0)
    assert vapour.mg_per_m3(room.end_ppm, 60.1) == pytest.approx(728.0, abs=0.5)
    assert room.end_ppm == pytest.approx(296.0, abs=0.5)
    assert room.twa8_ppm == pytest.approx(24.1, abs=0.05)
    assert room.twa8_bound_ppm == pytest.approx(40.2, abs=0.05)
    assert room.c15_ppm == pytest.approx(266.0, abs=0.5)
    assert near.end_ppm - room.end_ppm == pytest.approx(643.0, abs=0.5)
    assert near.evaporating_mean_ppm == pytest.approx(795.0, abs=0.5)
    assert near.c15_ppm == pytest.approx(625.0, abs=0.5)
    assert near.twa8_ppm == pytest.approx(37.5, abs=0.05)


def test_the_near_face_line_decides_the_wipe() -> None:
    figures = solvent_figures("isopropyl alcohol", *WIPE, ROOM, LAW)
    found = shown(figures)
    room, near = found["isopropyl alcohol, in the room, 15 min"], found["isopropyl alcohol, near the face, 15 min"]
    assert room.share == pytest.approx(0.53, abs=0.005) and room.band == "act: less, slower, more air"
    assert near.share == pytest.approx(1.25, abs=0.005) and near.band == "not this way"
    assert found["isopropyl alcohol, in the room, 8 h"].share == pytest.approx(0.06, abs=0.005)
    assert deciding(figures) is near


def test_explosive_limit_clouds() -> None:
    acetone = lel_air(250.0, 0.791, 58.08, 2.5, 60.0)
    assert acetone.vapour_m3 == pytest.approx(0.083, abs=0.0005)
    assert acetone.air_at_lel_m3 == pytest.approx(3.3, abs=0.05)
    assert acetone.air_at_tenth_m3 == pytest.approx(33.0, abs=0.5)
    assert acetone.room_share == pytest.approx(0.055, abs=0.001)
    alcohol, spirits = lel_air(60.0, 0.79, 60.1, 2.0), lel_air(100.0, 0.78, 144.0, 0.7)
    assert (alcohol.air_at_lel_m3, alcohol.air_at_tenth_m3) == pytest.approx((0.96, 9.6), abs=0.05)
    assert (spirits.air_at_lel_m3, spirits.air_at_tenth_m3) == pytest.approx((1.9, 19.0), abs=0.1)


@pytest.mark.parametrize("line,mass_mg,room8,near8,near15", [
    ("most it can be", 24_000.0, 6.1, 10.0, 121.0),
    ("gel-coat law", 12_881.0, 3.3, 5.4, 65.0),
    ("resin law", 3_707.0, 0.9, 1.6, 19.0),
])
def test_a_fill_of_60_g(line: str, mass_mg: float, room8: float, near8: float, near15: float) -> None:
    """60 g, 40 % styrene, 30 min to gel, 60 m3, 1 change an hour, 60 min stay."""
    release = styrene_release(60.0, 40.0)
    masses = {"most it can be": release.most_mg, "gel-coat law": release.gel_coat_mg, "resin law": release.resin_mg}
    assert masses[line] == pytest.approx(mass_mg, abs=0.5)
    found = shown(fill_figures(typed("resin", 60.0, "g"), None, None, ROOM, LAW))
    assert found[f"styrene, {line}, in the room, 8 h"].value == pytest.approx(room8, abs=0.05)
    assert found[f"styrene, {line}, near the face, 8 h"].value == pytest.approx(near8, abs=0.05)
    assert found[f"styrene, {line}, near the face, 15 min"].value == pytest.approx(near15, abs=0.5)


def test_the_gel_coat_line_decides_the_fill() -> None:
    figures = fill_figures(typed("resin", 60.0, "g"), None, None, ROOM, LAW)
    found = deciding(figures)
    assert found is not None and found.what == "styrene, gel-coat law, near the face, 15 min"
    assert found.share == pytest.approx(0.65, abs=0.005) and found.band == "act: less, slower, more air"
    assert len(figures) == 12
    kinds = {one.name: one.kind for one in found.inputs}
    assert kinds["styrene share"] == kinds["time to gel"] == kinds["stay from the start"] == "assumed"
    assert kinds["room"] == "measured here" and kinds["air changes"] == "published"
    assert any("10 ppm (ACGIH guideline" in note for one in figures for note in one.notes)


def test_wipe_and_fill_on_one_day() -> None:
    both = (*solvent_figures("isopropyl alcohol", *WIPE, ROOM, LAW),
            *fill_figures(typed("resin", 60.0, "g"), None, None, ROOM, LAW))
    eight, short = shared_figures(both)
    assert eight.value == pytest.approx(37.5 / 400.0 + 10.0 / 50.0, abs=0.002)
    assert round(eight.value or 0.0, 2) == 0.29
    assert short.value == pytest.approx(625.0 / 500.0 + 121.0 / 100.0, abs=0.01)
    assert shared_figures(both[:4]) == ()


def test_one_substance_without_a_limit_leaves_the_shared_sum_without_a_number() -> None:
    both = (*solvent_figures("isopropyl alcohol", *WIPE, ROOM, LAW), *solvent_figures("acetone", *WIPE, ROOM, LAW))
    eight, short = shared_figures(both)
    assert eight.value is not None
    assert short.value is None and short.no_number == "no figure or no 15 min limit for acetone"
    odd = (*both, *solvent_figures("a lacquer nobody knows", *WIPE, ROOM, LAW))
    assert all(one.value is None for one in shared_figures(odd))


def test_without_a_room_only_the_cloud_is_shown() -> None:
    nowhere = workroom()
    for figures in (solvent_figures("acetone", *WIPE, nowhere, LAW),
                    fill_figures(typed("resin", 60.0, "g"), None, None, nowhere, LAW)):
        assert [(one.value, one.no_number, one.band) for one in figures] == [(None, ROOM_UNKNOWN, "no number")]
    clouds = lel_figures("acetone", typed("spill", 250.0, "ml"), nowhere)
    assert [round(one.value or 0.0, 1) for one in clouds] == [3.3, 33.3]
    assert len(lel_figures("acetone", typed("spill", 250.0, "ml"), ROOM)) == 3


def test_a_substance_nobody_listed_has_no_number() -> None:
    for figures in (solvent_figures("a lacquer nobody knows", *WIPE, ROOM, LAW),
                    lel_figures("a lacquer nobody knows", WIPE[0], ROOM)):
        assert [(one.value, one.no_number) for one in figures] == [(None, NOT_LISTED)]


@pytest.mark.parametrize("name", [n for n, s in substances().items() if s.no_vapour_sum])
def test_no_vapour_sum_for_peroxides_and_cyanoacrylate(name: str) -> None:
    (only,) = solvent_figures(name, *WIPE, ROOM, LAW)
    assert only.value is None and only.no_number
    (cloud,) = lel_figures(name, WIPE[0], ROOM)
    assert cloud.value is None


def test_peroxides_and_cyanoacrylate_are_the_ones() -> None:
    assert {n for n, s in substances().items() if s.no_vapour_sum} == {
        "methyl ethyl ketone peroxide", "ethyl cyanoacrylate", "benzoyl peroxide (paste hardener)"}


def test_what_is_said_of_the_air_above_the_liquid() -> None:
    def notes(name: str, room_c: float = 20.0) -> str:
        return "; ".join(lel_figures(name, WIPE[0], ROOM, room_c)[0].notes)

    assert "can burn now (4.3 % of vapour at 20 C against 2 %)" in notes("isopropyl alcohol")
    assert "under its limit at 20 C (0.66 % of vapour at 20 C against 0.9 %)" in notes("styrene")
    assert "flash point 30 C" not in notes("styrene", 20.0) and "flash point 30 C" in notes("styrene", 21.0)
    assert "the explosive limit is assumed" in notes("mineral spirits")
    assert "assumed" not in notes("acetone")
    assert lel_figures("acetone", WIPE[0], ROOM, -5.0)[0].warnings == ("the sum is meant for 0 to 40 C",)


def test_room_defaults_and_their_kind() -> None:
    assert (ROOM.air_changes_per_h.value, ROOM.air_changes_per_h.kind) == (1.0, "published")
    shut = workroom(60.0, windows_shut=True).air_changes_per_h
    assert (shut.value, shut.kind) == (0.5, "assumed")
    assert workroom(60.0, 0.0).air_changes_per_h.kind == "measured here"
    assert [workroom(near_class=c).beta_m3_per_min.value for c in ("low", "moderate", "high")] == [3.0, 6.0, 11.0]
    with pytest.raises(UnknownName, match=r"^air flow at the face is 'none'; "):
        workroom(60.0, near_class="none")


def test_an_assumed_stay_lasts_as_long_as_the_evaporation_and_a_typed_one_is_asked_for() -> None:
    slow = typed("evaporation time", 90.0, "min")
    figures = solvent_figures("acetone", WIPE[0], slow, ROOM, LAW)
    stay = next(one for one in figures[0].inputs if one.name == "stay from the start")
    assert (stay.value, stay.kind) == (90.0, "assumed")
    with pytest.raises(BadValue, match=r"^stay is 30; the person is there while it evaporates; give at least 90"):
        solvent_figures("acetone", WIPE[0], slow, workroom(60.0, stay_min=30.0), LAW)


def test_bad_numbers_come_through_as_one_line() -> None:
    with pytest.raises(BadValue, match=r"^room is 0; give a number of m3 over 0$"):
        solvent_figures("acetone", *WIPE, workroom(0.0), LAW)
    with pytest.raises(BadValue, match=r"^solvent is -3; give a number of ml, 0 or more$"):
        solvent_figures("acetone", typed("wipe", -3.0, "ml"), None, ROOM, LAW)


def day(declared: bool = False) -> tuple[NoiseTime, ...]:
    """140 min sander 86, 80 min polisher 87, 30 min lathe 88, the rest at 70."""
    rows = ((140.0, "random-orbit sander"), (80.0, "rotary polisher"), (30.0, "buffing lathe"))
    return with_background([NoiseTime(m, workplace(tool, "noise").likely, declared) for m, tool in rows])


def test_noise_of_a_lid_and_rim_day() -> None:
    osha, niosh, lex = noise_figures(day())
    assert (osha.value, niosh.value, lex.value) == pytest.approx((32.5, 75.7, 83.9), abs=0.05)
    assert osha.notes[0] == "8 h level 81.9 dB(A)" and niosh.notes[0] == "8 h level 83.8 dB(A)"
    assert lex.band == "80 dB(A), lower action value reached"
    assert len(day()) == 4 and day()[-1].minutes == 230.0


def test_makers_levels_get_a_second_line() -> None:
    figures = noise_figures(day(declared=True))
    assert len(figures) == 6
    louder = figures[-1]
    assert louder.what.endswith("with 10 dB on top") and louder.value == pytest.approx(93.8, abs=0.05)
    assert louder.band == "87 dB(A), limit value (without protectors) reached"
    assert "half a dose: the action level of 85 dB(A) is reached" in figures[3].notes


@pytest.mark.parametrize("place,bold", [
    ("United States", ["noise dose of the day, OSHA"]), ("France", ["noise of the day, LEX,8h"]), (None, []),
    ("Japan", [])])
def test_the_place_picks_the_rule_in_bold(place: str | None, bold: list[str]) -> None:
    assert [one.what for one in noise_figures(day(), place=place) if one.binding] == bold


def test_a_quiet_day_counts_none() -> None:
    osha, niosh, lex = noise_figures(with_background([]))
    assert osha.value == niosh.value == 0.0
    assert osha.band == niosh.band == NONE_COUNTED
    assert lex.band == "under 80 dB(A) by this sum"
    assert noise_figures([])[2].no_number == "no minutes given"
    with pytest.raises(UnknownName, match=r"^place is 'Mars'; "):
        noise_figures(day(), place="Mars")


def test_vibration_of_a_lid_and_rim_day() -> None:
    """140 min at 8.5 and 110 min at 4.0: 337 + 59 points; low 7 and 2.5, high 10 and 6."""
    assert [points([(140.0, 8.5)]), points([(110.0, 4.0)])] == pytest.approx([337.0, 59.0], abs=0.5)
    assert (minutes_to(2.5, 8.5), minutes_to(5.0, 8.5)) == pytest.approx((42.0, 166.0), abs=0.6)
    assert a8([(140.0, 8.5), (110.0, 4.0)]) == pytest.approx(4.97, abs=0.005)
    rows = ((140.0, workplace("random-orbit sander", "vibration, typical")),
            (110.0, workplace("rotary polisher", "vibration")))
    likely, low, high = vibration_figures([TriggerTime(m, row.likely, row.low, row.high) for m, row in rows])
    assert (likely.value, low.value, high.value) == pytest.approx((4.97, 3.97, 6.12), abs=0.005)
    assert likely.notes[0].startswith("396 points")
    assert (likely.band, high.band) == ("act: share it, other tool, less time", "not this way")
    assert deciding((likely, low, high)) is likely


def test_dust_lid_and_wheel() -> None:
    scale = dust_scale(2.1, 40.0, 60.0)
    assert (scale.removed_cm3, scale.dust_g) == pytest.approx((84.0, 101.0), abs=0.5)
    assert scale.room_mg_per_m3 == pytest.approx(16.8, abs=0.05)
    assert scale.cloud_m3 == pytest.approx(3.4, abs=0.05)
    share = lid_share(2.1, 22.0, 0.8, 2)
    assert (share.lid_kg, share.even_kg, share.uneven_kg) == pytest.approx((35.5, 17.8, 26.6), abs=0.05)
    assert share.over_ideal_lift
    assert (rim_speed(0.20, 1800.0), rim_speed(0.25, 2800.0)) == pytest.approx((18.8, 36.7), abs=0.06)


def every_figure() -> tuple[Worked, ...]:
    return (
        *solvent_figures("isopropyl alcohol", *WIPE, ROOM, LAW),
        *fill_figures(typed("resin", 60.0, "g"), None, None, ROOM, LAW),
        *shared_figures((*solvent_figures("acetone", *WIPE, ROOM, LAW),
                         *solvent_figures("toluene", *WIPE, ROOM, LAW))),
        *lel_figures("mineral spirits", WIPE[0], ROOM),
        *noise_figures(day(declared=True), place="France"),
        *vibration_figures([TriggerTime(60.0, workplace("rotary polisher", "vibration").likely, 2.5, 6.0)]),
        *dust_figures(typed("film taken dry", 84.0, "cm3"), ROOM),
        *lid_figures(typed("area", 2.1, "m2"), typed("thickness", 22.0, "mm"), typed("film", 0.8, "mm"), 2),
        wheel_figure(typed("diameter", 0.25, "m"), typed("speed", 2800.0, "rpm"), None),
    )


def test_every_figure_carries_inputs_formula_basis_and_what_it_is_not() -> None:
    for one in every_figure():
        assert one.basis == BASIS == "worked out, not measured"
        assert one.formula and one.inputs and one.not_claimed
        assert one.said and "e+" not in one.said
        assert all(given.kind and given.unit for given in one.inputs)
        if one.limit is not None:
            assert one.limit.whose and one.limit.source and one.limit.trust


def test_no_figure_ever_promises() -> None:
    for one in every_figure():
        said = " ".join((one.said, one.band, *one.notes, *one.warnings)).lower()
        for promise in ("safe", "complian", "within the limit", "no risk"):
            assert promise not in said


def test_dust_without_a_room_and_a_wheel_nobody_measured() -> None:
    assert len(dust_figures(typed("film taken dry", 84.0, "cm3"), workroom())) == 2
    unknown = wheel_figure(None, typed("speed", 1800.0, "rpm"), None)
    assert unknown.value is None and unknown.no_number == "diameter or speed of the wheel is not known"
