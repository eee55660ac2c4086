"""Learning a rate against the textbook's normal-normal example."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from finishplan.bench.learn import posterior

with (Path(__file__).parent / "outside_checks.csv").open(encoding="utf-8", newline="") as handle:
    L01 = next(row for row in csv.DictReader(handle) if row["id"] == "L01")


def test_l01_age_of_the_ennerdale_granophyre() -> None:
    # Source: P. M. Lee, Bayesian Statistics: an introduction, section 2.2.2 (section seen, figures from memory):
    # age by one method 370 +- 20 million years, by another 421 +- 8; together about 413 +- 7 as printed.
    prior, datum = re.findall(r"(\d+) \+- (\d+)", L01["inputs"])
    mean, variance = posterior(float(prior[0]), float(prior[1]) ** 2, [float(datum[0])], [float(datum[1]) ** 2])
    exact = [float(x) for x in re.findall(r"\d+\.\d+", L01["expected"])]
    assert (mean, variance**0.5) == (pytest.approx(exact[0], abs=0.01), pytest.approx(exact[1], abs=0.01))
    printed = [float(x) for x in re.findall(r"about (\d+) and (\d+)", L01["expected"])[0]]
    assert (mean, variance**0.5) == (pytest.approx(printed[0], abs=1.0), pytest.approx(printed[1], abs=1.0))


def test_two_physicists() -> None:
    # Source: G. E. P. Box and G. C. Tiao, Bayesian Inference in Statistical Analysis (1973), section 1.2 (from
    # memory): priors 900 +- 20 and 800 +- 80, one reading 850 +- 40; afterwards 890 +- 17.9 and 840 +- 35.8.
    for prior, sd, printed in ((900.0, 20.0, (890.0, 17.9)), (800.0, 80.0, (840.0, 35.8))):
        mean, variance = posterior(prior, sd**2, [850.0], [40.0**2])
        assert mean == pytest.approx(printed[0], abs=0.5)
        assert variance**0.5 == pytest.approx(printed[1], abs=0.05)


def test_many_data_are_one_datum_of_their_mean() -> None:
    # Any textbook (Lee 2.3): n data of variance v weigh as one datum, their mean, of variance v/n.
    data = [419.0, 425.0, 421.0, 430.0]
    many = posterior(370.0, 400.0, data, [64.0] * 4)
    one = posterior(370.0, 400.0, [sum(data) / 4], [16.0])
    assert many == pytest.approx(one, rel=1e-12)
