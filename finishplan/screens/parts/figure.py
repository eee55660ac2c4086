"""A box for one figure: shown as it was given, empty where it was not."""

from __future__ import annotations

from typing import Any

import streamlit as st


def figure(label: str, most: float, where: Any = st, **box: Any) -> float | None:
    """Show a box for a figure of 0 to ``most`` in ``where``; return what stands in it. ``box`` goes to the box."""
    given: float | None = where.number_input(label, 0.0, most, None, format="%g", **box)
    return given


def number(value: float | None) -> float | None:
    """Return a figure as its box takes it."""
    return None if value is None else float(value)
