"""The panel drawn to scale, to be tapped on: our own drawing, with what was tapped queued in the browser."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import streamlit as st

from finishplan.paper.theme import SCREEN, style
from finishplan.screens.parts import once

KEY = "panel_tap"
HERE = Path(__file__).parent
COLOURS = style(SCREEN).removeprefix("<style>").removesuffix("</style>")
_drawn = st.components.v2.component(
    "finishplan_panel", html='<svg role="img"><title>panel</title></svg>',
    css=f"{COLOURS}{(HERE / 'panel_tap.css').read_text(encoding='utf-8')}",
    js=(HERE / "panel_tap.js").read_text(encoding="utf-8"))



def draw(sheet: Mapping[str, Any], context: Mapping[str, Any], act: Callable[[Mapping[str, Any]], None]) -> None:
    """Draw a panel; every tap calls ``act`` once with its place and the ``context`` it was made in."""
    told = {"key": KEY, "done": once.acknowledged(KEY), "boot": once.BOOT, "context": dict(context)}
    _drawn(key=KEY, data={**sheet, **told}, default={"taps": []},
           on_taps_change=lambda: once.take(KEY, "taps", "drawing", act))
