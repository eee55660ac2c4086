"""How much film is there: the level that a stated share of a zone reaches, with stated confidence.

A one-sided normal tolerance limit whose variance is pooled with the usual spread of the shop. With
``prior_worth`` 0 it is the textbook limit (noncentral t; NIST/SEMATECH e-Handbook 7.2.6.3).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from finishplan import reference
from finishplan.survey.quantiles import noncentral_t_quantile, normal_quantile


@dataclass(frozen=True)
class Method:
    """A way to read film: systematic error and repeatability, as um and as share of the reading."""

    name: str
    bias_um: float
    bias_share: float
    repeat_share: float
    source_kind: str


def read_methods() -> dict[str, Method]:
    """Return all reading methods by name, from the sourced table."""
    return {
        row["method"]: Method(
            row["method"], float(row["bias_um"]), float(row["bias_share"]),
            float(row["repeat_share"] or 0.0), row["source_kind"],
        )
        for row in reference.rows("film_methods")
    }


METHODS = read_methods()
GUESS_METHOD = "estimate"
"""The method of a zone nobody has read: its error is that of a guess, one for the whole instrument."""


@cache
def z_of(share: float) -> float:
    """Return the standard normal quantile of ``share`` (0 to 1)."""
    return normal_quantile(share)


@cache
def tolerance_factor(n: int, nu: float, coverage: float, confidence: float) -> float:
    """Return k of the one-sided normal tolerance limit mean - k s.

    k = t'(confidence; nu, z_coverage sqrt(n)) / sqrt(n), with t' the noncentral t quantile. Valid for
    n >= 1, nu > 0; infinite for nu = 0 (one reading and no shop spread). Source: NIST/SEMATECH
    e-Handbook 7.2.6.3; checked in tests against printed tables.

    >>> round(tolerance_factor(43, 42, 0.90, 0.99), 5)
    1.87395
    """
    if nu <= 0:
        return math.inf
    root = math.sqrt(n)
    return noncentral_t_quantile(confidence, nu, z_of(coverage) * root) / root


@dataclass(frozen=True)
class Film:
    """What a zone's readings say: all in um; ``low_um`` is the film we count on."""

    n: int
    mean_um: float
    spread_um: float
    bias_um: float
    low_um: float
    perfect_um: float
    """The low film if readings were endless and without bias: what measuring can bring at most."""
    sample_sd_um: float = 0.0


def sample_sd(values_um: Sequence[float]) -> float:
    """Return the sample standard deviation in um; 0 for one value."""
    n = len(values_um)
    if n < 2:
        return 0.0
    mean = sum(values_um) / n
    return math.sqrt(sum((v - mean) ** 2 for v in values_um) / (n - 1))


def bias_of(mean_um: float, methods: Sequence[str]) -> float:
    """Return the largest bias in um over the methods used: bias_um + bias_share x mean."""
    return max(METHODS[m].bias_um + METHODS[m].bias_share * mean_um for m in methods)


def film_from(
    values_um: Sequence[float], methods: Sequence[str], *, coverage: float = 0.95, confidence: float = 0.90,
    prior_share: float = 0.10, prior_worth: float = 4.0,
) -> Film:
    """Return the film of a zone from its readings in um.

    Pools the sample variance with (prior_share x mean)^2 worth ``prior_worth`` readings. Valid for at
    least one value, all over 0. With ``prior_worth`` 0 and one reading the low film is 0: one reading
    alone says nothing of the spread.
    """
    n = len(values_um)
    mean = sum(values_um) / n
    sd = sample_sd(values_um)
    nu = prior_worth + n - 1
    bias = bias_of(mean, methods)
    if nu <= 0:
        return Film(n, mean, 0.0, bias, 0.0, mean, sd)
    spread = math.sqrt((prior_worth * (prior_share * mean) ** 2 + (n - 1) * sd**2) / nu)
    low = max(0.0, mean - tolerance_factor(n, nu, coverage, confidence) * spread - bias)
    return Film(n, mean, spread, bias, low, mean - z_of(coverage) * spread, sd)


def gain_of_readings(film: Film, more: int, *, coverage: float, confidence: float, prior_share: float,
                     prior_worth: float) -> float:
    """Return by how many um the counted film rises if ``more`` readings come out like those so far.

    The mean and the pooled spread are taken to stay; the factor and, for an estimate without readings,
    nothing else changes.
    """
    n = film.n + more
    nu = prior_worth + n - 1
    if nu <= 0 or film.spread_um <= 0:
        return 0.0
    low = max(0.0, film.mean_um - tolerance_factor(n, nu, coverage, confidence) * film.spread_um - film.bias_um)
    return low - film.low_um


def suspects(values_um: Sequence[float], *, echo_share: float = 0.5, echo_under_um: float = 100.0,
             echo_over_um: float = 200.0) -> tuple[int, ...]:
    """Return the indices of readings that may be a surface echo.

    A reading under ``echo_share`` of the zone's median, or under ``echo_under_um`` where all others are
    over ``echo_over_um`` (a gauge maker's published set reads 33 um beside 201 to 218, low trust).
    """
    if len(values_um) < 2:
        return ()
    ordered = sorted(values_um)
    half = len(ordered) // 2
    median = ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2
    found = []
    for i, value in enumerate(values_um):
        others = [v for j, v in enumerate(values_um) if j != i]
        if value < echo_share * median or (value < echo_under_um and min(others) > echo_over_um):
            found.append(i)
    return tuple(found)
