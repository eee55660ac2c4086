"""The door: screens that answer beyond this machine ask for the shop's passphrase first."""

from __future__ import annotations

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.records import passphrase
from finishplan.screens.parts import guard, kept
from finishplan.screens.parts.markup import h, p, put

LET_IN = "let in"
"""When this session last did something since it was let in, and by which passphrase."""
TYPED, TOLD = "door typed", "door told"
THIS_MACHINE = ("127.0.0.1", "localhost", "::1")


def stands_open() -> bool:
    """Tell whether the screens answer beyond this machine."""
    return str(st.get_option("server.address") or "") not in THIS_MACHINE


def may_pass() -> bool:
    """Tell whether this session may see the pages; a touch keeps it in."""
    if not stands_open():
        return True
    held, now = st.session_state.get(LET_IN), kept.now()
    if not isinstance(held, tuple):
        return False
    try:
        inside = passphrase.still_in(kept.store(), held[0], held[1], now)
    except FinishplanError as error:
        st.session_state[TOLD] = str(error)
        return False
    if inside:
        st.session_state[LET_IN] = (now, held[1])
    else:
        del st.session_state[LET_IN]
    return inside


@guard.callback
def knock() -> None:
    """Try what was typed."""
    typed = str(st.session_state.get(TYPED) or "")
    st.session_state[TYPED] = ""
    if not typed:
        return
    entry = passphrase.try_passphrase(kept.store(), typed, kept.now())
    st.session_state[TOLD] = entry.words
    if entry.right:
        st.session_state[LET_IN] = (kept.now(), passphrase.mark(kept.store()))


def ask() -> None:
    """Show the one field that is shown to whoever is not in."""
    put("fp-door", h(1, "The shop's passphrase"), p("Type it once on this tablet; it is asked for again after a "
                                                    "reload, and when nothing was touched for 12 hours.", "quiet"))
    st.text_input("Passphrase", key=TYPED, type="password", max_chars=passphrase.MOST, on_change=knock)
    st.button("Come in", key="door come in", type="primary")
    told = st.session_state.get(TOLD)
    if told:
        guard.show(told)
