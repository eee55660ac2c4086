"""Film against time: every best trade of minutes against film among plans that refuse no more.

Exact: zones give their points by suffix and depth, panels add them up, the job adds panels over all
set-ups. A partial plan is dropped only where some whole plan already known is at least as good in both.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from finishplan.planning.panel_table import NOTHING, PanelTable
from finishplan.planning.result import CurvePoint
from finishplan.planning.search import JobTables
from finishplan.planning.totals import Totals, totals
from finishplan.planning.zone_cost import ZoneCost, best_suffix

Floats = npt.NDArray[np.float64]
EPS = 1e-6
"""Points closer than this in minutes and in film are one."""
PROBES = (0.0, 0.25, 0.5, 1.0, 2.0, 5.0, 20.0, 1e4)
"""Film weights whose best plans bound the search; each is on the curve or equal to a point of it."""
MOST_ROWS = 100_000


@dataclass(frozen=True)
class Curve:
    """The points, fewest minutes first, and whether they are all there are."""

    points: tuple[CurvePoint, ...]
    complete: bool


@dataclass(frozen=True)
class PanelBounds:
    """Bounds under a panel's options, by kit set and sequence: film, and minutes + weight x film; inf if shut."""

    film: dict[int, Floats]
    sums: dict[int, Floats]


def film_against_time(tables: JobTables, named: Iterable[tuple[str, float]]) -> Curve:
    """Return all best trades of a job; ``named`` are the favours with their film weights.

    Minutes are those of set-up, looks, work and repairs; film is the sum of area x removal [um m2].
    A favour's name stands on its point; favours that share a point share it.
    """
    policy = tables.problem.policy
    weights = dict(named)
    best = {w: totals(tables, tables.choose(w)) for w in {tables.problem.film_weight, *weights.values(), *PROBES}}
    base = best[tables.problem.film_weight]
    penalty = penalty_of(tables, base)
    plans = [(best[weight], name) for name, weight in weights.items()]
    probes = [best[weight] for weight in PROBES]
    known = [t for t in [base, *probes, *(t for t, _ in plans)] if penalty_of(tables, t) <= penalty + EPS]
    front = pareto(np.array([[0.0, t.minutes, t.film_um_m2] for t in known]))[:, 1:]
    assert policy.refer_price >= 0
    search = TradeSearch(tables, front, penalty)
    points = search.run()
    names: dict[int, list[str]] = {}
    for t, name in plans:
        gap = np.abs(points[:, 0] - t.minutes) + np.abs(points[:, 1] - t.film_um_m2)
        names.setdefault(int(np.argmin(gap)), []).append(name)
    order = np.argsort(points[:, 0])
    return Curve(
        tuple(CurvePoint(", ".join(names.get(int(i), [])), float(points[i, 0]), float(points[i, 1])) for i in order),
        search.complete,
    )


def penalty_of(tables: JobTables, found: Totals) -> float:
    """Return the price of what a plan refuses."""
    policy = tables.problem.policy
    return policy.refer_price * found.refers + policy.untouched_price * found.untouched


def pareto(rows: Floats) -> Floats:
    """Return the rows (penalty, minutes, film) that no other row beats or equals in all three."""
    rows = rows[np.lexsort((rows[:, 2], rows[:, 1], rows[:, 0]))]
    kept = np.empty((len(rows), 3))
    count = 0
    while len(rows):
        first = rows[0]
        kept[count], count = first, count + 1
        rows = rows[(rows + EPS < first).any(axis=1)]  # what the first beats or equals in all three goes at once
    return kept[:count]


def cross(a: Floats, b: Floats) -> Floats:
    """Return the best sums of two sets of rows."""
    return pareto((a[:, None, :] + b[None, :, :]).reshape(-1, 3))


def zone_rows(zone: ZoneCost, kits: int, most_penalty: float) -> tuple[Floats, Floats, Floats]:
    """Return penalty, minutes and film of a zone, each (Q, K); inf where illegal or over ``most_penalty``."""
    ways = zone.ways
    minutes, refers = zone.repairs(kits)
    penalty = ways.problem.policy.refer_price * refers.astype(float)
    shut = np.where(ways.legal & (penalty <= most_penalty), 0.0, math.inf)
    return penalty + shut, ways.work_min + ways.look_min[:, None] + minutes + shut, ways.film_um_m2 + shut


def least_penalty(panel: PanelTable, zone: ZoneCost) -> float:
    """Return the least price of refusals in a zone of a worked panel."""
    penalty, _, _ = zone_rows(zone, 3, math.inf)
    return min(float(penalty.min()), panel.untouched_min(zone))


class TradeSearch:
    """The search for all best trades of one job.

    A better trade must lie between two neighbours of the known front: fewer minutes than the one and less
    film than the other. A partial plan is dropped where a bound under minutes + weight x film shuts it out
    of every such gap.
    """

    def __init__(self, tables: JobTables, front: Floats, penalty: float) -> None:
        self.tables, self.penalty = tables, penalty
        self.front = front[np.argsort(front[:, 0])]
        self.complete = True
        self.columns: dict[tuple[int, int, int], tuple[Floats, Floats, Floats]] = {}
        self.weights = np.array(PROBES)
        self.zone_penalty = [[least_penalty(panel, zone) for zone in panel.zones] for panel in tables.panels]
        self.panel_penalty = [
            min(panel.nothing_min, sum(zones)) for panel, zones in zip(tables.panels, self.zone_penalty, strict=True)
        ]
        self.bounds = [self.panel_bounds(p) for p in range(len(tables.panels))]

    def run(self) -> Floats:
        """Return all best (minutes, film) rows; the known front alone where there are too many states."""
        if not len(self.gaps):
            return self.front
        options = [self.options(p) for p in range(len(self.tables.panels))]
        rest = np.cumsum([np.zeros(len(self.weights)), *[self.least_sums(own) for own in options][::-1]], axis=0)[::-1]
        states: dict[int, Floats] = {0: np.zeros((1, 3))}
        if not all(options):
            return self.front
        for p, own in enumerate(options):
            states = self.add_panel(states, own, rest[p + 1])
            if sum(len(rows) for rows in states.values()) > MOST_ROWS:
                self.complete = False
                return self.front
        whole = [rows + self.set_up(mask) for mask, rows in states.items()]
        known = np.column_stack([np.zeros(len(self.front)), self.front])
        found = [np.where([True, False, False], 0.0, rows) for rows in whole]
        return pareto(np.concatenate([known, *found]))[:, 1:]

    @cached_property
    def gaps(self) -> Floats:
        """Corners (most minutes, most film) of the gaps that a better trade could lie in.

        Between neighbours of the front; beyond its last point, down to the least film any plan can take.
        """
        corners = [[self.front[i + 1, 0], self.front[i, 1]] for i in range(len(self.front) - 1)]
        if self.least_film < self.front[-1, 1] - EPS:
            corners.append([math.inf, self.front[-1, 1]])
        return np.array(corners).reshape(-1, 2)

    @cached_property
    def least_film(self) -> float:
        """The least film any plan takes that refuses no more: panels add up, set-up takes no film."""
        total = 0.0
        for p, (panel, own) in enumerate(zip(self.tables.panels, self.bounds, strict=True)):
            room = self.room(p)
            if panel.nothing_min > room:
                total += min(float(np.min(own.film[k])) for k in panel.kit_sets)
        return total

    def room(self, p: int) -> float:
        """Return the most penalty a panel may have when all others have their least."""
        return self.penalty - (sum(self.panel_penalty) - self.panel_penalty[p]) + EPS

    def zone_room(self, p: int, z: int) -> float:
        """Return the most penalty a zone may have when all others have their least."""
        return self.room(p) - (sum(self.zone_penalty[p]) - self.zone_penalty[p][z])

    def set_up(self, mask: int) -> Floats:
        """Return a set-up as a row."""
        return np.array([0.0, self.tables.mask_minutes(mask), 0.0])

    def sums(self, rows: Floats) -> Floats:
        """Return minutes + weight x film of rows, shape (rows, weights)."""
        return np.asarray(rows[:, 1:2] + self.weights[None, :] * rows[:, 2:3])

    def least_sums(self, options: dict[int, Floats]) -> Floats:
        """Return the least of ``sums`` over a panel's options, by weight."""
        return np.asarray(np.min([self.sums(rows).min(axis=0) for rows in options.values()], axis=0))

    def shut_out(self, sums: Floats) -> npt.NDArray[np.bool_]:
        """Tell which bounds under minutes + weight x film (n, weights) lie in no gap."""
        most = self.gaps[:, 0:1] + self.weights[None, :] * self.gaps[:, 1:2]
        over = np.asarray(sums[:, None, :] >= most[None, :, :] - EPS, dtype=bool)
        return np.asarray(np.all(np.any(over, axis=2), axis=1))

    def panel_bounds(self, p: int) -> PanelBounds:
        """Return bounds under every option of a panel that refuses no more than it may."""
        panel = self.tables.panels[p]
        film, sums = {}, {}
        look = panel.problem.policy.look_min * panel.table.length.astype(float)
        for kits in panel.kit_sets:
            rows = [zone_rows(zone, kits, self.zone_room(p, z)) for z, zone in enumerate(panel.zones)]
            idle = [
                0.0 if panel.untouched_min(zone) <= self.zone_room(p, z) else math.inf
                for z, zone in enumerate(panel.zones)
            ]
            film[kits] = self.whole(panel, [r[2].min(axis=1) for r in rows], idle)
            by_weight = [
                [np.min(r[1] + w * np.where(np.isfinite(r[2]), r[2], 0.0), axis=1) for r in rows] for w in self.weights
            ]
            sums[kits] = np.column_stack([look + self.whole(panel, own, idle) for own in by_weight])
        return PanelBounds(film, sums)

    @staticmethod
    def whole(panel: PanelTable, own: list[Floats], idle: list[float]) -> Floats:
        """Return the least sum over a panel's zones by sequence, at least one zone taking all of it.

        ``own`` is each zone's figure by its own sequence; ``idle`` what it counts when left untouched.
        """
        total: Floats = np.zeros(len(panel.table.length))
        extra: Floats = np.full(len(panel.table.length), math.inf)
        for figure, untouched in zip(own, idle, strict=True):
            best = np.minimum(best_suffix(panel.table, panel.problem.policy.blend_steps, figure)[0], untouched)
            total = total + best
            with np.errstate(invalid="ignore"):
                extra = np.fmin(extra, np.where(np.isfinite(figure), figure - best, math.inf))
        return np.asarray(total + extra)

    def options(self, p: int) -> dict[int, Floats]:
        """Return a panel's rows by set-up bits, without those that cannot be part of a better trade."""
        panel, own, room = self.tables.panels[p], self.bounds[p], self.room(p)
        others = self.others(p)
        masks = self.tables.global_mask(panel.table)
        set_up = np.array([self.tables.mask_minutes(int(mask)) for mask in masks])
        open_to = allowed(self.tables, panel)
        found: dict[int, Floats] = {}
        if panel.nothing_min <= room:
            found[0] = np.array([[panel.nothing_min, 0.0, 0.0]])
        for kits in panel.kit_sets:
            fits = open_to & np.isfinite(own.film[kits])
            kit = self.tables.mask_minutes(self.tables.kit_bits(kits))
            bound = own.sums[kits] + (set_up + kit)[:, None] + others
            for q in np.flatnonzero(fits & ~self.shut_out(bound)):
                rows = self.panel_rows(p, int(q), kits)
                if len(rows):
                    full = int(masks[q]) | self.tables.kit_bits(kits)
                    found[full] = pareto(np.concatenate([found[full], rows])) if full in found else rows
        return self.worth_keeping(found)

    def others(self, p: int) -> Floats:
        """Return a bound under minutes + weight x film of all panels but one, by weight."""
        total = np.zeros(len(self.weights))
        for i, (panel, own) in enumerate(zip(self.tables.panels, self.bounds, strict=True)):
            room = self.room(i)
            if i == p or panel.nothing_min <= room:
                continue
            total += np.concatenate([own.sums[k] for k in panel.kit_sets]).min(axis=0)
        return total

    def panel_rows(self, p: int, q: int, kits: int) -> Floats:
        """Return the best rows of a panel for one sequence and kit set.

        At least one zone takes the whole sequence. Where none is named that goes without saying: else a
        shorter one, with fewer looks, has the better rows.
        """
        panel = self.tables.panels[p]
        part = np.array([[0.0, panel.problem.policy.look_min * float(panel.table.length[q]), 0.0]])
        whole = np.empty((0, 3)) if panel.problem.only is not None else part
        for z in range(len(panel.zones)):
            all_of_it, less = self.zone_choices(p, z, q, kits)
            own = pareto(np.concatenate([all_of_it, less]))
            if panel.problem.only is not None:
                whole = pareto(np.concatenate([cross(whole, own), cross(part, pareto(all_of_it))]))
                part = cross(part, pareto(less))
            else:
                whole = cross(whole, own)
        return whole[whole[:, 0] <= self.room(p)]

    def zone_choices(self, p: int, z: int, q: int, kits: int) -> tuple[Floats, Floats]:
        """Return a zone's rows beside the sequence ``q``: those that take all of it, and those that take less."""
        panel = self.tables.panels[p]
        zone, room = panel.zones[z], self.zone_room(p, z)
        if (p, z, kits) not in self.columns:
            self.columns[p, z, kits] = zone_rows(zone, kits, room)
        columns = self.columns[p, z, kits]
        own = [np.column_stack([column[at].ravel() for column in columns]) for at in ([q], suffixes(panel, q)[1:])]
        all_of_it, less = (rows[np.isfinite(rows[:, 1])] for rows in own)
        if panel.untouched_min(zone) <= room:
            less = np.concatenate([less, [[panel.untouched_min(zone), 0.0, 0.0]]])
        return all_of_it, less

    def worth_keeping(self, options: dict[int, Floats]) -> dict[int, Floats]:
        """Drop rows that another option beats even when it has to set up what this one lacks."""
        kept: dict[int, Floats] = {}
        for mask in sorted(options, key=self.tables.mask_minutes):
            rows = options[mask]
            for other, theirs in kept.items():
                full = theirs + self.set_up(other & ~mask)
                beats = np.asarray(full[None, :, :] <= rows[:, None, :] + EPS, dtype=bool)
                rows = rows[~np.any(np.all(beats, axis=2), axis=1)]
                if not len(rows):
                    break
            else:
                kept[mask] = rows
        return kept

    def add_panel(self, states: dict[int, Floats], options: dict[int, Floats], rest: Floats) -> dict[int, Floats]:
        """Return the partial plans with one more panel, without those that cannot be part of a better trade."""
        grown: dict[int, list[Floats]] = {}
        for mask, rows in states.items():
            for more, own in options.items():
                sums = cross(rows, own)
                bound = self.sums(sums) + rest + self.tables.mask_minutes(mask | more)
                stay = (sums[:, 0] <= self.penalty + EPS) & ~self.shut_out(bound)
                if stay.any():
                    grown.setdefault(mask | more, []).append(sums[stay])
        return self.worth_keeping({mask: pareto(np.concatenate(parts)) for mask, parts in grown.items()})


def suffixes(panel: PanelTable, q: int) -> list[int]:
    """Return the suffixes of a sequence that a zone may take, the whole one first."""
    least = min(panel.problem.policy.blend_steps, int(panel.table.length[q]))
    found = []
    while q != NOTHING and panel.table.length[q] >= least:
        found.append(q)
        q = int(panel.table.tail[q])
    return found


def allowed(tables: JobTables, panel: PanelTable) -> npt.NDArray[np.bool_]:
    """Return which sequences stand open: all, or the one that was named."""
    if tables.problem.only is None:
        return np.ones(len(panel.table.length), dtype=bool)
    return np.asarray(panel.table.length == len(tables.problem.only))
