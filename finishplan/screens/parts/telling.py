"""Messages to a person: beside the box they are about, until the person does the next thing."""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import streamlit as st

from finishplan.records.faults import MAY_PASS, StoreError
from finishplan.screens.parts import guard, later

TROUBLES = "telling troubles"
AGAIN = "telling again"


@dataclass
class Told:
    """A message to a person: its words, whether it was seen, and whether this page shows it."""

    words: str
    seen: bool = False
    shown: bool = False


def beside(place: str, again: bool = False, typed: str = "") -> Callable[[Callable[..., object]], Callable[..., None]]:
    """Return a decorator for callbacks whose errors are shown beside ``place`` on the page that comes after.

    Where the store could not keep it: ``again`` has it tried on every later page, for boxes that keep themselves;
    ``typed`` is the key of a box that is emptied all the same, so that what stood in it is said.
    """

    def wrap(done: Callable[..., object]) -> Callable[..., None]:
        @functools.wraps(done)
        def safe(*args: Any) -> None:
            try:
                done(*args)
            except StoreError as error:
                stood = f" (not kept: {st.session_state.get(typed)})" if typed else ""
                tell(place, f"{error}{stood}")
                if again and isinstance(error, MAY_PASS):
                    later.hold(place, done, args)
            except Exception as error:
                tell(place, guard.said(error))

        return safe

    return wrap


def tell(place: str, message: str) -> None:
    """Leave a message beside ``place``, to stand there until the person does the next thing."""
    st.session_state.setdefault(TROUBLES, {})[place] = Told(message)


def begin() -> None:
    """Begin to write a page: try again what the store could not keep, and drop what was read already.

    Where the page only writes itself anew, nothing is dropped.
    """
    told: dict[str, Told] = st.session_state.setdefault(TROUBLES, {})
    for place, words in later.again().items():
        told.pop(place, None)
        if words:
            tell(place, words)
    if not st.session_state.pop(AGAIN, False):
        for place in [place for place, message in told.items() if message.seen]:
            del told[place]
    for message in told.values():
        message.shown = False


def show_trouble(place: str) -> None:
    """Show the message that waits for ``place``, if there is one."""
    message = st.session_state.get(TROUBLES, {}).get(place)
    if message is not None:
        message.seen = message.shown = True
        guard.show(message.words)


def show_rest() -> None:
    """Show the messages whose place is not on the page any more."""
    for place, message in list(st.session_state.get(TROUBLES, {}).items()):
        if not message.shown:
            show_trouble(place)


def write_again() -> None:
    """Write the page anew without the person having done anything; messages stay."""
    st.session_state[AGAIN] = True
    st.rerun()
