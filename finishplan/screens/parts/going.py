"""From page to page by the pages' names."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from finishplan.screens.parts import kept

PAGES = "going pages"


def remember(pages: Mapping[str, Any]) -> None:
    """Remember the router's pages for this run."""
    st.session_state[PAGES] = dict(pages)


def go(name: str) -> None:
    """Go to a page by its name; call it from the page, not from a callback."""
    pages = st.session_state.get(PAGES) or {}
    if name in pages:
        job_id = st.session_state.get(kept.JOB)
        st.switch_page(pages[name], query_params={"job": job_id} if job_id else None)
    st.rerun()
