"""Figures typed with a comma: a browser set to another language drops it, and 140,5 becomes 1405 unseen.

A comma that is typed or pasted into a box for a figure is taken as the point. Looks after every such box of a page.
"""

from __future__ import annotations

from pathlib import Path

import streamlit as st

KEY = "number_keys"
_keys = st.components.v2.component(
    "finishplan_number_keys", html="<span></span>", js=Path(__file__).with_suffix(".js").read_text(encoding="utf-8"))


def put_on() -> None:
    """Look after the boxes of this page."""
    _keys(key=KEY, height=1)
