"""Film that counts, depth that is planned for, and what is seen: the survey figures of the generic model."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import sqrt
from statistics import NormalDist, fmean, variance
from typing import Any

from finishplan.speed.generic_tables import VIEWS_COARSE_TO_FINE, Tables

EDGE_KINDS = ("edge", "corner")


def film_low_um(readings: Sequence[tuple[float, str]], tables: Tables) -> float:
    """Film to count on [um]: max(0, m - k s - bias), a one-sided tolerance limit with a pooled spread.

    `readings` are (um, method) pairs, at least one. s^2 = (nu0 s0^2 + (n-1) s_n^2) / nu, nu = nu0 + n - 1,
    k the noncentral t quantile over sqrt(n). One reading with nu0 = 0 gives 0.
    """
    from scipy.special import nctdtrit

    policy = tables.policy
    values = [um for um, _ in readings]
    n, mean = len(values), fmean(values)
    nu = policy["prior_worth"] + n - 1
    if nu <= 0:
        return 0.0
    own = variance(values) if n > 1 else 0.0
    s2 = (policy["prior_worth"] * (policy["prior_share"] * mean) ** 2 + (n - 1) * own) / nu
    delta = NormalDist().inv_cdf(policy["coverage"]) * sqrt(n)
    k = float(nctdtrit(nu, delta, policy["confidence"])) / sqrt(n)
    bias = max(tables.method_bias[method][0] + tables.method_bias[method][1] * mean for _, method in readings)
    return float(max(0.0, mean - k * sqrt(s2) - bias))


def zone_readings(panel: Mapping[str, Any], zone: Mapping[str, Any],
                  tables: Tables) -> list[tuple[float, str]]:
    """The zone's readings, or one reading of method `estimate` where there are none.

    Without an estimate a field or curve counts the default film, an edge or corner a share of the mean of
    the panel's field (and curve) readings, else of the default.
    """
    own = _readings(zone)
    if own:
        return own
    if zone.get("film_estimate_um") is not None:
        return [(float(zone["film_estimate_um"]), "estimate")]
    film = float(tables.policy["default_film_um"])
    if zone.get("kind", "field") in EDGE_KINDS:
        fields = [um for other in panel["zones"] if other.get("kind", "field") not in EDGE_KINDS
                  for um, _ in _readings(other)]
        film = tables.policy["edge_film_share"] * (fmean(fields) if fields else film)
    return [(film, "estimate")]


def _readings(zone: Mapping[str, Any]) -> list[tuple[float, str]]:
    return [(float(reading["um"]), reading["method"]) for reading in zone.get("readings") or ()]


def keep_um(build: str | None, zone_kind: str, tables: Tables) -> float:
    """Film that must stay [um], by build and place."""
    row = "pigmented through" if build == "pigmented through" else "clear or unknown"
    return float(tables.policy["keep"][row][zone_kind])


def depth_range_um(defect: Mapping[str, Any], tables: Tables) -> tuple[float, float, float] | None:
    """Low, likely and high depth [um]: as typed, else by kind, else None."""
    typed = defect.get("depth_um")
    if typed is None:
        return tables.kinds[defect["kind"]].depth_um
    if isinstance(typed, Mapping):
        return float(typed["low"]), float(typed["likely"]), float(typed["high"])
    return float(typed), float(typed), float(typed)


def narrowed_by_test_um(span: tuple[float, float, float], test: Mapping[str, Any],
                        tables: Tables) -> tuple[float, float, float]:
    """The depth range after a test spot: left there raises low, cleared lowers high.

    What each step took is the measured difference split by Q x minutes, else Q x minutes over the area.
    A difference that the gauge cannot tell from nothing does not count. Where the trial contradicts the range,
    the depth is all that it took (cleared), or the range begins there, as wide as before, a quarter of it at least.
    """
    low, likely, high = span
    work = [tables.steps[row["step"]].rate_cm3_per_min * row["minutes"] for row in test["steps"]]
    scale = 1.0 / tables.policy["test_spot_area_m2"]
    if test.get("before") and test.get("after"):
        total = fmean(test["before"]) - fmean(test["after"])
        noise = 0.01 * fmean(test["before"]) * sqrt(1 / len(test["before"]) + 1 / len(test["after"]))
        if total > 0 and sum(work) * scale >= noise:
            scale = total / sum(work)
    taken = 0.0
    for row, share in zip(test["steps"], work, strict=True):
        taken += share * scale
        if row["cleared"]:
            high = min(high, taken)
        else:
            low = max(low, taken)
    if low > high and test["steps"][-1]["cleared"]:
        return taken, taken, taken
    if low > high:
        first, wide = span[0], max(span[2] - span[0], taken / 4)
        return taken, taken + min(likely - first, wide), taken + wide
    return low, min(max(likely, low), high), high


def planning_depth_um(span: tuple[float, float, float], quantile: float) -> float:
    """Quantile of the PERT distribution: low + (high - low) x beta quantile, weight 4 on likely [um]."""
    from scipy.special import betaincinv

    low, likely, high = span
    if high <= low:
        return high
    share = (likely - low) / (high - low)
    return low + (high - low) * float(betaincinv(1 + 4 * share, 5 - 4 * share, quantile))


def is_seen(job: Mapping[str, Any], panel: Mapping[str, Any], defect: Mapping[str, Any]) -> bool:
    """True where the defect's farthest view stands at or before the view that counts for its panel."""
    exposure = panel.get("exposure") or "seen"
    if exposure == "hidden":
        return False
    if defect.get("seen_in") is None:
        return True
    view = panel.get("seen_from") or job.get("seen_from") or "detail"
    if exposure == "half seen":
        view = "overall"
    return VIEWS_COARSE_TO_FINE.index(defect["seen_in"]) <= VIEWS_COARSE_TO_FINE.index(view)
