"""What the Quote page says beside the customer's pages: labour, days, cost and margin, sent quotes."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from finishplan.office.labour import GROUPS, minutes_by_group, whole_minutes
from finishplan.office.quote import Quote, date_words
from finishplan.office.quote_money import money_words
from finishplan.office.quote_price import PricedOption
from finishplan.office.quote_tables import labour_rows, money
from finishplan.office.schedule import Days, Row
from finishplan.office.terms import exact
from finishplan.paper.schedule_bars import clock_words, day_words, minute_of
from finishplan.wording import DASH, chance_words, counted, minutes_words, sentence

LABOUR_HEADS = ("for", "part", "by", "min", "figure is", "how it is reckoned")
ROLE_HEADS = ("who", "time", "an hour costs", "says")
DAYS_HEADS = ("when", "what", "who", "min")
JOBS_HEADS = ("job", "ready", "due", "late", "not before", "working days")


def labour_table(option: PricedOption) -> tuple[list[tuple[str, ...]], tuple[str, ...]]:
    """Return the labour lines in whole minutes, and the total that they add up to."""
    *lines, total = labour_rows(option)
    rows: list[tuple[str, ...]] = [
        (str(what), GROUPS[str(group)], by_words(str(role), int(str(people))), str(minutes), str(kind), str(note))
        for what, group, role, people, minutes, kind, note in lines]
    return rows, ("in all", "", "", str(total[4]), "", "")


def by_words(role: str, people: int) -> str:
    """Return who does a line.

    >>> by_words("finisher", 2)
    'finisher and one more'
    """
    return role if people == 1 else f"{role} and {'one' if people == 2 else people - 1} more"


def group_minutes(option: PricedOption) -> dict[str, float]:
    """Return whole minutes by group that add up to the table's total."""
    found = minutes_by_group(option.option.lines)
    return dict(zip(found, map(float, whole_minutes(list(found.values()))), strict=True))


def when(at: datetime) -> str:
    """Return a day and a time of day.

    >>> when(datetime(2026, 6, 8, 10, 5))
    'Mon 8 Jun, 10:05'
    """
    return f"{day_words(at.date())}, {clock_words(minute_of(at))}"


def days_lines(days: Days) -> list[str]:
    """Return ready date, how good the schedule provably is, and who works how long."""
    job = days.jobs[0] if len(days.jobs) == 1 else None
    count = f"{counted(days.working_days, 'working day')}; " if job is None else (
        f"{counted(job.working_days, 'working day')} in {counted(job.calendar_days, 'day')}; ")
    lines = [sentence(f"{count}ready {when(days.ready)}"), bound_line(days)]
    if job is not None and job.due is not None:
        late = f"{counted(job.late_days, 'day')} late" if job.late_days else "in time"
        lines.append(f"Due {day_words(job.due)}: {late}.")
    people = ", ".join(f"{days.names.get(key, key)} {minutes_words(minutes)}"
                       for key, minutes in days.person_minutes.items() if minutes)
    return [*lines, f"By the clock: {people}."] if people else lines


def bound_line(days: Days) -> str:
    """Return the moment before which no schedule can be ready, and how far this one is from it."""
    if days.gap_min == 0:
        return "No schedule can be ready earlier."
    gap = "the same day" if days.gap_days == 0 else counted(days.gap_days, "working day") + " later"
    return f"No schedule can be ready before {when(days.bound)}; this one is {minutes_words(days.gap_min)} of work " \
           f"behind that, {gap}."


def task_rows(days: Days) -> list[tuple[str, ...]]:
    """Return who does what when."""
    titles = {job.key: job.title for job in days.jobs}
    many = len(days.jobs) > 1
    return [(span_words(row), f"{titles[row.job]}: {row.what}" if many else row.what,
             ", ".join(days.names.get(person, person) for person in row.people), str(row.minutes)) for row in days.rows]


def span_words(row: Row) -> str:
    """Return when a task starts and ends."""
    begin, end = row.spans[0][0], row.spans[-1][1]
    last = clock_words(minute_of(end)) if begin.date() == end.date() else when(end)
    return f"{when(begin)} to {last}"


def job_rows(days: Days) -> list[tuple[str, ...]]:
    """Return when each of several jobs is ready, due, late, and could be ready at the soonest."""
    return [(job.title, when(job.ready), DASH if job.due is None else day_words(job.due),
             counted(job.late_days, "day") if job.late_days else DASH, when(job.earliest), str(job.working_days))
            for job in days.jobs]


def owner_table(quote: Quote) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Return cost, price, margin and chance of a loss: the heads, a column a priced option, and the rows."""
    priced = [option for option in quote.options if option.owner is not None]
    columns = [owner_column(quote, option) for option in priced]
    rows = [(name, *(column[name] for column in columns)) for name in (columns[0] if columns else ())]
    return ("", *(option.name for option in priced)), rows


def owner_column(quote: Quote, option: PricedOption) -> dict[str, str]:
    """Return what the owner sees of one option, by name; empty where it does nothing."""
    owner = option.owner
    if owner is None:
        return {}

    def amount(value: Decimal) -> str:
        return money_words(money(quote, value), quote.currency, quote.locale)

    return {
        "labour, as planned": amount(owner.labour_cost), "material": amount(owner.materials_cost),
        "passed on": amount(owner.passed_on), "cost in all": amount(owner.cost),
        "price without tax": amount(owner.net),
        "margin if it goes as planned": DASH if owner.margin_percent is None else f"{owner.margin_percent:.1f} %",
        "minutes priced over planned": f"{owner.safe_factor:.2f}",
        f"chance of a loss, from {owner.loss_from}": chance_words(
            owner.loss_chance, None if option.option.minute_factors is None else len(option.option.minute_factors)),
    }


def role_rows(quote: Quote, option: PricedOption) -> list[tuple[str, ...]]:
    """Return the minutes and the cost of an hour by role."""
    owner = option.owner
    return [] if owner is None else [
        (", ".join(role.who) or role.role, minutes_words(role.minutes),
         DASH if role.rate_per_h is None else money_words(money(quote, exact(role.rate_per_h)), quote.currency,
                                                          quote.locale), role.rate_from)
        for role in owner.roles]


def sent_line(body: Mapping[str, Any]) -> str:
    """Return a sent quote in a line: number, revision, day, option, price, and what it was made of."""
    return (f"No. {body['number']}, revision {body['revision']}, "
            f"{date_words(date.fromisoformat(body['day']), body['data']['locale'])}: "
            f"{body['kind']}, {body['chosen']}, {body['total']}; of revision {body['job_revision']} of the job and "
            f"{body['shop_revision']} of the shop.")


def sent_table(data: Mapping[str, Any]) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Return the options of a sent quote in the words in which they were sent: heads and rows."""
    columns = [dict(option["as_printed"]) for option in data["options"]]
    heads = ("", *(f"{option['name']}{' *' * (option['name'] == data['chosen'])}" for option in data["options"]))
    return heads, [(name, *(column[name] for column in columns)) for name in columns[0]]
