"""From a job and a shop to its quote: terms, the three options, their days, and the quote itself."""

from __future__ import annotations

from datetime import date, datetime, time

from finishplan.office.options import options
from finishplan.office.quote import Quote, make_quote, option_days
from finishplan.office.quote_price import checked_currency
from finishplan.office.terms import read_figures, read_terms
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job


def work_up_quote(job: Job, profile: Profile, day: date, chosen: str = "repair what shows") -> tuple[Quote, bool]:
    """Return the quote of a job on ``day``, work starting that day, and whether all zones of ``chosen`` are go.

    Terms are those of the shop file. Raises a FinishplanError for terms, rates or hours that cannot be used.
    """
    terms, figures = read_terms(profile.file.quote, profile.file), read_figures(profile.file.office)
    checked_currency(terms)
    planned = options(job, profile, figures=figures)
    days = option_days(planned, profile, datetime.combine(day, time()), figures=figures)
    quote = make_quote(job, profile, terms, planned, day, chosen=chosen, days=days)
    plan = quote.main.option.plan
    return quote, plan is not None and plan.all_go
