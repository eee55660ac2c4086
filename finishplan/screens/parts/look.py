"""The look: paper, ink and one blue, on top of the theme of config.toml.

No colour stands here: all come from the ink of the moment, so that a browser that turns dark is followed
at once, before the page is written anew.
"""

from __future__ import annotations

import streamlit as st

SHEET = """
[data-testid=stMainBlockContainer] { max-width: 1180px; }
.st-key-address { position: absolute; width: 0; overflow: hidden; }
.fp { --quiet: color-mix(in srgb, currentColor 76%, transparent);
  --line: color-mix(in srgb, currentColor 22%, transparent);
  line-height: 1.45; font-variant-numeric: tabular-nums; overflow-wrap: anywhere; }
.fp p, .fp ul, .fp ol, .fp dl { margin: 0; padding: 0; }
.fp li { list-style: none; }
.fp h1, .fp h2, .fp h3 { margin: 0; padding: 0; line-height: 1.2; text-wrap: balance; }
.fp h1, .fp h2 { font-family: "Source Serif", Georgia, serif; font-weight: 600; letter-spacing: -.005em; }
.fp h1 { font-size: 2.1rem; }
.fp h2 { font-size: 1.55rem; margin-bottom: .5rem; }
.fp h3 { font-size: 1.05rem; font-family: inherit; margin: 0 0 .4rem; }
.fp .quiet { color: var(--quiet); }
.fp .small { font-size: .85rem; }
.fp .figure { width: 100%; max-width: 1040px; height: auto; display: block; }
.fp .mark { display: inline-block; width: 1.05em; height: 1.05em; vertical-align: -.12em; }
.fp .curve { width: 100%; max-width: 640px; height: auto; display: block; }
.fp .lead { font-size: 1.15rem; max-width: 62ch; margin-bottom: .6rem; }
.fp-favour { margin: -.6rem 0 .5rem; }
.fp-coming { min-height: 24rem; }
.fp-why { padding-bottom: .4rem; }
.fp-why table { margin: .4rem 0; }
.fp-why .name { font-weight: 600; margin-top: .4rem; }
.fp-why li, .fp-own p + p { margin-top: .25rem; }
.fp-own > p:first-child { font-weight: 600; }
.fp.fp-wide td, .fp.fp-wide td:last-child { min-width: 0; }
.fp.fp-wide td:first-child { min-width: 8.5rem; }
.fp.fp-wide th.num, .fp.fp-chances td.num { white-space: normal; }
.fp.fp-wide td:last-child, .fp.fp-wide th:last-child { padding-right: 0; }
.fp details { border-top: 1px solid var(--line); }
.fp summary { cursor: pointer; padding: .5rem 0; min-height: 1.6rem; }
.fp summary .name { display: inline-block; min-width: min(24rem, 60%); font-weight: 600; }
.fp details > *:not(summary) { margin-left: 1.2rem; width: calc(100% - 1.2rem); }
.fp details > table { margin-bottom: 1rem; }
.fp details caption { display: none; }
.fp .result { font-size: 1.1rem; }
.fp-door { padding: 3rem 0 1rem; }
.fp-door h1 { font-size: 2.6rem; max-width: 22ch; }
.fp-door p { margin-top: 1rem; max-width: 60ch; }
.fp-mast { border-bottom: 2px solid currentColor; padding-bottom: .9rem; }
.fp-mast p { margin-top: .35rem; }
.fp-first { padding: .2rem 0 .4rem; }
.fp-first > p { font-size: 1.45rem; line-height: 1.3; font-family: "Source Serif", Georgia, serif;
  max-width: 54ch; }
.fp-first ul { margin-top: 1rem; }
.fp-first li { display: grid; grid-template-columns: 1.6rem minmax(7rem, 11rem) 1fr; gap: 0 .4rem;
  padding: .45rem 0; border-top: 1px solid var(--line); }
.fp-first .name { font-weight: 600; }
.fp-first a { color: inherit; text-decoration-color: var(--line); text-underline-offset: .2em; }
.fp-contents { display: flex; flex-wrap: wrap; gap: 0 1.4rem; margin-top: .6rem; }
.fp-contents a { display: inline-flex; align-items: center; min-height: 44px; font-size: .92rem; }
[data-testid=stForm] [data-testid=InputInstructions] { display: none; }
.fp h2 { scroll-margin-top: 4.5rem; }
.fp-panel { border-top: 2px solid currentColor; padding-top: 1rem; margin-top: 2rem; }
.fp-panel .go { display: flex; gap: .6rem; align-items: baseline; margin-top: .3rem; }
.fp-zones li { display: grid; grid-template-columns: 1.6rem minmax(7rem, 11rem) 1fr; gap: 0 .4rem;
  padding: .5rem 0; border-top: 1px solid var(--line); }
.fp-zones li > div p + p { margin-top: .2rem; }
.fp-steps ol { display: flex; flex-wrap: wrap; gap: .5rem; }
.fp-steps li { flex: 1 1 8.5rem; min-width: 8.5rem; padding: .55rem .1rem .2rem; border-top: 6px solid currentColor; }
.fp-steps li.compound { border-top: 6px double currentColor; }
.fp-steps .name { font-weight: 600; font-size: 1.1rem; }
.fp-steps .min { font-size: 1.1rem; }
.fp table { border-collapse: collapse; width: 100%; }
.fp table { font-size: .92rem; }
.fp caption { text-align: left; padding-bottom: .4rem; color: var(--quiet); }
.fp th { text-align: left; font-weight: 600; font-size: .85rem; color: var(--quiet); vertical-align: bottom;
  border-bottom: 1px solid currentColor; }
.fp td { min-width: 5.2rem; }
.fp td:last-child { min-width: 12rem; }
.fp td, .fp th { padding: .45rem .9rem .45rem 0; vertical-align: top; }
.fp td { border-bottom: 1px solid var(--line); }
.fp td.num, .fp th.num { text-align: right; white-space: nowrap; }
.fp tr.sum td { border-top: 1px solid currentColor; border-bottom: 0; font-weight: 600; }
.fp td.box { width: 2rem; }
.fp .tick { display: inline-block; width: 1.1rem; height: 1.1rem; border: 2px solid currentColor; }
.fp-cautions li { display: grid; grid-template-columns: 6.2rem 1fr; gap: 0 .8rem; padding: .55rem 0;
  border-top: 1px solid var(--line); }
.fp-less ul { columns: 2; column-gap: 2rem; }
.fp-less li { grid-template-columns: 1fr; break-inside: avoid; }
.fp-cautions .word { font-weight: 600; }
.fp-cautions .stop .word { border: 2px solid currentColor; padding: 0 .45rem; justify-self: start; align-self: start; }
.fp-local { border: 2px solid currentColor; padding: .6rem .9rem; margin-bottom: .8rem; }
.fp-notes li { padding: .35rem 0; border-top: 1px solid var(--line); max-width: 80ch; }
@media (max-width: 700px) {
  .fp-zones li, .fp-first li { grid-template-columns: 1.6rem 1fr; }
  .fp-zones li > div, .fp-first li > p { grid-column: 2; }
  .fp-less ul { columns: 1; }
  .fp-cautions li { grid-template-columns: 1fr; }
}
@media print { [data-testid=stFileUploader], [data-testid=stButton], [data-testid=stExpander] { display: none; } }
"""


def put_on() -> None:
    """Put the look on the page that is being written."""
    st.html(f"<style>{SHEET}</style>")
