"""The draws of the audit against what standards and tables print, run through the audit's own functions."""

from __future__ import annotations

import csv
import math
from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from finishplan.planning.risk_draws import SHARED, Draws, draw_shared, least_of_normals, stream, too_high_um
from finishplan.planning.risk_model import DepthRange, RiskFigures
from finishplan.planning.risk_result import quantile
from finishplan.survey.film import METHODS

TRIALS = 1_000_000
TOLERANCE = 0.02
"""What a million trials leave open, as row C01 states it."""
with (Path(__file__).parent / "outside_checks.csv").open(encoding="utf-8", newline="") as handle:
    C01 = next(row for row in csv.DictReader(handle) if row["id"] == "C01")


def ends_95(values: np.ndarray) -> tuple[float, float]:
    """The interval that holds 95 %, with equal tails."""
    ordered = np.sort(values)
    return quantile(ordered, 0.025), quantile(ordered, 0.975)


def test_c01_sum_of_four_standard_normals() -> None:
    # Source: JCGM 101:2008 9.2.2 (from memory, recomputed: 2 x 1.95996). The log of a removal factor is
    # normal; with cv sqrt(e - 1) its standard deviation is 1, and four steps add up.
    assert (C01["inputs"], C01["expected"]) == ("sum of 4 N(0,1)", "u 2.00; 95 % [-3.92, 3.92]")
    draws = Draws(np.random.default_rng(101), TRIALS)
    product = np.ones(TRIALS)
    for _ in range(4):
        product *= draws.factor(math.sqrt(math.e - 1.0))
    total = np.log(product)
    assert total.std() == pytest.approx(2.00, abs=TOLERANCE)
    assert ends_95(total) == pytest.approx((-3.92, 3.92), abs=TOLERANCE)


def test_sum_of_four_rectangular_gauge_errors() -> None:
    # Source: JCGM 101:2008 9.2.3 (from memory): four rectangular quantities of mean 0 and standard uncertainty
    # 1 give u 2.00 and 95 % [-3.88, 3.88]; the exact end is 2 sqrt(3) (2 - (3/5)^(1/4)). Here: the shared
    # errors of four gauges, each with a bias of sqrt(3) in the mean.
    exact = 2.0 * math.sqrt(3.0) * (2.0 - 0.6**0.25)
    assert exact == pytest.approx(3.88, abs=0.005)
    shared = draw_shared(stream(101, 0, SHARED, TRIALS, Counter()), RiskFigures())
    total = too_high_um(dict.fromkeys(list(METHODS)[:4], math.sqrt(3.0)), shared, TRIALS)
    assert total.std() == pytest.approx(2.00, abs=TOLERANCE)
    assert ends_95(total) == pytest.approx((-3.88, 3.88), abs=TOLERANCE)


@pytest.mark.parametrize("n, d2", [(2, 1.128), (5, 2.326), (10, 3.078), (20, 3.735), (25, 3.931)])
def test_least_of_n_is_half_the_expected_range_of_control_charts(n: int, d2: float) -> None:
    # Source: the constant d2 of control charts, the expected range of n standard normals (Tippett 1925;
    # printed in ASTM and textbook tables of control chart constants). By symmetry the least is -d2/2.
    least = least_of_normals(Draws(np.random.default_rng(n), TRIALS).exponential(), float(n))
    assert -2.0 * least.mean() == pytest.approx(d2, abs=0.0005 + 8.0 * least.std() / math.sqrt(TRIALS))


def test_depth_has_the_mean_and_about_the_spread_of_pert() -> None:
    # Source: Malcolm, Roseboom, Clark and Fazar 1959, "Application of a technique for research and development
    # program evaluation" (from memory): mean (low + 4 likely + high)/6, standard deviation about a sixth of
    # the span. The mean is exact for the beta with weight 4, the spread a rule of thumb.
    depth = Draws(np.random.default_rng(6), TRIALS).depth_um(DepthRange(10.0, 25.0, 60.0, 1.0, 0.0))
    assert depth.mean() == pytest.approx((10.0 + 4 * 25.0 + 60.0) / 6.0, abs=0.05)
    assert depth.std() == pytest.approx(50.0 / 6.0, rel=0.15)
