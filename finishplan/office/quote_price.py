"""The price of one option: safe minutes, rates, margin, what is passed on; and what the owner sees behind it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from finishplan.errors import FinishplanError
from finishplan.office.home import read_home, visits_of
from finishplan.office.labour import LabourLine, RoleCost, role_costs
from finishplan.office.options import Option
from finishplan.office.quote_money import HUNDRED, ZERO, Line, Totals, minor_digits, of_float, rounded, totals
from finishplan.office.schedule import Days
from finishplan.office.terms import QuoteTerms, exact
from finishplan.planning.materials import MaterialLine
from finishplan.shop.profile import Profile
from finishplan.shop.shop_file import Person
from finishplan.survey.job import Job

LABOUR_WORDS = {
    "plan": "Sanding, buffing and repairs",
    "allowance": "Intake, survey, cleaning, protection and inspection",
    "hardware": "Hardware off, cleaned or polished, and refitted",
}
"""What the groups of the labour table are called on a quote; supervision goes with the work."""


@dataclass(frozen=True)
class OwnerView:
    """What the customer does not see: cost, margin, and the chance of a loss at the price."""

    roles: tuple[RoleCost, ...]
    labour_cost: Decimal
    """At the planned minutes."""
    materials_cost: Decimal
    passed_on: Decimal
    """Travel, storage, movers, tuning: cost as they are charged."""
    safe_factor: float
    """Minutes priced over minutes planned."""
    net: Decimal
    loss_chance: float
    loss_from: str
    """risk draws, or lognormal."""

    @property
    def cost(self) -> Decimal:
        """Everything at the planned minutes."""
        return self.labour_cost + self.materials_cost + self.passed_on

    @property
    def margin_percent(self) -> Decimal | None:
        """What is left of the net price at the planned minutes, percent; None for a price of 0."""
        return (self.net - self.cost) / self.net * HUNDRED if self.net > 0 else None


@dataclass(frozen=True)
class PricedOption:
    """One option with its sums; ``totals`` and ``owner`` are None where it does nothing."""

    option: Option
    totals: Totals | None
    owner: OwnerView | None
    days: Days | None

    @property
    def name(self) -> str:
        """Name of the option."""
        return self.option.name


def safe_factor(share: float, cv: float) -> float:
    """Return what planned minutes are multiplied by so that ``share`` of jobs stay under: exp(z s).

    Lognormal around the planned minutes as its middle, s = sqrt(ln(1 + cv^2)), z the normal quantile.
    Valid for 0 < share < 1, cv >= 0. Source: the lognormal quantile, any textbook.

    >>> round(safe_factor(0.8, 0.45), 4), round(safe_factor(0.8, 0.25), 4), safe_factor(0.5, 0.45)
    (1.4354, 1.2303, 1.0)
    """
    from scipy.special import ndtri

    return math.exp(float(ndtri(share)) * math.sqrt(math.log1p(cv * cv)))


def chance_over(limit: float, cv: float) -> float:
    """Return the chance that minutes go over ``limit`` x planned: 1 - Phi(ln limit / s); 1 for limit <= 0.

    >>> round(chance_over(safe_factor(0.8, 0.45), 0.45), 12)
    0.2
    """
    from scipy.special import ndtr

    if limit <= 0:
        return 1.0
    spread = math.sqrt(math.log1p(cv * cv))
    return float(1.0 - ndtr(math.log(limit) / spread)) if spread > 0 else float(limit < 1.0)


def minutes_cv(job: Job, profile: Profile) -> float:
    """Return the spread of the minutes: the policy's, before or after a test spot."""
    policy = profile.policy
    return policy.minutes_cv_tested if job.test_spot is not None else policy.minutes_cv


def checked_currency(terms: QuoteTerms) -> str:
    """Return the currency of a quote; raises FinishplanError where none is given, BadValue for one that is none."""
    if terms.currency is None:
        raise FinishplanError('currency is missing; add "currency": "EUR", or your own, to the shop file')
    minor_digits(terms.currency)
    return terms.currency


def priced_roles(lines: Sequence[LabourLine], people: Sequence[Person], terms: QuoteTerms) -> tuple[RoleCost, ...]:
    """Return minutes, rates and cost by role; raises FinishplanError where a rate is missing."""
    roles = role_costs(lines, people, terms.cost_per_h)
    for role in roles:
        if role.rate_per_h is None:
            who = f"{role.who[0]!r}" if role.who else f"a {role.role}"
            raise FinishplanError(
                f"rate_per_h of {who} is missing; give what an hour of a {role.role} costs the shop, with the person "
                f"or as cost_per_h in the terms"
            )
    return roles


def cost_of(minutes: float, rate_per_h: float) -> Decimal:
    """Return what minutes cost, unrounded."""
    return of_float(minutes) * exact(rate_per_h) / 60


def labour_cost_by_group(lines: Sequence[LabourLine], roles: Sequence[RoleCost]) -> dict[str, Decimal]:
    """Return the planned cost of labour by the groups of a quote, unrounded."""
    rates = {role.role: role.rate_per_h or 0.0 for role in roles}
    found = dict.fromkeys(LABOUR_WORDS, ZERO)
    for line in lines:
        group = "plan" if line.group == "supervision" else line.group
        found[group] += sum((cost_of(minutes, rates[role]) for role, minutes in line.by_role().items()), ZERO)
    return {group: cost for group, cost in found.items() if cost > 0}


def materials_cost(materials: Sequence[MaterialLine], profile: Profile) -> tuple[Decimal, tuple[str, ...]]:
    """Return what the material used costs at the shop's pack prices, and the items that have no price."""
    prices, cost, missing = profile.file.prices, ZERO, []
    for line in materials:
        price = prices.get(line.item)
        if price is None or line.quantity is None:
            missing.append(line.item)
        else:
            cost += of_float(line.quantity) / exact(price.pack) * exact(price.price)
    return cost, tuple(missing)


def price_option(
    option: Option, job: Job, profile: Profile, terms: QuoteTerms, days: Days | None = None
) -> tuple[PricedOption, tuple[str, ...]]:
    """Return an option with its sums, and the materials that have no price.

    Price of our own work = cost at the safe minutes / (1 - margin); passed-on lines as they are.
    """
    if not option.does_anything:
        return PricedOption(option, None, None, days), ()
    currency = checked_currency(terms)
    roles = priced_roles(option.lines, profile.file.people, terms)
    factor = safe_factor(terms.safe_share, minutes_cv(job, profile))
    by_group = labour_cost_by_group(option.lines, roles)
    labour = sum(by_group.values(), ZERO)
    material, missing = materials_cost(option.materials, profile)
    material += labour * exact(terms.materials_percent) / HUNDRED
    mark_up = HUNDRED / (HUNDRED - exact(terms.margin_percent))
    lines = [Line(LABOUR_WORDS[group], "labour", rounded(cost * of_float(factor) * mark_up, currency))
             for group, cost in by_group.items()]
    if material > 0:
        lines.append(Line("Materials", "materials", rounded(material * mark_up, currency)))
    passed = passed_on_lines(option, profile, terms, currency, days)
    sums = totals([*lines, *passed], terms, currency, least_charge(option, profile, terms))
    paid_on = sum((line.amount for line in passed), ZERO)
    owner = owner_view(option, roles, (labour, material, paid_on), factor, sums, minutes_cv(job, profile))
    return PricedOption(option, sums, owner, days), missing


def passed_on_lines(
    option: Option, profile: Profile, terms: QuoteTerms, currency: str, days: Days | None
) -> list[Line]:
    """Return travel, storage, movers and tuning; a line of 0 is left out."""
    visits = visits_at_home(option, profile)
    trips = exact(terms.travel)
    if visits:
        trips = visits * (exact(terms.travel) + exact(read_home(profile.file.home, profile).travel))
    kept = max(0, days.jobs[0].calendar_days - terms.storage_free_days) if days is not None else 0
    found = [
        Line("Travel", "travel", rounded(trips, currency), f"{visits} visits" if visits > 1 else ""),
        Line("Storage", "storage", rounded(exact(terms.storage_per_day) * kept, currency), f"{kept} days"),
        Line("Movers", "movers", rounded(exact(terms.movers), currency)),
        Line("Tuning after the move", "tuning", rounded(exact(terms.tuning), currency)),
    ]
    return [line for line in found if line.amount > 0]


def visits_at_home(option: Option, profile: Profile) -> int:
    """Return the visits of an option at the customer's, 0 in the shop."""
    if option.job.site.kind != "home":
        return 0
    return visits_of(option.minutes, read_home(profile.file.home, profile))


def least_charge(option: Option, profile: Profile, terms: QuoteTerms) -> Decimal:
    """Return the minimum charge: the terms', and at the customer's at least that of its visits."""
    visits = visits_at_home(option, profile)
    if not visits:
        return exact(terms.minimum_charge)
    return max(exact(terms.minimum_charge), visits * exact(read_home(profile.file.home, profile).minimum_charge))


def owner_view(
    option: Option, roles: tuple[RoleCost, ...], costs: tuple[Decimal, Decimal, Decimal], factor: float,
    sums: Totals, cv: float,
) -> OwnerView:
    """Return cost, margin and the chance that the minutes cost more than the net price leaves for them.

    ``costs`` are labour, material and what is passed on.
    """
    labour, material, paid_on = costs
    limit = float((sums.net - material - paid_on) / labour) if labour > 0 else math.inf
    if option.minute_factors is not None:
        loss, source = float((option.minute_factors > limit).mean()), "risk draws"
    else:
        loss, source = chance_over(limit, cv) if math.isfinite(limit) else 0.0, "lognormal"
    return OwnerView(roles, labour, material, paid_on, factor, sums.net, loss, source)
