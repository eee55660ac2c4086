"""The look of the Safety page: names that stand out, and tables of inputs that a telephone can show whole."""

from __future__ import annotations

import streamlit as st

SHEET = """
.fp-cautions .name { font-weight: 600; }
.fp-cautions li > div p + p.small { margin-top: .2rem; }
.fp-signed .name { font-weight: 600; }
.fp-sum li { padding: .2rem 0; }
.fp-sum table { margin: .5rem 0; }
@media (max-width: 700px) {
  .fp-sum thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  .fp-sum tr { display: grid; grid-template-columns: auto auto 1fr; gap: 0 .4rem; padding: .45rem 0;
    border-bottom: 1px solid var(--line); }
  .fp.fp-sum td { min-width: 0; padding: 0; border: 0; text-align: left; }
  .fp-sum td:nth-child(1), .fp-sum td:nth-child(5) { grid-column: 1 / -1; }
  .fp-sum td:nth-child(2) { font-weight: 600; }
  .fp-sum td:nth-child(4), .fp-sum td:nth-child(5) { color: var(--quiet); }
  .fp-sum td:nth-child(4) { justify-self: end; }
}
"""


def put_on() -> None:
    """Put the look on the page that is being written."""
    st.html(f"<style>{SHEET}</style>")
