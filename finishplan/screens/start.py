"""The router: page settings, the look, the pages, and one guard around whichever page is open."""

from __future__ import annotations

import streamlit as st

from finishplan.screens import plan_page
from finishplan.screens.parts import look
from finishplan.screens.parts.guard import guarded

PAGES = {"Plan": plan_page.page}
"""The pages by name, in the order in which a job walks through them; the first is the one at the door."""


def main() -> None:
    """Show the page that is asked for."""
    st.set_page_config(page_title="finishplan", layout="wide", initial_sidebar_state="collapsed")
    look.put_on()
    names = list(PAGES)
    pages = [
        st.Page(guarded(PAGES[name]), title=name, url_path=name.lower(), default=name == names[0])
        for name in names
    ]
    st.navigation(pages, position="top").run()


if __name__ == "__main__":
    main()
