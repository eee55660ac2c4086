"""What a form was filled from, held until it is sent or dropped.

A box keeps what a person typed while the page is written anew. If somebody else changed the same thing in
between, what the form was filled from is still known here, and the edit is compared with that.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import Any

import streamlit as st

from finishplan.screens.parts import kept


@dataclass(frozen=True)
class Held:
    """What a form was filled from, the revision that showed it, and the key its boxes go by."""

    was: Any
    revision: int
    key: str


def held(name: str, value: Any) -> Held:
    """Return what the form ``name`` was filled from: ``value`` on its first showing, the same after that."""
    place = f"held {name}"
    found = st.session_state.get(place)
    if not isinstance(found, Held):
        found = Held(value, st.session_state.get(kept.READ, 0), secrets.token_hex(4))
        st.session_state[place] = found
    return found


def renew(*names: str) -> None:
    """Fill forms anew on their next showing: they were sent, or this session changed what they show."""
    for name in names:
        st.session_state.pop(f"held {name}", None)


def renew_all() -> None:
    """Fill every form anew: the job went back or forth as a whole."""
    for name in [name for name in st.session_state if str(name).startswith("held ")]:
        del st.session_state[name]
