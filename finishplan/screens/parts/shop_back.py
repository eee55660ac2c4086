"""Undo, Redo and going back to an older revision of our shop; all boxes are filled anew after it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

import streamlit as st

from finishplan.records import signers
from finishplan.records.store import SHOP_ID
from finishplan.screens.parts import kept, shop_doing, shop_vouch


def undo() -> None:
    """Take the last change of the shop back."""
    _walk(signers.after_undo(kept.store()), kept.store().undo)


def redo() -> None:
    """Bring back what Undo took."""
    _walk(signers.after_undo(kept.store(), redo=True), kept.store().redo)


def go_back(number: int) -> None:
    """Let what an older revision shows stand again."""
    store = kept.store()
    _walk(store.open_revision(SHOP_ID, number).body,
          lambda shop, read, who, at: store.go_back(shop, number, read, who, at))


def _walk(made: Mapping[str, Any] | None, way: Callable[[str, int, str, datetime], object]) -> None:
    """Go to another state of the shop; where others would sign then, one who signs says yes first."""
    read = int(st.session_state[shop_doing.READ])
    shop_vouch.do(kept.store().shop(kept.who(), kept.now()).body, made,
                  lambda: way(SHOP_ID, read, kept.who(), kept.now()), shop_doing.refill, shop_doing.refill)
