"""The look of the bench: one step fills the screen, read at arm's length, pressed with a wet thumb."""

from __future__ import annotations

import streamlit as st

SHEET = """
.fp-card { border-top: 2px solid currentColor; padding-top: .6rem; }
.fp-card .where { font-size: 1.15rem; }
.fp-card .big { font-size: 48px; line-height: 1.15; font-weight: 600; }
.fp-card .least { font-size: 48px; line-height: 1.15; font-weight: 600; font-variant-numeric: tabular-nums; }
.fp-card .least span { font-size: 1.05rem; font-weight: 400; }
.fp-head2 { display: grid; grid-template-columns: 1fr auto; gap: 0 1.5rem; align-items: end; }
.fp-card dl { display: grid; grid-template-columns: 6.2rem 1fr 6.2rem 1fr; gap: .15rem .8rem; margin-top: .6rem;
  font-size: 1.15rem; }
.fp-panel { margin-top: .4rem; }
.fp-mast.fp-job.fp-at { display: flex; flex-wrap: wrap; gap: 0 1.2rem; justify-content: space-between;
  align-items: baseline; }
.fp-mast.fp-at p { margin-top: 0; }
.fp-card dt { color: var(--quiet); }
.fp-card dd { margin: 0; }
.fp-card .how { font-size: 1.15rem; margin-top: .7rem; }
.fp-ends { display: grid; grid-template-columns: repeat(auto-fit, minmax(16rem, 1fr)); gap: 1rem;
  margin-top: .9rem; font-size: 1.2rem; }
.fp-ends > div { border: 2px solid currentColor; padding: .6rem .8rem; }
.fp-ends .stop { border-width: 6px; border-style: double; }
.fp-ends .name { font-weight: 600; }
.fp-lines li { border-top: 1px solid var(--line); padding: .5rem 0; }
.fp-lines .name { font-weight: 600; }
.fp-halt { border: 14px solid #D55E00; padding: 1.2rem 1.4rem; }
.fp-halt .word { font-size: 72px; line-height: 1; font-weight: 700; letter-spacing: .08em; }
.fp-halt .why { font-size: 1.35rem; margin-top: .6rem; max-width: 52ch; }
.fp-halt ol { margin-top: .8rem; font-size: 1.15rem; }
.fp-halt ol li { padding: .4rem 0; border-top: 1px solid var(--line); }
.fp-timer p { font-size: 1.4rem; font-variant-numeric: tabular-nums; }
.fp-logged td:nth-child(n), .fp-logged th:nth-child(n) { min-width: 0; }
.fp-logged td:nth-child(1), .fp-logged td:nth-child(2), .fp-logged td:nth-child(3) { white-space: nowrap; }
.fp-logged td:nth-child(4) { width: 45%; }
.fp-logged td:nth-child(5) { min-width: 12rem; font-size: .85rem; }
.fp-record td:nth-child(n) { min-width: 0; }
.fp-card .why { margin-top: .5rem; }
.fp-change .name { font-weight: 600; }
.fp-change li { padding: .4rem 0; border-top: 1px solid var(--line); }
[class*=st-key-bench_] :is([data-testid=stButton], [data-testid=stFormSubmitButton], [data-testid=stDownloadButton],
  [data-testid=stButtonGroup]) button { min-height: 96px !important; }
[class*=st-key-bench_] :is([data-testid=stButton], [data-testid=stFormSubmitButton], [data-testid=stDownloadButton],
  [data-testid=stButtonGroup]) button p { font-size: 1.35rem; }
[class*=st-key-bench_] :is([data-testid=stTextInput], [data-testid=stNumberInput]) input { font-size: 1.3rem; }
@media (max-width: 700px) {
  .fp-logged thead { display: none; }
  .fp-logged tr { display: grid; grid-template-columns: auto auto 1fr; gap: 0 1rem; padding: .5rem 0;
    border-bottom: 1px solid var(--line); }
  .fp-logged td:nth-child(n) { border: 0; padding: 0; width: auto; }
  .fp-logged td:nth-child(-n+3) { color: var(--quiet); font-size: .85rem; }
  .fp-logged td:nth-child(n+4) { grid-column: 1 / -1; white-space: normal; }
  .fp-logged td:nth-child(5):not(:empty)::before { content: "does not count: "; }
  .fp-head2 { grid-template-columns: 1fr; }
  .fp-card dl { grid-template-columns: 6.2rem 1fr; }
}
"""


def put_on() -> None:
    """Put the look on the page that is being written."""
    st.html(f"<style>{SHEET}</style>")
