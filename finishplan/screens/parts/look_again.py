"""A look back at the server by the browser, once the page is written: for what is worked out meanwhile.

It belongs into a fragment, and has that fragment alone written again: the page stays as it is, with all that is being
typed in it. It waits while a hand is at the page, and while the page is being written: a look between two edits that
follow each other closely has mixed up the page on a slow machine. Nothing is asked once the fragment is without it.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import count

import streamlit as st

JS = """
const TOUCHES = ["keydown", "input", "pointerdown"], QUIET_MS = 400, AGAIN_MS = 60;
const hand = (globalThis.finishplanHand ??= { at: -Infinity, watched: false });
if (!hand.watched) {
  hand.watched = true;
  for (const touch of TOUCHES) addEventListener(touch, () => { hand.at = performance.now(); }, true);
}
const atRest = () => performance.now() - hand.at > QUIET_MS
  && document.querySelector("[data-testid=stApp]")?.dataset.testScriptState === "notRunning";

export default function ({ data, setTriggerValue }) {
  let timer;
  const look = () => { if (atRest()) setTriggerValue("look", data.number); else timer = setTimeout(look, AGAIN_MS); };
  timer = setTimeout(look, data.after_ms);
  return () => clearTimeout(timer);
}
"""
_again = st.components.v2.component("finishplan_look_again", html="<span></span>", js=JS)
_numbers = count()
"""Tells looks apart, so that each page starts its own: a look of the page before may be on its way still."""


def look_again(key: str, after_ms: int, looked: Callable[[], None]) -> None:
    """Have the browser call ``looked`` after a while, and the fragment written again."""
    _again(key=key, data={"number": next(_numbers), "after_ms": after_ms}, on_look_change=looked, height=1)
