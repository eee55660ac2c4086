"""What is typed of the shop is looked at by all that reads it, before it is kept."""

from __future__ import annotations

import pytest

from finishplan.errors import FinishplanError
from finishplan.records.shop_whole import check_shop

SHOP = {"format": "finishplan-shop", "version": 1}


def test_small_letters_of_a_currency_are_made_large() -> None:
    assert check_shop({**SHOP, "currency": " eur"}).file.currency == "EUR"
    assert check_shop({**SHOP, "quote": {"currency": "gbp"}}).file.currency is None


@pytest.mark.parametrize(("change", "said"), [
    ({"currency": "xqx"}, "currency is 'XQX'; write the three letters of ISO 4217"),
    ({"quote": {"currency": "xqx"}}, "currency is 'XQX'"),
    ({"quote": {"locale": "german"}}, "'german'"),
])
def test_what_no_quote_could_be_written_with_is_refused_at_once(change: dict[str, object], said: str) -> None:
    with pytest.raises(FinishplanError, match=said):
        check_shop({**SHOP, **change})
