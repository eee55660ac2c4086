"""The tables the generic model works from: reference CSV files with a shop's own changes laid over them.

Read here on their own, and not through the planner's profile, so that the two models share no code.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path
from typing import Any

VIEWS_COARSE_TO_FINE = ("overall", "detail", "hand", "lamp", "loupe")
COMPOUND_BEFORE = {"polishing compound": "cutting compound", "finishing compound": "polishing compound"}

POLICY: dict[str, Any] = {
    "clearing": 2.0, "max_step_ratio": 1.8, "overcut": 0.15, "overcut_trainee": 0.40,
    "edge_overcut_factor": 1.5, "coverage": 0.95, "confidence": 0.90, "prior_share": 0.10,
    "prior_worth": 4.0, "default_film_um": 350.0, "edge_film_share": 0.6,
    "keep": {"pigmented through": {"field": 80.0, "curve": 80.0, "edge": 60.0, "corner": 60.0},
             "clear or unknown": {"field": 120.0, "curve": 120.0, "edge": 80.0, "corner": 80.0}},
    "film_weight": None, "favours": {"quick": 0.0, "balanced": 1.0, "keep film": 3.0},
    "soften_share": 0.6, "spot_ladder": ["P1000", "P1500", "P2500"],
    "fill_ladder": ["P600", "P1000", "P1500", "P2500"], "local_hand_factor": 0.30,
    "position_upright_factor": 0.8, "trainee_factor": 0.6, "spot_kit_min": 10.0, "fill_kit_min": 25.0,
    "spot_min": 15.0, "fill_min": 25.0, "second_pour_min": 7.5, "second_pour_over_um": 500.0,
    "fill_edge_factor": 1.5, "fill_clear_factor": 1.7, "dam_min": 15.0, "fill_min_width_mm": 0.5,
    "fill_opened_over_um": 50.0, "feather_slope_mrad": 0.5, "feather_power_per_m": 0.05,
    "spot_max_share": 0.15, "spot_max_per_m2": 3.0, "blend_steps": 2, "target_scratch_um": 0.05,
    "first_cut_compound_um": 0.3, "depth_quantile": 0.90, "untouched_price": 1000.0, "refer_price": 10000.0,
    "barred_steps": [],
    "look_min": 1.0, "look_min_per_m2": 2.0, "test_spot_area_m2": 0.0225,
}
"""Start values of the policy, all replaceable by the shop (assumed)."""


@dataclass(frozen=True)
class Step:
    """One sheet grade or compound; `max_level_um` is for sheets (compounds: by tool)."""

    name: str
    sheet: bool
    d50_um: float
    scratch_um: float
    rate_cm3_per_min: float
    max_level_um: float
    change_min: float
    in_default_plan: bool

    def order(self) -> tuple[int, float]:
        """Sorting key, coarse to fine: sheets by grain size, then compounds by what they leave."""
        return (0, -self.d50_um) if self.sheet else (1, -self.scratch_um)


@dataclass(frozen=True)
class Tool:
    """One way of working: how fast, and for compounds what it accepts."""

    speed_factor: float
    cutting_coarsest_before: str | None
    max_level_um: Mapping[str, float]


@dataclass(frozen=True)
class Kind:
    """One kind of defect: its usual depth (low, likely, high) in um and what may be done with it."""

    depth_um: tuple[float, float, float] | None
    repairs: frozenset[str]
    bars_work: bool


@dataclass(frozen=True)
class Tables:
    """Everything the model looks up: steps by name, tools by (way, for), kinds, methods, policy."""

    steps: Mapping[str, Step]
    tools: Mapping[tuple[str, str], Tool]
    kinds: Mapping[str, Kind]
    method_bias: Mapping[str, tuple[float, float]]
    policy: Mapping[str, Any]


def read_tables(reference_folder: Path, shop: Mapping[str, Any] | None = None) -> Tables:
    """Read steps, tools, defects and film methods and lay a shop file's `steps`, `tools`, `policy` over them.

    `shop` is the plain dict of a shop file, or None for the shipped values. Raises OSError when a table is
    missing and KeyError or ValueError when a row cannot be read; shop files are checked elsewhere.
    """
    shop = shop or {}
    step_rows: dict[str, dict[str, Any]] = {
        row["step"]: dict(row) for row in _rows(reference_folder, "steps")}
    for change in shop.get("steps") or ():
        step_rows.setdefault(change["step"], {"step": change["step"]}).update(change)
    tool_rows: dict[tuple[str, str], dict[str, Any]] = {
        (row["way"], row["for"]): dict(row) for row in _rows(reference_folder, "tools")}
    for change in shop.get("tools") or ():
        tool_rows.setdefault((change["way"], change["for"]), {}).update(change)
    return Tables(
        steps={name: _step(row) for name, row in step_rows.items()},
        tools={key: _tool(row) for key, row in tool_rows.items()},
        kinds={row["kind"]: _kind(row) for row in _rows(reference_folder, "defects")},
        method_bias={row["method"]: (float(row["bias_um"]), float(row["bias_share"]))
                     for row in _rows(reference_folder, "film_methods")},
        policy=_over(POLICY, shop.get("policy") or {}),
    )


def _over(base: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    merged = deepcopy(dict(base))
    for name, value in changes.items():
        inner = merged.get(name)
        if isinstance(inner, dict) and isinstance(value, Mapping):
            merged[name] = _over(inner, value)
        else:
            merged[name] = value
    return merged


def _rows(folder: Path, name: str) -> list[dict[str, str]]:
    with (folder / f"{name}.csv").open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def _number(value: Any, missing: float) -> float:
    return missing if value is None or value == "" else float(value)


def _yes(value: Any) -> bool:
    return value is True or value == "yes"


def _step(row: Mapping[str, Any]) -> Step:
    return Step(
        name=row["step"], sheet=row["kind"] == "sheet", d50_um=_number(row.get("d50_um"), 0.0),
        scratch_um=float(row["scratch_depth_um"]), rate_cm3_per_min=float(row["removal_rate_cm3_per_min"]),
        max_level_um=_number(row.get("max_level_um"), float("inf")), change_min=float(row["change_min"]),
        in_default_plan=_yes(row.get("in_default_plan", True)))


def _tool(row: Mapping[str, Any]) -> Tool:
    levels = {f"{word} compound": _number(row.get(f"max_level_{word}_um"), float("inf"))
              for word in ("cutting", "polishing", "finishing")}
    return Tool(float(row["speed_factor"]), row.get("cutting_coarsest_before") or None, levels)


def _kind(row: Mapping[str, str]) -> Kind:
    low, likely, high = (row[f"depth_{word}_um"] for word in ("low", "likely", "high"))
    depth = (float(low), float(likely), float(high)) if low else None
    return Kind(depth, frozenset(row["repairs"].split(";")), row["bars_work"] == "yes")
