"""What the office goes by: figures of labour and days, and the terms of a quote, each with its default.

A shop lays its own over them as plain data; wrong ones are named in one line.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated, Any, TypeVar

from pydantic import Field, ValidationError, ValidationInfo, create_model, field_validator
from pydantic_core import PydanticCustomError

from finishplan import reference
from finishplan.models import CurrencyCode, Flag, Name, NotNegative, Positive, Record, Share, Text, one_of, say_first
from finishplan.reference import Sourced
from finishplan.shop.policy import Minutes, figure
from finishplan.shop.shop_file import ShopFile

Percent = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=100)]
Margin = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=90)]
Discount = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, lt=100)]
Sureness = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0.5, le=0.99)]
Amount = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=1e7)]
Hours = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=1000)]
Cap = Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, le=5)]

LINE_GROUPS = {
    "labour": "the work",
    "materials": "sheets, compounds, pads, resin",
    "travel": "the way there and back",
    "storage": "keeping the instrument",
    "movers": "moving the instrument",
    "tuning": "tuning after a move",
    "minimum": "up to the minimum charge",
}
"""Groups of lines of a quote; a tax may be for some of them only."""

LAYOUTS = {"estimate": "a price before a test spot", "quotation": "a firm price"}


OWN_MINUTES = {
    "allowance_min": ("allowances", "what", "minutes"),
    "hardware_min": ("hardware_minutes", "task", "person_minutes"),
    "hardware_clean_min": ("hardware_minutes", "task", "clean_minutes"),
}
"""Minutes that a shop may give by name: the table they are shipped in, the column of names, that of minutes."""


def shipped_minutes(group: str) -> dict[str, tuple[float, str]]:
    """Return the shipped minutes of one group of OWN_MINUTES with their source kind, by name."""
    table, name, column = OWN_MINUTES[group]
    return {row[name]: (float(row[column]), row["source_kind"]) for row in reference.rows(table) if row[column]}


class OfficeFigures(Record):
    """Assumed figures of labour and days; the shop replaces them by its own."""

    supervision_share: Share = figure(0.15, "share", "how much of a trainee's hours a finisher adds")
    refit_factor: Positive = figure(1.3, "times", "refitting over taking off")
    pour_share: Share = figure(
        0.6, "share", "minutes of a fill before its cure; the rest is halved between cut and level")
    rest_h: Hours = figure(24.0, "h", "rest after intake")
    vibration_cap_m_s2: Cap = figure(
        2.5, "m/s2", "most A(8) a person's day is planned to: the action value of 2002/44/EC")
    day_minutes: Positive = figure(480.0, "min", "a day, to count tidying by")
    allowance_min: dict[str, Minutes] = {}
    """The shop's own minutes of an allowance, for each of what it is counted by; the others are as shipped."""
    hardware_min: dict[str, Minutes] = {}
    """The shop's own person-minutes of a hardware task, all people together."""
    hardware_clean_min: dict[str, Minutes] = {}
    """The same where a piece may only be cleaned."""

    @field_validator(*OWN_MINUTES)
    @classmethod
    def known_names(cls, given: dict[str, float], info: ValidationInfo) -> dict[str, float]:
        """Refuse minutes of something that no table lists."""
        known = shipped_minutes(str(info.field_name))
        for name in given:
            if name not in known:
                raise PydanticCustomError("choice", "not in the table", {"choices": tuple(known), "value": name})
        return given

    def minutes_of(self, group: str, name: str) -> tuple[float, str]:
        """Return the minutes of an allowance or hardware task, and their source kind."""
        own = getattr(self, group).get(name)
        return shipped_minutes(group)[name] if own is None else (own, "measured here")


class Tax(Record):
    """One tax: name, percent, and the groups of lines it is for (all, unless some are named)."""

    name: Name
    percent: Percent
    groups: tuple[Annotated[str, one_of(LINE_GROUPS)], ...] = ()


class CostPerHour(Record):
    """What an hour costs the shop, by role, where no person of the shop says it."""

    finisher: NotNegative | None = None
    trainee: NotNegative | None = None
    helper: NotNegative | None = None


class QuoteTerms(Record):
    """The terms of a quote; money in the shop's currency, shares in percent."""

    currency: CurrencyCode | None = None
    locale: Name = "en"
    cost_per_h: CostPerHour = CostPerHour()
    margin_percent: Margin = figure(30.0, "percent", "margin on our own work and material")
    discount_percent: Discount = 0.0
    discount_reason: Text = ""
    taxes: Annotated[tuple[Tax, ...], Field(max_length=6)] = ()
    prices_include_tax: Flag = False
    deposit_percent: Percent = 0.0
    minimum_charge: Amount = 0.0
    travel: Amount = 0.0
    storage_per_day: Amount = 0.0
    storage_free_days: Annotated[int, Field(strict=True, ge=0, le=1000)] = 0
    movers: Amount = 0.0
    tuning: Amount = 0.0
    materials_percent: Percent = figure(0.0, "percent", "material without a pack price, of the cost of labour")
    valid_days: Annotated[int, Field(strict=True, ge=1, le=730)] = figure(30, "days", "how long an offer stands")
    safe_share: Sureness = figure(0.8, "share", "how many such jobs stay under the price")
    exclusions: tuple[Text, ...] = ()
    sand_through_text: Text = ""
    warranty_text: Text = ""
    payment_text: Text = ""
    shop_text: Text = ""


Model = TypeVar("Model", bound=Record)


def read_terms(raw: Mapping[str, Any], shop: ShopFile | None = None) -> QuoteTerms:
    """Return the terms in ``raw``, with currency and tax share of the shop file where the terms say none.

    Raises a FinishplanError that names field, value and remedy.
    """
    terms = read_model(QuoteTerms, raw, "quote")
    if shop is None:
        return terms
    changes: dict[str, Any] = {}
    if terms.currency is None and shop.currency is not None:
        changes["currency"] = shop.currency
    if not terms.taxes and shop.tax_share:
        percent = float(Decimal(str(shop.tax_share)) * 100)
        changes["taxes"] = (Tax(name="tax", percent=percent),)
    return terms.model_copy(update=changes)


def read_figures(raw: Mapping[str, Any]) -> OfficeFigures:
    """Return the labour and day figures in ``raw``; raises a FinishplanError for one that cannot be used."""
    return read_model(OfficeFigures, raw, "office")


def read_model(model: type[Model], raw: Mapping[str, Any], place: str) -> Model:
    """Return ``raw`` as a ``model``; a wrong value is named with ``place`` before it."""
    holder = create_model("Holder", __base__=Record, **{place: (model, ...)})  # type: ignore[call-overload]
    try:
        found = holder.model_validate({place: raw})
    except ValidationError as error:
        raise say_first(error, {place: raw}, holder) from None
    value: Model = getattr(found, place)
    return value


def sourced(model: Record, own: str) -> tuple[Sourced, ...]:
    """Return the figures of a model that have a unit, each with its source kind; a changed one is the shop's own.

    ``own`` says where the shop's own figures stand.
    """
    shipped, found = type(model)(), []
    for name, info in type(model).model_fields.items():
        extra = info.json_schema_extra
        if isinstance(extra, dict):
            value = getattr(model, name)
            changed = value != getattr(shipped, name)
            found.append(Sourced(name, float(value), str(extra["unit"]),
                                 "measured here" if changed else str(extra["kind"]),
                                 own if changed else str(info.description)))
    return tuple(found)


def exact(amount: float) -> Decimal:
    """Return a typed amount as the decimal number that was typed.

    >>> exact(2.675)
    Decimal('2.675')
    """
    return Decimal(repr(float(amount))) if amount != int(amount) else Decimal(int(amount))
