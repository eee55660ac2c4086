"""The head of the Shop page: what was changed last, Undo and Redo by name; at its foot the history."""

from __future__ import annotations

import streamlit as st

from finishplan.records.store import SHOP_ID
from finishplan.screens.parts import kept, shop_back, shop_doing, shop_vouch, telling
from finishplan.screens.parts.box import box
from finishplan.screens.parts.markup import h, items, p, put
from finishplan.screens.parts.plain import moment, plain

LINES = 30


def masthead(shop: shop_doing.Shop) -> None:
    """Write the shop's name, what was changed last and by whom, and what Undo and Redo would do."""
    opened = shop.opened
    told = f"Revision {opened.revision}, {moment(opened.at)}, {opened.who}: {opened.wording}"
    put("fp-mast fp-job", h(1, shop.used.file.name or "Our shop"), p(told, "quiet small"))
    with st.container(horizontal=True, key="undo_row"):
        undo, redo = opened.undo, opened.redo
        st.button(f"Undo: {plain(undo)}" if undo else "Nothing to undo", key="undo", disabled=not undo,
                  on_click=shop_doing.act(shop_back.undo))
        if redo:
            st.button(f"Redo: {plain(redo)}", key="redo", on_click=shop_doing.act(shop_back.redo))
    telling.show_trouble("shop")
    shop_vouch.show(shop.used)


def history(shop: shop_doing.Shop) -> None:
    """Show, closed, who changed what and when, and what is different since any of it."""
    box("History of the shop", "shop_history_open", lambda: _history(shop))


def _history(shop: shop_doing.Shop) -> None:
    found = kept.store().history(SHOP_ID, LINES)
    put("fp-history", items(
        f"<li>{p(str(line.number))}{p(f'{moment(line.at)}, {line.who}', 'quiet')}{p(line.wording)}</li>"
        for line in found))
    old = st.selectbox("Compare what stands with revision", [line.number for line in found], key="shop history pick")
    changed = kept.store().compare(SHOP_ID, old, shop.opened.revision)
    put("fp-conflict", h(3, f"Since revision {old}"),
        items(f"<li>{p(line)}</li>" for line in changed or ("nothing changed",)))
    st.button(f"Go back to revision {old}", key="shop go back", disabled=not changed,
              on_click=shop_doing.act(shop_back.go_back), args=(old,))
