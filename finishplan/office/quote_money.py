"""Money of a quote: decimal amounts, one rounding point, discount, minimum charge, taxes, deposit.

Every amount that is printed was rounded once, half up, to the currency's minor unit; sums are of rounded
amounts, so that a customer who adds up the page gets the total.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import cache

from finishplan.errors import BadValue
from finishplan.office.terms import LINE_GROUPS, QuoteTerms, Tax, exact

ZERO = Decimal(0)
HUNDRED = Decimal(100)
DISCOUNTED = ("labour", "materials")
"""Groups that a discount is on: our own work, not what others are paid."""


@cache
def minor_digits(currency: str) -> int:
    """Return the decimals of a currency, by its ISO 4217 letters.

    Raises BadValue for letters that are no currency. Source: the Unicode locale data, by Babel.
    """
    from babel.numbers import UnknownCurrencyError, get_currency_precision, validate_currency

    try:
        validate_currency(currency)
    except UnknownCurrencyError:
        raise BadValue("currency", currency, "write the three letters of ISO 4217, such as EUR, GBP or USD") from None
    return int(get_currency_precision(currency))


def rounded(amount: Decimal, currency: str) -> Decimal:
    """Return an amount in whole minor units, half up (away from zero): the one rounding point of all money.

    Source: round-half-up of the General Decimal Arithmetic Specification.

    >>> rounded(Decimal("2.675"), "EUR"), rounded(Decimal("1234.5"), "JPY")
    (Decimal('2.68'), Decimal('1235'))
    """
    return amount.quantize(Decimal(1).scaleb(-minor_digits(currency)), rounding=ROUND_HALF_UP)


def of_float(value: float) -> Decimal:
    """Return a worked-out float as the decimal number that it prints as."""
    return Decimal(repr(float(value)))


def percent_of(amount: Decimal, percent: float) -> Decimal:
    """Return a percentage of an amount, unrounded."""
    return amount * exact(percent) / HUNDRED


@dataclass(frozen=True)
class Line:
    """One line of a quote: its amount is rounded."""

    what: str
    group: str
    amount: Decimal
    note: str = ""


@dataclass(frozen=True)
class TaxLine:
    """One tax of a quote: what it is on, and how much it is."""

    name: str
    percent: Decimal
    base: Decimal
    amount: Decimal


@dataclass(frozen=True)
class Totals:
    """The sums of a quote, in the order in which they are printed."""

    currency: str
    lines: tuple[Line, ...]
    subtotal: Decimal
    """Sum of the lines, before discount and minimum charge."""
    discount: Decimal
    """Positive; taken off."""
    minimum: Decimal
    """What is added to reach the minimum charge."""
    net: Decimal
    """Without any tax."""
    taxes: tuple[TaxLine, ...]
    taxes_included: bool
    total: Decimal
    """What the customer pays."""
    deposit: Decimal

    @property
    def after_discount(self) -> Decimal:
        """Lines less discount, up to the minimum charge: what added taxes come on top of."""
        return self.subtotal - self.discount + self.minimum

    @property
    def tax(self) -> Decimal:
        """All taxes together."""
        return sum((tax.amount for tax in self.taxes), ZERO)

    @property
    def balance(self) -> Decimal:
        """What is paid at the end."""
        return self.total - self.deposit


def totals(lines: Sequence[Line], terms: QuoteTerms, currency: str, minimum_charge: Decimal = ZERO) -> Totals:
    """Return the sums of a quote: discount, then minimum charge, then taxes, then deposit.

    The discount is on labour and materials. Taxes are added, or, where the prices include them, taken out
    of what the customer pays. ``minimum_charge`` counts before added taxes.
    """
    subtotal = sum((line.amount for line in lines), ZERO)
    by_group = grouped(lines)
    discounts = {group: rounded(percent_of(by_group[group], terms.discount_percent), currency)
                 for group in DISCOUNTED if group in by_group}
    discount = sum(discounts.values(), ZERO)
    left = {group: amount - discounts.get(group, ZERO) for group, amount in by_group.items()}
    missing = max(ZERO, rounded(minimum_charge, currency) - sum(left.values(), ZERO))
    if missing:
        left["minimum"] = left.get("minimum", ZERO) + missing
    taxes = tax_lines(left, terms, currency)
    asked = subtotal - discount + missing
    tax = sum((line.amount for line in taxes), ZERO)
    total = asked if terms.prices_include_tax else asked + tax
    return Totals(
        currency=currency, lines=tuple(lines), subtotal=subtotal, discount=discount, minimum=missing,
        net=total - tax, taxes=taxes, taxes_included=terms.prices_include_tax, total=total,
        deposit=rounded(percent_of(total, terms.deposit_percent), currency),
    )


def grouped(lines: Iterable[Line]) -> dict[str, Decimal]:
    """Return the amounts by group, in the order of ``LINE_GROUPS``."""
    found = list(lines)
    return {
        group: sum((line.amount for line in found if line.group == group), ZERO)
        for group in LINE_GROUPS if any(line.group == group for line in found)
    }


def applies(tax: Tax, group: str) -> bool:
    """Whether a tax is on a group of lines."""
    return not tax.groups or group in tax.groups


def tax_lines(by_group: Mapping[str, Decimal], terms: QuoteTerms, currency: str) -> tuple[TaxLine, ...]:
    """Return every tax on the groups it is for, rounded once each.

    Added: percent of the amount. Included: an amount holds net x (1 + all percents on it), so a tax is
    amount / (1 + all percents) x its percent.
    """
    found = []
    for tax in terms.taxes:
        base = ZERO
        for group, amount in by_group.items():
            if applies(tax, group):
                base += amount / (1 + all_percents(terms, group) / HUNDRED) if terms.prices_include_tax else amount
        found.append(TaxLine(tax.name, exact(tax.percent), rounded(base, currency),
                             rounded(percent_of(base, tax.percent), currency)))
    return tuple(found)


def all_percents(terms: QuoteTerms, group: str) -> Decimal:
    """Return the percents of all taxes on a group together."""
    return sum((exact(tax.percent) for tax in terms.taxes if applies(tax, group)), ZERO)


def money_words(amount: Decimal, currency: str, locale: str) -> str:
    """Return an amount as it is written in a place, with its currency; it is rounded first.

    Raises BadValue for a place that is none.
    """
    from babel.numbers import format_currency

    return str(format_currency(rounded(amount, currency), currency, locale=checked_locale(locale)))


def percent_words(percent: Decimal, locale: str) -> str:
    """Return a percentage as it is written in a place.

    >>> percent_words(Decimal("7.70"), "en")
    '7.7%'
    """
    from babel.numbers import format_percent

    digits = max(0, -int(percent.normalize().as_tuple().exponent))
    pattern = "#,##0." + "0" * digits + "%" if digits else None
    where = checked_locale(locale)
    return str(format_percent(percent / HUNDRED, format=pattern, locale=where))


@cache
def checked_locale(locale: str) -> str:
    """Return a locale's name after making sure that it exists; raises BadValue."""
    from babel import Locale, UnknownLocaleError

    try:
        return str(Locale.parse(locale.replace("-", "_")))
    except (UnknownLocaleError, ValueError, TypeError):
        raise BadValue(
            "locale", locale, "write a language, or a language and a country, such as en, en_GB or de_DE") from None
