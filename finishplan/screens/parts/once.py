"""What a browser sends from its own queue: each thing is done once, however often it is sent.

A component keeps what was tapped or typed until the page hands its id back; until then it sends it again.
"""

from __future__ import annotations

import secrets
from collections import OrderedDict
from collections.abc import Callable, Mapping
from threading import Lock
from typing import Any

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.records.faults import StoreError
from finishplan.screens.parts import telling

BOOT = secrets.token_hex(4)
"""Names this run of the program: what was sent to an earlier one may have been done there."""
MOST = 20_000
_done: OrderedDict[str, None] = OrderedDict()
_lock = Lock()


def acknowledged(key: str) -> list[str]:
    """Return the ids of what a component sent last and was done; it drops those from its queue."""
    return list(st.session_state.get(f"done {key}", []))


def take(key: str, name: str, place: str, act: Callable[[Mapping[str, Any]], None]) -> None:
    """Do what the component ``key`` has sent in its state ``name``, in order, each once.

    What a person can mend is told beside ``place`` and counts as done; where the store cannot keep it, it stays
    in the browser's queue and is sent again.
    """
    sent = (st.session_state.get(key) or {}).get(name) or []
    done = []
    for thing in sent:
        known = str(thing["id"])
        if _first(known):
            try:
                act(thing)
            except StoreError as error:
                _forget(known)
                telling.tell(place, str(error))
                break
            except FinishplanError as error:
                telling.tell(place, str(error))
        done.append(known)
    st.session_state[f"done {key}"] = done


def _first(known: str) -> bool:
    with _lock:
        if known in _done:
            return False
        _done[known] = None
        while len(_done) > MOST:
            _done.popitem(last=False)
        return True


def _forget(known: str) -> None:
    with _lock:
        _done.pop(known, None)
