"""What opens on a press comes into view: on a low screen it would open unseen, under the fold."""

from __future__ import annotations

import streamlit as st

JS = """
const shown = (globalThis.finishplanShown ??= new Set());
export default function ({ data }) {
  const look = (tries) => {
    const place = document.querySelector(data.place);
    if (!place) { if (tries) requestAnimationFrame(() => look(tries - 1)); return; }
    if (shown.has(data.mark)) return;
    shown.add(data.mark);
    place.scrollIntoView({ block: "start" });
  };
  look(60);
}
"""
_into_view = st.components.v2.component("finishplan_into_view", html="<span></span>", js=JS)


def into_view(key: str, mark: str) -> None:
    """Have the browser bring the container ``key`` into view, once for each ``mark``."""
    _into_view(key=f"{key} into view", data={"place": f".st-key-{key}", "mark": mark}, height=1)
