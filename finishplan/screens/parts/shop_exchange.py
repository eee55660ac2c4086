"""The shop as a file, out and in: what would change is read in words before it applies."""

from __future__ import annotations

from functools import partial
from typing import Any

import streamlit as st

from finishplan.records.changes import shop_changes
from finishplan.records.files import as_text, read_shop_bytes
from finishplan.records.shop_whole import check_shop, normal
from finishplan.screens.parts import shop_doing, telling
from finishplan.screens.parts.held import held, renew
from finishplan.screens.parts.markup import h, items, p, put
from finishplan.screens.parts.plain import plain

WAITS = "shop file waits"
SAID = ("It holds all that is set on this page, and no PIN. A file that changes who signs waits for the yes of one who "
        "signs; a finisher it brings in signs nothing before one who signs has set a PIN for them.")


def section(shop: shop_doing.Shop) -> None:
    """Show the shop file to take out, and the box to bring one in."""
    put("fp-panel", h(2, "Shop file"), p(SAID, "quiet"))
    st.download_button("The shop file", partial(as_text, shop.body), "our.shop.json", "application/json",
                       key="shop_out", on_click="ignore")
    fresh = held("shop file", None)
    st.file_uploader("Bring in a shop file", type=["json"], key=f"shop file {fresh.key}",
                     on_change=telling.beside("shop file")(_look), args=(f"shop file {fresh.key}",))
    telling.show_trouble("shop file")
    waiting = st.session_state.get(WAITS)
    if waiting is not None:
        _ask(shop, *waiting)


def _look(key: str) -> None:
    sent = st.session_state[key]
    renew("shop file")
    st.session_state.pop(WAITS, None)
    if sent is not None:
        body = normal(read_shop_bytes(sent.getvalue(), sent.name))
        check_shop(body)
        st.session_state[WAITS] = (sent.name, body)


def _ask(shop: shop_doing.Shop, name: str, body: dict[str, Any]) -> None:
    changed = shop_changes(shop.body, body)
    put("fp-conflict", h(3, f"What {name} would change"),
        items(f"<li>{p(line)}</li>" for line in changed or ("nothing: it says what stands already",)))
    with st.container(horizontal=True, key="shop_file_choice"):
        st.button(f"Put {plain(name)} in place of ours", key="shop_in", type="primary", disabled=not changed,
                  on_click=telling.beside("shop file")(_put), args=(name, body))
        st.button("Leave ours as it is", key="shop_leave", on_click=_leave)


def _put(name: str, body: dict[str, Any]) -> None:
    shop_doing.change(lambda _: body, f"shop file {name} brought in", _brought)


def _brought() -> None:
    _leave()
    shop_doing.refill()


def _leave() -> None:
    st.session_state.pop(WAITS, None)
