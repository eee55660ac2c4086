"""Boxes whose edit the store could not keep: tried again as soon as a page is written, until the store answers.

While the store is away a page cannot be written, and the boxes on it are gone with it; what stood in them is held here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import streamlit as st

from finishplan.records.faults import MAY_PASS
from finishplan.screens.parts import guard, kept

WAITING = "later waiting"
SIMPLE = (str, int, float, type(None))
"""What stands in boxes that are typed in."""


@dataclass
class Waiting:
    """An edit to be tried again: of which job, how, what stood in the boxes; and whether its page was begun since."""

    job: Any
    keep: Callable[..., object]
    args: tuple[Any, ...]
    stood: dict[str, Any]
    told: bool = False


def hold(place: str, keep: Callable[..., object], args: tuple[Any, ...]) -> None:
    """Hold an edit of boxes at ``place`` that the store did not take."""
    stood = {str(key): value for key, value in st.session_state.items()
             if isinstance(value, SIMPLE) and not isinstance(value, bool)}
    st.session_state.setdefault(WAITING, {})[place] = Waiting(st.session_state.get(kept.JOB), keep, args, stood)


def again() -> dict[str, str]:
    """Try every edit that waits; return, by place, what is to be told of those that wait no longer: nothing if kept."""
    told: dict[str, str] = {}
    for place, one in list(st.session_state.get(WAITING, {}).items()):
        if one.job != st.session_state.get(kept.JOB) or not one.told:
            one.told = True
            continue
        gone = {key: value for key, value in one.stood.items() if key not in st.session_state}
        st.session_state.update(gone)
        try:
            one.keep(*one.args)
            told[place] = ""
        except MAY_PASS:
            continue
        except Exception as error:
            told[place] = guard.said(error)
        finally:
            for key in gone:
                st.session_state.pop(key, None)
        del st.session_state[WAITING][place]
    return told
