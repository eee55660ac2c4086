"""The plain pricing: given sequences, first steps and repairs, the least D and the exact minutes.

It searches nothing, so it can price any answer of any solver.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from finishplan.speed.generic_model import SLACK, Entry, Ladder, Model, Panel, Zone

REPAIRS = ("zone", "spot", "fill", "leave", "clean", "refer")


@dataclass(frozen=True)
class ZoneChoice:
    """What is done in one zone: the suffix of steps (empty: untouched) and one repair per entry."""

    suffix: tuple[int, ...]
    repairs: tuple[str, ...]


@dataclass(frozen=True)
class PanelChoice:
    """What is done on one panel: the sequence (empty: nothing) and each zone's choice."""

    sequence: tuple[int, ...]
    zones: tuple[ZoneChoice, ...]


@dataclass
class Price:
    """Minutes (and prices in minutes) of a choice by part; `broken` lists the rules it does not keep."""

    change: float = 0.0
    kits: float = 0.0
    look: float = 0.0
    work: float = 0.0
    repairs: float = 0.0
    untouched: float = 0.0
    refer: float = 0.0
    film: float = 0.0
    removal_um: list[list[float]] = field(default_factory=list)
    broken: list[str] = field(default_factory=list)

    @property
    def objective_min(self) -> float:
        """The sum that is minimised."""
        return (self.change + self.kits + self.look + self.work + self.repairs + self.untouched + self.refer
                + self.film)


def price_choice(model: Model, choices: Sequence[PanelChoice]) -> Price:
    """Price one choice for the whole job; broken rules are named, never priced in."""
    price = Price()
    used: set[int] = set()
    kits: set[str] = set()
    for panel, choice in zip(model.panels, choices, strict=True):
        price_panel(model, panel, choice, price)
        used.update(choice.sequence)
        kits.update(repair for zone in choice.zones for repair in zone.repairs if repair in ("spot", "fill"))
    price.change = sum(model.steps[k].change_min for k in sorted(used))
    price.kits = sum(float(model.policy[f"{kit}_kit_min"]) for kit in sorted(kits))
    return price


def price_panel(model: Model, panel: Panel, choice: PanelChoice, price: Price) -> None:
    """Add one panel's minutes (without set-up) and broken rules to `price`."""
    sequence = choice.sequence
    if sequence:
        if sequence[-1] not in panel.ends:
            price.broken.append(f"{panel.name}: ends too coarse or beyond the target")
        if any(arc not in panel.arcs for arc in pairwise(sequence)):
            price.broken.append(f"{panel.name}: a step may not follow the one before it")
    blend = min(int(model.policy["blend_steps"]), len(sequence))
    price.removal_um.append([])
    for zone, done in zip(panel.zones, choice.zones, strict=True):
        where = f"{panel.name}, {zone.name}"
        if done.suffix:
            if done.suffix != sequence[len(sequence) - len(done.suffix):] or len(done.suffix) < blend:
                price.broken.append(f"{where}: not an end of the panel's sequence, or too short to blend")
        elif sequence:
            price.untouched += model.policy["untouched_price"]
        _price_zone(model, zone, done, where, price)
    for k in sequence:
        area = sum(zone.area_m2 for zone, done in zip(panel.zones, choice.zones, strict=True)
                   if k in done.suffix)
        price.look += model.policy["look_min"] + model.policy["look_min_per_m2"] * area


def _price_zone(model: Model, zone: Zone, done: ZoneChoice, where: str, price: Price) -> None:
    taken = zone.must_take_um
    for entry, repair in zip(zone.entries, done.repairs, strict=True):
        if repair == "zone" and entry.need_um is not None:
            taken = max(taken, entry.need_um)
    removals = removals_um(model, zone, done.suffix, taken)
    total = sum(removals)
    price.removal_um[-1].append(total)
    if done.suffix:
        first = done.suffix[0]
        last_um = model.steps[done.suffix[-1]].scratch_um
        if zone.barred:
            price.broken.append(f"{where}: work is barred")
        if first not in zone.starts or removals[0] > zone.starts[first][1] + SLACK:
            price.broken.append(f"{where}: cannot start with this step, or it would have to take too much")
        if any(arc not in zone.arcs for arc in pairwise(done.suffix)):
            price.broken.append(f"{where}: its tools do not allow this order")
        if (1 + zone.overcut) * total + last_um > zone.spare_um + SLACK:
            price.broken.append(f"{where}: not enough film")
        price.work += sum(zone.area_m2 * um / zone.rate[k]
                          for k, um in zip(done.suffix, removals, strict=True) if k in zone.rate)
        price.film += model.film_weight * zone.area_m2 * total
    spots = 0
    for index, (entry, repair) in enumerate(zip(zone.entries, done.repairs, strict=True)):
        spots += entry.count if repair == "spot" else 0
        fault = _repair_fault(model, zone, entry, repair, done.suffix, removals)
        if fault:
            price.broken.append(f"{where}, entry {index}: {fault}")
        minutes = {"spot": entry.spot_min, "fill": entry.fill_min}.get(repair)
        price.repairs += minutes or 0.0
        price.refer += model.policy["refer_price"] if repair == "refer" else 0.0
    if spots > zone.spots_max + SLACK:
        price.broken.append(f"{where}: too many spots")


def removals_um(model: Model, zone: Zone, suffix: Sequence[int], taken_um: float) -> list[float]:
    """Removal of each step of a zone's suffix [um], the first as `levels` or `lean` asks."""
    later = [model.carry_um[k] for k in suffix[:-1]]
    if not suffix:
        return []
    least = zone.starts.get(suffix[0], (0.0, 0.0))[0]
    return [max(taken_um - sum(later) if zone.lean else taken_um, least), *later]


def _repair_fault(model: Model, zone: Zone, entry: Entry, repair: str, suffix: Sequence[int],
                  removals: Sequence[float]) -> str:
    """What is wrong with this repair here, or an empty text."""
    if repair == "zone":
        if not entry.with_zone or not suffix:
            return "the zone does not take it"
        return "needs a sheet first" if entry.needs_sheet and not model.steps[suffix[0]].sheet else ""
    if repair in ("spot", "fill"):
        minutes, ladders, overcut, depth = (
            (entry.spot_min, zone.spot_ladders, entry.spot_overcut, entry.need_um or 0.0) if repair == "spot"
            else (entry.fill_min, zone.fill_ladders, zone.overcut, 0.0))
        if minutes is None or not suffix or suffix[0] not in ladders:
            return f"{repair} is not open"
        lost = local_loss_um(ladders[suffix[0]], removals) + depth
        last_um = model.steps[suffix[-1]].scratch_um
        enough = (1 + overcut) * lost + last_um <= zone.spare_um + SLACK
        return "" if enough else f"not enough film for a {repair}"
    open_here = {"leave": entry.leave, "clean": entry.clean, "refer": True}[repair]
    return "" if open_here else f"{repair} is not open"


def local_loss_um(ladder: Ladder, removals: Sequence[float]) -> float:
    """Film lost in the rings beside the depth [um]: local + max(h_1, c r of its last sheet) + later h."""
    local, carry = ladder
    return local + max(removals[0], carry) + sum(removals[1:])
