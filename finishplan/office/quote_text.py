"""A quote as plain text of at most 80 columns: options on the first page, the rest on the second."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from decimal import Decimal

from finishplan.office.quote import Quote, date_words
from finishplan.office.quote_money import Totals, money_words, percent_words
from finishplan.office.quote_price import PricedOption
from finishplan.office.quote_words import (
    counts_by_view,
    counts_words,
    days_words,
    outcome_words,
    risk_words,
    services_words,
    words_by_view,
)
from finishplan.wording import DASH, counted, film_words, listed, removal_words, sentence

WIDTH = 80
NAME_WIDTH = 14
GAP = 2
FEW = 4
"""Panels up to which they are named where very many are counted."""


def quote_text(quote: Quote) -> str:
    """Return the whole quote as text, two pages, no line over 80 columns."""
    first, second = page_texts(quote)
    return "\n".join([first, page_line(1), second, page_line(2)]) + "\n"


def page_texts(quote: Quote) -> tuple[str, str]:
    """Return the two pages as text."""
    first = [*heading(quote), "", *wrapped(kind_line(quote)), "", *option_table(quote), "", *view_lines(quote)]
    second = [*sums_lines(quote), *scope_text(quote), *text_blocks(quote), *signature(quote)]
    return "\n".join(first), "\n".join(second)


def page_line(page: int) -> str:
    """Return the line that ends a page."""
    return f" page {page} of 2 ".center(WIDTH, "-")


def wrapped(text: str, indent: str = "") -> list[str]:
    """Return text in lines of at most 80 columns."""
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent) or [""]


def heading(quote: Quote) -> list[str]:
    """Return who, what, for whom and when."""
    name = " · ".join(part for part in (quote.shop_name, quote.shop_place) if part)
    number = f" {quote.number}" if quote.number else ""
    revision = f", revision {quote.revision}" if quote.revision > 1 else ""
    lines = wrapped(name) if name else []
    lines += wrapped(f"{quote.kind.upper()}{number}{revision}, {date_words(quote.day, quote.locale)}")
    lines += wrapped(f"For: {quote.customer}") if quote.customer else []
    about = quote.title if not quote.instrument else f"{quote.title} ({quote.instrument})"
    return lines + wrapped(f"Work: {about}")


def kind_line(quote: Quote) -> str:
    """Return what kind of price this is."""
    return " ".join(clause.text for clause in quote.texts if clause.use == "kind")


def option_table(quote: Quote) -> list[str]:
    """Return the options side by side, a row a question."""
    columns = quote.options
    width = (WIDTH - NAME_WIDTH) // len(columns) - GAP
    lines = row_lines("", [mark(quote, option) for option in columns], width)
    lines.append("-" * WIDTH)
    for name, cells in table_rows(quote):
        lines += row_lines(name, cells, width)
        lines.append("")
    return lines[:-1]


def mark(quote: Quote, option: PricedOption) -> str:
    """Return an option's name, with a star on the one written out overleaf."""
    return f"{option.name} *" if option.name == quote.chosen else option.name


def short_rows(quote: Quote) -> list[tuple[str, list[str]]]:
    """Return the rows of the table of options for jobs of many panels: shorter words, no row that says nothing."""
    options = quote.options
    shorter = {
        "stays visible": [words_or_dash(words_by_view(o.option.stays_visible)) for o in options],
        "film, um": [film_range(o) for o in options],
    }
    rows = [(name, shorter.get(name, cells)) for name, cells in table_rows(quote)]
    return [(name, cells) for name, cells in rows if any(cell != DASH for cell in cells)]


def counted_rows(quote: Quote) -> list[tuple[str, list[str]]]:
    """Return the rows of the table of options for jobs of very many panels: damage added up by kind, panels counted."""
    options = [o.option for o in quote.options]
    shorter = {
        "goes": [counts_words([*o.of_fate("goes"), *o.of_fate("cleaned")]) for o in options],
        "softened": [counts_words(o.of_fate("softened")) for o in options],
        "stays visible": [counts_by_view(o.stays_visible) for o in options],
        "not levelled": [panels_words(o.not_levelled) for o in options],
        "services left": [services_cell(o, counted_only=True) for o in quote.options],
    }
    rows = [(name, [words_or_dash(cell) for cell in shorter[name]] if name in shorter else cells)
            for name, cells in short_rows(quote)]
    return [(name, cells) for name, cells in rows if any(cell != DASH for cell in cells)]


def panels_words(names: Sequence[str]) -> str:
    """Return panels by name where they are few, else their count.

    >>> panels_words(["lid", "rim"]), panels_words(["a", "b", "c", "d", "e"])
    ('lid, rim', 'five panels')
    """
    return ", ".join(names) if len(names) <= FEW else counted(len(names), "panel")


def film_range(option: PricedOption) -> str:
    """Return film taken over all panels, and the least that is left over what has to stay, with its panel."""
    worked = [film for film in option.option.film if film.taken_um > 0]
    if len(worked) < 2:
        return film_cell(option)
    tight = min(worked, key=lambda film: film.left_um - film.keep_um)
    taken = [removal_words(f(film.taken_um for film in worked)) for f in (min, max)]
    return (f"takes {' to '.join(dict.fromkeys(taken))} on {len(worked)} panels; tightest {tight.panel}: leaves "
            f"{film_words(max(0.0, tight.left_um))} of {film_words(tight.counted_um)}")


def table_rows(quote: Quote) -> list[tuple[str, list[str]]]:
    """Return the rows of the table of options."""
    options = quote.options
    return [
        ("goes", [words_or_dash(outcome_words([*o.option.of_fate("goes"), *o.option.of_fate("cleaned")]))
                  for o in options]),
        ("softened", [words_or_dash(outcome_words(o.option.of_fate("softened"))) for o in options]),
        ("stays visible", [words_or_dash(outcome_words(o.option.stays_visible, True)) for o in options]),
        ("not levelled", [words_or_dash(", ".join(o.option.not_levelled)) for o in options]),
        ("film, um", [film_cell(o) for o in options]),
        ("services left", [services_cell(o) for o in options]),
        ("days", [days_cell(o) for o in options]),
        ("sand-through", [risk_words(o.option) if o.option.does_anything else DASH for o in options]),
        ("price", [price_cell(quote, o) for o in options]),
    ]


def words_or_dash(text: str) -> str:
    """Return text, or a dash for none."""
    return text or DASH


def film_cell(option: PricedOption) -> str:
    """Return film taken and left of every panel that is worked, each at its tightest zone."""
    worked = [film for film in option.option.film if film.taken_um > 0]
    return "; ".join(
        f"{film.panel}: takes {removal_words(film.taken_um)} of {film_words(film.counted_um)}, "
        f"leaves {film_words(max(0.0, film.left_um))}" for film in worked) or DASH


def services_cell(option: PricedOption, counted_only: bool = False) -> str:
    """Return how many services like this one stay in the film where they are fewest, and where that is."""
    left = [film for film in option.option.film if film.services_after is not None]
    if not left:
        return DASH
    most = option.option.profile.policy.services_most
    least = min(film.services_after or 0 for film in left)
    where = [film.panel for film in left if film.services_after == least]
    said = panels_words(where) if counted_only else listed(where)
    return services_words(least, most) + ("" if len(where) == len(left) else f" ({said})")


def days_cell(option: PricedOption) -> str:
    """Return the days of an option."""
    if option.days is None or not option.option.does_anything:
        return DASH
    job = option.days.jobs[0]
    return days_words(job.working_days, job.calendar_days)


def price_cell(quote: Quote, option: PricedOption) -> str:
    """Return the price of an option."""
    if option.totals is None:
        return "nothing goes this way"
    return money_words(option.totals.total, quote.currency, quote.locale)


def row_lines(name: str, cells: Sequence[str], width: int) -> list[str]:
    """Return one row of a table as lines."""
    columns = [textwrap.wrap(cell, width) or [""] for cell in cells]
    names = textwrap.wrap(name, NAME_WIDTH - 1) or [""]
    tall = max(len(names), *(len(column) for column in columns))
    found = []
    for k in range(tall):
        parts = [(names[k] if k < len(names) else "").ljust(NAME_WIDTH)]
        parts += [(column[k] if k < len(column) else "").ljust(width + GAP) for column in columns]
        found.append("".join(parts).rstrip())
    return found


def view_lines(quote: Quote) -> list[str]:
    """Return how the result is judged."""
    return [line for clause in quote.texts if clause.use == "scope" for line in wrapped(clause.text)]


def sums_lines(quote: Quote) -> list[str]:
    """Return the lines and sums of the chosen option, amounts at the right edge."""
    sums = quote.main.totals
    if sums is None:
        return []
    lines = [f"Price of: {quote.chosen}"]
    lines += [line for what, amount in sum_rows(sums, quote) for line in amount_lines(what, amount)]
    return [*lines, ""]


def sum_rows(sums: Totals, quote: Quote) -> list[tuple[str, str]]:
    """Return the rows of the sums, amounts as they are written."""

    def said(amount: Decimal) -> str:
        return money_words(amount, quote.currency, quote.locale)

    rows = [(f"{line.what} ({line.note})" if line.note else line.what, said(line.amount)) for line in sums.lines]
    if sums.discount:
        why = f" ({quote.discount_reason})" if quote.discount_reason else ""
        rows.append((f"Discount{why}", said(-sums.discount)))
    if sums.minimum:
        rows.append(("Up to the minimum charge", said(sums.minimum)))
    held = "of which " if sums.taxes_included else ""
    taxes = [(f"{held}{tax.name}, {percent_words(tax.percent, quote.locale)} of {said(tax.base)}", said(tax.amount))
             for tax in sums.taxes]
    total = [("Total", said(sums.total))]
    rows += total + taxes if sums.taxes_included else taxes + total
    if sums.deposit:
        rows += [("Deposit", said(sums.deposit)), ("At hand-over", said(sums.balance))]
    return rows


def amount_lines(what: str, amount: str) -> list[str]:
    """Return one row with its amount at the right edge."""
    room = WIDTH - len(amount) - 2
    parts = textwrap.wrap(what, room) or [""]
    return [*parts[:-1], parts[-1].ljust(room) + "  " + amount]


def scope_text(quote: Quote) -> list[str]:
    """Return scope by panel, film and exclusions."""
    lines = ["Scope"]
    for line in quote.scope:
        lines += wrapped(f"{line.panel}: {line.text}")
    if quote.film:
        lines += ["", "Film"]
        for statement in quote.film:
            lines += wrapped(sentence(statement.text))
        lines += [line for clause in quote.texts if clause.use == "film" for line in wrapped(clause.text)]
    return [*lines, "", *wrapped("Not in the price: " + "; ".join(quote.exclusions) + "."), ""]


def text_blocks(quote: Quote) -> list[str]:
    """Return clauses, warranty and terms."""
    lines: list[str] = []
    for clause in quote.texts:
        if clause.use in ("clause", "warranty", "terms"):
            lines += wrapped(f"{clause.heading}: {clause.text}")
    return [*lines, ""]


def signature(quote: Quote) -> list[str]:
    """Return the acceptance with a box for each option that can be ordered."""
    text = next(clause.text for clause in quote.texts if clause.use == "acceptance")
    boxes = "   ".join(f"[ ] {option.name}" for option in quote.options if option.totals is not None)
    blank = "_" * 20
    return [*wrapped(text), *wrapped(boxes), "", f"Place, date: {blank}   Name, signature: {blank}"]
