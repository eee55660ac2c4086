"""From a job and a shop to its quote: terms, the three options, their days, and the quote itself."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time

from finishplan.errors import BadValue
from finishplan.office.inputs import own_terms, read_inputs, start_of
from finishplan.office.options import OPTIONS, Option, option
from finishplan.office.quote import Quote, make_quote, option_days
from finishplan.office.quote_price import checked_currency
from finishplan.office.schedule import Days, due_date
from finishplan.office.terms import read_figures
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job

Told = Callable[[float, str], None]
"""Is told what share of the work is done, and what comes next."""


def work_up_quote(
    job: Job, profile: Profile, day: date, chosen: str | None = None, *, start: date | None = None, number: str = "",
    revision: int = 1, told: Told | None = None,
) -> tuple[Quote, bool]:
    """Return the quote of a job on ``day``, and whether all zones of the chosen option are go.

    Terms are the job's own over those of the shop file; ``chosen`` and ``start``, the first day of work, go over
    what the job says (else ``day``). ``told`` hears of each option and its days. Raises a FinishplanError for
    terms, rates or hours that cannot be used, and for a due date before the start.
    """
    inputs = read_inputs(job.quote)
    terms, figures = own_terms(profile, inputs), read_figures(profile.file.office)
    checked_currency(terms)
    start = start or start_of(inputs) or day
    steps, planned = 2 * len(OPTIONS), list[Option]()
    days: dict[str, Days] = {}
    for place, name in enumerate(OPTIONS):
        tell(told, 2 * place, steps, f"{name}: the plan")
        planned.append(option(name, job, profile, figures=figures))
        tell(told, 2 * place + 1, steps, f"{name}: the days")
        days |= option_days(planned[-1:], profile, datetime.combine(start, time()), figures=figures)
    quote = make_quote(job, profile, terms, planned, day, chosen=chosen or inputs.option, days=days, number=number,
                       revision=revision)
    plan = quote.main.option.plan
    return quote, plan is not None and plan.all_go


QUIET_S = 1.0
"""For so long nothing is said of the work."""


def is_long(begun_s: float, now_s: float) -> bool:
    """Tell whether work has gone on so long that how far it is should be shown."""
    return now_s - begun_s > QUIET_S


def tell(told: Told | None, done: int, steps: int, what: str) -> None:
    """Tell how far the work is, where somebody listens."""
    if told is not None:
        told(done / steps, what)


def without_past_due(job: Job, day: date) -> tuple[Job, str]:
    """Return a job without a due date that cannot be met any more or is no day, and the sentence that says so."""
    start = start_of(read_inputs(job.quote)) or day
    try:
        found = due_date(job.due)
    except BadValue as error:
        return job.model_copy(update={"due": None}), str(error)
    if found is None or found >= start:
        return job, ""
    return job.model_copy(update={"due": None}), str(BadValue(
        "due", found.isoformat(), f"it is before {start.isoformat()}, when work would start; give a later day"))
