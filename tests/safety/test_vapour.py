"""The air sums: units, limits of the model, and the closed forms against a stepped one."""

from decimal import Decimal, localcontext

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from finishplan.errors import BadValue
from finishplan.safety import vapour
from finishplan.safety.air_course import mean_of_rise, second_of_rise
from finishplan.safety.vapour import AirSum, near_face, room_air

MOLAR_MASS = 60.1
masses = st.floats(1.0, 500_000.0)
rooms = st.floats(5.0, 500.0)
changes = st.one_of(st.just(0.0), st.floats(1e-9, 30.0))
evaporations = st.floats(1.0, 120.0)
extra_stay = st.floats(0.0, 300.0)
betas = st.floats(0.5, 22.0)


def case(room_m3: float, n: float, te: float, extra: float) -> dict[str, float]:
    return {"molar_mass_g_per_mol": MOLAR_MASS, "room_m3": room_m3, "air_changes_per_h": n,
            "evaporation_min": te, "stay_min": te + extra}


def stepped(
    mass: float, room_m3: float, n: float, te: float, stay: float, beta: float | None, cap: float
) -> tuple[float, float]:
    """8 h and worst 15 min figure [mg/m3] by stepping the balance of the room minute by minute's hundredth."""
    step = 0.01
    ends = np.arange(step, stay + step / 2, step)
    emission, k = mass / te, n / 60.0
    air = np.empty(len(ends))
    here = 0.0
    for i, end in enumerate(ends):
        source = emission / room_m3 if end <= te + step / 2 else 0.0
        half = here + 0.5 * step * (source - k * here)
        here += step * (source - k * half)
        air[i] = here
    middle = 0.5 * (air + np.concatenate([[0.0], air[:-1]]))
    face = emission / beta if beta else 0.0
    breathed = np.minimum(middle + face * (ends <= te + step / 2), cap) * step
    summed = np.concatenate([[0.0], np.cumsum(breathed)])
    window = round(15.0 / step)
    if len(ends) < window:
        return summed[-1] / 480.0, summed[-1] / 15.0
    return summed[-1] / 480.0, float((summed[window:] - summed[:-window]).max()) / 15.0


CASES = [
    # mass mg, room, n, te, stay, beta, share of the highest that the air can hold (None: no cap)
    (47_400.0, 60.0, 1.0, 10.0, 60.0, None, None),
    (47_400.0, 60.0, 1.0, 10.0, 60.0, 3.0, None),
    (47_400.0, 60.0, 0.0, 10.0, 60.0, None, None),
    (47_400.0, 60.0, 0.0, 10.0, 22.0, 3.0, None),
    (12_881.0, 60.0, 1.0, 30.0, 60.0, 3.0, None),
    (12_881.0, 60.0, 12.0, 30.0, 60.0, 22.0, None),
    (12_881.0, 20.0, 6.0, 30.0, 32.0, None, None),
    (12_881.0, 20.0, 30.0, 12.0, 120.0, None, None),
    (5_000.0, 40.0, 3.0, 6.0, 9.0, 6.0, None),
    (5_000.0, 40.0, 3.0, 6.0, 9.0, None, None),
    (47_400.0, 60.0, 1.0, 10.0, 60.0, None, 0.5),
    (47_400.0, 60.0, 1.0, 10.0, 60.0, 3.0, 0.5),
    (47_400.0, 60.0, 1.0, 10.0, 60.0, 3.0, 0.9),
    (47_400.0, 60.0, 0.0, 10.0, 60.0, 3.0, 0.3),
    (47_400.0, 12.0, 4.0, 40.0, 90.0, None, 0.7),
    (47_400.0, 12.0, 4.0, 40.0, 90.0, 11.0, 0.7),
]


@pytest.mark.parametrize("mass,room_m3,n,te,stay,beta,held", CASES)
def test_closed_form_equals_stepping(
    mass: float, room_m3: float, n: float, te: float, stay: float, beta: float | None, held: float | None
) -> None:
    free = vapour.air_course(mass, room_m3=room_m3, air_changes_per_h=n, evaporation_min=te, beta_m3_per_min=beta)
    cap = float("inf") if held is None else held * free.mg_per_m3(te)
    course = vapour.air_course(mass, room_m3=room_m3, air_changes_per_h=n, evaporation_min=te,
                               beta_m3_per_min=beta, cap_mg_per_m3=cap)
    twa8, c15 = stepped(mass, room_m3, n, te, stay, beta, cap)
    assert course.integral(stay) / 480.0 == pytest.approx(twa8, rel=2e-4)
    assert course.highest_mean(15.0, stay) == pytest.approx(c15, rel=2e-4)


@given(masses, rooms, changes, evaporations, extra_stay, st.one_of(st.none(), betas), st.one_of(
    st.none(), st.floats(0.05, 0.999)))
def test_worst_window_beats_every_other(
    mass: float, room_m3: float, n: float, te: float, extra: float, beta: float | None, held: float | None
) -> None:
    free = vapour.air_course(mass, room_m3=room_m3, air_changes_per_h=n, evaporation_min=te, beta_m3_per_min=beta)
    cap = float("inf") if held is None else held * free.mg_per_m3(te)
    course = vapour.air_course(mass, room_m3=room_m3, air_changes_per_h=n, evaporation_min=te,
                               beta_m3_per_min=beta, cap_mg_per_m3=cap)
    stay = te + extra
    best = course.highest_mean(15.0, stay)
    scanned = [(course.integral(min(s + 15.0, stay)) - course.integral(s)) / 15.0
               for s in np.arange(0.0, max(stay - 15.0, 0.0) + 0.1, 0.1)]
    assert best >= max(scanned) * (1.0 - 1e-9)
    assert best <= cap * (1.0 + 1e-9)
    assert best <= max(course.mg_per_m3(te), course.mg_per_m3(te - 1e-9)) * (1.0 + 1e-9)


@given(masses, masses, rooms, changes, evaporations, extra_stay, betas)
def test_more_solvent_never_gives_less(
    one: float, two: float, room_m3: float, n: float, te: float, extra: float, beta: float
) -> None:
    less, more = sorted((one, two))
    where = case(room_m3, n, te, extra)
    for sum_of in (room_air, near_face):
        small, big = sum_of(less, **where), sum_of(more, **where)  # type: ignore[operator]
        assert small.twa8_ppm <= big.twa8_ppm * (1.0 + 1e-12)
        assert small.c15_ppm <= big.c15_ppm * (1.0 + 1e-12)


@given(masses, rooms, changes, evaporations, extra_stay, betas)
def test_near_the_face_is_never_under_the_room(
    mass: float, room_m3: float, n: float, te: float, extra: float, beta: float
) -> None:
    where = case(room_m3, n, te, extra)
    room, near = room_air(mass, **where), near_face(mass, **where, beta_m3_per_min=beta)
    for figure in ("twa8_ppm", "c15_ppm", "end_ppm", "evaporating_mean_ppm"):
        assert getattr(near, figure) >= getattr(room, figure) * (1.0 - 1e-12)
    assert near.twa8_ppm - room.twa8_ppm == pytest.approx(vapour.ppm(mass / beta / 480.0, MOLAR_MASS), rel=1e-6)


@given(masses, rooms, evaporations, extra_stay, st.one_of(st.none(), betas))
def test_a_closed_room_is_the_limit_of_a_hardly_aired_one(
    mass: float, room_m3: float, te: float, extra: float, beta: float | None
) -> None:
    def figures(n: float) -> AirSum:
        where = case(room_m3, n, te, extra)
        return room_air(mass, **where) if beta is None else near_face(mass, **where, beta_m3_per_min=beta)

    shut = figures(0.0)
    for n in (1e-12, 1e-9, 1e-6, 1e-4):
        ajar = figures(n)
        slack = 1e-9 + n * (te + extra) / 30.0
        assert ajar.twa8_ppm == pytest.approx(shut.twa8_ppm, rel=slack)
        assert ajar.c15_ppm == pytest.approx(shut.c15_ppm, rel=slack)
        assert ajar.end_ppm == pytest.approx(shut.end_ppm, rel=slack)


@given(masses, rooms, st.floats(0.1, 20.0), st.floats(0.1, 20.0), evaporations, extra_stay)
def test_more_air_never_gives_more(
    mass: float, room_m3: float, one: float, two: float, te: float, extra: float
) -> None:
    few, many = sorted((one, two))
    stuffy, aired = room_air(mass, **case(room_m3, few, te, extra)), room_air(mass, **case(room_m3, many, te, extra))
    assert aired.twa8_ppm <= stuffy.twa8_ppm * (1.0 + 1e-9)
    assert aired.c15_ppm <= stuffy.c15_ppm * (1.0 + 1e-9)


@given(masses, rooms, st.floats(0.5, 20.0), st.floats(5.0, 60.0))
def test_endless_stay_comes_to_the_bound(mass: float, room_m3: float, n: float, te: float) -> None:
    air = near_face(mass, molar_mass_g_per_mol=MOLAR_MASS, room_m3=room_m3, air_changes_per_h=n,
                    evaporation_min=te, stay_min=1440.0)
    assert air.twa8_bound_ppm is not None
    left = np.exp(-n / 60.0 * (1440.0 - te))
    assert air.twa8_ppm <= air.twa8_bound_ppm * (1.0 + 1e-9)
    assert air.twa8_ppm >= air.twa8_bound_ppm * (1.0 - left * max(1.0, n / 60.0 * te) - 1e-9)


@settings(max_examples=50)
@given(masses, rooms, changes, evaporations, extra_stay, st.floats(1.0, 50_000.0))
def test_air_never_holds_more_than_it_can(
    mass: float, room_m3: float, n: float, te: float, extra: float, held_ppm: float
) -> None:
    where = case(room_m3, n, te, extra)
    for air in (room_air(mass, **where, saturation_ppm=held_ppm),
                near_face(mass, **where, saturation_ppm=held_ppm)):
        assert max(air.c15_ppm, air.end_ppm, air.evaporating_mean_ppm) <= held_ppm * (1.0 + 1e-9)
        assert air.saturated == any("saturated" in words for words in air.warnings)
    free = near_face(mass, **where)
    assert near_face(mass, **where, saturation_ppm=held_ppm).saturated == (free.end_ppm > held_ppm * (1.0 + 1e-12)) or (
        free.end_ppm == pytest.approx(held_ppm))


def test_nothing_evaporates_nothing_in_the_air() -> None:
    air = near_face(0.0, molar_mass_g_per_mol=60.1, room_m3=60.0)
    assert (air.twa8_ppm, air.c15_ppm, air.end_ppm, air.saturated) == (0.0, 0.0, 0.0, False)


def test_a_very_long_evaporation_in_a_gale_does_not_overflow() -> None:
    air = room_air(1e6, molar_mass_g_per_mol=60.1, room_m3=60.0, air_changes_per_h=200.0,
                   evaporation_min=1440.0, stay_min=1440.0)
    steady = vapour.ppm(1e6 / 1440.0 / (60.0 * 200.0 / 60.0), 60.1)
    assert air.c15_ppm == pytest.approx(steady)


@pytest.mark.parametrize("changed,message", [
    ({"room_m3": 0.0}, r"room is 0; give a number of m3 over 0"),
    ({"room_m3": -60.0}, r"room is -60; give a number of m3 over 0"),
    ({"room_m3": float("nan")}, r"room is nan; give a number of m3 over 0"),
    ({"air_changes_per_h": -1.0}, r"air changes is -1; give a number of 1/h, 0 or more"),
    ({"evaporation_min": 0.0}, r"evaporation time is 0; give a number of minutes over 0"),
    ({"evaporation_min": -5.0}, r"evaporation time is -5; a day has 1440 minutes; give 0 to 1440"),
    ({"stay_min": 1500.0}, r"stay is 1500; a day has 1440 minutes; give 0 to 1440"),
    ({"stay_min": 5.0}, r"stay is 5; the person is there while it evaporates; give at least 10 minutes"),
    ({"molar_mass_g_per_mol": 0.0}, r"molar mass is 0; give a number of g/mol over 0"),
    ({"beta_m3_per_min": 23.0}, r"air flow at the face is 23; give m3/min over 0 and up to 22"),
    ({"beta_m3_per_min": 0.0}, r"air flow at the face is 0; give m3/min over 0 and up to 22"),
    ({"room_m3": True}, r"room is True; give a number of m3 over 0"),
    ({"room_m3": "60"}, r"room is '60'; give a number of m3 over 0"),
])
def test_what_cannot_be_is_refused(changed: dict[str, float], message: str) -> None:
    where = {"molar_mass_g_per_mol": 60.1, "room_m3": 60.0} | changed
    with pytest.raises(BadValue, match=rf"^{message}"):
        near_face(1000.0, **where)


def test_negative_solvent_is_refused() -> None:
    with pytest.raises(BadValue, match=r"^solvent is -1; give a number of ml, 0 or more$"):
        vapour.solvent_mass_mg(-1.0, 0.79)
    with pytest.raises(BadValue, match=r"^mass is -1; give a number of mg, 0 or more$"):
        room_air(-1.0, molar_mass_g_per_mol=60.1, room_m3=60.0)


@pytest.mark.parametrize("changed,word", [
    ({"room_m3": 9.0}, "closet"),
    ({"air_changes_per_h": 25.0}, "air changes an hour"),
    ({"evaporation_min": 2.0}, "minutes to evaporate"),
    ({"saturation_ppm": 10.0}, "saturated"),
])
def test_outside_its_range_it_works_out_and_warns(changed: dict[str, float], word: str) -> None:
    where = {"molar_mass_g_per_mol": 60.1, "room_m3": 60.0} | changed
    air = room_air(47_400.0, **where)
    assert air.twa8_ppm > 0.0
    assert any(word in words for words in air.warnings)
    assert not room_air(47_400.0, molar_mass_g_per_mol=60.1, room_m3=60.0).warnings


def test_a_spill_warns() -> None:
    assert any("spill" in words for words in room_air(600_000.0, molar_mass_g_per_mol=60.1, room_m3=60.0).warnings)


@given(st.floats(0.0, 1e6), st.floats(10.0, 300.0))
def test_ppm_and_back(value: float, molar_mass: float) -> None:
    assert vapour.mg_per_m3(vapour.ppm(value, molar_mass), molar_mass) == pytest.approx(value)


@given(st.floats(0.0, 1e4), st.floats(0.1, 1e4))
def test_mixture_of_one_is_value_over_limit(value: float, limit: float) -> None:
    assert vapour.mixture_index([(value, limit)]) == value / limit


def test_mixture_needs_every_limit() -> None:
    with pytest.raises(BadValue, match=r"^limit is None; give a number of the value's unit over 0$"):
        vapour.mixture_index([(10.0, 100.0), (10.0, None)])  # type: ignore[list-item]
    with pytest.raises(BadValue, match=r"^limit is 0; give"):
        vapour.mixture_index([(10.0, 0.0)])
    with pytest.raises(BadValue, match=r"^number of substances is 0; give at least one value with its limit$"):
        vapour.mixture_index([])


@given(st.floats(0.0, 5000.0), st.floats(0.5, 8.0), st.floats(1.0, 500.0))
def test_lel_shares_and_clouds_agree(ml: float, lel: float, room_m3: float) -> None:
    air = vapour.lel_air(ml, 0.8, 60.0, lel, room_m3)
    assert air.air_at_tenth_m3 == pytest.approx(10.0 * air.air_at_lel_m3)
    assert air.room_share == pytest.approx(air.air_at_lel_m3 / room_m3)
    assert vapour.lel_air(ml + 1.0, 0.8, 60.0, lel).air_at_lel_m3 > air.air_at_lel_m3
    assert vapour.lel_air(ml, 0.8, 60.0, lel).room_share is None


@pytest.mark.parametrize("lel", [0.0, -1.0, 101.0])
def test_lel_outside_percent_is_refused(lel: float) -> None:
    with pytest.raises(BadValue, match=r"^lower explosive limit is .*; give the lower explosive limit in percent"):
        vapour.lel_air(10.0, 0.8, 60.0, lel)


@given(st.floats(0.0, 5000.0), st.floats(20.0, 60.0))
def test_styrene_lines_keep_their_order(resin_g: float, percent: float) -> None:
    lines = vapour.styrene_release(resin_g, percent)
    assert lines.most_mg >= lines.gel_coat_mg >= lines.resin_mg >= 0.0
    assert not lines.warnings


@pytest.mark.parametrize("percent", [19.0, 61.0])
def test_styrene_outside_the_laws_warns(percent: float) -> None:
    assert vapour.styrene_release(60.0, percent).warnings == (vapour.OUTSIDE_LAWS,)


@pytest.mark.parametrize("percent", [0.0, -5.0, 120.0])
def test_styrene_share_that_cannot_be(percent: float) -> None:
    with pytest.raises(BadValue, match=r"^styrene share is .*; give the styrene share of the resin in percent"):
        vapour.styrene_release(60.0, percent)


def test_flash_point_margin() -> None:
    assert vapour.flash_is_near(29.9, 20.0)
    assert not vapour.flash_is_near(30.0, 20.0)
    with pytest.raises(BadValue, match=r"^room temperature is 90; give degrees Celsius"):
        vapour.flash_is_near(30.0, 90.0)


def test_vapour_pressure_over_the_air_itself_is_refused() -> None:
    assert vapour.saturation_ppm(7.6) == pytest.approx(10_000.0)
    with pytest.raises(BadValue, match=r"^vapour pressure is 800; give the vapour pressure in mmHg"):
        vapour.saturation_ppm(800.0)


@pytest.mark.parametrize("x", [1e-12, 1e-6, 9e-4, 1.1e-3, 0.5, 30.0])
def test_rise_stays_exact_where_numbers_almost_cancel(x: float) -> None:
    """Against the same formulas in fractions of 60 digits."""
    with localcontext() as context:
        context.prec = 60
        exact = Decimal(x)
        assert mean_of_rise(x) == pytest.approx(float((1 - (-exact).exp()) / exact), rel=1e-14)
        assert second_of_rise(x) == pytest.approx(float((exact - 1 + (-exact).exp()) / exact**2), rel=3e-13)
