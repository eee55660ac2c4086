"""Learning by simulation: shops whose rates are known, through lines of a log and back."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import numpy as np
import pytest
from bench_jobs import PEEL, answer, panel, zone
from bench_logs import Book

from finishplan.bench.learn import LINE_SD, PRIOR_SD, RANGE_SHARE, Learned, learn, posterior
from finishplan.bench.observations import Observation, observations_of

SPOTS = 6
MINUTES = 13.0


@cache
def bench() -> Any:
    """A field whose first step is P800."""
    found = answer(panel(zone(PEEL)))
    assert found.plan.panels[0].sequence[0] == "P800"
    return found


def simulated_line(rng: np.random.Generator, true_rate: float) -> Observation:
    """One step of one job: the line's own rate, the film at marked spots, a gauge that repeats to 1 %."""
    found = bench()
    rate = true_rate * math.exp(rng.normal(0.0, LINE_SD))
    taken = rate * MINUTES / 0.5
    film = rng.normal(400.0, 15.0, SPOTS)
    book = Book()
    for spot, um in enumerate(film * (1 + 0.01 * rng.normal(size=SPOTS)), start=11):
        book.read(float(um), spot)
    book.minutes("P800", MINUTES)
    book.done("P800")
    for spot, um in enumerate((film - taken) * (1 + 0.01 * rng.normal(size=SPOTS)), start=11):
        book.read(float(um), spot, "P800")
    (line,) = observations_of(found.job, found.profile, found.plan, book.lines)
    return line


def simulated(seed: int, true_rate: float, lines: int) -> Learned:
    rng = np.random.default_rng(seed)
    return learn(bench().profile, [simulated_line(rng, true_rate) for _ in range(lines)])


def test_known_rates_lie_in_their_ranges_as_often_as_stated() -> None:
    # Rates as far from the shipped one as the prior says; 90 % within 3 standard errors of 400 shops.
    shops, inside = 400, 0
    rng = np.random.default_rng(11)
    for seed in range(shops):
        true_rate = 0.827 * math.exp(rng.normal(0.0, PRIOR_SD))
        (rate,) = simulated(seed, true_rate, 4).by_step
        inside += rate.low <= true_rate <= rate.high
    error = 3.0 * math.sqrt(RANGE_SHARE * (1.0 - RANGE_SHARE) / shops)
    assert inside / shops == pytest.approx(RANGE_SHARE, abs=error)


@pytest.mark.parametrize("times", [0.7, 1.0, 1.4])
def test_one_shop_that_is_not_the_shipped_one_is_found(times: float) -> None:
    # A fixed rate within one prior standard deviation: at least nine in ten, less three standard errors.
    shops = 120
    inside = sum(
        rate.low <= 0.827 * times <= rate.high
        for seed in range(shops) for rate in simulated(1000 + seed, 0.827 * times, 5).by_step
    )
    assert inside / shops >= RANGE_SHARE - 3.0 * math.sqrt(RANGE_SHARE * (1.0 - RANGE_SHARE) / shops)


def test_many_lines_find_the_rate_itself() -> None:
    (rate,) = simulated(7, 0.5, 150).by_step
    assert rate.learned == pytest.approx(0.5, rel=0.10)
    assert rate.high / rate.low < 1.12


def test_the_vectorised_sum_has_the_stated_frequency() -> None:
    # The sum alone, exactly as its own model says: 20,000 shops of 1 to 8 lines.
    rng = np.random.default_rng(3)
    shops, inside = 20_000, 0
    z = 1.6448536269514722
    for _ in range(shops):
        count = int(rng.integers(1, 9))
        variances = LINE_SD**2 + rng.uniform(0.05, 0.6, count) ** 2
        truth = rng.normal(0.0, PRIOR_SD)
        mean, variance = posterior(0.0, PRIOR_SD**2, list(truth + np.sqrt(variances) * rng.normal(size=count)),
                                   list(variances))
        inside += abs(truth - mean) <= z * math.sqrt(variance)
    assert inside / shops == pytest.approx(RANGE_SHARE, abs=3.0 * math.sqrt(0.09 / shops))
