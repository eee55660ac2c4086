"""How sure: a seeded simulation that audits the chosen plan, and what its numbers rest on.

The plan is followed as written on the instrument as it may really be: film that the readings leave open,
defects as deep as they turn out, hands that take more or less and longer or shorter. Method: propagation
of distributions (JCGM 101:2008); the spreads are the figures of ``RiskFigures``, all assumed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from finishplan.errors import BadValue
from finishplan.planning.next_reading import next_readings_of
from finishplan.planning.problem import build_problem
from finishplan.planning.removal import SLACK
from finishplan.planning.result import Plan
from finishplan.planning.risk_draws import (
    PERSONS,
    SHARED,
    Bools,
    Draws,
    Floats,
    SharedDraws,
    ZoneDraws,
    draw_panel_minutes,
    draw_shared,
    draw_zone,
    minutes_sd,
    stream,
)
from finishplan.planning.risk_model import (
    PanelModel,
    RiskFigures,
    RiskModel,
    ZoneModel,
    figures_of,
    risk_model,
    risk_sources,
)
from finishplan.planning.risk_result import (
    RISK_NOTES,
    Chance,
    Levels,
    Risk,
    ServicesLeft,
    ZoneRisk,
    chance,
    count_range,
    levels,
)
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job
from finishplan.units import MINUTES_PER_HOUR

DRAWS = 20_000
MOST_DRAWS = 2_000_000
BLOCK = 20_000
"""Draws worked out at a time: memory does not grow with the draws of a zone, only with the job's minutes."""


def audit(
    job: Job, profile: Profile, plan: Plan, seed: int = 1, draws: int = DRAWS, *, figures: RiskFigures | None = None,
    rates_per_h: Mapping[str, float] | None = None, allowance_min: float = 0.0, readings: bool = True,
    sequence: tuple[str, ...] | None = None,
) -> Risk:
    """Return the risk of following ``plan`` on ``job``.

    ``draws`` 1 to 2,000,000. ``rates_per_h`` by finisher and trainee beats the shop's people.
    ``allowance_min`` are minutes outside the plan (cleaning, masking ...), with the crew's spread.
    ``readings`` False leaves out the value of the next reading. ``sequence`` is the one the plan was
    asked for. Raises BadValue for a seed or draws that are no whole number in range, FinishplanError for
    a plan of another job.
    """
    check_numbers(seed, draws)
    figures = figures or figures_of(profile.policy)
    profile = profile.with_steps([*(sequence or ()), *plan.set_up_steps], "sequence")
    problem = build_problem(job, profile, plan.favour, sequence)
    model = risk_model(problem, plan, figures)
    rates = dict(rates_per_h) if rates_per_h is not None else shop_rates_per_h(profile)
    run = Run(model, seed, draws, allowance_min)
    run.go()
    zones = tuple(
        run.tallies[p, z].result(panel, zone, draws)
        for p, panel in enumerate(model.panels) for z, zone in enumerate(panel.zones)
    )
    found = next_readings_of(problem, plan, model, seed) if readings else ()
    return Risk(
        seed, draws, zones, chance(run.any_under, draws), chance(run.any_through, draws),
        levels(run.minutes_of(None), model.planned_min + allowance_min), run.cost(rates), rates, model.tested,
        found, RISK_NOTES, risk_sources(figures), dict(run.given),
    )


def check_numbers(seed: int, draws: int) -> None:
    """Refuse a seed or a number of draws that cannot be used."""
    if isinstance(seed, bool) or not isinstance(seed, int) or seed < 0:
        raise BadValue("seed", seed, "give a whole number, 0 or more")
    if isinstance(draws, bool) or not isinstance(draws, int) or not 1 <= draws <= MOST_DRAWS:
        raise BadValue("draws", draws, f"give a whole number from 1 to {MOST_DRAWS:,}")


def shop_rates_per_h(profile: Profile) -> dict[str, float]:
    """Return the mean rate of the shop's people by role, where it is known."""
    found: dict[str, list[float]] = {}
    for person in profile.file.people:
        if person.rate_per_h is not None:
            found.setdefault(person.role, []).append(person.rate_per_h)
    return {role: sum(rates) / len(rates) for role, rates in found.items()}


@dataclass
class ZoneTally:
    """Counts over the draws of one zone so far."""

    hits: Counter[str] = field(default_factory=Counter)
    before: Counter[int] = field(default_factory=Counter)
    after: Counter[int] = field(default_factory=Counter)

    def add(self, zone: ZoneModel, drawn: ZoneDraws, most: int) -> tuple[Bools, Bools]:
        """Count one block; return in which draws the zone goes under keep, and through."""
        left, held = drawn.least_left_um(stops=False), drawn.least_left_um(stops=True)
        film, taken = drawn.thinnest.film_um, drawn.thinnest.taken_um
        under, through = left < zone.keep_um - SLACK, drawn.sanded_through(stops=False)
        for name, happened in (
            ("under", under), ("under, stops", held < zone.keep_um - SLACK),
            ("through", through), ("through, stops", drawn.sanded_through(stops=True)),
            ("before", film < zone.keep_um - SLACK), ("deeper", drawn.deeper),
        ):
            self.hits[name] += int(np.count_nonzero(happened))
        if zone.worked:
            for counts, spare in ((self.before, film - zone.keep_um), (self.after, film - taken - zone.keep_um)):
                whole = np.clip(np.floor(spare / taken + SLACK), 0, most).astype(np.int64)
                counts.update(dict(enumerate(np.bincount(whole).tolist())))
        return under, through

    def result(self, panel: PanelModel, zone: ZoneModel, draws: int) -> ZoneRisk:
        """Return the counts as chances."""
        never = Chance(0.0, 0.0)
        worked = zone.worked
        of = {name: chance(self.hits[name], draws) for name in (
            "under", "through", "under, stops", "through, stops", "before", "deeper")}
        services = ServicesLeft(count_range(self.before), count_range(self.after)) if worked else None
        return ZoneRisk(
            panel.name, zone.name, worked, of["under"] if worked else never, of["through"] if worked else never,
            of["under, stops"] if worked else never, of["through, stops"] if worked else never, of["before"],
            of["deeper"], services,
        )


@dataclass
class Run:
    """One audit as it runs: blocks of draws, zone by zone, and what is kept of them."""

    model: RiskModel
    seed: int
    draws: int
    allowance_min: float
    given: Counter[str] = field(default_factory=Counter)
    any_under: int = 0
    any_through: int = 0

    def __post_init__(self) -> None:
        places = [(p, z) for p, panel in enumerate(self.model.panels) for z in range(len(panel.zones))]
        self.tallies = {at: ZoneTally() for at in places}
        self.minutes: dict[str, list[Floats]] = {}

    def go(self) -> None:
        """Work through all draws, a block at a time."""
        for block, start in enumerate(range(0, self.draws, BLOCK)):
            self.block(block, min(BLOCK, self.draws - start))

    def block(self, block: int, size: int) -> None:
        """Work through one block of draws."""
        shared_draws = stream(self.seed, block, SHARED, size, self.given)
        shared = draw_shared(shared_draws, self.model.figures)
        under, through = np.zeros(size, dtype=bool), np.zeros(size, dtype=bool)
        pace, own = minutes_sd(self.model.figures, self.model.tested)
        by_person = {name: np.zeros(size) for name in shared.person}
        fixed = self.model.set_up_min * np.exp(own * shared_draws.normal())
        fixed += self.allowance_min * np.exp(own * shared_draws.normal())
        by_person[self.model.crew] += fixed
        for p, panel in enumerate(self.model.panels):
            drawn = self.zones_of(block, size, p, panel, shared, under, through)
            if panel.look_min:
                draws = stream(self.seed, block, (p + 1, 0), size, self.given)
                by_person[panel.worker] += draw_panel_minutes(self.model, panel, drawn, draws)
        for name, total in by_person.items():
            self.minutes.setdefault(name, []).append(total * np.exp(pace * shared.person[name]))
        self.any_under += int(np.count_nonzero(under))
        self.any_through += int(np.count_nonzero(through))

    def zones_of(
        self, block: int, size: int, p: int, panel: PanelModel, shared: SharedDraws, under: Bools, through: Bools
    ) -> list[ZoneDraws]:
        """Draw and count the zones of one panel; marks in place where any zone goes under or through."""
        found = []
        for z, zone in enumerate(panel.zones):
            draws: Draws = stream(self.seed, block, (p + 1, z + 1), size, self.given)
            drawn = draw_zone(self.model, panel, zone, shared, draws)
            here = self.tallies[p, z].add(zone, drawn, int(self.model.figures.services_most))
            if zone.worked:
                under |= here[0]
                through |= here[1]
            found.append(drawn)
        return found

    def minutes_of(self, person: str | None) -> Floats:
        """Return one person's minutes in every draw, or everybody's."""
        names = list(self.minutes) if person is None else [person]
        return np.asarray(np.sum([np.concatenate(self.minutes[name]) for name in names], axis=0))

    def planned_by_person(self) -> dict[str, float]:
        """Return the planned minutes of each person, allowances with the crew."""
        found = dict.fromkeys(PERSONS, 0.0)
        found[self.model.crew] += self.model.set_up_min + self.allowance_min
        for panel in self.model.panels:
            local = sum(local.minutes for zone in panel.zones for local in zone.locals)
            found[panel.worker] += sum(panel.look_min) + sum(m for z in panel.zones for m in z.minutes) + local
        return {name: minutes for name, minutes in found.items() if minutes > 0}

    def cost(self, rates_per_h: Mapping[str, float]) -> Levels | None:
        """Return the cost of labour, or None where somebody's rate is not known."""
        planned = self.planned_by_person()
        if not planned or any(name not in rates_per_h for name in planned):
            return None
        rate = {name: rates_per_h[name] / MINUTES_PER_HOUR for name in planned}
        values = np.sum([rate[name] * self.minutes_of(name) for name in planned], axis=0)
        return levels(values, sum(rate[name] * minutes for name, minutes in planned.items()))
