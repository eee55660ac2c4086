"""The router: page settings, the look, the pages, and one guard around whichever page is open."""

from __future__ import annotations

import gc

import streamlit as st

from finishplan.screens import bench_page, jobs_page, plan_page, quote_page, safety_page, shop_page, survey_page
from finishplan.screens.parts import address, going, kept, look, typing
from finishplan.screens.parts.door import ask, may_pass
from finishplan.screens.parts.guard import guarded

PAGES = {
    "Jobs": jobs_page.page,
    "Survey": survey_page.page,
    "Plan": plan_page.page,
    "Bench": bench_page.page,
    "Quote": quote_page.page,
    "Safety": safety_page.page,
    "Shop": shop_page.page,
}
"""The pages by name, in the order in which a job walks through them; the first is the one at the door."""

TOLD = "start told"


@st.cache_resource(show_spinner=False)
def settle() -> None:
    """Take what is loaded by now out of the search for garbage, once for all sessions.

    Streamlit searches all there is after every run; libraries and tables never are garbage, and are most of it: 40 to
    70 ms a run of a page or of a part of one, with the interpreter held.
    """
    gc.collect()
    gc.freeze()


def main() -> None:
    """Show the page that is asked for."""
    st.set_page_config(page_title="finishplan", layout="wide", initial_sidebar_state="collapsed")
    look.put_on()
    if not may_pass():
        ask()
        return
    names = list(PAGES)
    pages = {
        name: st.Page(guarded(PAGES[name]), title=name, url_path=name.lower(), default=name == names[0])
        for name in names
    }
    going.remember(pages)
    page = st.navigation(list(pages.values()), position="top")
    page.run()
    if is_new((page.url_path, kept.asked_for())):
        # Last on the page, so that nothing moves when they are gone.
        address.tell()
        typing.put_on()
    settle()


def is_new(place: tuple[str, str]) -> bool:
    """Tell whether what the browser is told once of a page and its job is to be told again.

    It is told twice, should the first be overtaken by the next page; after that it only costs time.
    """
    last, now = st.session_state.get(TOLD, (None, None))
    st.session_state[TOLD] = (now, place)
    return (last, now) != (place, place)


if __name__ == "__main__":
    main()
