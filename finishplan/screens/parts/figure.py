"""A box for one figure: shown as it was given, empty where it was not."""

from __future__ import annotations

from typing import Any

import streamlit as st


def figure(label: str, where: Any = st, **box: Any) -> float | None:
    """Show a box for a figure in ``where``; return what stands in it. ``box`` goes to the box.

    It has no bounds: a browser would not hand over what lies outside them, and nobody could say why.
    """
    given: float | None = where.number_input(label, value=None, format="%g", **box)
    return given


def number(value: float | None) -> float | None:
    """Return a figure as its box takes it."""
    return None if value is None else float(value)
