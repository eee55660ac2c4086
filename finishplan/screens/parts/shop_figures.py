"""Figures of the shop as boxes: our own in the box; shipped, learned and used beside it; one press back to shipped."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import streamlit as st

from finishplan.screens.parts import shop_doing, telling
from finishplan.screens.parts.markup import items, more, p, put
from finishplan.shop.figure_kinds import ShopFigure, side_words
from finishplan.shop.shop_edits import value_at

KNOWN: dict[Any, str] = {True: "yes", False: "no"}
BY_PLACE = "<span class='small'>Place by place</span>"
AS_SHIPPED, NOT_SAID = "as shipped", "not said"


def rows(shop: shop_doing.Shop, figures: Iterable[ShopFigure], learned: dict[str, str] | None = None) -> None:
    """Show figures one under the other; ``learned`` has what the logs say, by a figure's name."""
    for figure in figures:
        row(shop, figure, (learned or {}).get(figure.name, ""))


def row(shop: shop_doing.Shop, figure: ShopFigure, learned: str = "") -> None:
    """Show one figure: its box, the words beside it, and the way back to what is shipped."""
    own = value_at(shop.body, figure.path)
    key = shop_doing.fill(figure, own)
    box, words, back = st.columns([4, 4, 2], vertical_alignment="bottom")
    with box:
        _box(figure, key)
    with words:
        places = items(f"<li>{p(line, 'small quiet')}</li>" for line in figure.lines)
        put("fp-beside", p(side_words(figure, own, learned), "small quiet" if own is None else "small"),
            more(BY_PLACE, places) if figure.lines else "")
    if own is not None and not figure.needed:
        back.button("Empty it" if figure.ours else "As shipped", key=f"back {key}", width="stretch",
                    on_click=telling.beside(figure.name)(shop_doing.reset), args=(figure,))
    telling.show_trouble(figure.name)


def _box(figure: ShopFigure, key: str) -> None:
    given: dict[str, Any] = {"key": key, "on_change": telling.beside(figure.name, again=True)(shop_doing.keep),
                             "args": (figure, key)}
    empty = NOT_SAID if figure.shipped in (None, "", ()) else AS_SHIPPED
    if figure.sort == "number":
        st.number_input(figure.title, value=None, format="%g", placeholder=empty, **given)
    elif figure.sort == "whole":
        st.number_input(figure.title, value=None, step=1, placeholder=empty, **given)
    elif figure.sort == "flag":
        st.selectbox(figure.title, ["", *KNOWN], format_func=lambda known: KNOWN.get(known, empty), **given)
    elif figure.sort == "choice":
        options = [*([] if figure.needed else [""]), *figure.choices]
        held = st.session_state[key]
        st.selectbox(figure.title, options if held in options else [*options, held],
                     format_func=lambda name: _choice(figure, name) or _unsaid(figure, empty), **given)
    elif figure.sort in ("lines", "taxes"):
        st.text_area(figure.title, max_chars=4000, height=110, **given)
    else:
        st.text_input(figure.title, max_chars=2000, placeholder=empty, autocomplete="off", **given)


def _choice(figure: ShopFigure, name: str) -> str:
    meaning = figure.choices.get(name, "")
    return f"{name}: {meaning}" if meaning else name


def _unsaid(figure: ShopFigure, empty: str) -> str:
    return f"{figure.shipped} ({empty})" if figure.shipped else empty
