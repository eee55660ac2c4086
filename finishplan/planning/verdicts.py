"""The verdict of every zone, and what would fit where the film refuses.

To tell why something was refused the same job is chosen again with endless film, and with readings that
cannot be bettered: what is still refused then was not refused by the film, or not by the measuring.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from finishplan.planning.panel_table import NOTHING, ZoneChoice
from finishplan.planning.problem import Problem, ZoneProblem, with_wish
from finishplan.planning.reasons import Facts, fits_words, verdict_reasons
from finishplan.planning.search import Choice, JobTables
from finishplan.planning.versions import At
from finishplan.planning.zone_table import fill_film_um, local_ladders, spot_film_um
from finishplan.survey.film import GUESS_METHOD

MOST_TRIED = 8
"""How many different refused entries of a zone are tried softer; the rest would be alike."""


@dataclass(frozen=True)
class Verdict:
    """One zone's verdict with its reasons, and what would fit."""

    verdict: str
    reasons: tuple[str, ...]
    would_fit: tuple[str, ...]


@dataclass(frozen=True)
class Verdicts:
    """Verdicts by (panel, zone) place."""

    of: dict[At, Verdict]


def judge(tables: JobTables, choice: Choice) -> Verdicts:
    """Return every zone's verdict for a choice."""
    problem = tables.problem
    refused = any(refusals(tables, choice).values())
    endless = again(tables, problem.with_endless_film()) if refused else {}
    perfect = again(tables, problem.with_perfect_readings()) if refused else {}
    here = refusals(tables, choice)
    found = {}
    for at, zone, chosen, worked in places(tables, choice):
        film_refuses = bool(here[at] - endless.get(at, set()))
        facts = Facts(
            zone=zone,
            done=chosen.q != NOTHING,
            asked=any(not e.may_leave for e in zone.entries),
            untouched=worked and chosen.q == NOTHING,
            referred=tuple(i for i, r in enumerate(chosen.repairs) if r == "refer"),
            film_refuses=film_refuses,
            readings_refuse=film_refuses and not (perfect.get(at, set()) - endless.get(at, set())),
            deepest_um=deepest_loss_um(tables, at, chosen),
            identified=problem.job.finish_id.result == "polyester",
        )
        verdict = verdict_of(facts, problem)
        fits = would_fit(tables, at, facts) if verdict in ("not enough film", "measure first") and film_refuses else ()
        found[at] = Verdict(verdict, verdict_reasons(problem, facts, verdict), fits)
    return Verdicts(found)


def again(tables: JobTables, problem: Problem) -> dict[At, set[object]]:
    """Return the refusals of the best plan of another version of the job."""
    sister = tables.sister(problem)
    return refusals(sister, sister.choose())


def places(tables: JobTables, choice: Choice) -> list[tuple[At, ZoneProblem, ZoneChoice, bool]]:
    """Return every zone with its place, its choice, and whether its panel is worked."""
    return [
        ((p, z), zone.ways.zone, chosen.zones[z], chosen.q != NOTHING)
        for p, (panel, chosen) in enumerate(zip(tables.panels, choice.panels, strict=True))
        for z, zone in enumerate(panel.zones)
    ]


def refusals(tables: JobTables, choice: Choice) -> dict[At, set[object]]:
    """Return, by zone, what is refused: places of referred entries, and "untouched" beside a worked panel."""
    found: dict[At, set[object]] = {}
    for at, _, chosen, worked in places(tables, choice):
        refused: set[object] = {i for i, repair in enumerate(chosen.repairs) if repair == "refer"}
        if worked and chosen.q == NOTHING:
            refused.add("untouched")
        found[at] = refused
    return found


def deepest_loss_um(tables: JobTables, at: At, chosen: ZoneChoice) -> float:
    """Return the most film [um] the zone loses anywhere: H, at a spot or fill what its place takes; no overcut."""
    if chosen.q == NOTHING:
        return 0.0
    ways = tables.panels[at[0]].zones[at[1]].ways
    policy = tables.problem.policy
    losses = [float(ways.removal_um[chosen.q, chosen.k])]
    for entry, repair in zip(ways.zone.entries, chosen.repairs, strict=True):
        if repair == "spot":
            film = spot_film_um(ways, entry, local_ladders(ways, policy.spot_ladder))
            losses.append(float(film[chosen.q, chosen.k]))
        elif repair == "fill":
            losses.append(float(fill_film_um(ways, local_ladders(ways, policy.fill_ladder))[chosen.q, chosen.k]))
    return max(losses)


def verdict_of(facts: Facts, problem: Problem) -> str:
    """Return the first verdict that is true."""
    if not facts.asked and not facts.done and not facts.untouched:
        return "go"
    if not facts.identified:
        return "identify first"
    if must_measure(facts, problem):
        return "measure first"
    if facts.film_refuses:
        return "not enough film"
    if facts.referred or facts.untouched or facts.zone.barred:
        return "refer"
    return "go"


def must_measure(facts: Facts, problem: Problem) -> bool:
    """Whether readings decide: suspect or none, too few for what is taken, or in the way of what is asked."""
    real = sum(r.method != GUESS_METHOD for r in facts.zone.zone.readings)
    policy = problem.policy
    if (facts.done or facts.film_refuses) and (facts.zone.suspect or real == 0):
        return True
    if facts.done and real < policy.min_readings and facts.deepest_um > policy.unmeasured_um:
        return True
    return facts.readings_refuse


def would_fit(tables: JobTables, at: At, facts: Facts) -> tuple[str, ...]:
    """Return in words what the film does allow, each tried by choosing the job again."""
    problem = tables.problem
    share = problem.policy.soften_share
    found = []
    alike: set[object] = set()
    for i in facts.referred:
        entry = facts.zone.entries[i]
        same = replace(entry, index=0)
        if entry.index is None or entry.kind.bars_work or same in alike or len(alike) >= MOST_TRIED:
            continue
        alike.add(same)
        softer = entry.asked != "soften" and entry.full_depth_um is not None
        if softer and i not in again(tables, with_wish(problem, at, entry.index, "soften"))[at]:
            found.append(fits_words(entry, "soften", share))
        found.append(fits_words(entry, "leave", share))
    finishers = all(panel.worker == "finisher" for panel in problem.panels)
    if finishers and not problem.lean and len(again(tables, replace(problem, lean=True))[at]) < facts.refused:
        found.append("the lean first cut, by a finisher")
    return tuple(dict.fromkeys(found))
