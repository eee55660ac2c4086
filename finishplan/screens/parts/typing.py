"""What is being typed, looked after in the browser on all pages.

A comma in a box for a figure is taken as the point: a browser set to another language drops it, and 140,5 becomes 1405
unseen. Where a page is closed or read anew while a box is being typed in, or a form is filled in and not sent, the
browser asks first; a box that keeps itself is handed over meanwhile, and kept at the latest when the person stays.
"""

from __future__ import annotations

from pathlib import Path

import streamlit as st

KEY = "typing"
_typing = st.components.v2.component(
    "finishplan_typing", html="<span></span>", js=Path(__file__).with_suffix(".js").read_text(encoding="utf-8"))


def put_on() -> None:
    """Look after the boxes of all pages, from now until the browser reads one anew."""
    _typing(key=KEY, height=1)
