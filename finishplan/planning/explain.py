"""Why this and not that: every price here is the difference of two exact plans, never an estimate.

A decision is priced by taking it away and choosing the whole job again; a wish by changing it and
choosing again; limits by moving them, in close_calls.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from finishplan import wording
from finishplan.planning.close_calls import close_calls, two_limits
from finishplan.planning.panel_table import NOTHING, Ints, PanelTable
from finishplan.planning.problem import build_problem, with_wish
from finishplan.planning.result import AskingLess, CloseCall, LimitMove, RunnerUp
from finishplan.planning.search import Choice, Forbid, JobTables
from finishplan.planning.totals import Totals, totals
from finishplan.planning.versions import At, barring, solved
from finishplan.planning.zone_table import repair_minutes
from finishplan.survey.choices import VIEW_ORDER

MOST_DECISIONS = 12
"""How many of the dearest decisions are taken away and planned again, a panel and for the job's wishes."""
CELLS_A_PANEL = 20_000_000
"""Prices that may be worked out again to explain one panel: of very many defects fewer decisions are tried."""
MOST_SAVINGS = 6
"""How many of the dearest wishes are shown."""


@dataclass(frozen=True)
class Explained:
    """Everything a plan says of its own choice."""

    runners_up: tuple[tuple[RunnerUp, ...], ...]
    """By panel."""
    close_calls: tuple[tuple[CloseCall, ...], ...]
    """By panel."""
    asking_less: tuple[AskingLess, ...]
    two_limits: tuple[LimitMove, ...]


def explain(tables: JobTables, choice: Choice) -> Explained:
    """Return runners-up and close calls by panel, and what asking less would buy."""
    base = totals(tables, choice)
    return Explained(
        tuple(runners_up(tables, choice, base, p) for p in range(len(tables.panels))),
        tuple(close_calls(tables, choice, base, p) for p in range(len(tables.panels))),
        asking_less(tables, choice, base),
        two_limits(tables, base),
    )


def runners_up(tables: JobTables, choice: Choice, base: Totals, p: int) -> tuple[RunnerUp, ...]:
    """Return the best other way of each decision on a panel, with its price."""
    chosen = choice.panels[p]
    if chosen.q == NOTHING:
        return ()
    found = [other_start(tables, choice, base, p), other_sequence(tables, choice, base, p)]
    for _, at, i, repair in decisions(tables, choice, p)[: most_tried(tables, p)]:
        if repair != "refer":
            found.append(other_repair(tables, base, at, i, repair))
    area = sum(zone.ways.area_m2 for zone in tables.panels[p].zones)
    kept: dict[tuple[str, float], RunnerUp] = {}
    for runner in found:
        if runner is not None and (runner.refers <= 0 or "the fill" in runner.instead or "the spot" in runner.instead):
            kept.setdefault(
                (runner.instead, round(runner.minutes, 6)), replace(runner, film_um=runner.film_um_m2 / area)
            )
    return tuple(kept.values())


def decisions(tables: JobTables, choice: Choice, p: int) -> list[tuple[float, At, int, str]]:
    """Return a panel's decisions on defects, dearest first: own price, place, entry, repair.

    A spot or fill has its minutes, an entry that drives its zone the zone's work, a refused one the price of
    refusing. Entries that merely go along decide nothing, and of entries alike in all but name one stands for all.
    """
    found: dict[tuple[object, ...], tuple[float, At, int, str]] = {}
    for z, zone in enumerate(choice.panels[p].zones):
        ways = tables.panels[p].zones[z].ways
        for i, (entry, repair) in enumerate(zip(ways.zone.entries, zone.repairs, strict=True)):
            if repair in ("spot", "fill"):
                price = float(repair_minutes(ways, entry, True, True)[repair][zone.q, zone.k])
            elif repair == "zone" and drives(tables, (p, z), i, zone.q, zone.k):
                price = float(ways.work_min[zone.q, zone.k])
            elif repair == "refer" and entry.index is not None and not entry.kind.bars_work:
                price = tables.problem.policy.refer_price
            else:
                continue
            found.setdefault((z, replace(entry, index=0), repair), (price, (p, z), i, repair))
    return sorted(found.values(), key=lambda decision: -decision[0])


def most_tried(tables: JobTables, p: int) -> int:
    """Return how many of a panel's decisions are tried: all the dearest, fewer where each costs very much."""
    cells = sum(z.ways.removal_um.size * (1 + len(z.ways.zone.entries)) for z in tables.panels[p].zones)
    return max(1, min(MOST_DECISIONS, CELLS_A_PANEL // cells))


def drives(tables: JobTables, at: At, i: int, q: int, k: int) -> bool:
    """Whether an entry is what the zone's depth or its first sheet is there for."""
    ways = tables.panels[at[0]].zones[at[1]].ways
    entry = ways.zone.entries[i]
    depth = float(ways.depths_um[k])
    if q == NOTHING or entry.only_zone or entry.depth_um is None:
        return False
    return entry.depth_um >= depth - 1e-9 or entry.needs_sheet


def same_start(q: int) -> Forbid:
    """Return a ban on all sequences that begin with the same step as ``q``."""

    def ban(panel: PanelTable, which: Ints) -> npt.NDArray[np.bool_]:
        starts = np.where(which == NOTHING, -1, panel.table.first[which])
        return np.asarray(starts == panel.table.first[q])

    return ban


def same_sequence(q: int) -> Forbid:
    """Return a ban on one sequence and on those that start elsewhere, so that only the way changes."""

    def ban(panel: PanelTable, which: Ints) -> npt.NDArray[np.bool_]:
        starts = np.where(which == NOTHING, -1, panel.table.first[which])
        return np.asarray((which == q) | (starts != panel.table.first[q]))

    return ban


def without(tables: JobTables, base: Totals, p: int, ban: Forbid, words: Callable[[Choice], str]) -> RunnerUp | None:
    """Return the best plan with some of a panel's sequences forbidden, or None where there is none."""
    try:
        choice = tables.choose(without={p: ban})
    except ValueError:
        return None
    if not np.isfinite(choice.price_min):
        return None
    return priced(words(choice), totals(tables, choice), base)


def other_start(tables: JobTables, choice: Choice, base: Totals, p: int) -> RunnerUp | None:
    """Return the best plan in which the panel starts with another step."""
    return without(tables, base, p, same_start(choice.panels[p].q), lambda c: start_words(tables, c, p))


def other_sequence(tables: JobTables, choice: Choice, base: Totals, p: int) -> RunnerUp | None:
    """Return the best plan in which the panel starts the same but goes on otherwise."""
    return without(tables, base, p, same_sequence(choice.panels[p].q), lambda c: sequence_words(tables, c, p))


def start_words(tables: JobTables, choice: Choice, p: int) -> str:
    """Return another start in words."""
    q = choice.panels[p].q
    if q == NOTHING:
        return "work nothing on this panel"
    return f"start at {wording.step_short(tables.panels[p].table.names_of(q)[0])} instead"


def sequence_words(tables: JobTables, choice: Choice, p: int) -> str:
    """Return another sequence in words."""
    q = choice.panels[p].q
    if q == NOTHING:
        return "work nothing on this panel"
    names = ", ".join(wording.step_short(n) for n in tables.panels[p].table.names_of(q))
    return f"go {names} instead"


def other_repair(tables: JobTables, base: Totals, at: At, i: int, repair: str) -> RunnerUp:
    """Return the best plan in which one entry takes any other repair."""
    entry = tables.panels[at[0]].zones[at[1]].ways.zone.entries[i]
    sister, choice, new = solved(tables, barring(tables.problem, at, i, repair))
    name = wording.defect_words(entry.kind.name, entry.count)
    zone = choice.panels[at[0]].zones[at[1]]
    now = zone.repairs[i]
    if now == "zone":
        first = sister.panels[at[0]].table.names_of(zone.q)[0]
        words = f"take the {name} out over the whole zone from {wording.step_short(first)} instead of a {repair}"
    elif now == "refer":
        words = f"without the {repair_noun(repair)}, the {name} would not be dealt with"
    else:
        words = f"{now} the {name} instead of {repair_verb(repair)}"
    return priced(words, new, base)


def repair_noun(repair: str) -> str:
    """Return a repair as a noun."""
    return {"zone": "work over the whole zone"}.get(repair, repair)


def repair_verb(repair: str) -> str:
    """Return a repair as it follows "instead of"."""
    return {"zone": "working the whole zone", "spot": "a spot", "fill": "a fill"}[repair]


def priced(words: str, new: Totals, base: Totals) -> RunnerUp:
    """Return another plan's price against the base."""
    change = new.minus(base)
    return RunnerUp(words, change.minutes, change.film_um_m2, 0.0, change.refers, change.untouched)


def asking_less(tables: JobTables, choice: Choice, base: Totals) -> tuple[AskingLess, ...]:
    """Return what the dearest wishes cost: each defect softened or left, each panel seen from farther away.

    Dearest first, by what is saved when it is left; a wish whose softening saves nothing is not shown so.
    """
    dearest = sorted(
        (d for p in range(len(choice.panels)) for d in decisions(tables, choice, p)[: most_tried(tables, p)]),
        key=lambda d: -d[0],
    )
    savings = [less_of(tables, base, at, i) for _, at, i, _ in dearest[:MOST_DECISIONS]]
    savings = [s for s in savings if s[0] > 0.05]
    savings.sort(key=lambda s: -s[0])
    return (*(line for _, lines in savings[:MOST_SAVINGS] for line in lines), *seen_from_farther(tables, base))


def seen_from_farther(tables: JobTables, base: Totals) -> list[AskingLess]:
    """Return what looking from the next view farther away would save, for the whole job."""
    job = tables.problem.job
    at = VIEW_ORDER.index(job.seen_from)
    if at == 0:
        return []
    farther = VIEW_ORDER[at - 1]
    problem = build_problem(
        job.model_copy(update={"seen_from": farther}),
        tables.problem.profile,
        tables.problem.favour,
        tables.problem.only,
    )
    _, _, new = solved(tables, replace(problem, film_weight=tables.problem.film_weight))
    change = base.minus(new)
    if change.minutes + tables.problem.policy.refer_price * change.refers <= 0.05:
        return []
    return [AskingLess("the whole job", f"seen from {farther}", change.minutes, change.film_um_m2, change.refers)]


def less_of(tables: JobTables, base: Totals, at: At, i: int) -> tuple[float, list[AskingLess]]:
    """Return what leaving and softening one entry saves, and the larger saving's price for sorting."""
    panel = tables.problem.panels[at[0]]
    zone = panel.zones[at[1]]
    entry = zone.entries[i]
    place = f"{panel.panel.name}, {zone.zone.name}: {wording.defect_words(entry.kind.name, entry.count)}"
    lines = []
    best = 0.0
    wishes = ("soften", "leave") if entry.asked == "remove" and entry.full_depth_um is not None else ("leave",)
    for wish in wishes:
        assert entry.index is not None
        _, _, new = solved(tables, with_wish(tables.problem, at, entry.index, wish))
        change = base.minus(new)
        worth = change.minutes + tables.problem.policy.refer_price * change.refers
        if worth > 0.5 or change.film_um_m2 > 0.05:
            lines.append(AskingLess(place, wish, change.minutes, change.film_um_m2, change.refers))
        best = max(best, worth)
    return best, lines
