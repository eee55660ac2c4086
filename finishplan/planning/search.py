"""The choice over the whole job, exact: panels by sequence tables, the job by a subset-minimum transform.

Each panel's least price is known for every (sequence, kits). For a set S of steps and kits that the job
sets up, a panel may use whatever lies inside S; the least over all subsets of S is a zeta transform of a
vector of 2^|S| numbers. Add panels and set-up, take the least. A sequence can only be in the best plan
if it costs no more than its panel's own best by that best's set-up, which leaves a handful of them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from finishplan.errors import FinishplanError
from finishplan.planning.panel_table import NOTHING, Floats, Ints, Options, PanelChoice, PanelTable
from finishplan.planning.problem import Problem
from finishplan.planning.sequences import SequenceTable, list_sequences
from finishplan.planning.zone_cost import KIT_SETS, ZoneCost

PRUNE_SLACK = 1e-6
MOST_BITS = 22


@dataclass(frozen=True)
class Choice:
    """The whole choice: the price the search found, and each panel's part."""

    price_min: float
    panels: tuple[PanelChoice, ...]


Forbid = Callable[[PanelTable, Ints], npt.NDArray[np.bool_]]
"""Says which sequences (indices, NOTHING for none) of a panel are forbidden."""


@dataclass
class JobTables:
    """All tables of a job, built once; choices over them are a few array passes."""

    problem: Problem
    known: JobTables | None = None
    """Tables of another version of the same job, whose unchanged parts are used again."""

    def sister(self, problem: Problem) -> JobTables:
        """Return the tables of another version of this job, using again what did not change."""
        return JobTables(problem, self)

    @cached_property
    def listed(self) -> dict[tuple[str, str | None], SequenceTable]:
        """Sequences by target; panels of one target share them."""
        known = self.known
        same = known is not None and known.problem.profile is self.problem.profile
        if known is not None and same and known.problem.only == self.problem.only and known.ways == self.ways:
            return known.listed
        targets = dict.fromkeys((panel.finish, panel.last_sheet) for panel in self.problem.panels)
        return {t: list_sequences(self.problem.profile, self.ways, *t, only=self.problem.only) for t in targets}

    @cached_property
    def ways(self) -> list[str]:
        """The ways by which compounds are used in the job."""
        return sorted({zone.compound_way for panel in self.problem.panels for zone in panel.zones})

    @cached_property
    def panels(self) -> list[PanelTable]:
        """One table a panel; of a known version those serve again whose panel, or whose zones, are the very same."""
        again: dict[int, PanelTable] = {}
        zones: dict[int, ZoneCost] = {}
        if self.known is not None and self.known.listed is self.listed and self.known.problem.lean == self.problem.lean:
            again = {id(table.panel): table for table in self.known.panels}
            zones = {id(zone.ways.zone): zone for table in self.known.panels for zone in table.zones}
        return [
            again.get(id(panel))
            or PanelTable(self.problem, panel, self.listed[(panel.finish, panel.last_sheet)], zones)
            for panel in self.problem.panels
        ]

    @cached_property
    def bits(self) -> dict[str, int]:
        """Bit number of every step that a table knows, over all targets."""
        names = dict.fromkeys(s.name for t in self.panels for s in t.table.candidates)
        return {name: i for i, name in enumerate(names)}

    def set_up_min(self, name: str) -> float:
        """Return the set-up minutes of a step or kit."""
        policy = self.problem.policy
        kits = {"spot kit": policy.spot_kit_min, "fill kit": policy.fill_kit_min}
        return kits[name] if name in kits else self.problem.profile.step(name).change_min

    @cached_property
    def set_ups(self) -> list[float]:
        """Set-up minutes by bit; the last two bits are the kits."""
        return [*(self.set_up_min(n) for n in self.bits), self.set_up_min("spot kit"), self.set_up_min("fill kit")]

    def global_mask(self, table: SequenceTable) -> Ints:
        """Return each sequence's steps as bits over the whole job's steps."""
        if id(table) not in self._masks:
            place = np.array([1 << self.bits[s.name] for s in table.candidates] + [0], dtype=np.int64)
            self._masks[id(table)] = place[table.steps].sum(axis=1)
        return self._masks[id(table)]

    @cached_property
    def _masks(self) -> dict[int, Ints]:
        return {}

    def kit_bits(self, kits: int) -> int:
        """Return a kit set as bits."""
        n = len(self.bits)
        return (KIT_SETS[kits][0] << n) | (KIT_SETS[kits][1] << (n + 1))

    def options(self, panel: PanelTable, film_weight: float, without: Forbid | None = None) -> Options:
        """Return the options of a panel worth keeping: mask, price, sequence, kit set.

        Doing nothing is one of them. ``without`` takes options away before the worth of the rest is judged.
        """
        kept = panel.kept_options
        if without is not None:
            return self.work_out_options(panel, film_weight, without)
        if film_weight not in kept:
            kept[film_weight] = self.work_out_options(panel, film_weight, None)
        return kept[film_weight]

    def work_out_options(self, panel: PanelTable, film_weight: float, without: Forbid | None) -> Options:
        """Work out ``options``."""
        masks, prices, which, kit_of = (
            [np.array([0])],
            [np.array([panel.nothing_min])],
            [np.array([NOTHING])],
            [np.array([0])],
        )
        steps = self.global_mask(panel.table)
        for kits, price in panel.prices(film_weight).items():
            keep = np.isfinite(price)
            if self.problem.only is not None:
                keep &= panel.table.length == len(self.problem.only)
            at = np.flatnonzero(keep)
            masks.append(steps[at] | self.kit_bits(kits))
            prices.append(price[at])
            which.append(at)
            kit_of.append(np.full(len(at), kits))
        mask, price, q, kits_of = (np.concatenate(part) for part in (masks, prices, which, kit_of))
        if without is not None:
            price = np.where(without(panel, q), math.inf, price)
        own_best = int(np.argmin(price))
        worth = price <= price[own_best] + self.mask_minutes(int(mask[own_best])) + PRUNE_SLACK
        return mask[worth], price[worth], q[worth], kits_of[worth]

    def mask_minutes(self, mask: int) -> float:
        """Return the set-up minutes of a step set."""
        return sum(minutes for bit, minutes in enumerate(self.set_ups) if mask >> bit & 1)

    def choose(self, film_weight: float | None = None, without: Mapping[int, Forbid] | None = None) -> Choice:
        """Return the best plan of the job, exactly.

        ``without`` forbids sequences by panel place: what a decision costs is the best plan without it.
        """
        weight = self.problem.film_weight if film_weight is None else film_weight
        bans = without or {}
        options = [self.options(panel, weight, bans.get(p)) for p, panel in enumerate(self.panels)]
        offers = [
            Offer(*of, {} if p in bans else panel.kept_least(weight))
            for p, (of, panel) in enumerate(zip(options, self.panels, strict=True))
        ]
        price, chosen = best_set_up(offers, self.set_ups)
        panels = []
        for panel, (mask, cost, which, kit_of) in zip(self.panels, options, strict=True):
            inside = np.where((mask & ~chosen) == 0, cost, math.inf)
            at = int(np.argmin(inside))
            q, kits = int(which[at]), int(kit_of[at])
            panels.append(PanelChoice(q, kits, panel.zone_choices(q, kits, weight)))
        return Choice(price, tuple(panels))


@dataclass(frozen=True)
class Offer:
    """A panel's options for the transform, and the least prices already worked out from them."""

    mask: Ints
    price: Floats
    q: Ints
    kits: Ints
    known: dict[tuple[int, ...], Floats]

    def least(self, bits: tuple[int, ...]) -> Floats:
        """Return the least price inside every subset of ``bits``."""
        if bits not in self.known:
            packed = np.zeros(len(self.mask), dtype=np.int64)
            for place, b in enumerate(bits):
                packed |= ((self.mask >> b) & 1) << place
            self.known[bits] = subset_minimum(packed, self.price, len(bits))
        return self.known[bits]


def best_set_up(offers: list[Offer], set_ups: list[float]) -> tuple[float, int]:
    """Return the least price over all set-ups and the set-up that has it, as bits.

    Bits that no option uses, and those that a panel needs whatever it does, are not walked through.
    Raises FinishplanError above 2^22 sets.
    """
    used = always = 0
    for offer in offers:
        used |= int(np.bitwise_or.reduce(offer.mask))
        always |= int(np.bitwise_and.reduce(offer.mask))
    bits = tuple(b for b in range(len(set_ups)) if (used & ~always) >> b & 1)
    if len(bits) > MOST_BITS:
        raise FinishplanError(
            f"{len(bits)} steps and kits compete in this job, more than {MOST_BITS}; "
            "turn some steps off in the shop file (in_default_plan false, or policy barred_steps)"
        )
    total = set_up_vector([set_ups[b] for b in bits]) + sum(m for b, m in enumerate(set_ups) if always >> b & 1)
    for offer in offers:
        total += offer.least(bits)
    best = int(np.argmin(total))
    return float(total[best]), always | sum(1 << b for place, b in enumerate(bits) if best >> place & 1)


def set_up_vector(minutes: list[float]) -> Floats:
    """Return the set-up minutes of all 2^n subsets, by bits."""
    total = np.zeros(1)
    for value in minutes:
        total = np.concatenate([total, total + value])
    return total


def subset_minimum(masks: Ints, prices: Floats, n: int) -> Floats:
    """Return, for every subset of n bits, the least price of a mask inside it (zeta transform).

    >>> subset_minimum(np.array([0, 1, 3]), np.array([5.0, 2.0, 1.0]), 2).tolist()
    [5.0, 2.0, 5.0, 1.0]
    """
    least = np.full(1 << n, math.inf)
    np.minimum.at(least, masks, prices)
    for bit in range(n):
        pairs = least.reshape(-1, 2, 1 << bit)
        np.minimum(pairs[:, 1], pairs[:, 0], out=pairs[:, 1])
    return least
