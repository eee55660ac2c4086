"""A box that is closed at first; what is in it is written only while it is open, so a page stays quick."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st


def box(title: str, key: str, fill: Callable[[], None]) -> None:
    """Show a closed box named ``title``; ``fill`` writes what is in it while it is open."""
    held = st.expander(title, key=key, on_change="rerun")
    if held.open:
        with held:
            fill()
