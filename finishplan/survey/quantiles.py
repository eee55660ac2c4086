"""The quantiles that film and depth stand on, worked out here: normal, noncentral t, beta.

A library has them all, but importing it takes longer than a whole plan. Tests hold these against it to
1e-9 over the range used here, and against printed tables.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
ROOT_TWO = math.sqrt(2.0)
MOST_ROUNDS = 200


def normal_cdf(x: float) -> float:
    """Return the standard normal distribution function at ``x``."""
    return 0.5 * math.erfc(-x / ROOT_TWO)


def normal_density(x: float) -> float:
    """Return the standard normal density at ``x``."""
    return math.exp(-0.5 * x * x) / math.sqrt(2.0 * math.pi)


@cache
def normal_quantile(share: float) -> float:
    """Return the standard normal quantile of ``share``, 0 < share < 1.

    >>> round(normal_quantile(0.95), 6)
    1.644854
    """
    return solved(lambda x: (normal_cdf(x) - share, normal_density(x)), -40.0, 40.0, 0.0)


CENTRE = (
    (-3.969683028665376e01, 2.209460984245205e02, -2.759285104469687e02, 1.383577518672690e02,
     -3.066479806614716e01, 2.506628277459239e00),
    (-5.447609879822406e01, 1.615858368580409e02, -1.556989798598866e02, 6.680131188771972e01,
     -1.328068155288572e01, 1.0),
)
TAIL = (
    (-7.784894002430293e-03, -3.223964580411365e-01, -2.400758277161838e00, -2.549732539343734e00,
     4.374664141464968e00, 2.938163982698783e00),
    (7.784695709041462e-03, 3.224671290700398e-01, 2.445134137142996e00, 3.754408661907416e00, 1.0),
)
"""Coefficients of a rational approximation of the normal quantile (a known one, from memory)."""
TAIL_SHARE = 0.02425


def normal_quantiles(share: Floats) -> Floats:
    """Return the standard normal quantile of every ``share``, any shape; relative error under 2e-9.

    For simulation, where a few digits do; -inf and inf at 0 and 1. Valid for 0 <= share <= 1.
    """
    least = np.minimum(share, 1.0 - share)
    with np.errstate(divide="ignore", invalid="ignore"):
        off = least - 0.5
        square = off * off
        inner = np.polyval(CENTRE[0], square) * off / np.polyval(CENTRE[1], square)
        far = np.sqrt(-2.0 * np.log(least))
        outer = np.polyval(TAIL[0], far) / np.polyval(TAIL[1], far)
    found = np.where(least < TAIL_SHARE, np.where(least > 0.0, outer, -np.inf), inner)
    return np.asarray(np.where(share <= 0.5, found, -found))


def solved(function: Callable[[float], tuple[float, float]], low: float, high: float, start: float) -> float:
    """Return the root of a rising function (value, slope) between ``low`` and ``high``: Newton, kept in bounds."""
    x = start
    for _ in range(MOST_ROUNDS):
        value, slope = function(x)
        low, high = (low, x) if value > 0 else (x, high)
        step = x - value / slope if slope > 0 else math.inf
        new = step if low <= step <= high else 0.5 * (low + high)
        if abs(new - x) <= 1e-13 * max(1.0, abs(x)):
            return new
        x = new
    return x


@cache
def spread_grid(nu: float) -> tuple[tuple[float, float], ...]:
    """Return points s and weights of the distribution of sqrt(chi2/nu), nu > 0.

    With s = e^u the density falls off on both sides, so equal steps in u converge faster than any power.
    """
    wide = 12.0 / math.sqrt(2.0 * nu)
    low, high = -max(wide, 40.0 / nu), min(max(wide, 1.0), 5.0)
    step = min(0.05, 0.15 / math.sqrt(2.0 * nu))
    lead = math.log(2.0) + 0.5 * nu * math.log(0.5 * nu) - math.lgamma(0.5 * nu)
    grid = []
    for k in range(int((high - low) / step) + 1):
        u = low + k * step
        log_weight = lead + nu * u - 0.5 * nu * math.exp(2.0 * u)
        if log_weight > -80.0:
            grid.append((math.exp(u), step * math.exp(log_weight)))
    return tuple(grid)


def noncentral_t_cdf(t: float, nu: float, delta: float) -> tuple[float, float]:
    """Return the noncentral t distribution function and density at ``t``.

    P(T <= t) is the mean of Phi(t s - delta) over s = sqrt(chi2/nu).
    """
    value = slope = 0.0
    for s, weight in spread_grid(nu):
        x = t * s - delta
        value += weight * normal_cdf(x)
        slope += weight * s * normal_density(x)
    return value, slope


@cache
def noncentral_t_quantile(share: float, nu: float, delta: float) -> float:
    """Return the noncentral t quantile of ``share`` with ``nu`` degrees of freedom and shift ``delta``.

    Valid for 0 < share < 1, nu >= 0.05, delta >= 0.

    >>> round(noncentral_t_quantile(0.99, 42.0, 1.2815515655446004 * 43**0.5) / 43**0.5, 5)
    1.87395
    """

    def off(t: float) -> tuple[float, float]:
        value, slope = noncentral_t_cdf(t, nu, delta)
        return value - share, slope

    near = near_quantile(share, nu, delta)
    span = 0.2 * max(1.0, abs(near))
    low, high = near - span, near + span
    while off(high)[0] < 0:
        low, span = high, 2.0 * span
        high += span
    while off(low)[0] > 0:
        high, span = low, 2.0 * span
        low -= span
    return solved(off, low, high, near if low < near < high else high)


def near_quantile(share: float, nu: float, delta: float) -> float:
    """Return about the noncentral t quantile, to start from: T taken as normal (Johnson and Welch 1940)."""
    z = normal_quantile(share)
    under = 1.0 - z * z / (2.0 * nu)
    inside = 1.0 + (delta * delta - z * z) / (2.0 * nu)
    return (delta + z * math.sqrt(inside)) / under if under > 0 < inside else delta


def beta_share(x: float, a: float, b: float) -> float:
    """Return the regularised incomplete beta function I_x(a, b) by its continued fraction (a, b >= 1)."""
    if x <= 0.0 or x >= 1.0:
        return 0.0 if x <= 0.0 else 1.0
    if x > (a + 1.0) / (a + b + 2.0):
        return 1.0 - beta_share(1.0 - x, b, a)
    front = math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    ) / a
    return front * beta_fraction(x, a, b)


def beta_fraction(x: float, a: float, b: float) -> float:
    """Return the continued fraction of the incomplete beta function (modified Lentz; any numerical textbook)."""
    tiny = 1e-300
    c, d = 1.0, 1.0 - (a + b) * x / (a + 1.0)
    d = 1.0 / (d if abs(d) > tiny else tiny)
    found = d
    for m in range(1, MOST_ROUNDS):
        even = m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0))
        before = found
        for term in (even, odd):
            d = 1.0 + term * d
            c = 1.0 + term / c
            d = 1.0 / (d if abs(d) > tiny else tiny)
            c = c if abs(c) > tiny else tiny
            found *= c * d
        if abs(found - before) <= 1e-16 * abs(found):
            break
    return found


@cache
def beta_quantile(share: float, a: float, b: float) -> float:
    """Return the beta quantile of ``share`` for a, b >= 1.

    >>> round(beta_quantile(0.5, 2.0, 2.0), 9)
    0.5
    """
    log_scale = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)

    def off(x: float) -> tuple[float, float]:
        density = math.exp(log_scale + (a - 1.0) * math.log(x) + (b - 1.0) * math.log1p(-x)) if 0 < x < 1 else 0.0
        return beta_share(x, a, b) - share, density

    return solved(off, 0.0, 1.0, a / (a + b))
