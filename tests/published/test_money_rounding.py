"""Money is rounded half up, as decimal arithmetic defines it, and never by way of binary floats.

Sources: round-half-up cases of radx200 to radx229 and rsux200 to rsux229 of the General Decimal Arithmetic
Testcases 2.59 (rounding.decTest, IBM, at precision 5, here as whole units); the decimal FAQ of the same
author for 5 % on a 0.70 telephone call (from memory); minor units of ISO 4217 (from memory).
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from finishplan.office.quote_money import minor_digits, percent_of, rounded
from finishplan.office.terms import exact

HALF_UP = [
    ("12345", "-0.1", 12345), ("12345", "-0.01", 12345), ("12345", "0", 12345), ("12345", "0.0000001", 12345),
    ("12345", "0.1", 12345), ("12346", "0.49999", 12346), ("12346", "0.5", 12347), ("12346", "0.50001", 12347),
    ("12345", "0.4", 12345), ("12345", "0.49", 12345), ("12345", "0.499", 12345), ("12345", "0.5", 12346),
    ("12345", "0.50001", 12346), ("12345", "0.5001", 12346), ("12345", "0.501", 12346), ("12345", "0.51", 12346),
    ("12345", "0.6", 12346), ("-12345", "-0.1", -12345), ("-12345", "0.1", -12345), ("-12346", "0.49999", -12346),
    ("-12346", "0.5", -12346), ("-12346", "0.50001", -12345), ("-12345", "0.4", -12345), ("-12345", "0.5", -12345),
    ("-12345", "0.50001", -12344), ("-12345", "0.6", -12344),
]


@pytest.mark.parametrize(("a", "b", "whole"), HALF_UP)
def test_half_up_of_the_general_decimal_arithmetic(a: str, b: str, whole: int) -> None:
    assert rounded(Decimal(a) + Decimal(b), "JPY") == whole


@pytest.mark.parametrize(("typed", "cents"), [(0.125, "0.13"), (2.675, "2.68"), (1.005, "1.01"), (0.285, "0.29")])
def test_a_typed_amount_is_the_decimal_that_was_typed(typed: float, cents: str) -> None:
    assert rounded(exact(typed), "EUR") == Decimal(cents)
    assert rounded(exact(-typed), "EUR") == -Decimal(cents)


def test_five_percent_on_a_seventy_cent_call_is_four_cents() -> None:
    """The decimal FAQ: 0.70 x 1.05 is 0.735 exactly and rounds to 0.74; in binary it falls short."""
    assert rounded(exact(0.70) + percent_of(exact(0.70), 5.0), "USD") == Decimal("0.74")
    assert rounded(percent_of(exact(0.70), 5.0), "USD") == Decimal("0.04")


@pytest.mark.parametrize(("currency", "digits"), [("EUR", 2), ("USD", 2), ("CHF", 2), ("JPY", 0), ("KWD", 3)])
def test_minor_units_of_iso_4217(currency: str, digits: int) -> None:
    assert minor_digits(currency) == digits
