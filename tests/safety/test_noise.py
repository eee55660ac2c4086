"""Noise of the day: doses, the cut-off, and what the rules do with what cannot be."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishplan.errors import BadValue
from finishplan.safety import noise
from finishplan.safety.noise import Dose, lex_8h, niosh_dose, noise_warnings, osha_dose

levels = st.floats(40.0, 140.0)
days = st.lists(st.tuples(st.floats(0.0, 200.0), levels), min_size=1, max_size=7)


@pytest.mark.parametrize("dose_of,criterion", [(osha_dose, 90.0), (niosh_dose, 85.0)])
def test_eight_hours_at_the_criterion_is_a_full_dose(dose_of, criterion: float) -> None:  # type: ignore[no-untyped-def]
    dose, twa = dose_of([(480.0, criterion)])
    assert dose == pytest.approx(100.0)
    assert twa == pytest.approx(criterion)


@pytest.mark.parametrize("hours,twa", [(4.0, 82.0), (8.0, 85.0), (16.0, 88.0)])
def test_niosh_level_moves_by_exactly_3_db(hours: float, twa: float) -> None:
    """The factor is 3/log10 2 = 9.966, not 10; OSHA's 16.61 is as printed."""
    assert niosh_dose([(hours * 60.0, 85.0)]).twa_dba == pytest.approx(twa, abs=1e-9)
    assert osha_dose([(240.0, 90.0)]).twa_dba == pytest.approx(85.0, abs=2e-4)


def test_lex_of_eight_hours_is_the_level_itself() -> None:
    assert lex_8h([(480.0, 83.0)]) == pytest.approx(83.0)


@given(st.floats(85.0, 135.0), st.floats(1.0, 200.0))
def test_exchange_rates(level: float, minutes: float) -> None:
    assert osha_dose([(minutes, level + 5.0)]).dose_percent == pytest.approx(
        2.0 * osha_dose([(minutes, level)]).dose_percent)
    assert niosh_dose([(minutes, level + 3.0)]).dose_percent == pytest.approx(
        2.0 * niosh_dose([(minutes, level)]).dose_percent)
    twice, once = lex_8h([(2.0 * minutes, level)]), lex_8h([(minutes, level)])
    assert twice is not None and once is not None
    assert twice - once == pytest.approx(10.0 * math.log10(2.0))


@given(days, levels)
def test_more_noise_never_gives_less(day: list[tuple[float, float]], level: float) -> None:
    more = [*day, (10.0, level)]
    for dose_of in (osha_dose, niosh_dose):
        assert dose_of(more).dose_percent >= dose_of(day).dose_percent
    before, after = lex_8h(day), lex_8h(more)
    assert after is not None and (before is None or after >= before - 1e-9)


@given(days)
def test_order_of_the_day_does_not_count(day: list[tuple[float, float]]) -> None:
    assert osha_dose(day[::-1]).dose_percent == pytest.approx(osha_dose(day).dose_percent)
    assert niosh_dose(day[::-1]).dose_percent == pytest.approx(niosh_dose(day).dose_percent)


@given(st.lists(st.tuples(st.floats(1.0, 60.0), st.floats(60.0, 120.0)), min_size=1, max_size=6))
def test_niosh_level_without_cut_off_is_lex(day: list[tuple[float, float]]) -> None:
    """Same energy rule but for 3 dB taken as a halving where it is 3.01: within 0.5 % of the distance."""
    twa, lex = niosh_dose(day, cut_off_dba=None).twa_dba, lex_8h(day)
    assert twa is not None and lex is not None
    assert twa == pytest.approx(lex, abs=0.15 + 0.005 * abs(lex - 85.0))


def test_cut_off_is_a_parameter() -> None:
    day = [(480.0, 79.0)]
    assert osha_dose(day) == Dose(0.0, None)
    assert osha_dose(day, cut_off_dba=None).dose_percent == pytest.approx(100.0 * 2.0 ** (-11.0 / 5.0))
    assert osha_dose(day, cut_off_dba=75.0) == osha_dose(day, cut_off_dba=None)
    assert osha_dose([(480.0, 80.0)]).dose_percent == pytest.approx(25.0)
    assert niosh_dose([(480.0, 80.0)]).dose_percent == pytest.approx(100.0 * 2.0 ** (-5.0 / 3.0))


def test_nothing_counted_has_no_level() -> None:
    assert osha_dose([]) == Dose(0.0, None)
    assert niosh_dose([(100.0, 60.0)]) == Dose(0.0, None)
    assert lex_8h([]) is None
    assert lex_8h([(0.0, 100.0)]) is None


@pytest.mark.parametrize("day,message", [
    ([(10.0, 200.0)], r"level is 200; give 40 to 140 dB\(A\)"),
    ([(10.0, 39.0)], r"level is 39; give 40 to 140 dB\(A\)"),
    ([(-1.0, 90.0)], "minutes is -1; a day has 1440 minutes; give 0 to 1440"),
    ([(1500.0, 90.0)], "minutes is 1500; a day has 1440 minutes; give 0 to 1440"),
    ([(800.0, 90.0), (700.0, 80.0)], "sum of the minutes is 1500; a day has 1440 minutes"),
    ([(10.0, float("nan"))], r"level is nan; give 40 to 140 dB\(A\)"),
])
def test_what_cannot_be_is_refused(day: list[tuple[float, float]], message: str) -> None:
    for sum_of in (osha_dose, niosh_dose, lex_8h, noise_warnings):
        with pytest.raises(BadValue, match=f"^{message}"):
            sum_of(day)


def test_cut_off_that_cannot_be() -> None:
    with pytest.raises(BadValue, match=r"^cut-off level is 8; give 40 to 140 dB\(A\), or leave it empty"):
        osha_dose([(10.0, 90.0)], cut_off_dba=8.0)


def test_outside_the_tables_it_warns() -> None:
    assert noise_warnings([(10.0, 110.0)]) == ()
    assert any("1910.95" in words for words in noise_warnings([(1.0, 116.0)]))
    assert any("over 130" in words for words in noise_warnings([(1.0, 131.0)]))
    assert any("under 80" in words for words in noise_warnings([(1.0, 90.0)], cut_off_dba=None))
    assert noise_warnings([(0.0, 131.0)]) == ()


def test_declared_levels_get_what_the_study_found() -> None:
    assert 9.0 <= noise.DECLARED_ADD_DB <= 14.0
