"""The look of the Quote page: paper beside inputs; what is the owner's never prints."""

from __future__ import annotations

import streamlit as st

from finishplan.office.options import OPTIONS

SHEET = """
.fp-paper img.sheet { display: block; width: 100%; background: #fff; margin-bottom: 1rem;
  outline: 1px solid color-mix(in srgb, currentColor 40%, transparent); }
.fp.fp-options td { vertical-align: top; }
.fp.fp-options td:first-child { font-weight: 600; min-width: 6rem; }
.fp.fp-options tr:last-child td { font-weight: 600; font-size: 1.1rem; }
.fp-days li { padding: .2rem 0; }
.fp-days .figure { margin-top: .6rem; }
.fp-asked { border: 2px solid currentColor; padding: .7rem .9rem; }
.fp-sent { border-top: 1px solid var(--line); padding-top: .5rem; }
.fp-sent .name { font-weight: 600; }
@media (max-width: 700px) {
  .fp.fp-options thead { display: none; }
  .fp.fp-options td, .fp.fp-options tr, .fp.fp-options tbody, .fp.fp-options table { display: block; width: auto; }
  .fp.fp-options td { border-bottom: 0; padding: .15rem 0; }
  .fp.fp-options tr { border-top: 1px solid var(--line); padding: .4rem 0; }
}
@media print {
  .st-key-quote_owner, .st-key-quote_inputs, .st-key-quote_files { display: none; }
}
"""


def put_on() -> None:
    """Put the look on the page that is being written."""
    st.html(f"<style>{SHEET}{named_cells()}</style>")


def named_cells() -> str:
    """Return the rules by which a narrow screen, which has no columns, names the option before each cell."""
    rules = "".join(f".fp.fp-options td:nth-child({place})::before {{ content: '{name}: '; font-weight: 600; }}"
                    for place, name in enumerate(OPTIONS, start=2))
    return f"@media (max-width: 700px) {{ {rules} }}"
