"""From a job to an explicit list of panels, zones, entries and candidate steps, with every bound written out.

Nothing is chosen here. Both the mixed-integer program and the plain pricing read these lists.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import pi, sqrt
from typing import Any

from finishplan.speed.generic_survey import (
    EDGE_KINDS,
    depth_range_um,
    film_low_um,
    is_seen,
    keep_um,
    narrowed_by_test_um,
    planning_depth_um,
    zone_readings,
)
from finishplan.speed.generic_tables import COMPOUND_BEFORE, Step, Tables

FACE_TOOLS = {"flat": ("machine", "rotary"), "curved": ("hand block", "rotary"), "moulded": ("hand", "hand")}
SLACK = 1e-9
Ladder = tuple[float, float]


@dataclass(frozen=True)
class Entry:
    """One defect, or the scratches of a step broken off; depths in um, minutes for the whole entry.

    `need_um` is the depth to take out (softened: its share); None where no depth is known. A repair that is
    not open has minutes None. `spot_overcut` is the overcut that holds at the spot.
    """

    kind: str
    planning_um: float | None
    need_um: float | None
    count: int
    with_zone: bool
    needs_sheet: bool
    spot_min: float | None
    spot_overcut: float
    fill_min: float | None
    leave: bool
    clean: bool


@dataclass(frozen=True)
class Zone:
    """One zone with its bounds.

    `starts` gives least and most first removal [um] by step, `arcs` the (before, after) pairs its tools
    allow, `rate` the cm3/min it is worked at, the ladders (local, c r of the last local sheet) [um] by start.
    """

    name: str
    area_m2: float
    film_low_um: float
    keep_um: float
    overcut: float
    barred: bool
    must_take_um: float
    lean: bool
    starts: Mapping[int, tuple[float, float]]
    arcs: frozenset[tuple[int, int]]
    rate: Mapping[int, float]
    spot_ladders: Mapping[int, Ladder]
    fill_ladders: Mapping[int, Ladder]
    entries: tuple[Entry, ...]

    @property
    def spare_um(self) -> float:
        """Film that may go [um]: film_low - keep."""
        return self.film_low_um - self.keep_um

    @property
    def spots_max(self) -> float:
        """Most spots together in this zone (never under one)."""
        return max(1.0, self.spots_per_m2 * self.area_m2)

    spots_per_m2: float = 3.0


@dataclass(frozen=True)
class Panel:
    """One panel: the arcs its tools and target allow, the steps it may end on, its zones."""

    name: str
    steps: tuple[int, ...]
    arcs: frozenset[tuple[int, int]]
    ends: frozenset[int]
    zones: tuple[Zone, ...]


@dataclass(frozen=True)
class Model:
    """The whole job. Steps stand coarse to fine; `carry_um[k]` = c r_k is what the step after k takes."""

    steps: tuple[Step, ...]
    carry_um: tuple[float, ...]
    panels: tuple[Panel, ...]
    film_weight: float
    policy: Mapping[str, Any]


def build_model(job: Mapping[str, Any], tables: Tables) -> Model:
    """Write out the model of one job (a valid job dict; wrong jobs are refused elsewhere)."""
    barred = set(tables.policy["barred_steps"])
    candidates = [step for step in tables.steps.values() if step.in_default_plan and step.name not in barred]
    ordered = sorted(candidates, key=Step.order)
    weight = tables.policy["film_weight"]
    if weight is None:
        weight = tables.policy["favours"][(job.get("crew") or {}).get("favour") or "balanced"]
    carry = tuple(tables.policy["clearing"] * step.scratch_um for step in ordered)
    panels = tuple(_panel(job, panel, ordered, tables) for panel in job["panels"])
    return Model(tuple(ordered), carry, panels, float(weight), tables.policy)


def may_follow(after: Step, before: Step, compounds_by: str, tables: Tables) -> bool:
    """Whether `after` may follow `before` when compounds are carried by this tool."""
    if after.scratch_um >= before.scratch_um:
        return False
    if after.sheet:
        return before.sheet and before.d50_um / after.d50_um <= tables.policy["max_step_ratio"] + SLACK
    coarsest = COMPOUND_BEFORE.get(after.name)
    if coarsest is None:
        coarsest = tables.tools[compounds_by, "compound"].cutting_coarsest_before
    return coarsest is not None and before.order() >= tables.steps[coarsest].order()


def _arcs(ordered: Sequence[Step], allowed: Sequence[int], compounds_by: str,
          tables: Tables) -> frozenset[tuple[int, int]]:
    return frozenset((j, k) for j in allowed for k in allowed
                     if may_follow(ordered[k], ordered[j], compounds_by, tables))


def _tools_of(panel: Mapping[str, Any]) -> tuple[str, str]:
    sheets, compounds = FACE_TOOLS[panel.get("face") or "flat"]
    return panel.get("sheets_by") or sheets, panel.get("compounds_by") or compounds


def _panel(job: Mapping[str, Any], panel: Mapping[str, Any], ordered: Sequence[Step],
           tables: Tables) -> Panel:
    target = panel.get("target") or {"finish": "gloss"}
    satin = target["finish"] == "satin"
    if satin:
        last = tables.steps[target["last_sheet"]]
        allowed = [k for k, step in enumerate(ordered) if step.sheet and step.order() <= last.order()]
        ends = frozenset(k for k in allowed if ordered[k].name == last.name)
    else:
        allowed = list(range(len(ordered)))
        target_um = tables.policy["target_scratch_um"] + SLACK
        ends = frozenset(k for k in allowed if ordered[k].scratch_um <= target_um)
    zones = tuple(_zone(job, panel, zone, ordered, allowed, tables) for zone in panel["zones"])
    arcs = _arcs(ordered, allowed, _tools_of(panel)[1], tables)
    return Panel(panel["name"], tuple(allowed), arcs, ends, zones)


def _zone(job: Mapping[str, Any], panel: Mapping[str, Any], zone: Mapping[str, Any], ordered: Sequence[Step],
          allowed: Sequence[int], tables: Tables) -> Zone:
    policy = tables.policy
    crew = job.get("crew") or {}
    trainee = (panel.get("worker") or crew.get("worker") or "finisher") == "trainee"
    kind = zone.get("kind") or "field"
    satin = (panel.get("target") or {}).get("finish") == "satin"
    sheets_by, compounds_by = _tools_of(panel) if kind == "field" else ("hand", "hand")
    sheets_ok = zone.get("sheets_allowed")
    if sheets_ok is None:
        sheets_ok = kind == "field" or satin
    usable = [k for k in allowed if sheets_ok or not ordered[k].sheet]
    upright = panel.get("position") == "upright" and not panel.get("off")
    hindrance = (policy["position_upright_factor"] if upright else 1.0) * (
        policy["trainee_factor"] if trainee else 1.0)
    overcut = policy["overcut_trainee"] if trainee else policy["overcut"]
    edge_overcut = overcut * policy["edge_overcut_factor"]
    film = film_low_um(zone_readings(panel, zone, tables), tables)
    entries = [_entry(job, panel, zone, index, (overcut, edge_overcut), tables)
               for index in range(len(zone.get("defects") or ()))]
    before = tables.steps[zone["previous_step"]] if zone.get("previous_step") else None
    must_take = policy["clearing"] * before.scratch_um if before else 0.0
    if before:
        entries.append(Entry("previous step", must_take, must_take, count=1, with_zone=True,
                             needs_sheet=False, spot_min=None, spot_overcut=overcut, fill_min=None,
                             leave=False, clean=False))
    return Zone(
        name=zone["name"], area_m2=float(zone["area_m2"]), film_low_um=film,
        keep_um=keep_um(job.get("build"), kind, tables), overcut=overcut if kind == "field" else edge_overcut,
        barred=any(tables.kinds[entry["kind"]].bars_work for entry in zone.get("defects") or ()),
        must_take_um=must_take, lean=crew.get("first_cut") == "lean",
        starts=_starts(ordered, usable, before, must_take, compounds_by, tables),
        arcs=_arcs(ordered, usable, compounds_by, tables),
        rate={k: ordered[k].rate_cm3_per_min * hindrance * tables.tools[
            (sheets_by, "sheet") if ordered[k].sheet else (compounds_by, "compound")].speed_factor
            for k in usable},
        spot_ladders=_ladders("spot_ladder", ordered, usable, compounds_by, tables),
        fill_ladders=_ladders("fill_ladder", ordered, usable, compounds_by, tables),
        entries=tuple(entries), spots_per_m2=float(policy["spot_max_per_m2"]))


def _starts(ordered: Sequence[Step], usable: Sequence[int], before: Step | None, must_take: float,
            compounds_by: str, tables: Tables) -> dict[int, tuple[float, float]]:
    starts = {}
    for k in usable:
        step = ordered[k]
        if before and step.name != before.name and not may_follow(step, before, compounds_by, tables):
            continue
        low = step.scratch_um if step.sheet else tables.policy["first_cut_compound_um"]
        by_tool = tables.tools[compounds_by, "compound"].max_level_um
        most = step.max_level_um if step.sheet else by_tool[step.name]
        bounds = max(low, must_take), max(most, must_take)
        if bounds[0] <= bounds[1] + SLACK:
            starts[k] = bounds
    return starts


def _ladders(which: str, ordered: Sequence[Step], usable: Sequence[int], compounds_by: str,
             tables: Tables) -> dict[int, Ladder]:
    ladder = [tables.steps[name] for name in tables.policy[which]]
    clearing = tables.policy["clearing"]
    cut: dict[int, Ladder] = {}
    for k in usable:
        first = ordered[k]
        for last, sheet in enumerate(ladder):
            as_fine = first.sheet and sheet.d50_um <= first.d50_um
            if as_fine or may_follow(first, sheet, compounds_by, tables):
                local = sum(clearing * above.scratch_um for above in ladder[:last])
                cut[k] = (local, clearing * sheet.scratch_um)
                break
    return cut


def _entry(job: Mapping[str, Any], panel: Mapping[str, Any], zone: Mapping[str, Any], index: int,
           overcuts: tuple[float, float], tables: Tables) -> Entry:
    defect = zone["defects"][index]
    kind = tables.kinds[defect["kind"]]
    span = depth_range_um(defect, tables)
    test = job.get("test_spot")
    here = (panel["name"], zone["name"], index)
    if span and test and (test["panel"], test["zone"], test["defect"]) == here:
        span = narrowed_by_test_um(span, test, tables)
    depth = planning_depth_um(span, tables.policy["depth_quantile"]) if span else None
    wish = defect.get("wish")
    need = depth if depth is None or wish != "soften" else tables.policy["soften_share"] * depth
    spot_min, spot_overcut = _spot(panel, zone, defect, need, overcuts, tables)
    return Entry(
        kind=defect["kind"], planning_um=depth, need_um=need, count=_count(defect),
        with_zone=need is not None and bool(kind.repairs & {"buff", "sand"}),
        needs_sheet="buff" not in kind.repairs,
        spot_min=spot_min, spot_overcut=spot_overcut,
        fill_min=_fill_min(job, panel, zone, defect, depth, tables) if "fill" in kind.repairs else None,
        leave=not kind.bars_work and (wish == "leave" or (wish is None and not is_seen(job, panel, defect))),
        clean="clean" in kind.repairs)


def _count(defect: Mapping[str, Any]) -> int:
    count = defect.get("count")
    return 1 if count is None else int(count)


def _spot(panel: Mapping[str, Any], zone: Mapping[str, Any], defect: Mapping[str, Any], need: float | None,
          overcuts: tuple[float, float], tables: Tables) -> tuple[float | None, float]:
    policy = tables.policy
    closed = (None, overcuts[0])
    gloss = (panel.get("target") or {"finish": "gloss"})["finish"] == "gloss"
    if ("spot" not in tables.kinds[defect["kind"]].repairs or not gloss or need is None
            or (zone.get("kind") or "field") != "field"):
        return closed
    depth_m = need * 1e-6
    radius = max(pi * depth_m / (2e-3 * policy["feather_slope_mrad"]),
                 pi * sqrt(depth_m / policy["feather_power_per_m"]))
    length = (defect.get("length_mm") or 0.0) / 1000.0
    volume = need * radius * length + (pi / 2 - 2 / pi) * need * radius**2
    footprint = 2 * radius * length + pi * radius**2
    count = _count(defect)
    if footprint * count > policy["spot_max_share"] * zone["area_m2"] + SLACK:
        return closed
    overcut = overcuts[0]
    size, at = panel.get("size_m"), defect.get("at")
    if size and at:
        distance = min(at["x"] * size["width"], (1 - at["x"]) * size["width"],
                       at["y"] * size["height"], (1 - at["y"]) * size["height"])
        if radius > 2 * distance + SLACK:
            return closed
        if radius > distance + SLACK:
            overcut = overcuts[1]
    first = tables.steps[policy["spot_ladder"][0]]
    minutes = policy["spot_min"] + volume / (first.rate_cm3_per_min * policy["local_hand_factor"])
    return count * minutes, overcut


def _fill_min(job: Mapping[str, Any], panel: Mapping[str, Any], zone: Mapping[str, Any],
              defect: Mapping[str, Any], depth: float | None, tables: Tables) -> float | None:
    policy = tables.policy
    width = defect.get("width_mm")
    deep = depth is not None and depth > policy["fill_opened_over_um"]
    if width is not None and width < policy["fill_min_width_mm"] - SLACK and not deep:
        return None
    minutes = policy["fill_min"]
    if depth is not None and depth > policy["second_pour_over_um"]:
        minutes += policy["second_pour_min"]
    if (zone.get("kind") or "field") in EDGE_KINDS:
        minutes *= policy["fill_edge_factor"]
    if str(job.get("build")).startswith("clear over"):
        minutes *= policy["fill_clear_factor"]
    if panel.get("position") == "upright" and not panel.get("off"):
        minutes += policy["dam_min"]
    return float(_count(defect) * minutes)
