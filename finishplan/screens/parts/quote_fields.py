"""The inputs of a quote, each kept as soon as it is left: in the job, over the terms of our shop."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from finishplan.office import typed_inputs as typed
from finishplan.office.inputs import change_inputs, values_of
from finishplan.office.options import OPTIONS
from finishplan.records.kept import Opened
from finishplan.screens.parts import doing, guard, quote_work, telling
from finishplan.screens.parts.box import box as in_box
from finishplan.screens.parts.fields import Fields, Reading, as_typed, or_nothing
from finishplan.screens.parts.markup import h, p, put
from finishplan.screens.parts.plain import plain
from finishplan.survey import edits
from finishplan.survey.edits import Edit
from finishplan.survey.job import Job, job_as_dict, read_job_dict

NUMBERS = {
    "margin_percent": "Margin, %", "discount_percent": "Discount, %", "deposit_percent": "Deposit, %",
    "minimum_charge": "Minimum charge", "travel": "Travel", "movers": "Movers", "tuning": "Tuning after a move",
    "storage_per_day": "Storage a day", "materials_percent": "Material without a price, % of labour",
}
WHOLE = {"valid_days": "Stands for, days", "storage_free_days": "Free days of storage"}
RATES = {"cost_per_h.finisher": "An hour of a finisher costs", "cost_per_h.trainee": "An hour of a trainee costs",
         "cost_per_h.helper": "An hour of a helper costs"}
TEXTS = {
    "sand_through_text": "In place of our text on thin film (local law stays)", "warranty_text": "Warranty",
    "payment_text": "Payment", "shop_text": "Our own terms",
}
MORE = ("minimum_charge", "travel", "movers", "tuning", "storage_per_day", "materials_percent")
CHOICES: dict[str, Reading] = {
    "option": as_typed, "start": str, "locale": as_typed, "discount_reason": str, "prices_include_tax": bool,
    "currency": typed.code, "exclusions": typed.lines_of, "taxes": typed.read_taxes}


def _make(body: dict[str, Any], was: Any, new: Mapping[str, Any]) -> Edit:
    return change_inputs(body, was, new, quote_work.profile_for(body))


def _stands(body: dict[str, Any], was: Any, new: Mapping[str, Any]) -> Any:
    return values_of(body, quote_work.profile_for(body))


FIELDS = Fields("quote", CHOICES | {name: typed.number(label) for name, label in NUMBERS.items()}
                | {name: typed.whole(label) for name, label in WHOLE.items()}
                | {name: typed.rate(label) for name, label in RATES.items()} | dict.fromkeys(TEXTS, str),
                _make, _stands, "this quote")
JOB = Fields("quote job", {"customer": or_nothing, "due": typed.due(quote_work.today)}, edits.change_job,
             lambda body, was, new: job_as_dict(read_job_dict(body)))


def inputs(opened: Opened, job: Job, wrong: str) -> None:
    """Show all inputs; ``wrong`` is why no quote could be made, or what is left out of it."""
    body = opened.body
    put("", h(2, "Inputs"), p("Kept as soon as a box is left, in this job; empty amounts and texts are our shop's.",
                              "quiet small"))
    was = FIELDS.base(values_of(body, quote_work.profile_for(body)))
    if wrong:
        guard.show(wrong)
    st.selectbox("Written out", list(OPTIONS), format_func=lambda name: f"{name}: {OPTIONS[str(name)]}",
                 **FIELDS.box("option", was["option"]))
    _about(job)
    left, right = st.columns(2)
    left.text_input("First day of work", max_chars=40, placeholder="today", **FIELDS.box("start", was["start"]))
    _number("margin_percent", was, right)
    _number("discount_percent", was, left)
    _number("deposit_percent", was, right)
    st.text_area("Taxes, one a line: name, percent", height=90, max_chars=600,
                 **FIELDS.box("taxes", typed.taxes_text(was["taxes"])))
    st.checkbox("Prices include tax", **FIELDS.box("prices_include_tax", was["prices_include_tax"]))
    telling.show_trouble(FIELDS.name)
    if wrong:
        _rates(was)
    else:
        in_box("Currency and what an hour costs", "quote_rates", lambda: _rates(was))
    in_box("More amounts", "quote_more", lambda: _more(was))
    in_box("Our own texts", "quote_texts", lambda: _texts(was))
    st.button(f"Undo: {plain(opened.undo)}" if opened.undo else "Nothing to undo", key="quote_undo",
              disabled=not opened.undo, on_click=telling.beside("quote undo")(doing.undo))
    telling.show_trouble("quote undo")


def _about(job: Job) -> None:
    was = JOB.base(job_as_dict(job))
    left, right = st.columns(2)
    left.text_input("Customer", max_chars=200, **JOB.box("customer", was["customer"] or ""))
    right.text_input("Due", max_chars=40, placeholder="2026-05-31", **JOB.box("due", was["due"] or ""))
    telling.show_trouble(JOB.name)


def _number(name: str, was: Mapping[str, Any], where: Any) -> None:
    label = NUMBERS.get(name) or WHOLE[name]
    where.text_input(label, max_chars=20, **FIELDS.box(name, typed.number_text(was[name])))


def _rates(was: Mapping[str, Any]) -> None:
    left, right = st.columns(2)
    left.text_input("Currency", max_chars=3, placeholder="EUR", **FIELDS.box("currency", was["currency"] or ""))
    right.text_input("Written as in", max_chars=20, **FIELDS.box("locale", was["locale"]))
    for name, label in RATES.items():
        st.text_input(label, max_chars=20, **FIELDS.box(name, typed.number_text(was[name])))
    put("", p("What a person of our shop costs an hour goes before these.", "quiet small"))


def _more(was: Mapping[str, Any]) -> None:
    left, right = st.columns(2)
    for name in (*MORE[:3], "valid_days"):
        _number(name, was, left)
    for name in (*MORE[3:], "storage_free_days"):
        _number(name, was, right)
    st.text_input("Why a discount", max_chars=200, **FIELDS.box("discount_reason", was["discount_reason"]))


def _texts(was: Mapping[str, Any]) -> None:
    for name, label in TEXTS.items():
        st.text_area(label, height=90, max_chars=2000, **FIELDS.box(name, was[name]))
    st.text_area("Not in the price either, one a line", height=90, max_chars=2000,
                 **FIELDS.box("exclusions", "\n".join(was["exclusions"])))
