"""The look of the Shop page, over the look of Survey."""

from __future__ import annotations

import streamlit as st

SHEET = """
.fp-beside { padding-bottom: .55rem; }
.fp.fp-rates td, .fp.fp-rates th { padding-right: .6rem; }
@media (max-width: 700px) {
  .fp.fp-rates thead { display: none; }
  .fp.fp-rates tr { display: grid; grid-template-columns: 1fr 1fr; padding: .4rem 0;
    border-bottom: 1px solid var(--line); }
  .fp.fp-rates td { border: 0; padding: .1rem 0; text-align: left; }
  .fp.fp-rates td:first-child { font-weight: 600; grid-column: 1 / -1; }
  .fp.fp-rates td:nth-child(2)::before { content: "shipped "; }
  .fp.fp-rates td:nth-child(3)::before { content: "our own "; }
  .fp.fp-rates td:nth-child(4)::before { content: "learned "; }
  .fp.fp-rates td:nth-child(5)::before { content: "lines "; }
  .fp.fp-rates td:nth-child(6)::before { content: "used "; }
}
"""


def put_on() -> None:
    """Put the look on the page that is being written."""
    st.html(f"<style>{SHEET}</style>")
