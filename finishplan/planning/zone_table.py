"""The price of every way to work one zone: arrays over all sequences and all depths worth taking out.

For a sequence V and a depth D the film law gives what is taken; each defect then takes its cheapest
allowed repair. D need only be 0 or the depth of a defect that goes with the zone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from finishplan.planning.problem import Entry, PanelProblem, Problem, ZoneProblem
from finishplan.planning.removal import SLACK, Floats, film_needed_um, first_removal_um
from finishplan.planning.repairs import LocalLadder, cut_ladder, fill_minutes
from finishplan.planning.sequences import SequenceTable, coarsest_before, may_follow
from finishplan.shop.policy import Policy
from finishplan.shop.steps import COMPOUNDS, Step

Bools = npt.NDArray[np.bool_]
KITS = ("spot", "fill")
EDGE_REACH = 2.0
"""A spot's feather may reach as far beyond an edge as its middle stands from it, no farther."""
REPAIR_ORDER = ("zone", "spot", "fill", "leave", "clean", "refer")
"""Order of the repairs where their price is the same."""


def first_limits(zone: ZoneProblem, table: SequenceTable, first_cut_compound_um: float) -> tuple[Floats, Floats]:
    """Return, by candidate step, the least and the most [um] it takes as a zone's first step."""
    levels = zone.compound_tool.max_level_um or (0.0, 0.0, 0.0)
    key = (levels, first_cut_compound_um)
    if key not in table.limits:
        low, most = [], []
        for step in table.candidates:
            low.append(step.scratch_depth_um if step.is_sheet else first_cut_compound_um)
            most.append(step.max_level_um if step.is_sheet else levels[COMPOUNDS.index(step.name)])
        table.limits[key] = np.array(low), np.array(most)
    return table.limits[key]


@dataclass
class Ways:
    """All ways to work one zone: Q sequences by K depths, before defects are priced."""

    problem: Problem
    panel: PanelProblem
    zone: ZoneProblem
    table: SequenceTable

    @property
    def area_m2(self) -> float:
        """The zone's area."""
        return self.zone.zone.area_m2

    @cached_property
    def previous_um(self) -> float:
        """Depth of the broken-off step's scratches, 0 for a finished zone."""
        step = self.zone.previous
        return 0.0 if step is None else self.problem.policy.clearing * step.scratch_depth_um

    @cached_property
    def depths_um(self) -> Floats:
        """The K depths worth taking out, rising: the base and every deeper need of an entry."""
        needs = {e.depth_um for e in self.zone.entries if e.with_zone and e.depth_um is not None}
        return np.array(sorted({self.previous_um} | {d for d in needs if d > self.previous_um}))

    @cached_property
    def never(self) -> Floats:
        """The minutes of a repair that is not allowed, shape (Q, K)."""
        return np.full(self.removal_um.shape, math.inf)

    @cached_property
    def free(self) -> Floats:
        """The minutes of a repair that takes none, shape (Q, K)."""
        return np.zeros(self.removal_um.shape)

    @cached_property
    def first_um(self) -> Floats:
        """h_1 [um], shape (Q, K)."""
        low, _ = first_limits(self.zone, self.table, self.problem.policy.first_cut_compound_um)
        return first_removal_um(
            self.depths_um[None, :], self.table.later_um[:, None], low[self.table.first][:, None],
            self.previous_um, self.problem.lean,
        )

    @cached_property
    def removal_um(self) -> Floats:
        """H [um], shape (Q, K)."""
        return self.first_um + self.table.later_um[:, None]

    @cached_property
    def legal(self) -> Bools:
        """Which (Q, K) are allowed by tools, leave to sheet, level limits and film."""
        return self.by_tools[:, None] & self.by_level & self.by_film

    @cached_property
    def by_tools(self) -> Bools:
        """Which sequences the zone's own tools and state allow, shape (Q,)."""
        zone, table = self.zone, self.table
        allowed = table.valid[zone.compound_way].copy()
        if not zone.sheets_allowed:
            allowed &= table.sheets == 0
        if zone.barred:
            allowed[:] = False
        if zone.previous is not None:
            allowed &= self.takes_over(zone.previous)[table.first]
        return allowed

    def takes_over(self, before: Step) -> Bools:
        """Return, by candidate step, whether it may go on from the step last done."""
        profile = self.problem.profile
        coarsest = coarsest_before(profile, self.zone.compound_way)
        return np.array([
            step.name == before.name or may_follow(before, step, coarsest, profile.policy)
            for step in self.table.candidates
        ])

    @cached_property
    def by_level(self) -> Bools:
        """Where the first step can sensibly take what it must, shape (Q, K)."""
        _, most = first_limits(self.zone, self.table, self.problem.policy.first_cut_compound_um)
        limit = np.maximum(most, self.previous_um)[self.table.first]
        return np.asarray(self.first_um <= limit[:, None] + SLACK)

    @cached_property
    def by_film(self) -> Bools:
        """Where the film allows it, shape (Q, K)."""
        need = film_needed_um(self.removal_um, self.table.last_scratch_um[:, None], self.zone.overcut)
        return np.asarray(need <= self.zone.spare_um + SLACK)

    @cached_property
    def fill_fits(self) -> Bools:
        """Where the film allows a fill to be levelled, shape (Q, K): the same for every entry."""
        film = fill_film_um(self, local_ladders(self, self.problem.policy.fill_ladder))
        need = film_needed_um(film, self.table.last_scratch_um[:, None], self.zone.overcut)
        return np.asarray(np.isfinite(need) & (need <= self.zone.spare_um + SLACK))

    @cached_property
    def work_min(self) -> Floats:
        """Work minutes, shape (Q, K)."""
        zone, table = self.zone, self.table
        speed = np.where(table.sheet_first, zone.sheet_speed, zone.compound_speed)
        later = table.later_sheet_per_rate / zone.sheet_speed + table.later_compound_per_rate / zone.compound_speed
        minutes: Floats = self.area_m2 * (self.first_um / (table.first_rate * speed)[:, None] + later[:, None])
        return minutes

    @cached_property
    def look_min(self) -> Floats:
        """The zone's share of look minutes, shape (Q,): by area and step."""
        return np.asarray(self.problem.policy.look_min_per_m2 * self.area_m2 * self.table.length, dtype=float)

    @cached_property
    def legal_min(self) -> Floats:
        """Work and look minutes where it is allowed, inf elsewhere, shape (Q, K)."""
        return np.where(self.legal, self.work_min + self.look_min[:, None], math.inf)

    @cached_property
    def film_um_m2(self) -> Floats:
        """Film taken, A H, shape (Q, K)."""
        return self.area_m2 * self.removal_um


@dataclass
class Local:
    """One local ladder for every possible first step, as arrays over candidate steps; inf where none."""

    ladders: list[LocalLadder | None]

    @cached_property
    def local_um(self) -> Floats:
        """Film that all but the ladder's last sheet cost."""
        return np.array([math.inf if x is None else x.local_um for x in self.ladders])

    @cached_property
    def last_layer_um(self) -> Floats:
        """Layer that the zone's first step must then take."""
        return np.array([math.inf if x is None else x.last_layer_um for x in self.ladders])

    @cached_property
    def rate(self) -> Floats:
        """Rate of the ladder's first sheet."""
        return np.array([math.inf if x is None else x.first_rate_cm3_per_min for x in self.ladders])


def local_ladders(ways: Ways, names: tuple[str, ...]) -> Local:
    """Return a policy ladder cut for every first step of a zone."""
    profile = ways.problem.profile
    key = ("ladders", names, ways.zone.compound_way, ways.table.names)
    if key not in profile.memo:
        ladder = [profile.step(name, "policy") for name in names]
        coarsest = coarsest_before(profile, ways.zone.compound_way)
        profile.memo[key] = Local([cut_ladder(ladder, s, coarsest, profile.policy) for s in ways.table.candidates])
    found: Local = profile.memo[key]
    return found


def repair_minutes(ways: Ways, entry: Entry, spot: bool, fill: bool) -> dict[str, Floats]:
    """Return the minutes of each repair of one entry, shape (Q, K), inf where it is not allowed.

    ``spot`` and ``fill`` tell whether the job sets up for them. Referring is priced 0 here and counted.
    """
    open_ones = open_repairs(ways, entry, spot, fill)
    open_ones["refer"] = ways.free
    return {name: open_ones.get(name, ways.never) for name in REPAIR_ORDER}


def open_repairs(ways: Ways, entry: Entry, spot: bool, fill: bool) -> dict[str, Floats]:
    """Return ``repair_minutes`` of those repairs alone that are open at all, without referring."""
    found: dict[str, Floats] = {}
    if entry.with_zone and "zone" not in entry.barred:
        found["zone"] = with_zone(ways, entry)
    if spot and spot_allowed(ways, entry) and "spot" not in entry.barred:
        found["spot"] = spot_minutes(ways, entry)
    if fill and fill_allowed(ways, entry) and "fill" not in entry.barred:
        found["fill"] = fill_all_minutes(ways, entry)
    if entry.may_leave and "leave" not in entry.barred:
        found["leave"] = ways.free
    if "clean" in entry.kind.repairs and "clean" not in entry.barred:
        found["clean"] = ways.free
    return found


def with_zone(ways: Ways, entry: Entry) -> Floats:
    """Return 0 where the zone's own steps take the entry out, inf elsewhere, shape (Q, K)."""
    if not entry.with_zone or entry.depth_um is None:
        return ways.never
    deep = np.where(entry.depth_um <= ways.depths_um + SLACK, 0.0, math.inf)
    return ways.table.shut_without_sheet[:, None] + deep if entry.needs_sheet else np.broadcast_to(
        deep, ways.removal_um.shape)


def spot_allowed(ways: Ways, entry: Entry) -> bool:
    """Tell whether kind, place and size let an entry be spotted at all."""
    policy, zone = ways.problem.policy, ways.zone
    return (
        entry.depth_um is not None and "spot" in entry.kind.repairs and not zone.narrow
        and ways.panel.finish == "gloss"
        and (entry.edge_m is None or entry.radius_m <= EDGE_REACH * entry.edge_m + SLACK)
        and entry.footprint_m2 <= policy.spot_max_share * ways.area_m2 + SLACK
    )


def spot_overcut(zone: ZoneProblem, entry: Entry) -> float:
    """Return the overcut of a spot: an edge's where its feather reaches over the edge."""
    return zone.edge_overcut if entry.edge_m is not None and entry.radius_m > entry.edge_m + SLACK else zone.overcut


def spot_film_um(ways: Ways, entry: Entry, local: Local) -> Floats:
    """Return the film a spot takes at its deepest, d + local + rest, shape (Q, K)."""
    first = ways.table.first
    rest = np.maximum(ways.first_um, local.last_layer_um[first][:, None]) + ways.table.later_um[:, None]
    return (entry.depth_um or 0.0) + local.local_um[first][:, None] + rest


def spot_minutes(ways: Ways, entry: Entry) -> Floats:
    """Return the minutes of spotting an entry, shape (Q, K), inf where not allowed."""
    if not spot_allowed(ways, entry):
        return ways.never
    policy = ways.problem.policy
    local = local_ladders(ways, policy.spot_ladder)
    need = film_needed_um(spot_film_um(ways, entry, local), ways.table.last_scratch_um[:, None],
                          spot_overcut(ways.zone, entry))
    by_hand = local.rate[ways.table.first] * policy.local_hand_factor
    minutes = policy.spot_min * entry.count + entry.spot_volume_cm3 / by_hand
    fits = np.isfinite(need) & (need <= ways.zone.spare_um + SLACK)
    return np.where(fits, minutes[:, None], math.inf)


def fill_allowed(ways: Ways, entry: Entry) -> bool:
    """Tell whether kind and width let resin be put in."""
    policy = ways.problem.policy
    wide = entry.width_mm is None or entry.width_mm >= policy.fill_min_width_mm - SLACK
    return "fill" in entry.kind.repairs and (wide or is_opened(entry, policy))


def is_opened(entry: Entry, policy: Policy) -> bool:
    """Tell whether damage is so deep that it is opened for resin, however narrow."""
    return entry.full_depth_um is not None and entry.full_depth_um > policy.fill_opened_over_um + SLACK


def fill_film_um(ways: Ways, local: Local) -> Floats:
    """Return the film that levelling a fill takes beside it, local + rest, shape (Q, K)."""
    first = ways.table.first
    rest = np.maximum(ways.first_um, local.last_layer_um[first][:, None]) + ways.table.later_um[:, None]
    return local.local_um[first][:, None] + rest


def fill_all_minutes(ways: Ways, entry: Entry) -> Floats:
    """Return the minutes of filling an entry, shape (Q, K), inf where not allowed."""
    if not fill_allowed(ways, entry):
        return ways.never
    return np.where(ways.fill_fits, entry.count * one_fill_minutes(ways, entry), math.inf)


def one_fill_minutes(ways: Ways, entry: Entry) -> float:
    """Return the minutes of one fill of an entry."""
    panel = ways.panel.panel
    return fill_minutes(
        entry.full_depth_um, ways.zone.zone.kind in ("edge", "corner"), ways.problem.clear_build,
        panel.position == "upright" and not panel.off, ways.problem.policy,
    )
