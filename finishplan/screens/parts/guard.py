"""One guard around every page and callback: a person reads what to do, never a traceback."""

from __future__ import annotations

import functools
import logging
from collections.abc import Callable
from typing import Any

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.records.on_pages import on_page

TROUBLE = "trouble"
"""Where a callback leaves its message for the page that comes after it."""

UNFORESEEN = (
    "Something went wrong here that is not your doing. Open the job again; if it comes back, keep the job "
    "file and tell whoever looks after this program. What happened stands in the program's log."
)

log = logging.getLogger("finishplan.screens")


def said(error: Exception) -> str:
    """Return what a person is told of ``error``; logs what is not foreseen."""
    if isinstance(error, FinishplanError):
        return on_page(str(error))
    log.error("not foreseen", exc_info=error)
    return UNFORESEEN


def show(message: str) -> None:
    """Show one message beside the thing it is about, in the words of the pages; its text is never read as markup."""
    message = on_page(message)
    for letter in "\\`*_{}[]()#+-.!|<>$~:":
        message = message.replace(letter, "\\" + letter)
    st.error(message)


def guarded(page: Callable[[], None]) -> Callable[[], None]:
    """Return ``page`` with everything it may raise turned into words."""

    @functools.wraps(page)
    def safe() -> None:
        waiting = st.session_state.pop(TROUBLE, None)
        if waiting:
            show(waiting)
        try:
            page()
        except Exception as error:
            show(said(error))

    safe.__name__ = page.__module__.rpartition(".")[2]
    return safe


def callback(done: Callable[..., None]) -> Callable[..., None]:
    """Return a widget callback whose errors wait for the page instead of emptying it."""

    @functools.wraps(done)
    def safe(*args: Any, **kwargs: Any) -> None:
        try:
            done(*args, **kwargs)
        except Exception as error:
            st.session_state[TROUBLE] = said(error)

    return safe
