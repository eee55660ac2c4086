"""Every plan of a tiny job, listed and priced one by one: no solver, no bounds, only broken rules drop."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from finishplan.speed.generic_model import Model, Panel, Zone
from finishplan.speed.generic_price import REPAIRS, PanelChoice, Price, ZoneChoice, price_choice, price_panel

Key = tuple[frozenset[int], frozenset[str]]
Option = tuple[float, ZoneChoice]


def sequences(panel: Panel) -> Iterator[tuple[int, ...]]:
    """Every sequence the panel's rules allow, grown step by step, and the empty one."""
    yield ()
    growing: list[tuple[int, ...]] = [(k,) for k in panel.steps]
    while growing:
        sequence = growing.pop()
        if sequence[-1] in panel.ends:
            yield sequence
        growing.extend((*sequence, k) for k in panel.steps if (sequence[-1], k) in panel.arcs)


def zone_options(model: Model, panel: Panel, zone: Zone,
                 sequence: tuple[int, ...]) -> dict[frozenset[str], Option]:
    """The cheapest choice of one zone beside a given sequence, for each set of kits it uses."""
    alone = Panel(panel.name, panel.steps, panel.arcs, panel.ends, (zone,))
    best: dict[frozenset[str], Option] = {}
    for taken in range(len(sequence) + 1):
        suffix = sequence[len(sequence) - taken:]
        for repairs in product(REPAIRS, repeat=len(zone.entries)):
            price = Price()
            done = ZoneChoice(suffix, repairs)
            price_panel(model, alone, PanelChoice(sequence, (done,)), price)
            kits = frozenset(repairs) & {"spot", "fill"}
            if not price.broken and (kits not in best or price.objective_min < best[kits][0]):
                best[kits] = price.objective_min, done
    return best


def panel_options(model: Model, panel: Panel) -> dict[Key, PanelChoice]:
    """The cheapest choice of one panel for each set of steps and kits that it needs."""
    best: dict[Key, tuple[float, PanelChoice]] = {}
    for sequence in sequences(panel):
        by_zone = [list(zone_options(model, panel, zone, sequence).items()) for zone in panel.zones]
        for picks in product(*by_zone):
            key = frozenset(sequence), frozenset().union(*(kits for kits, _ in picks))
            cost = sum(option[0] for _, option in picks)
            if key not in best or cost < best[key][0]:
                best[key] = cost, PanelChoice(sequence, tuple(option[1] for _, option in picks))
    return {key: choice for key, (_, choice) in best.items()}


def cheapest(model: Model) -> float:
    """The least objective over all plans of the job [min].

    A panel's looks count once per step, so `zone_options` counts them too often where zones share a panel;
    the excess is the same for every choice beside one sequence, and the last pricing is the whole job's.
    """
    by_panel = [list(panel_options(model, panel).values()) for panel in model.panels]
    prices = [price_choice(model, choices) for choices in product(*by_panel)]
    return min(price.objective_min for price in prices if not price.broken)
