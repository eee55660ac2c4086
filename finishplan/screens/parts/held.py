"""What boxes were filled from, held while they are on the page.

A box keeps what a person typed while the page is written anew. If somebody else changed the same thing in
between, what the boxes were filled from is still known here, and an edit is compared with that.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass, replace
from typing import Any

import streamlit as st

from finishplan.screens.parts import kept


@dataclass(frozen=True)
class Held:
    """What boxes were filled from, as this session's own edits left it; the revision; the boxes' key."""

    was: Any
    revision: int
    key: str


def held(name: str, value: Any) -> Held:
    """Return what the boxes ``name`` were filled from: ``value`` on their first showing, the same after that."""
    found = st.session_state.get(f"held {name}")
    if not isinstance(found, Held):
        found = Held(value, int(st.session_state.get(kept.READ, 0)), secrets.token_hex(4))
        st.session_state[f"held {name}"] = found
    return found


def follow(name: str, was: Any, revision: int) -> None:
    """Take up what this session's own edit made of it; the boxes stay as they are, with all that is typed."""
    found = st.session_state.get(f"held {name}")
    if isinstance(found, Held):
        st.session_state[f"held {name}"] = replace(found, was=was, revision=revision)


def renew(*names: str) -> None:
    """Fill boxes anew on their next showing."""
    for name in names:
        st.session_state.pop(f"held {name}", None)


def renew_starting(start: str) -> None:
    """Fill all boxes anew whose name starts so: places in a list mean other entries than before."""
    for name in [name for name in st.session_state if str(name).startswith(f"held {start}")]:
        del st.session_state[name]


def renew_all() -> None:
    """Fill every box anew: the job went back or forth as a whole."""
    renew_starting("")
