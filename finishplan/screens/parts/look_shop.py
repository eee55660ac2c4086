"""The look of the Shop page, over the look of Survey."""

from __future__ import annotations

import streamlit as st

SHEET = """
.fp-beside { padding-bottom: .55rem; }
.fp.fp-rates td, .fp.fp-rates th { padding-right: .6rem; }
.fp.fp-wide { overflow-x: auto; }
"""


def put_on() -> None:
    """Put the look on the page that is being written."""
    st.html(f"<style>{SHEET}</style>")
