"""A number pad for one thumb: figures are set in the browser at once, rows are queued until they are kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import streamlit as st

from finishplan.screens.parts import once

KEY = "number_pad"
HERE = Path(__file__).parent
HTML = '<div class="pad"><output aria-live="polite"></output><div class="keys"></div><ul></ul></div>'
_pad = st.components.v2.component(
    "finishplan_pad", html=HTML, css=(HERE / "number_pad.css").read_text(encoding="utf-8"),
    js=(HERE / "number_pad.js").read_text(encoding="utf-8"))


def show(context: Mapping[str, Any], act: Callable[[Mapping[str, Any]], None], big: bool = False) -> None:
    """Show the pad; every row that is added calls ``act`` once with its text and the ``context`` of the moment.

    ``big``: keys for a wet thumb.
    """
    given = {"key": KEY, "done": once.acknowledged(KEY), "boot": once.BOOT, "context": dict(context), "big": big}
    _pad(key=KEY, data=given, default={"rows": []}, on_rows_change=lambda: once.take(KEY, "rows", "readings", act))
