"""Limits met within a tenth, and the two that make the plan: each moved, and the whole job chosen again."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice

from finishplan import wording
from finishplan.errors import FinishplanError
from finishplan.planning.panel_table import NOTHING, ZoneChoice
from finishplan.planning.problem import Entry, Problem, ZoneProblem, build_problem
from finishplan.planning.removal import SLACK, film_needed_um
from finishplan.planning.result import CloseCall, LimitMove
from finishplan.planning.search import Choice, JobTables
from finishplan.planning.totals import Totals
from finishplan.planning.verdicts import deepest_loss_um
from finishplan.planning.versions import At, barring, solved, with_zone
from finishplan.planning.zone_cost import ZoneCost
from finishplan.planning.zone_table import (
    EDGE_REACH,
    Ways,
    fill_film_um,
    first_limits,
    is_opened,
    local_ladders,
    spot_allowed,
    spot_film_um,
    spot_overcut,
)
from finishplan.shop.policy import Policy
from finishplan.shop.profile import Profile
from finishplan.shop.steps import Step
from finishplan.survey.film import GUESS_METHOD

CLOSE_SHARE = 0.10
"""A limit met within a tenth of what there is, is a close call."""
MOST_MOVES = 8
"""How many limits of sizes and counts are moved, a panel: the first met."""


def close_calls(tables: JobTables, choice: Choice, base: Totals, p: int) -> tuple[CloseCall, ...]:
    """Return the limits of a panel met within a tenth, each with what changes when it moves."""
    found: list[CloseCall] = []
    others: list[CloseCall] = []
    for z, chosen in enumerate(choice.panels[p].zones):
        case = Case(tables, base, (p, z), chosen)
        if chosen.q == NOTHING:
            if "refer" in chosen.repairs or choice.panels[p].q != NOTHING:
                found += opened_calls(case)
        else:
            found += film_calls(case)
            found += reading_calls(case)
        others += islice(other_calls(case), MOST_MOVES - len(others))
    return (*found, *others)


@dataclass(frozen=True)
class Case:
    """One zone of the job as it is chosen."""

    tables: JobTables
    base: Totals
    at: At
    chosen: ZoneChoice

    @property
    def cost(self) -> ZoneCost:
        """The zone's prices."""
        return self.tables.panels[self.at[0]].zones[self.at[1]]

    @property
    def ways(self) -> Ways:
        """The ways to work the zone."""
        return self.cost.ways

    @property
    def zone(self) -> ZoneProblem:
        """The zone."""
        return self.ways.zone

    @property
    def policy(self) -> Policy:
        """The shop's policy."""
        return self.tables.problem.policy

    def entries(self, *repairs: str) -> Iterator[tuple[int, Entry]]:
        """The entries whose repair is one of these, with their places."""
        for i, (entry, repair) in enumerate(zip(self.zone.entries, self.chosen.repairs, strict=True)):
            if repair in repairs:
                yield i, entry

    def change(self, problem: Problem) -> Totals:
        """Return what changes in the whole job in another version of it."""
        return solved(self.tables, problem)[2].minus(self.base)

    def named(self, entry: Entry) -> str:
        """Return an entry with its zone, as a call says where."""
        return f"{self.zone.zone.name}: {wording.defect_words(entry.kind.name, entry.count)}"


def film_calls(case: Case) -> Iterator[CloseCall]:
    """Yield a call where the zone's own work, a spot or a fill needs nearly all film to spend there is."""
    zone, ways = case.zone, case.ways
    q, k = case.chosen.q, case.chosen.k
    last = float(ways.table.last_scratch_um[q])
    needs = [(float(film_needed_um(float(ways.removal_um[q, k]), last, zone.overcut)), "film to spend")]
    for i, entry in case.entries("spot", "fill"):
        spot = case.chosen.repairs[i] == "spot"
        ladder = local_ladders(ways, case.policy.spot_ladder if spot else case.policy.fill_ladder)
        film = spot_film_um(ways, entry, ladder) if spot else fill_film_um(ways, ladder)
        overcut = spot_overcut(zone, entry) if spot else zone.overcut
        what = f"film to spend {'under the spot on' if spot else 'beside the fill of'} the "
        needs.append((float(film_needed_um(float(film[q, k]), last, overcut)),
                      what + wording.defect_words(entry.kind.name, entry.count)))
    need, what = max(needs, key=lambda found: found[0])
    margin = zone.spare_um - need
    if margin <= CLOSE_SHARE * zone.spare_um:
        less = moved_film(case, -CLOSE_SHARE * zone.spare_um)
        yield CloseCall("film", f"{zone.zone.name}: {what}", margin,
                        changes_words(case.change(less), "with a tenth less film"))


def opened_calls(case: Case) -> list[CloseCall]:
    """Return a close call for a zone that is refused and would not be with a tenth more film."""
    more = CLOSE_SHARE * case.zone.film.low_um
    change = case.change(moved_film(case, more))
    if change.refers >= 0 and change.untouched >= 0:
        return []
    words = changes_words(change, f"with {wording.least_words(more)} um more")
    return [CloseCall("film", f"{case.zone.zone.name}: film to spend", -more, words)]


def reading_calls(case: Case) -> Iterator[CloseCall]:
    """Yield a call where what is taken nearly asks for more readings than there are, or just does."""
    policy = case.policy
    real = sum(r.method != GUESS_METHOD for r in case.zone.zone.readings)
    deepest = deepest_loss_um(case.tables, case.at, case.chosen)
    margin = policy.unmeasured_um - deepest
    if real >= policy.min_readings or real == 0 or abs(margin) > CLOSE_SHARE * policy.unmeasured_um:
        return
    wanted = wording.counted(policy.min_readings, "reading")
    says = f"over {policy.unmeasured_um:.3g} um, {wanted} come first" if margin >= -SLACK else (
        f"at {policy.unmeasured_um:.3g} um or less, {wording.counted(real, 'reading')} would do")
    yield CloseCall("readings", f"{case.zone.zone.name}: what is taken with few readings", margin, says)


def other_calls(case: Case) -> Iterator[CloseCall]:
    """Yield the calls on sizes, counts and places: level, spots, edge, width of a fill."""
    yield from level_calls(case)
    yield from count_calls(case)
    for i, entry in enumerate(case.zone.entries):
        yield from share_calls(case, entry)
        yield from edge_calls(case, i, entry)
        yield from width_calls(case, entry)


def level_calls(case: Case) -> Iterator[CloseCall]:
    """Yield a call where the first step takes nearly the most it can level."""
    ways, zone = case.ways, case.zone
    q, k = case.chosen.q, case.chosen.k
    if q == NOTHING:
        return
    step = ways.table.candidates[int(ways.table.first[q])]
    _, most = first_limits(zone, ways.table, case.policy.first_cut_compound_um)
    limit = float(most[int(ways.table.first[q])])
    takes = float(ways.first_um[q, k])
    if not step.is_sheet or takes <= ways.previous_um + SLACK or not close(limit, takes):
        return
    profile = with_step(case.tables.problem.profile, replace(step, max_level_um=(1.0 - CLOSE_SHARE) * limit))
    yield CloseCall("level", f"{zone.zone.name}: most that {wording.step_short(step.name)} levels", limit - takes,
                    changes_words(changed(case, profile), f"at {(1.0 - CLOSE_SHARE) * limit:.3g} um"))


def count_calls(case: Case) -> Iterator[CloseCall]:
    """Yield a call where the zone takes all its spots, or where more entries would be spotted but for the count."""
    spots = sum(entry.count for _, entry in case.entries("spot"))
    most = case.cost.most_spots
    others = case.entries("refer", "fill", "zone")
    wanting = any(spots + e.count == most + 1 for _, e in others if spot_allowed(case.ways, e))
    if not wanting and (spots < most or most == 1):  # one spot is always allowed
        return
    by, one = (1.0, "one spot more") if wanting else (-1.0, "one spot fewer")
    limit = max(0.0, case.policy.spot_max_per_m2 + by / case.ways.area_m2)
    change = changed(case, with_policy(case, spot_max_per_m2=limit))
    yield CloseCall("spots", f"{case.zone.zone.name}: number of spots", None,
                    changes_words(change, f"with {one} in a zone this size"),
                    f"{spots} of at most {most}")


def share_calls(case: Case, entry: Entry) -> Iterator[CloseCall]:
    """Yield a call where an entry's spots cover nearly, or just over, the most of the zone they may."""
    most = case.policy.spot_max_share
    share = entry.footprint_m2 / case.ways.area_m2
    if entry.depth_um is None or "spot" not in entry.kind.repairs or case.zone.narrow or not near(most, share):
        return
    limit = (1.0 + (CLOSE_SHARE if share > most else -CLOSE_SHARE)) * most
    yield CloseCall(
        "spot share", case.named(entry), None,
        changes_words(changed(case, with_policy(case, spot_max_share=limit)), f"with {100 * limit:.3g} %"),
        f"spots cover {100 * share:.3g} % of the zone, at most {100 * most:g} %")


def edge_calls(case: Case, i: int, entry: Entry) -> Iterator[CloseCall]:
    """Yield a call where a spot stands nearly as close to the edge as one may."""
    if entry.edge_m is None or case.chosen.repairs[i] != "spot":
        return
    room = EDGE_REACH * entry.edge_m
    if close(room, entry.radius_m):
        least = 1e3 * entry.radius_m / EDGE_REACH
        change = case.change(barring(case.tables.problem, case.at, i, "spot"))
        yield CloseCall("edge", case.named(entry), None, changes_words(change, "nearer to the edge, without the spot"),
                        f"{1e3 * entry.edge_m:.0f} mm from the edge, a spot needs {math.ceil(least - SLACK)} mm")


def width_calls(case: Case, entry: Entry) -> Iterator[CloseCall]:
    """Yield a call where damage is nearly too narrow, or just too narrow, for resin."""
    least = case.policy.fill_min_width_mm
    if "fill" not in entry.kind.repairs or entry.width_mm is None or not near(least, entry.width_mm):
        return
    if is_opened(entry, case.policy):
        return
    limit = (1.0 + (-CLOSE_SHARE if entry.width_mm < least else CLOSE_SHARE)) * least
    yield CloseCall(
        "fill width", case.named(entry), None,
        changes_words(changed(case, with_policy(case, fill_min_width_mm=limit)), f"with {limit:.3g} mm"),
        f"{entry.width_mm:g} mm wide, resin needs {least:g} mm")


def close(limit: float, value: float) -> bool:
    """Whether a value that is within its limit comes within a tenth of it."""
    return (1.0 - CLOSE_SHARE) * limit <= value <= limit + SLACK


def near(limit: float, value: float) -> bool:
    """Whether a value lies within a tenth of a limit, on either side."""
    return abs(value - limit) <= CLOSE_SHARE * limit + SLACK


def moved_film(case: Case, by_um: float) -> Problem:
    """Return the problem with one zone's film to spend moved."""
    return with_zone(case.tables.problem, case.at, replace(case.zone, spare_um=case.zone.spare_um + by_um))


def with_policy(case: Case, **moved: float) -> Profile:
    """Return the shop's profile with limits of its policy moved."""
    return policy_moved(case.tables.problem.profile, **moved)


def policy_moved(profile: Profile, **moved: float) -> Profile:
    """Return a profile with figures of its policy moved."""
    return replace(profile, policy=profile.policy.model_copy(update=moved))


def with_step(profile: Profile, step: Step) -> Profile:
    """Return a profile with one step replaced."""
    return replace(profile, steps=tuple(step if s.name == step.name else s for s in profile.steps))


def changed(case: Case, profile: Profile) -> Totals:
    """Return what changes in the whole job in another shop."""
    return case.change(in_shop(case.tables.problem, profile))


def in_shop(problem: Problem, profile: Profile) -> Problem:
    """Return the problem of the same job in another shop, at the same film weight."""
    other = build_problem(problem.job, profile, problem.favour, problem.only)
    return replace(other, film_weight=problem.film_weight)


def changes_words(change: Totals, when: str) -> str:
    """Return what changes in one sentence."""
    if abs(change.minutes) < 0.05 and abs(change.film_um_m2) < 0.05 and not change.refers and not change.untouched:
        return f"{when}, nothing changes"
    parts = [wording.signed_minutes(change.minutes), f"{wording.signed(change.film_um_m2, 1)} cm3 of film"]
    if change.refers:
        more = "more" if change.refers > 0 else "fewer"
        parts.append(f"{wording.number_words(abs(change.refers))} {more} not dealt with")
    if change.untouched:
        more = "more" if change.untouched > 0 else "fewer"
        parts.append(f"{wording.counted(abs(change.untouched), 'zone')} {more} left untouched")
    return f"{when}: {wording.listed(parts)}"


def two_limits(tables: JobTables, base: Totals) -> tuple[LimitMove, ...]:
    """Return what moves when the two limits move: the jump between sheets, and the coarsest sheet before compound.

    The jump goes a tenth up and down; the sheet before compound, for each tool in use, one listed sheet coarser
    and finer. Empty where one sequence was named: then neither decides.
    """
    problem = tables.problem
    if problem.only is not None:
        return ()
    ratio = problem.policy.max_step_ratio
    moves = [("jump between sheets", f"{ratio:g}", f"{by * ratio:.3g}",
              policy_moved(problem.profile, max_step_ratio=by * ratio))
             for by in (1.0 + CLOSE_SHARE, 1.0 - CLOSE_SHARE) if by * ratio >= 1.0]
    moves += [move for way in in_use(tables) for move in coarsest_moves(problem.profile, way)]
    return tuple(moved(tables, base, *move) for move in moves)


def in_use(tables: JobTables) -> tuple[str, ...]:
    """Return the ways of compounding in zones that may be sanded first: only there a sheet comes before compound."""
    zones = [zone for panel in tables.problem.panels for zone in panel.zones if zone.sheets_allowed]
    return tuple(dict.fromkeys(zone.compound_way for zone in zones))


def coarsest_moves(profile: Profile, way: str) -> Iterator[tuple[str, str, str, Profile]]:
    """Yield the profiles in which compounds by ``way`` may follow one sheet coarser, and one finer."""
    tool = profile.tool(way, "compound")
    sheets = [step.name for step in profile.steps if step.is_sheet]
    if tool.cutting_coarsest_before not in sheets:
        return
    at = sheets.index(tool.cutting_coarsest_before)
    for other in (at - 1, at + 1):
        if 0 <= other < len(sheets):
            tools = {**profile.tools, (way, "compound"): replace(tool, cutting_coarsest_before=sheets[other])}
            yield (f"coarsest sheet before compound by {way}", sheets[at], sheets[other], replace(profile, tools=tools))


def moved(tables: JobTables, base: Totals, limit: str, now: str, other: str, profile: Profile) -> LimitMove:
    """Return what changes in the whole job in a shop with one limit moved."""
    try:
        # The zones know nothing of either limit, so that only the sequences are listed anew.
        change = solved(tables, replace(tables.problem, profile=profile))[2].minus(base)
    except FinishplanError:
        return LimitMove(limit, now, other, None, None, None, f"at {other}: no sequence is left")
    return LimitMove(limit, now, other, change.minutes, change.film_um_m2, change.refers,
                     changes_words(change, f"at {other}"))
