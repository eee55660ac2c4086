"""Pack prices and local limits: what is given, one to change, and how one is added."""

from __future__ import annotations

import streamlit as st

from finishplan.records import shop_whole
from finishplan.safety.limits import LIMIT_UNITS, named_agents
from finishplan.safety.place import law_note
from finishplan.screens.parts import shop_doing, shop_figures, telling
from finishplan.screens.parts.figure import figure
from finishplan.screens.parts.markup import h, p, put
from finishplan.screens.parts.plain import plain
from finishplan.shop.figures import price_figures, price_items
from finishplan.shop.shop_edits import with_value, without

ITEM, NEW_ITEM, PACK, PRICE = "shop price item", "shop new price", "shop new pack", "shop new pack price"
LIMIT, AGENT, SPAN, UNIT, VALUE = "shop limit", "shop new limit", "shop new span", "shop new unit", "shop new value"


def prices(shop: shop_doing.Shop) -> None:
    """Show pack prices: one to change, and how one is added."""
    given = list(shop.used.file.prices)
    put("fp-panel", h(2, "Pack prices"),
        p("A thing without a pack is priced as a share of labour, or left open on the quote.", "quiet"))
    if given:
        item = str(st.selectbox("Pack", given, key=ITEM, persist_state="session"))
        shop_figures.rows(shop, price_figures(shop.used, item))
        st.button(f"Take the price of {plain(item)} out", key="price_out", on_click=shop_doing.act(_out),
                  args=("prices", item, ITEM))
    with st.form("add_price", border=False):
        left, middle, right, last = st.columns([3, 1, 1, 1], vertical_alignment="bottom")
        left.selectbox("A price for", [item for item in price_items(shop.used) if item not in given], key=NEW_ITEM)
        figure("A pack holds", middle, key=PACK)
        figure("It costs", right, key=PRICE)
        last.form_submit_button("Add", on_click=telling.beside("price")(_add_price))
    telling.show_trouble("price")


def _add_price() -> None:
    item, pack = str(st.session_state[NEW_ITEM]), st.session_state[PACK]
    entry = {"pack": pack, "price": st.session_state[PRICE] or 0.0}
    shop_doing.change(lambda body: with_value(body, ("prices", item), entry), f"price of {item} added")
    st.session_state[PACK] = st.session_state[PRICE] = None
    st.session_state[ITEM] = item


def gear(shop: shop_doing.Shop) -> None:
    """Show whose limits count, the limits typed in, and what the cautions ask of the shop's gear."""
    given = list(shop.used.file.local_limits)
    put("fp-panel", h(2, "Local limits"), p(law_note(shop.used.file)))
    if given:
        name = str(st.selectbox("Limit", given, key=LIMIT, persist_state="session",
                                format_func=lambda one: shop_whole.limit_line(one, shop.used.file.local_limits[one])))
        shop_figures.rows(shop, shop_whole.limit_figures(shop.used, name))
        st.button(f"Take the limit of {plain(name)} out", key="limit_out", on_click=shop_doing.act(_out),
                  args=("local_limits", name, LIMIT))
    with st.form("add_limit", border=False):
        left, right = st.columns(2)
        left.selectbox("A limit for", [agent for agent in named_agents() if agent not in given], key=AGENT)
        right.selectbox("It is a", list(shop_whole.LIMIT_WORDS), key=SPAN,
                        format_func=lambda span: shop_whole.LIMIT_WORDS[str(span)])
        left, middle, right = st.columns(3, vertical_alignment="bottom")
        figure("Value", left, key=VALUE)
        middle.selectbox("Unit", list(LIMIT_UNITS), key=UNIT, format_func=lambda unit: f"{unit}: {LIMIT_UNITS[unit]}")
        right.form_submit_button("Add this limit", on_click=telling.beside("limit")(_add_limit))
    telling.show_trouble("limit")
    put("fp-panel", h(2, "Gear"), p("Nothing counts as true until it is said.", "quiet"))
    shop_figures.rows(shop, shop_whole.gear_figures(shop.used))


def _add_limit() -> None:
    name, state = str(st.session_state[AGENT]), st.session_state
    entry = shop_whole.new_limit(state[SPAN], state[VALUE], state[UNIT])
    shop_doing.change(lambda body: with_value(body, ("local_limits", name), entry), f"our own limit of {name} added")
    state[VALUE] = None
    state[LIMIT] = name


def _out(group: str, name: str, picked: str) -> None:
    shop_doing.change(lambda body: without(body, (group, name)), f"{name} taken out of our {group.replace('_', ' ')}")
    st.session_state.pop(picked, None)
