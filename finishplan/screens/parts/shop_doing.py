"""Every change of our shop on its way into the store: one value, one revision; another's change is told."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.records import signers
from finishplan.records.conflicts import Conflict
from finishplan.records.kept import Opened
from finishplan.records.shop_whole import check_shop, normal
from finishplan.records.store import SHOP_ID
from finishplan.screens.parts import kept, shop_vouch, telling
from finishplan.shop.figure_kinds import ShopFigure, read_value, said_value, typed_value
from finishplan.shop.profile import Profile
from finishplan.shop.shop_edits import value_at, with_value, without

FILL = "shop fill"
"""Names the present filling of all boxes; another name fills them anew."""
READ = "shop read"
"""The revision that the page shows."""
WAS = "shop was"
"""What each box was filled from."""
Edit = Callable[[dict[str, Any]], Mapping[str, Any]]


@dataclass(frozen=True)
class Shop:
    """Our shop as it stands: what is kept, and the profile that plans are made with."""

    opened: Opened
    body: dict[str, Any]
    used: Profile


class Meanwhile(FinishplanError):
    """Somebody else set the same value since it was read."""


def shop() -> Shop:
    """Return our shop as it stands, and remember that this is what the page shows."""
    opened = kept.store().shop(kept.who(), kept.now())
    st.session_state[READ] = opened.revision
    return Shop(opened, normal(opened.body), kept.shop_now().profile)


def change(edit: Edit, told: str, after: Callable[[], object] = lambda: None) -> None:
    """Keep an edit of the shop as one revision, then do what comes ``after``.

    Where it changes who signs for the work, both wait for the yes of one who signs. Raises a FinishplanError for
    what no shop can hold.
    """

    def checked(body: dict[str, Any]) -> Mapping[str, Any]:
        made = edit(normal(body))
        check_shop(made)
        return made

    store = kept.store()
    before = store.shop(kept.who(), kept.now()).body
    shop_vouch.do(before, checked(dict(before)),
                  lambda: store.change(SHOP_ID, checked, kept.who(), kept.now(), told), after, refill)


def key_of(figure: ShopFigure) -> str:
    """Return the key of a figure's box in its present filling."""
    return f"shop {st.session_state.setdefault(FILL, secrets.token_hex(4))} {figure.name}"


def fill(figure: ShopFigure, own: Any) -> str:
    """Fill a figure's box on its first showing with the shop's own value; return its key."""
    key = key_of(figure)
    if key not in st.session_state:
        st.session_state[key] = typed_value(figure, own)
        st.session_state.setdefault(WAS, {})[key] = own
    return key


def refill(figure: ShopFigure | None = None) -> None:
    """Fill one box anew on its next showing; without a figure all of them."""
    if figure is None:
        st.session_state.pop(FILL, None)
        st.session_state.pop(WAS, None)
    else:
        st.session_state.pop(key_of(figure), None)


def keep(figure: ShopFigure, key: str) -> None:
    """Keep what is typed in a figure's box; an empty box takes the shipped value."""
    value = read_value(figure, st.session_state[key])
    was = st.session_state.get(WAS, {}).get(key)

    def edit(body: dict[str, Any]) -> Mapping[str, Any]:
        stands = value_at(body, figure.path)
        if stands not in (was, value):
            raise Meanwhile(said_value(figure, stands))
        return put(figure, body, value)

    told = f"{figure.told}: {said_value(figure, value) if value is not None else 'back to shipped'}"

    def kept_so() -> None:
        st.session_state.setdefault(WAS, {})[key] = value

    try:
        change(edit, told, kept_so)
    except Meanwhile as stands:
        _beside(figure, value, told, str(stands))
        kept_so()


def put(figure: ShopFigure, body: Mapping[str, Any], value: Any) -> dict[str, Any]:
    """Return the shop with a value, or with the shipped one for None."""
    if value is None:
        return without(body, figure.path, figure.whole)
    return with_value(body, figure.path, value, figure.whole)


def _beside(figure: ShopFigure, value: Any, told: str, stands: str) -> None:
    """Keep a value beside what another set meanwhile, and tell both."""
    store, read = kept.store(), int(st.session_state[READ])
    mine = put(figure, normal(store.open_revision(SHOP_ID, read).body), value)
    if signers.changed_words(store.shop(kept.who(), kept.now()).body, mine):
        raise FinishplanError(f"{figure.label}: {stands} was set meanwhile, and that stands; look again")
    try:
        store.save(SHOP_ID, mine, read, kept.who(), kept.now(), told)
    except Conflict as met:
        raise FinishplanError(
            f"{figure.label}: {met.theirs.who} set {stands} meanwhile, and that stands. Yours, "
            f"{said_value(figure, value)}, is kept beside it as revision {met.beside}; type it again to put it in place"
        ) from None


def reset(figure: ShopFigure) -> None:
    """Take the shipped value again, for this figure alone."""
    told = f"{figure.told}: back to shipped, {said_value(figure, figure.shipped)}"
    change(lambda body: put(figure, body, None), told, lambda: refill(figure))


act = telling.beside("shop")
"""Callbacks of the page, whose messages stand beside what was done."""
