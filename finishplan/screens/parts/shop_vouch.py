"""A finisher's yes: what changes who signs for the work waits until one of those who sign says so with a PIN."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import streamlit as st

from finishplan.records import signers
from finishplan.screens.parts import kept, telling
from finishplan.screens.parts.markup import h, items, p, put
from finishplan.shop.profile import Profile

WAITS, BY, PIN = "shop vouch waits", "shop vouch by", "shop vouch pin"
WHY = "Whoever signs can end a stop and pass a hold point: one who signs already says yes to it, by name and PIN."
NOBODY = f"No finisher of ours has a PIN any more who could say yes. At the machine itself: {signers.COMMAND} NAME"


@dataclass(frozen=True)
class Waiting:
    """A change that waits: what it does to those who sign, how it is done, what comes after it or instead."""

    words: tuple[str, ...]
    do: Callable[[], object]
    after: Callable[[], object]
    left: Callable[[], object]


def do(before: Mapping[str, Any], made: Mapping[str, Any] | None, change: Callable[[], object],
       after: Callable[[], object], left: Callable[[], object]) -> None:
    """Do a change of the shop and what comes after it: at once, or as soon as one who signs has said yes."""
    words = signers.changed_words(before, made) if made is not None else ()
    if words and signers.guarded(kept.store()):
        st.session_state[WAITS] = Waiting(words, change, after, left)
        return
    change()
    after()


def show(used: Profile) -> None:
    """Show the change that waits, and who can say yes to it."""
    waiting = st.session_state.get(WAITS)
    if not isinstance(waiting, Waiting):
        return
    able = signers.vouchers(kept.store(), used.file.people)
    with st.container(border=True, key="vouch"):
        put("", h(3, "This changes who signs for the work"), items(f"<li>{p(line)}</li>" for line in waiting.words),
            p(WHY if able else NOBODY, "quiet"))
        telling.show_trouble("vouch")
        with st.form("vouch_form", border=False):
            if able:
                left, right = st.columns(2)
                left.selectbox("Who says yes", able, key=BY)
                right.text_input("PIN of who says yes", type="password", max_chars=12, key=PIN, autocomplete="off")
                st.form_submit_button("Yes, change it", type="primary", on_click=telling.beside("vouch")(_yes))
            st.form_submit_button("Leave it as it is", on_click=_no)


def _yes() -> None:
    waiting, pin = st.session_state[WAITS], str(st.session_state[PIN] or "")
    st.session_state[PIN] = ""
    signers.vouch(kept.store(), kept.shop_now().profile.file.people, str(st.session_state[BY]), pin, kept.now(),
                  f"who signs: {' '.join(waiting.words)}")
    st.session_state.pop(WAITS)
    waiting.do()
    waiting.after()


def _no() -> None:
    waiting = st.session_state.pop(WAITS, None)
    if isinstance(waiting, Waiting):
        waiting.left()
