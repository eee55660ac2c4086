"""The least price of a zone for every sequence, depth and kit, and which repair each defect then takes."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, reduce

import numpy as np
import numpy.typing as npt

from finishplan.planning.problem import Entry
from finishplan.planning.removal import SLACK, Floats
from finishplan.planning.sequences import SequenceTable
from finishplan.planning.zone_table import REPAIR_ORDER, Ways, fill_allowed, open_repairs, spot_allowed

Ints = npt.NDArray[np.int64]
KIT_SETS = ((False, False), (True, False), (False, True), (True, True))
"""Spot kit, fill kit: the four set-ups of a job, by index."""
KEPT_CELLS = 200_000
"""Prices of a zone's repairs are kept for as many cells; a zone of very many entries works them out again."""
TIE_FILM = 1e-8
TIE_STEP = 1e-10
TIE_FINER = 1e-13
"""Prices that settle ties within 1e-6 only: less film, then fewer steps, then finer first."""


@dataclass
class ZoneCost:
    """Prices of one zone, by kit set (4), sequence (Q) and depth (K)."""

    ways: Ways

    @cached_property
    def uses_kits(self) -> tuple[bool, bool]:
        """Whether a spot and a fill can ever be of use here."""
        entries = self.ways.zone.entries
        return (any(spot_allowed(self.ways, e) for e in entries), any(fill_allowed(self.ways, e) for e in entries))

    def kit_of(self, kits: int) -> int:
        """Return the smallest kit set that does the same here as ``kits``."""
        has, use = KIT_SETS[kits], self.uses_kits
        return KIT_SETS.index((has[0] and use[0], has[1] and use[1]))

    @cached_property
    def _priced(self) -> dict[int, tuple[Floats, Ints]]:
        return {}

    def repairs(self, kits: int) -> tuple[Floats, Ints]:
        """Return repair minutes without refusals, and the count of referred entries, both (Q, K)."""
        kits = self.kit_of(kits)
        if kits not in self._priced:
            self._priced[kits] = self.price_repairs(kits)
        return self._priced[kits]

    def opened(self, kits: int) -> Iterable[dict[str, Floats]]:
        """Return the open repairs of each entry; kept where that is little, else worked out one by one."""
        entries = self.ways.zone.entries
        found = (open_repairs(self.ways, entry, *KIT_SETS[kits]) for entry in entries)
        if self.ways.removal_um.size * len(entries) > KEPT_CELLS:
            return found
        if kits not in self._opened:
            self._opened[kits] = list(found)
        return self._opened[kits]

    @cached_property
    def _opened(self) -> dict[int, list[dict[str, Floats]]]:
        return {}

    def price_repairs(self, kits: int) -> tuple[Floats, Ints]:
        """Work out ``repairs`` for one kit set."""
        shape = self.ways.removal_um.shape
        minutes, refers = np.zeros(shape), np.zeros(shape, dtype=np.int64)
        capped: list[tuple[int, Floats, Floats, Ints]] = []
        for entry, by_repair in zip(self.ways.zone.entries, self.opened(kits), strict=True):
            spot = by_repair.get("spot", self.ways.never)
            others = (minutes for name, minutes in by_repair.items() if name != "spot")
            other = reduce(np.minimum, others, self.ways.never)
            refused = other > self.ways.problem.policy.refer_price
            other = np.where(refused, 0.0, other)
            if spot is not self.ways.never and np.isfinite(spot).any():
                capped.append((entry.count, spot, other, refused.astype(np.int64)))
            else:
                minutes += other
                refers += refused
        if capped:
            spot_minutes, spot_refers = self.share_spots(capped)
            minutes, refers = minutes + spot_minutes, refers + spot_refers
        return minutes, refers

    @property
    def most_spots(self) -> int:
        """How many spots the zone takes in all: by area, at least one."""
        return max(1, math.floor(self.ways.problem.policy.spot_max_per_m2 * self.ways.area_m2 + SLACK))

    def share_spots(self, entries: list[tuple[int, Floats, Floats, Ints]]) -> tuple[Floats, Ints]:
        """Return the least minutes and refusals of entries that compete for the zone's few spots.

        Each is (count, minutes as a spot, minutes otherwise, refused otherwise); a knapsack over the count.
        """
        price = self.ways.problem.policy.refer_price
        room = min(self.most_spots, sum(count for count, *_ in entries))
        shape = entries[0][1].shape
        best = [(np.zeros(shape), np.zeros(shape, dtype=np.int64)) for _ in range(room + 1)]
        for count, spot, otherwise, refused in entries:
            grown = []
            for used in range(room + 1):
                minutes, refers = best[used][0] + otherwise, best[used][1] + refused
                if used >= count:
                    m_spot, r_spot = best[used - count][0] + spot, best[used - count][1]
                    better = m_spot + price * r_spot < minutes + price * refers
                    minutes, refers = np.where(better, m_spot, minutes), np.where(better, r_spot, refers)
                grown.append((minutes, refers))
            best = grown
        return best[room]

    def objective(self, kits: int, film_weight: float) -> tuple[Floats, Ints]:
        """Return the least price of each sequence (Q,) and the depth (Q,) that has it; inf where illegal.

        Price = look + work + repairs + refusals + film, with the tie prices.
        """
        ways = self.ways
        minutes, refers = self.repairs(kits)
        total = ways.legal_min + minutes + (film_weight + TIE_FILM) * ways.film_um_m2
        if refers.any():
            total += ways.problem.policy.refer_price * refers
        depth = total.argmin(axis=1)
        return total[np.arange(len(total)), depth] + ties(ways.table), depth

    @cached_property
    def _suffixes(self) -> dict[tuple[int, float], tuple[tuple[Floats, Ints], tuple[Floats, Ints]]]:
        return {}

    def suffix_prices(self, kits: int, film_weight: float) -> tuple[tuple[Floats, Ints], tuple[Floats, Ints]]:
        """Return the zone's own price and depth by sequence, and the best suffix's price and index."""
        key = (self.kit_of(kits), film_weight)
        if key not in self._suffixes:
            own = self.objective(kits, film_weight)
            self._suffixes[key] = (own, best_suffix(self.ways.table, self.ways.problem.policy.blend_steps, own[0]))
        return self._suffixes[key]

    @cached_property
    def untouched_refers(self) -> int:
        """How many entries are referred where the zone is not worked."""
        return sum(1 for e in self.ways.zone.entries if resting_repair(e) == "refer")

    def choose(self, q: int, k: int, kits: int) -> list[str]:
        """Return the repair of each entry for one sequence and depth, first in table order where equal."""
        refer = {"refer": self.ways.problem.policy.refer_price}
        never = dict.fromkeys(REPAIR_ORDER, math.inf)
        cells = [never | {name: float(minutes[q, k]) for name, minutes in by_repair.items()} | refer
                 for by_repair in self.opened(self.kit_of(kits))]
        counts = [e.count for e in self.ways.zone.entries]
        return choose_with_room(cells, counts, self.most_spots)


def ties(table: SequenceTable) -> Floats:
    """Return the prices that settle ties between sequences, shape (Q,)."""
    return TIE_STEP * table.length - TIE_FINER * table.first


def best_suffix(table: SequenceTable, blend_steps: int, price: Floats) -> tuple[Floats, Ints]:
    """Return, for each sequence, the least price over its allowed suffixes and which suffix has it.

    A zone takes at least the last ``blend_steps`` steps, or all where there are fewer. ``price`` (Q,) is
    each sequence's own; a sequence's suffixes are itself and those of its tail.
    """
    suffixes = table.suffixes(blend_steps)
    at = price[suffixes].argmin(axis=1)
    which = suffixes[np.arange(len(price)), at]
    return price[which], which


def choose_with_room(cells: list[dict[str, float]], counts: list[int], room: int) -> list[str]:
    """Return the cheapest repair of each entry, with at most ``room`` spots in all."""
    free = [min(REPAIR_ORDER, key=lambda name, c=cell: c[name]) for cell in cells]  # type: ignore[misc]
    if sum(n for n, name in zip(counts, free, strict=True) if name == "spot") <= room:
        return free
    best: dict[int, tuple[float, list[str]]] = {0: (0.0, [])}
    for cell, count in zip(cells, counts, strict=True):
        other = min((n for n in REPAIR_ORDER if n != "spot"), key=lambda name, c=cell: c[name])  # type: ignore[misc]
        grown: dict[int, tuple[float, list[str]]] = {}
        for used, (price, names) in best.items():
            for take, name in ((0, other), (count, "spot")):
                now = price + cell[name]
                if used + take <= room and now < grown.get(used + take, (math.inf, []))[0]:
                    grown[used + take] = (now, [*names, name])
        best = grown
    return min(best.values(), key=lambda found: found[0])[1]


def resting_repair(entry: Entry) -> str:
    """Return what becomes of an entry in a zone that is not worked: leave, clean or refer."""
    if entry.may_leave:
        return "leave"
    return "clean" if "clean" in entry.kind.repairs else "refer"
