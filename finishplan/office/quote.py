"""A quote: three options priced, scope, film, exclusions, clauses and acceptance.

Minutes and film are floats from the plan; money is decimal from here on. The day is handed in.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from finishplan.errors import BadValue, FinishplanError, UnknownName
from finishplan.office.options import OPTIONS, Option
from finishplan.office.quote_money import Totals, checked_locale, money_words
from finishplan.office.quote_price import PricedOption, checked_currency, price_option
from finishplan.office.quote_words import (
    Clause,
    ScopeLine,
    Statement,
    exclusions,
    film_statements,
    risk_words,
    scope_lines,
    share_words,
    texts_of,
    why_estimate,
)
from finishplan.office.schedule import Days, due_date, plan_days
from finishplan.office.schedule_tasks import JobOrder
from finishplan.office.terms import OfficeFigures, QuoteTerms, exact
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job
from finishplan.wording import listed

OPTION_TRIES = 300
"""How many tries the days of one option take: under half a second each (measured here)."""
REFUSE_CHANCE = 0.05
"""Chance of a sand-through from which a job is better refused (assumed)."""


@dataclass(frozen=True)
class Quote:
    """A whole quote, ready to be printed."""

    number: str
    revision: int
    day: date
    valid_until: date
    kind: str
    """estimate or quotation"""
    why_estimate: tuple[str, ...]
    shop_name: str
    shop_place: str
    customer: str
    title: str
    instrument: str
    currency: str
    locale: str
    options: tuple[PricedOption, ...]
    chosen: str
    scope: tuple[ScopeLine, ...]
    """What is done on each panel, for the chosen option."""
    film: tuple[Statement, ...]
    exclusions: tuple[str, ...]
    texts: tuple[Clause, ...]
    """Standing texts, in the order of the page."""
    notes: tuple[str, ...]
    """For the owner: prices missing, and what they rest on."""
    discount_reason: str = ""

    @property
    def main(self) -> PricedOption:
        """The chosen option."""
        return next(option for option in self.options if option.name == self.chosen)


def option_days(
    planned: Sequence[Option], profile: Profile, start: datetime, *, figures: OfficeFigures | None = None,
    closed: Iterable[date] = (), away: Mapping[str, Iterable[date]] | None = None, seed: int = 1,
    tries: int | None = OPTION_TRIES,
) -> dict[str, Days]:
    """Return the days of every option that does something, each as if it were alone in the shop from ``start`` on.

    The job's due date goes along. Raises BadValue for one that is no day, or before ``start``.
    """
    closed = tuple(closed)
    return {
        option.name: plan_days(
            [JobOrder(option.name, option.job, option.plan, start.date(), due_date(option.job.due))], profile, start,
            figures=figures, closed=closed, away=away, seed=seed, tries=tries)
        for option in planned if option.plan is not None and option.does_anything
    }


def make_quote(
    job: Job, profile: Profile, terms: QuoteTerms, planned: Sequence[Option], day: date, *, number: str = "",
    revision: int = 1, chosen: str = "repair what shows", days: Mapping[str, Days] | None = None,
) -> Quote:
    """Return the quote of a job from its planned options, on ``day``.

    ``days`` are the schedules by option name, where they were made. ``chosen`` is the option whose scope
    is written out. Raises FinishplanError for a missing currency or rate, UnknownName for an option.
    """
    if chosen not in {option.name for option in planned}:
        raise UnknownName("option", chosen, [name for name in OPTIONS if name in {o.name for o in planned}])
    if revision < 1:
        raise BadValue("revision", revision, "count from 1")
    currency = checked_currency(terms)
    priced, missing = [], dict[str, None]()
    for option in planned:
        one, lacking = price_option(option, job, profile, terms, (days or {}).get(option.name))
        priced.append(one)
        missing.update(dict.fromkeys(lacking))
    main = next(one for one in priced if one.name == chosen)
    if main.totals is None:
        raise FinishplanError(f"{chosen!r} does nothing on this job; choose another option")
    reasons = why_estimate(job, main.option)
    until = day + timedelta(days=terms.valid_days)
    return Quote(
        number=number, revision=revision, day=day, valid_until=until,
        kind="estimate" if reasons else "quotation", why_estimate=tuple(reason.text for reason in reasons),
        shop_name=profile.file.name, shop_place=profile.file.place, customer=job.customer or "", title=job.title,
        instrument=instrument_words(job), currency=currency, locale=terms.locale, options=tuple(priced),
        chosen=chosen, scope=scope_lines(main.option), film=film_statements(main.option),
        exclusions=exclusions(terms),
        texts=texts_of(job, main.option, terms, reasons, text_values(terms, currency, until, main.totals)),
        notes=notes_of(tuple(missing), terms, main), discount_reason=terms.discount_reason.strip(),
    )


def text_values(terms: QuoteTerms, currency: str, until: date, sums: Totals) -> dict[str, str]:
    """Return what fills the gaps of the standing texts; an empty one leaves its text out."""
    deposit = money_words(sums.deposit, currency, terms.locale) if sums.deposit > 0 else ""
    a_day = exact(terms.storage_per_day)
    return {
        "until": date_words(until, terms.locale), "deposit": deposit, "days": str(terms.storage_free_days),
        "price": money_words(a_day, currency, terms.locale) if a_day > 0 else "",
    }


def date_words(day: date, locale: str) -> str:
    """Return a date as it is written in a place."""
    from babel.dates import format_date

    return str(format_date(day, format="long", locale=checked_locale(locale)))


def notes_of(missing: tuple[str, ...], terms: QuoteTerms, main: PricedOption) -> tuple[str, ...]:
    """Return what the owner should know of the price."""
    found = []
    if missing:
        more = f"; {terms.materials_percent:g} % of labour stands in for it" if terms.materials_percent else ""
        found.append(f"Material without a pack price, not in the sum: {listed(missing)}{more}.")
    if main.owner is not None:
        found.append(f"Minutes are priced at {main.owner.safe_factor:.2f} x planned: "
                     f"{share_words(terms.safe_share)} such jobs take less.")
    through = main.option.sand_through
    if through is not None and through.chance > REFUSE_CHANCE:
        found.append(f"Chance of a sand-through {risk_words(main.option)}: over 1 in 20, think about refusing, "
                     "or asking for less.")
    if main.days is None and terms.storage_per_day > 0:
        found.append("Storage is not in the sum: the days were not worked out.")
    if not terms.taxes:
        found.append("No tax is set: prices are without tax, or the shop has none to charge.")
    return tuple(found)


def instrument_words(job: Job) -> str:
    """Return the instrument in a few words, as far as it is known."""
    found = [job.instrument.kind or "", "" if job.instrument.year is None else str(job.instrument.year),
             "" if job.instrument.id is None else f"no. {job.instrument.id}"]
    return ", ".join(word for word in found if word)
