"""The lines of a quote as a spreadsheet and as CSV, and the whole quote as plain data for JSON.

Text that a person typed never becomes a formula: it is stored as text, and in CSV it gets an apostrophe.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from finishplan.office.labour import whole_minutes
from finishplan.office.quote import Quote
from finishplan.office.quote_money import minor_digits, rounded
from finishplan.office.quote_price import OwnerView, PricedOption
from finishplan.office.quote_text import table_rows
from finishplan.office.quote_words import outcome_words
from finishplan.office.schedule import Days

QUOTE_FORMAT = "finishplan-quote"
QUOTE_VERSION = 1
LINE_HEADER = ("option", "line", "group", "amount", "currency", "note")
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")
"""First letters by which a spreadsheet program takes text for a formula."""

Cell = str | Decimal | int
Rows = list[tuple[Cell, ...]]


def line_rows(quote: Quote) -> Rows:
    """Return the lines and sums of every priced option, one row each."""
    rows: Rows = []
    for option in quote.options:
        sums = option.totals
        if sums is None:
            continue

        def add(what: str, group: str, amount: Decimal, note: str = "", name: str = option.name) -> None:
            rows.append((name, what, group, amount, quote.currency, note))

        for line in sums.lines:
            add(line.what, line.group, line.amount, line.note)
        add("subtotal", "sum", sums.subtotal)
        if sums.discount:
            add("discount", "sum", -sums.discount, quote.discount_reason)
        if sums.minimum:
            add("up to the minimum charge", "sum", sums.minimum)
        add("without tax", "sum", sums.net)
        for tax in sums.taxes:
            add(tax.name, "tax", tax.amount, f"{tax.percent.normalize():f} % of {tax.base}")
        add("total", "sum", sums.total, "tax included" if sums.taxes and sums.taxes_included else "")
        if sums.deposit:
            add("deposit", "sum", sums.deposit)
            add("at hand-over", "sum", sums.balance)
    return rows


def labour_rows(option: PricedOption) -> Rows:
    """Return the labour table of an option in whole minutes that add up, for the owner."""
    lines = option.option.lines
    whole = whole_minutes([line.minutes for line in lines])
    rows: Rows = [(line.what, line.group, line.role, line.people, minutes, line.kind, line.note)
                  for line, minutes in zip(lines, whole, strict=True)]
    return [*rows, ("total", "", "", "", sum(whole), "", "")]


def as_csv(quote: Quote) -> str:
    """Return the lines of a quote as CSV with a header, comma and CR LF (RFC 4180)."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(LINE_HEADER)
    for row in line_rows(quote):
        writer.writerow([cell if isinstance(cell, (Decimal, int)) else plain_text(cell) for cell in row])
    return out.getvalue()


def plain_text(text: str) -> str:
    """Return text that no spreadsheet program takes for a formula.

    >>> plain_text("=1+1"), plain_text("lid")
    ("'=1+1", 'lid')
    """
    return "'" + text if text.startswith(FORMULA_SIGNS) else text


def as_xlsx(quote: Quote, for_owner: bool = False) -> bytes:
    """Return the quote as a spreadsheet: the lines; ``for_owner`` adds cost and labour on sheets of their own."""
    from openpyxl import Workbook  # type: ignore[import-untyped]

    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Lines"
    fill_sheet(sheet, LINE_HEADER, line_rows(quote), quote.currency)
    if for_owner:
        fill_sheet(book.create_sheet("Cost"), ("option", "what", "amount"), cost_rows(quote), quote.currency)
        fill_sheet(book.create_sheet("Labour"), ("what", "group", "who", "people", "minutes", "source", "note"),
                   labour_rows(quote.main), quote.currency)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def fill_sheet(sheet: Any, header: Sequence[str], rows: Rows, currency: str) -> None:
    """Write a header and rows; amounts as numbers with the currency's decimals, all text as text."""
    digits = minor_digits(currency)
    money = "#,##0" + ("." + "0" * digits if digits else "")
    for r, row in enumerate([tuple(header), *rows], start=1):
        for c, value in enumerate(row, start=1):
            cell = sheet.cell(row=r, column=c)
            if isinstance(value, str):
                cell.value = value
                cell.data_type = "s"
            else:
                cell.value = value
                cell.number_format = money if isinstance(value, Decimal) else "0"
    for c, name in enumerate(header, start=1):
        widest = max([len(name), *(len(str(row[c - 1])) for row in rows)])
        sheet.column_dimensions[sheet.cell(row=1, column=c).column_letter].width = min(60, widest + 2)
    sheet.freeze_panes = "A2"


def cost_rows(quote: Quote) -> Rows:
    """Return cost, net price, margin and chance of loss of every priced option, for the owner."""
    rows: Rows = []
    for option in quote.options:
        owner = option.owner
        if owner is None:
            continue
        rows += [
            (option.name, "labour at planned minutes", money(quote, owner.labour_cost)),
            (option.name, "material", money(quote, owner.materials_cost)),
            (option.name, "passed on", money(quote, owner.passed_on)),
            (option.name, "net price", owner.net),
            (option.name, f"chance of a loss, 1 = always ({owner.loss_from})", f"{owner.loss_chance:.3f}"),
        ]
    return rows


def money(quote: Quote, amount: Decimal) -> Decimal:
    """Return an amount rounded to the quote's currency."""
    return rounded(amount, quote.currency)


def as_data(quote: Quote, for_owner: bool = True) -> dict[str, Any]:
    """Return the quote as plain data for JSON, in the quote format; money as text, exactly as printed.

    Without ``for_owner`` cost, margin and notes are left out.
    """
    return {
        "format": QUOTE_FORMAT, "version": QUOTE_VERSION, "number": quote.number, "revision": quote.revision,
        "day": quote.day.isoformat(), "valid_until": quote.valid_until.isoformat(), "kind": quote.kind,
        "why_estimate": list(quote.why_estimate), "shop": {"name": quote.shop_name, "place": quote.shop_place},
        "customer": quote.customer, "title": quote.title, "instrument": quote.instrument,
        "currency": quote.currency, "locale": quote.locale, "discount_reason": quote.discount_reason,
        "chosen": quote.chosen,
        "options": [option_data(quote, option, for_owner) | {"as_printed": printed} for option, printed in
                    zip(quote.options, printed_cells(quote), strict=True)],
        "scope": [{"panel": line.panel, "text": line.text} for line in quote.scope],
        "film": [{
            "panel": s.film.panel, "zone": s.film.zone, "now_um": s.film.now_um, "counted_um": s.film.counted_um,
            "taken_um": s.film.taken_um, "local_um": s.film.local_um, "left_um": s.film.left_um,
            "services_before": s.film.services_before, "services_after": s.film.services_after, "text": s.text,
        } for s in quote.film],
        "exclusions": list(quote.exclusions),
        "texts": [clause._asdict() for clause in quote.texts], "notes": list(quote.notes) if for_owner else [],
    }


def printed_cells(quote: Quote) -> list[list[list[str]]]:
    """Return the column of every option, name and words of each row in order, as the customer reads them."""
    rows = table_rows(quote)
    return [[[name, cells[place]] for name, cells in rows] for place in range(len(quote.options))]


def option_data(quote: Quote, option: PricedOption, for_owner: bool) -> dict[str, Any]:
    """Return one option as plain data."""
    one, sums = option.option, option.totals
    through = one.sand_through
    return {
        "name": option.name, "does_anything": one.does_anything, "minutes": one.minutes,
        "goes": outcome_words(one.of_fate("goes")), "softened": outcome_words(one.of_fate("softened")),
        "cleaned": outcome_words(one.of_fate("cleaned")), "stays": outcome_words(one.of_fate("stays"), True),
        "stays_visible": outcome_words(one.stays_visible, True), "not_levelled": list(one.not_levelled),
        "sand_through_chance": None if through is None else through.chance,
        "sand_through_standard_error": None if through is None else through.standard_error,
        "days": None if option.days is None else days_data(option.days),
        "price": None if sums is None else {
            "lines": [{"what": line.what, "group": line.group, "amount": str(line.amount), "note": line.note}
                      for line in sums.lines],
            "subtotal": str(sums.subtotal), "discount": str(sums.discount), "minimum": str(sums.minimum),
            "net": str(sums.net), "taxes_included": sums.taxes_included,
            "taxes": [{"name": tax.name, "percent": str(tax.percent), "base": str(tax.base),
                       "amount": str(tax.amount)} for tax in sums.taxes],
            "total": str(sums.total), "deposit": str(sums.deposit), "balance": str(sums.balance),
        },
        "owner": None if option.owner is None or not for_owner else owner_data(quote, option.owner),
    }


def owner_data(quote: Quote, owner: OwnerView) -> dict[str, Any]:
    """Return the owner's view as plain data."""
    margin = owner.margin_percent
    return {
        "labour_cost": str(money(quote, owner.labour_cost)), "materials_cost": str(money(quote, owner.materials_cost)),
        "passed_on": str(money(quote, owner.passed_on)), "cost": str(money(quote, owner.cost)),
        "net": str(owner.net), "margin_percent": None if margin is None else float(margin),
        "safe_factor": owner.safe_factor, "loss_chance": owner.loss_chance, "loss_from": owner.loss_from,
        "roles": [{"role": role.role, "who": list(role.who), "minutes": role.minutes,
                   "rate_per_h": role.rate_per_h, "rate_from": role.rate_from} for role in owner.roles],
    }


def days_data(days: Days) -> dict[str, Any]:
    """Return a schedule as plain data: days, bound and who does what when."""
    return {
        "start": days.start.isoformat(), "ready": days.ready.isoformat(), "bound": days.bound.isoformat(),
        "gap_min": days.gap_min, "gap_days": days.gap_days, "working_days": days.working_days,
        "jobs": [{"key": j.key, "title": j.title, "arrives": j.arrives.isoformat(),
                  "due": None if j.due is None else j.due.isoformat(), "ready": j.ready.isoformat(),
                  "earliest": j.earliest.isoformat(), "working_days": j.working_days,
                  "calendar_days": j.calendar_days, "late_days": j.late_days} for j in days.jobs],
        "rows": [{"job": r.job, "what": r.what, "phase": r.phase, "people": list(r.people), "minutes": r.minutes,
                  "spans": [[a.isoformat(), b.isoformat()] for a, b in r.spans]} for r in days.rows],
        "person_minutes": dict(days.person_minutes), "names": dict(days.names), "notes": list(days.notes),
    }
