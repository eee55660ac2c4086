"""One panel's prices: for every sequence and kit set, the best suffix and depth of each zone.

A sequence's suffixes are itself and those of its tail, so the best one comes by one pass over lengths.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import numpy.typing as npt

from finishplan.planning.problem import PanelProblem, Problem, ZoneProblem
from finishplan.planning.sequences import SequenceTable
from finishplan.planning.zone_cost import KIT_SETS, ZoneCost, resting_repair
from finishplan.planning.zone_table import Ways

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Options = tuple[Ints, Floats, Ints, Ints]
"""Mask, price, sequence and kit set of each option of a panel."""
NOTHING = -1
"""Index of the sequence of a panel that is not worked, and of a zone left untouched."""


@dataclass(frozen=True)
class ZoneChoice:
    """What is chosen for one zone: its sequence (an index, or NOTHING), its depth index, its repairs."""

    q: int
    k: int
    repairs: tuple[str, ...]


@dataclass(frozen=True)
class PanelChoice:
    """What is chosen for one panel."""

    q: int
    kits: int
    zones: tuple[ZoneChoice, ...]


@dataclass
class PanelTable:
    """Prices of one panel: every sequence and kit set, and doing nothing."""

    problem: Problem
    panel: PanelProblem
    table: SequenceTable
    again: Mapping[int, ZoneCost] = field(default_factory=dict)
    """Zones of another version of this job, by the identity of their problem."""

    @cached_property
    def zones(self) -> list[ZoneCost]:
        """Prices of the panel's zones."""
        return [self.known_zone(zone) or ZoneCost(Ways(self.problem, self.panel, zone, self.table))
                for zone in self.panel.zones]

    def known_zone(self, zone: ZoneProblem) -> ZoneCost | None:
        """Return the prices of a zone that another version of the job has worked out, if all they rest on is alike."""
        found = self.again.get(id(zone))
        if found is None:
            return None
        was, now = found.ways.panel, self.panel
        alike = (was.finish, was.panel.position, was.panel.off) == (now.finish, now.panel.position, now.panel.off)
        return found if alike and found.ways.table is self.table else None

    @property
    def nothing_min(self) -> float:
        """Price of not working the panel."""
        return self.problem.policy.refer_price * sum(zone.untouched_refers for zone in self.zones)

    def untouched_min(self, zone: ZoneCost) -> float:
        """Price of a zone left untouched beside worked ones."""
        policy = self.problem.policy
        return policy.untouched_price + policy.refer_price * zone.untouched_refers

    @cached_property
    def kit_sets(self) -> list[int]:
        """The kit sets that make a difference here."""
        spot = any(zone.uses_kits[0] for zone in self.zones)
        fill = any(zone.uses_kits[1] for zone in self.zones)
        return [i for i, (s, f) in enumerate(KIT_SETS) if s <= spot and f <= fill]

    @cached_property
    def _least(self) -> dict[float, dict[tuple[int, ...], Floats]]:
        return {}

    def kept_least(self, film_weight: float) -> dict[tuple[int, ...], Floats]:
        """Least prices by set-up already worked out for a film weight, by the bits walked through."""
        return self._least.setdefault(film_weight, {})

    @cached_property
    def kept_options(self) -> dict[float, Options]:
        """Options already worked out, by film weight."""
        return {}

    @cached_property
    def _prices(self) -> dict[float, dict[int, Floats]]:
        return {}

    def prices(self, film_weight: float) -> dict[int, Floats]:
        """Return the panel's price by kit set, each (Q,): zones, and one look a step.

        At least one zone takes the whole sequence, else it would be a shorter one.
        """
        if film_weight not in self._prices:
            self._prices[film_weight] = self.work_out_prices(film_weight)
        return self._prices[film_weight]

    def work_out_prices(self, film_weight: float) -> dict[int, Floats]:
        """Work out ``prices`` for one film weight."""
        found = {}
        for kits in self.kit_sets:
            total = self.problem.policy.look_min * self.table.length.astype(float)
            extra = np.full(len(total), math.inf)
            for zone in self.zones:
                (own, _), (best, _) = zone.suffix_prices(kits, film_weight)
                least = np.minimum(best, self.untouched_min(zone))
                total = total + least
                with np.errstate(invalid="ignore"):
                    extra = np.fmin(extra, np.where(np.isfinite(own), own - least, math.inf))
            found[kits] = total + extra
        return found

    @cached_property
    def _choices(self) -> dict[tuple[int, int, float], tuple[ZoneChoice, ...]]:
        return {}

    def zone_choices(self, q: int, kits: int, film_weight: float) -> tuple[ZoneChoice, ...]:
        """Return each zone's suffix, depth and repairs for the panel's sequence ``q``."""
        key = (q, kits, film_weight)
        if key not in self._choices:
            self._choices[key] = self.work_out_choices(q, kits, film_weight)
        return self._choices[key]

    def work_out_choices(self, q: int, kits: int, film_weight: float) -> tuple[ZoneChoice, ...]:
        """Work out ``zone_choices``."""
        if q == NOTHING:
            return tuple(rest(zone) for zone in self.zones)
        prices = [zone.suffix_prices(kits, film_weight) for zone in self.zones]
        own, best = [a for a, _ in prices], [b for _, b in prices]
        least = [min(b[q], self.untouched_min(z)) for (b, _), z in zip(best, self.zones, strict=True)]
        whole = min(range(len(own)), key=lambda z: (own[z][0][q] - least[z], z))
        chosen = []
        for z, zone in enumerate(self.zones):
            suffix = q if z == whole else int(best[z][1][q])
            if z != whole and best[z][0][q] > self.untouched_min(zone):
                chosen.append(rest(zone))
                continue
            k = int(own[z][1][suffix])
            chosen.append(ZoneChoice(suffix, k, tuple(zone.choose(suffix, k, kits))))
        return tuple(chosen)


def rest(zone: ZoneCost) -> ZoneChoice:
    """Return the choice of a zone that is not worked."""
    return ZoneChoice(NOTHING, 0, tuple(resting_repair(e) for e in zone.ways.zone.entries))
