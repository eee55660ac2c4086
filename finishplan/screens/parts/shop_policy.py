"""The shop's policy and terms, group by group: every figure with what is shipped beside it."""

from __future__ import annotations

import streamlit as st

from finishplan.records import shop_whole
from finishplan.screens.parts import shop_doing, shop_figures
from finishplan.screens.parts.markup import h, p, put
from finishplan.shop.figures import POLICY_GROUPS, hours_figures, policy_group
from finishplan.shop.figures import shop_figures as own_figures

GROUP, MINUTES = "shop policy group", "shop minutes group"


def policy(shop: shop_doing.Shop) -> None:
    """Show one group of the policy."""
    group = str(st.selectbox("Group", list(POLICY_GROUPS), key=GROUP, persist_state="session"))
    put("fp-panel", h(2, group), p("An empty box takes the shipped figure.", "quiet"))
    shop_figures.rows(shop, policy_group(shop.used, group))


def ourselves(shop: shop_doing.Shop) -> None:
    """Show who and where the shop is, its paper and scale, and its hours."""
    put("fp-panel", h(2, "Our shop"))
    shop_figures.rows(shop, own_figures(shop.used))
    put("fp-panel", h(2, "Working hours"), p("As in 08:00-12:00, 12:30-16:30; an empty day is a day off.", "quiet"))
    shop_figures.rows(shop, hours_figures(shop.used))


def quote(shop: shop_doing.Shop) -> None:
    """Show the terms of a quote and the figures of labour and days."""
    put("fp-panel", h(2, "Terms of a quote"))
    shop_figures.rows(shop, shop_whole.quote_figures(shop.used))
    put("fp-panel", h(2, "Labour and days"))
    shop_figures.rows(shop, shop_whole.office_figures(shop.used))


def minutes(shop: shop_doing.Shop) -> None:
    """Show the minutes of allowances and hardware, one group of them."""
    group = str(st.selectbox("Minutes of", list(shop_whole.MINUTES_GROUPS), key=MINUTES, persist_state="session"))
    put("fp-panel", h(2, group), p("An empty box takes the shipped minutes; 0 leaves it out.", "quiet"))
    shop_figures.rows(shop, shop_whole.minutes_figures(shop.used, group))


def visits(shop: shop_doing.Shop) -> None:
    """Show what work at the customer's allows."""
    put("fp-panel", h(2, "Work at the customer's"))
    shop_figures.rows(shop, shop_whole.home_figures(shop.used))
