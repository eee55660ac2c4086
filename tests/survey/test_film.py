"""Film statistics: pooling, bias, echoes, what more readings buy."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishplan.survey.film import METHODS, bias_of, film_from, gain_of_readings, sample_sd, suspects, tolerance_factor

FIGURES = {"coverage": 0.95, "confidence": 0.90, "prior_share": 0.10, "prior_worth": 4.0}
films = st.lists(st.floats(min_value=20.0, max_value=2000.0), min_size=1, max_size=12)


def test_one_reading_without_shop_spread_counts_nothing() -> None:
    assert film_from([400.0], ["ultrasonic"], prior_worth=0.0).low_um == 0.0


def test_the_largest_bias_of_the_methods_used_is_taken() -> None:
    assert bias_of(400.0, ["ultrasonic", "step at mortise"]) == 15.0
    assert bias_of(400.0, ["ultrasonic"]) == pytest.approx(14.0)
    assert bias_of(400.0, ["estimate"]) == pytest.approx(120.0)


@given(films)
def test_counted_film_is_under_the_mean_and_never_negative(values: list[float]) -> None:
    film = film_from(values, ["ultrasonic"] * len(values))
    assert 0.0 <= film.low_um < film.mean_um
    assert film.low_um <= max(0.0, film.perfect_um)


@given(films, st.floats(min_value=0.1, max_value=100.0))
def test_more_film_everywhere_counts_more(values: list[float], more: float) -> None:
    # The usual spread grows with the mean, so the counted film grows by less than the film, but it grows.
    before = film_from(values, ["step at mortise"] * len(values))
    after = film_from([v + more for v in values], ["step at mortise"] * len(values))
    assert after.low_um >= before.low_um - 1e-9


@given(films)
def test_even_readings_buy_film_and_never_cost_any(values: list[float]) -> None:
    film = film_from(values, ["ultrasonic"] * len(values))
    assert gain_of_readings(film, 8, **FIGURES) >= -1e-9


def test_eight_more_readings_are_worth_what_the_formula_says() -> None:
    film = film_from([412.0, 398.0], ["ultrasonic"] * 2)
    n, nu = 10, 13.0
    low = film.mean_um - tolerance_factor(n, nu, 0.95, 0.90) * film.spread_um - film.bias_um
    assert gain_of_readings(film, 8, **FIGURES) == pytest.approx(low - film.low_um)


@pytest.mark.parametrize(
    ("values", "found"),
    [
        ((33.0, 201.0, 210.0, 218.0), (0,)),  # a gauge application note's set, published, low trust
        ((95.0, 205.0, 210.0), (0,)),
        ((400.0, 395.0, 190.0), (2,)),
        ((400.0, 395.0, 210.0), ()),
        ((95.0, 180.0, 185.0), ()),
        ((95.0,), ()),
    ],
)
def test_echoes_are_found_and_kept(values: tuple[float, ...], found: tuple[int, ...]) -> None:
    assert suspects(values) == found


def test_sample_sd_is_the_textbook_one() -> None:
    assert sample_sd([2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0]) == pytest.approx(math.sqrt(32 / 7))
    assert sample_sd([5.0]) == 0.0


def test_every_method_has_its_source_kind() -> None:
    assert all(method.source_kind for method in METHODS.values())
    assert not math.isfinite(tolerance_factor(1, 0.0, 0.95, 0.90))
