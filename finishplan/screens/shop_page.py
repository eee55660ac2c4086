"""What the shop knows: shipped, learned and used side by side; each change is one revision; backup and restore."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from finishplan.records.faults import StoreCorrupt
from finishplan.screens.parts import (
    look_shop,
    look_survey,
    shop_backup,
    shop_damaged,
    shop_doing,
    shop_exchange,
    shop_head,
    shop_lists,
    shop_people,
    shop_policy,
    shop_rates,
    shop_steps,
    telling,
)

SECTIONS: dict[str, Callable[[shop_doing.Shop], None]] = {
    "Steps": shop_steps.steps,
    "Tools": shop_steps.tools,
    "Rates learned": shop_rates.section,
    "Policy": shop_policy.policy,
    "Minutes": shop_policy.minutes,
    "People": shop_people.section,
    "Prices": shop_lists.prices,
    "Our shop": shop_policy.ourselves,
    "Quote": shop_policy.quote,
    "Visits": shop_policy.visits,
    "Limits and gear": shop_lists.gear,
    "Shop file": shop_exchange.section,
    "Backup": shop_backup.section,
}
"""What can be set, by section."""
SECTION = "shop section"


def page() -> None:
    """Show our shop, one section at a time."""
    look_survey.put_on()
    look_shop.put_on()
    telling.begin()
    try:
        shop = shop_doing.shop()
    except StoreCorrupt as error:
        shop_damaged.page(str(error))
        return
    shop_head.masthead(shop)
    section = st.pills("What to set", list(SECTIONS), default="Steps", required=True, key=SECTION,
                       persist_state="session")
    SECTIONS[str(section)](shop)
    shop_head.history(shop)
    telling.show_rest()
