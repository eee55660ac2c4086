"""The open job in the address of every page, so that a reload finds it again.

It is put into the browser's entry that is there already. An entry of its own, as the page itself would make one, stands
between two pages where a machine is busy, and Back then leads to the page one came from only at the second press.
"""

from __future__ import annotations

from itertools import count

import streamlit as st

from finishplan.screens.parts import kept

JS = """
export default function ({ data }) {
  const here = new URL(location.href);
  if (here.searchParams.get("job") === data.job) return;
  if (data.job) here.searchParams.set("job", data.job);
  else here.searchParams.delete("job");
  history.replaceState(history.state, "", here);
}
"""
_address = st.components.v2.component("finishplan_address", html="<span></span>", js=JS)
_pages = count()


def tell() -> None:
    """Have the address of this page name the open job, or none."""
    _address(key="address", data={"job": kept.asked_for(), "page": next(_pages)}, height=1)
