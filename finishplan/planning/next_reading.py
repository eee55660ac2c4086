"""Where the next film reading is worth most, worked out over the readings that may come.

For a zone as it is known now, more readings are drawn as they may come out; each outcome is counted like
any survey, and what the plan would then be allowed to do is compared with what it may do now.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, replace

import numpy as np

from finishplan import wording
from finishplan.planning.problem import Problem, ZoneProblem
from finishplan.planning.removal import SLACK, film_needed_um
from finishplan.planning.result import PanelPlan, Plan, ZonePlan
from finishplan.planning.risk_draws import (
    SHARED,
    Bools,
    Draws,
    Floats,
    SharedDraws,
    ZoneDraws,
    draw_shared,
    draw_zone,
    stream,
)
from finishplan.planning.risk_model import FIRST_READING_METHOD, RiskModel, ZoneModel
from finishplan.planning.search import JobTables
from finishplan.planning.verdicts import refusals
from finishplan.planning.zone_table import spot_overcut
from finishplan.shop.policy import Policy
from finishplan.survey.film import GUESS_METHOD, METHODS, Method, film_from, tolerance_factor

READING_DRAWS = 8_000
LEAST_HITS = 5
"""Fewer draws than this are chance, not a finding, and count as none."""
MORE = (1, 2, 4, 8)
"""How many more readings are weighed."""
ENDLESS_UM = 10_000.0
"""More film than any instrument has: finite, so that what no film allows is not mistaken for allowed."""
FIRST_SPAN_UM = 32.0
"""How much more film is tried first; doubled until it frees what is refused."""
NEED_TO_UM = 0.5
"""How closely the film that frees refused work is found."""


@dataclass(frozen=True)
class ReadingWorth:
    """What ``more`` readings in one zone are worth, on average over how they may come out."""

    more: int
    minutes: float
    film_um: float
    """Expected change of the film we count on."""
    opens: float
    """Chance that work that may not be done now may then be done."""
    stops: float
    """Chance that planned work turns out not to be allowed."""
    risk_cut: float
    """Chance of going under the film to leave that the readings would have stopped in time."""

    @property
    def per_minute(self) -> tuple[float, float, float]:
        """What they bring a minute, the weightiest first."""
        return self.opens / self.minutes, self.risk_cut / self.minutes, self.film_um / self.minutes


@dataclass(frozen=True)
class NextReading:
    """One zone where a reading is worth taking."""

    panel: str
    zone: str
    method: str
    readings: int
    beside_suspect: bool
    """Whether the reading belongs beside one that may be a surface echo."""
    spare_um: float
    needed_um: float | None
    """Film to spend that the planned or refused work needs; None where film is not what refuses."""
    worth: tuple[ReadingWorth, ...]
    best: ReadingWorth
    """The number of readings that brings most a minute."""


@dataclass(frozen=True)
class Need:
    """What a zone's work needs: film for what is planned, film for what the film refuses, readings."""

    planned_um: float | None
    refused_um: float | None
    deepest_um: float

    @property
    def matters(self) -> bool:
        """Whether any reading can change anything here."""
        return self.planned_um is not None or self.refused_um is not None


def next_readings_of(problem: Problem, plan: Plan, model: RiskModel, seed: int) -> tuple[NextReading, ...]:
    """Return the zones where a reading is worth taking, the most worth a minute first.

    Most worth: it opens work that may not be done now, then it stops work that would go under, then it
    adds film to count on. Zones where nothing is asked and nothing is done are left out.
    """
    tables = JobTables(problem)
    shared = draw_shared(stream(seed, 0, SHARED, READING_DRAWS, Counter()), model.figures)
    found = []
    for p, (panel, planned) in enumerate(zip(problem.panels, plan.panels, strict=True)):
        for z, (zone, zone_plan) in enumerate(zip(panel.zones, planned.zones, strict=True)):
            need = need_of(problem, tables, planned, (p, z))
            if not need.matters or problem.policy.read_min <= 0:
                continue
            draws = stream(seed, 0, (p + 1, z + 1), READING_DRAWS, Counter())
            drawn = draw_zone(model, model.panels[p], model.panels[p].zones[z], shared, draws)
            case = Case(problem, zone, model.panels[p].zones[z], need, drawn, shared)
            worth = case.beside_suspect(model.figures.echo_chance) if zone.suspect else case.worth(draws)
            best = max(worth, key=lambda w: w.per_minute)
            if max(best.per_minute) > 0:
                found.append(NextReading(
                    panel.panel.name, zone_plan.name, case.method.name, zone_plan.readings, bool(zone.suspect),
                    zone.spare_um, need.refused_um if need.refused_um is not None else need.planned_um, worth, best))
    return tuple(sorted(found, key=lambda n: n.best.per_minute, reverse=True))


def reading_words(reading: NextReading) -> str:
    """Return one zone's next reading as a sentence for the screen."""
    best, where = reading.best, f"{reading.panel}, {reading.zone}"
    count = "the next reading" if best.more == 1 else f"{wording.number_words(best.more)} more readings"
    beside = " beside the suspect one" if reading.beside_suspect else ""
    says = []
    if best.film_um >= 1:
        says.append(f"about +{wording.film_words(best.film_um)} um to count on")
    if best.opens > 0:
        says.append(f"lets work begin in {cases_words(best.opens)}")
    if best.stops > 0:
        says.append(f"stops what is planned in {wording.chance_words(best.stops)}")
    if best.opens <= 0 and best.stops <= 0:
        says.append("nothing that is planned hangs on it")
    return f"Take {count}{beside} at {where}: {wording.listed(says)}."


def cases_words(chance: float) -> str:
    """Return a chance of something good, rounded so that it never looks larger than it is.

    >>> cases_words(0.996), cases_words(0.04)
    ('9 of 10 cases', 'fewer than 1 of 10 cases')
    """
    tenths = math.floor(10 * chance + SLACK)
    return f"{tenths} of 10 cases" if tenths else "fewer than 1 of 10 cases"


def need_of(problem: Problem, tables: JobTables, planned: PanelPlan, at: tuple[int, int]) -> Need:
    """Return what a zone's planned and refused work needs."""
    plan, zone = planned.zones[at[1]], problem.panels[at[0]].zones[at[1]]
    worked = plan.starts_at is not None
    refused = plan.untouched or any(d.repair == "refer" for d in plan.defects)
    locals_um = [d.film_needed_um for d in plan.defects if d.film_needed_um is not None]
    return Need(
        planned_film_um(problem, planned, plan, zone) if worked else None,
        freeing_spare_um(problem, tables, at) if refused else None,
        max([plan.removal_um, *locals_um]),
    )


def planned_film_um(problem: Problem, planned: PanelPlan, plan: ZonePlan, zone: ZoneProblem) -> float:
    """Return the film to spend that a zone's planned work needs [um], overcut and last scratch with it."""
    last = problem.profile.step(planned.sequence[-1]).scratch_depth_um
    needs = [float(film_needed_um(plan.removal_um, last, zone.overcut))]
    for entry, done in zip(zone.entries, plan.defects, strict=True):
        if done.film_needed_um is not None:
            overcut = spot_overcut(zone, entry) if done.repair == "spot" else zone.overcut
            needs.append(float(film_needed_um(done.film_needed_um, last, overcut)))
    return max(needs)


def freeing_spare_um(problem: Problem, tables: JobTables, at: tuple[int, int]) -> float | None:
    """Return the least film to spend [um] at which less is refused in a zone, or None if film does not matter.

    Found by choosing the zone's panel again with other film there, doubling the span, then halving it: the price of a
    refusal is far over every set-up, so the panel alone tells what is refused.
    """
    panel = problem.panels[at[0]]
    base = tables.sister(replace(problem, panels=(panel,)))

    def refused(spare_um: float) -> int:
        zones = list(panel.zones)
        zones[at[1]] = replace(zones[at[1]], spare_um=spare_um)
        alone = base.sister(replace(problem, panels=(replace(panel, zones=tuple(zones)),)))
        return len(refusals(alone, alone.choose())[0, at[1]])

    now = refused(panel.zones[at[1]].spare_um)
    if refused(ENDLESS_UM) >= now:
        return None
    low, span = panel.zones[at[1]].spare_um, FIRST_SPAN_UM
    while refused(low + span) >= now:
        low, span = low + span, 2.0 * span
    high = low + span
    while high - low > NEED_TO_UM:
        middle = (low + high) / 2.0
        low, high = (low, middle) if refused(middle) < now else (middle, high)
    return high


def low_film_um(
    policy: Policy, known: tuple[int, float, float], new: tuple[int, Floats, Floats], methods: tuple[Method, ...]
) -> Floats:
    """Return the film we count on [um] after new readings: ``film_from`` for many outcomes at once.

    ``known`` and ``new`` are count, mean and sum of squares about it. Valid for one reading or more in all.
    """
    (n, mean, squares), (more, new_mean, new_squares) = known, new
    count = n + more
    whole = (n * mean + more * new_mean) / count
    between = n * more / count * (new_mean - mean) ** 2
    nu = policy.prior_worth + count - 1
    if nu <= 0:
        return np.zeros(len(new_mean))
    usual = policy.prior_worth * (policy.prior_share * whole) ** 2
    spread = np.sqrt((usual + squares + new_squares + between) / nu)
    bias = np.max([m.bias_um + m.bias_share * whole for m in methods], axis=0)
    factor = tolerance_factor(count, nu, policy.coverage, policy.confidence)
    return np.asarray(np.maximum(0.0, whole - factor * spread - bias))


def share_of(happened: Bools) -> float:
    """Return the share of draws in which something happens; a handful of draws counts as none."""
    hits = int(np.count_nonzero(happened))
    return hits / len(happened) if hits >= LEAST_HITS else 0.0


@dataclass(frozen=True)
class Case:
    """One zone as it is known, and the draws of how it may be."""

    problem: Problem
    zone: ZoneProblem
    model: ZoneModel
    need: Need
    drawn: ZoneDraws
    shared: SharedDraws

    @property
    def read(self) -> bool:
        """Whether the zone has readings of any kind that more are added to."""
        return bool(self.zone.zone.readings)

    @property
    def method(self) -> Method:
        """The gauge the next reading is taken with: the zone's commonest, else the usual one."""
        real = Counter(r.method for r in self.zone.zone.readings if r.method != GUESS_METHOD)
        return METHODS[real.most_common(1)[0][0] if real else FIRST_READING_METHOD]

    @property
    def taken(self) -> int:
        """How many readings count as readings."""
        return sum(r.method != GUESS_METHOD for r in self.zone.zone.readings)

    def enough(self, readings: int, deepest_um: float) -> bool:
        """Tell whether so many readings are enough for what is taken."""
        policy = self.problem.policy
        return readings > 0 and (readings >= policy.min_readings or deepest_um <= policy.unmeasured_um)

    def worth(self, draws: Draws) -> tuple[ReadingWorth, ...]:
        """Return what each number of more readings is worth."""
        method, drawn = self.method, self.drawn
        too_high = (method.bias_um + method.bias_share * drawn.level_um) * self.shared.gauge[method.name]
        middle_z = draws.normal()
        found, squares, degrees = [], np.zeros(draws.size), 0
        for more in MORE:
            mean = drawn.level_um + too_high + drawn.spread_um / math.sqrt(more) * middle_z
            if more - 1 > degrees:
                squares = squares + drawn.spread_um**2 * draws.chi_square(float(more - 1 - degrees))
                degrees = more - 1
            found.append(self.weigh(more, self.low_after(more, np.maximum(mean, SLACK), squares)))
        return tuple(found)

    def low_after(self, more: int, mean_um: Floats, squares: Floats) -> Floats:
        """Return the film we count on after more readings of the given mean and sum of squares."""
        n = self.model.n if self.read else 0
        known = (n, self.model.mean_um if n else 0.0, (n - 1) * self.model.sample_sd_um**2 if n else 0.0)
        names = dict.fromkeys([*(r.method for r in self.zone.zone.readings), self.method.name])
        return low_film_um(self.problem.policy, known, (more, mean_um, squares), tuple(METHODS[m] for m in names))

    def weigh(self, more: int, low_um: Floats) -> ReadingWorth:
        """Return what the outcomes of ``more`` readings mean for the plan."""
        need, spare = self.need, low_um - self.zone.keep_um
        none: Bools = np.zeros(len(low_um), dtype=bool)
        opened, stopped = none, none
        if need.planned_um is not None:
            fits = spare >= need.planned_um - SLACK
            stopped = ~fits
            if not self.enough(self.taken, need.deepest_um) and self.enough(self.taken + more, need.deepest_um):
                opened = fits
        if need.refused_um is not None and self.taken + more >= self.problem.policy.min_readings:
            opened = opened | (spare >= need.refused_um - SLACK)
        under = self.drawn.least_left_um(stops=False) < self.zone.keep_um - SLACK
        return ReadingWorth(
            more, more * self.problem.policy.read_min, float(np.mean(low_um)) - self.zone.film.low_um,
            share_of(opened), share_of(stopped), share_of(stopped & under),
        )

    def beside_suspect(self, echo_chance: float) -> tuple[ReadingWorth, ...]:
        """Return what a second reading beside a suspect one is worth.

        It shows either that the first was an echo, which is then dropped and the new one, like the mean of
        the rest, counts in its place; or that the film is that thin, and both count. Other draws of the
        zone do not enter: what stands open here is which of the two it is.
        """
        readings, suspect = self.zone.zone.readings, self.zone.suspect
        kept = [r for i, r in enumerate(readings) if i not in suspect]
        thin = readings[suspect[0]]
        rest = sum(r.um for r in kept) / len(kept) if kept else thin.um
        policy = self.problem.policy
        lows = []
        for found, values in (
            ("echo", [*((r.um, r.method) for r in kept), (rest, thin.method)]),
            ("thin", [*((r.um, r.method) for r in readings), (thin.um, thin.method)]),
        ):
            film = film_from(
                [um for um, _ in values], [method for _, method in values], coverage=policy.coverage,
                confidence=policy.confidence, prior_share=policy.prior_share, prior_worth=policy.prior_worth)
            share = echo_chance if found == "echo" else 1.0 - echo_chance
            count = sum(method != GUESS_METHOD for _, method in values)
            lows.append((share, film.low_um, count))
        return (self.weigh_two(lows),)

    def weigh_two(self, lows: list[tuple[float, float, int]]) -> ReadingWorth:
        """Return what two outcomes, each with its chance, counted film and readings, mean for the plan."""
        opens = stops = gain = risk = 0.0
        under = float(np.mean(self.drawn.least_left_um(stops=False) < self.zone.keep_um - SLACK))
        for share, low_um, count in lows:
            spare = low_um - self.zone.keep_um
            gain += share * (low_um - self.zone.film.low_um)
            fits = self.need.planned_um is not None and spare >= self.need.planned_um - SLACK
            freed = self.need.refused_um is not None and spare >= self.need.refused_um - SLACK
            if (fits and self.enough(count, self.need.deepest_um)) or (
                    freed and count >= self.problem.policy.min_readings):
                opens += share
            if self.need.planned_um is not None and not fits:
                stops += share
                risk += share * under
        return ReadingWorth(1, self.problem.policy.read_min, gain, opens, stops, risk)
