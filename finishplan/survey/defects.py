"""Defect kinds, planning depth, and what is seen from where (method: PERT, from memory where no number)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from finishplan import reference
from finishplan.survey.choices import VIEW_ORDER
from finishplan.survey.quantiles import beta_quantile


@dataclass(frozen=True)
class Kind:
    """A kind of defect: depths in um where it has them, the repairs it allows, and what comes with it."""

    name: str
    meaning: str
    depth_um: tuple[float, float, float] | None
    repairs: tuple[str, ...]
    bars_work: bool
    may_come_back: bool
    note: str
    source_kind: str


def read_kinds() -> dict[str, Kind]:
    """Return all defect kinds by name, from the sourced table."""
    kinds: dict[str, Kind] = {}
    for row in reference.rows("defects"):
        low, likely, high = (reference.number(row, f"depth_{part}_um") for part in ("low", "likely", "high"))
        depth = (low, likely, high) if low is not None and likely is not None and high is not None else None
        kinds[row["kind"]] = Kind(
            name=row["kind"], meaning=row["meaning"], depth_um=depth,
            repairs=tuple(row["repairs"].split(";")), bars_work=row["bars_work"] == "yes",
            may_come_back=row["may_come_back"] == "yes", note=row["note"], source_kind=row["source_kind"],
        )
    return kinds


KINDS = read_kinds()


@cache
def pert_quantile_um(low_um: float, likely_um: float, high_um: float, share: float) -> float:
    """Return the ``share`` quantile of the PERT (beta) distribution over low, likely, high [um].

    Beta with alpha = 1 + 4 (likely - low)/(high - low), beta = 1 + 4 (high - likely)/(high - low);
    low = high is that value. Valid for low <= likely <= high, 0 < share < 1. Source: the usual PERT
    shape with weight 4 (common practice in estimating).

    >>> round(pert_quantile_um(8.0, 20.0, 60.0, 0.90), 4)
    37.602
    """
    if high_um <= low_um:
        return likely_um
    spread = high_um - low_um
    alpha = 1.0 + 4.0 * (likely_um - low_um) / spread
    beta = 1.0 + 4.0 * (high_um - likely_um) / spread
    return low_um + spread * beta_quantile(share, alpha, beta)


def pert_mean_um(low_um: float, likely_um: float, high_um: float) -> float:
    """Return the mean of the PERT distribution: (low + 4 likely + high)/6 [um]."""
    return (low_um + 4.0 * likely_um + high_um) / 6.0


def is_seen(seen_in: str | None, seen_from: str | None) -> bool:
    """Tell whether a defect that shows in ``seen_in`` counts for a panel looked at from ``seen_from``.

    ``seen_in`` None shows from everywhere; ``seen_from`` None is a hidden panel: nothing is seen.
    """
    if seen_from is None:
        return False
    return seen_in is None or VIEW_ORDER.index(seen_in) <= VIEW_ORDER.index(seen_from)


def counted_view(exposure: str, seen_from: str) -> str | None:
    """Return the view that counts for a panel: half seen is as from overall, hidden is none."""
    return {"seen": seen_from, "half seen": "overall", "hidden": None}[exposure]
