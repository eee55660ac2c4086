"""What a choice comes to in plain sums: minutes, film, refusals. For comparing whole plans."""

from __future__ import annotations

from dataclasses import dataclass

from finishplan.planning.panel_table import NOTHING, PanelChoice, PanelTable
from finishplan.planning.search import Choice, JobTables
from finishplan.planning.zone_table import repair_minutes


@dataclass(frozen=True)
class Totals:
    """A plan's sums: minutes of set-up, looks, work and repairs; film taken; what is refused."""

    minutes: float
    film_um_m2: float
    refers: int
    untouched: int

    def minus(self, other: Totals) -> Totals:
        """Return the difference, this less ``other``."""
        return Totals(
            self.minutes - other.minutes,
            self.film_um_m2 - other.film_um_m2,
            self.refers - other.refers,
            self.untouched - other.untouched,
        )


def totals(tables: JobTables, choice: Choice) -> Totals:
    """Return the sums of a choice over its own tables."""
    parts = [panel_totals(table, chosen) for table, chosen in zip(tables.panels, choice.panels, strict=True)]
    used: set[str] = set()
    for table, chosen in zip(tables.panels, choice.panels, strict=True):
        used |= set_up_names(table, chosen)
    return Totals(
        sum(p.minutes for p in parts) + sum(tables.set_up_min(name) for name in used),
        sum(p.film_um_m2 for p in parts),
        sum(p.refers for p in parts),
        sum(p.untouched for p in parts),
    )


def set_up_names(table: PanelTable, chosen: PanelChoice) -> set[str]:
    """Return the steps and kits that a panel's choice needs set up."""
    if chosen.q == NOTHING:
        return set()
    kits = {f"{repair} kit" for zone in chosen.zones for repair in zone.repairs if repair in ("spot", "fill")}
    return set(table.table.names_of(chosen.q)) | kits


def panel_totals(table: PanelTable, chosen: PanelChoice) -> Totals:
    """Return the sums of one panel without set-up."""
    minutes, film, refers, untouched = 0.0, 0.0, 0, 0
    if chosen.q != NOTHING:
        minutes += table.problem.policy.look_min * float(table.table.length[chosen.q])
    for cost, zone in zip(table.zones, chosen.zones, strict=True):
        refers += zone.repairs.count("refer")
        if zone.q == NOTHING:
            untouched += chosen.q != NOTHING
            continue
        ways = cost.ways
        minutes += float(ways.work_min[zone.q, zone.k] + ways.look_min[zone.q])
        film += float(ways.film_um_m2[zone.q, zone.k])
        for entry, repair in zip(ways.zone.entries, zone.repairs, strict=True):
            if repair in ("spot", "fill"):
                minutes += float(repair_minutes(ways, entry, True, True)[repair][zone.q, zone.k])
    return Totals(minutes, film, refers, untouched)
