"""The look of Jobs and Survey, over the look that all pages share: room for a thumb, one hand's reach."""

from __future__ import annotations

import streamlit as st

SHEET = """
.fp-job h1 { font-size: 1.5rem; }
.fp-mast.fp-job { padding-bottom: .5rem; }
.fp-walked { display: flex; flex-wrap: wrap; gap: 0 1rem; align-items: baseline; border-top: 2px solid currentColor;
  padding-top: .6rem; }
.fp-walked h2 { margin: 0; }
.st-key-standing { border-left: 6px solid #0072B2; padding: .2rem 0 .2rem 1rem; }
.fp-standing .first { font-size: 1.2rem; line-height: 1.3; font-family: "Source Serif", Georgia, serif; }
.fp-standing .first { min-height: 2.6em; }
.fp-next { min-height: 2.7rem; }
[class*=st-key-following_look] { position: absolute; }
.fp-standing .missing, .fp-next p { font-size: .92rem; }
.fp-standing .missing { margin-top: .3rem; }
.st-key-standing { gap: .4rem; }
.fp-conflict li, .fp-history li { padding: .3rem 0; border-top: 1px solid var(--line); }
.fp-history li { display: grid; grid-template-columns: 3rem 15rem 1fr; gap: 0 .6rem; }
.fp-asked { border-top: 2px solid currentColor; padding-top: .5rem; font-size: 1.15rem; }
.fp-one { border-top: 2px solid currentColor; padding-top: .6rem; }
.fp-jobs .state { font-weight: 600; }
[data-testid=stMain] button, [data-testid=stMain] [role=radio], [data-testid=stMain] [data-baseweb=select] > div,
[data-testid=stMain] input { min-height: 44px; }
[data-testid=stMain] summary { min-height: 44px; display: flex; align-items: center; }
[data-testid=stButtonGroup] button { min-height: 48px; border-radius: 2px; }
.st-key-defect_list button, [class*=st-key-entry_list] [class*=-entry-] button { justify-content: flex-start;
  text-align: left; border-top: 1px solid; border-color:
  color-mix(in srgb, currentColor 22%, transparent); }
.st-key-defect_list button > div, [class*=st-key-entry_list] [class*=-entry-] button > div {
  justify-content: flex-start; }
[data-testid=stButtonGroup] button[aria-checked=true], [data-testid=stButtonGroup] button[aria-pressed=true] {
  color: inherit !important; font-weight: 600; box-shadow: inset 0 -4px 0 #0072B2; }
[class*=st-key-job_] { border-top: 1px solid; border-color: color-mix(in srgb, currentColor 22%, transparent);
  padding-top: .5rem; }
[class*=st-key-job_] button[kind=tertiary] { justify-content: flex-start; text-align: left; }
[class*=st-key-job_] button[kind=tertiary] > div { justify-content: flex-start; }
[class*=st-key-job_] button[kind=tertiary] p { font-weight: 600; font-size: 1.1rem; white-space: normal;
  overflow-wrap: anywhere; }
.fp-readings td:nth-child(n), .fp-readings th:nth-child(n) { min-width: 0; width: auto; padding-right: .8rem; }
@media (max-width: 900px) {
  .fp-standing .missing { min-height: 2.9em; }
}
@media (max-width: 700px) {
  .fp-readings td:nth-child(n), .fp-readings th:nth-child(n) { padding-right: .4rem; overflow-wrap: normal; }
  .fp-standing .first { min-height: 5.2em; }
  .fp-next { min-height: 4.2em; }
  .fp-history li { grid-template-columns: 3rem 1fr; }
  .fp-history li p:last-child { grid-column: 1 / -1; }
}
"""


def put_on() -> None:
    """Put the look on the page that is being written."""
    st.html(f"<style>{SHEET}</style>")
