"""A box for one figure: shown as it was given, empty where it was not."""

from __future__ import annotations

from typing import Any

import streamlit as st


def figure(label: str, value: float | None, most: float, key: str, where: Any = st) -> float | None:
    """Show a box for a figure of 0 to ``most`` in ``where``; return what stands in it."""
    given: float | None = where.number_input(label, 0.0, most, None if value is None else float(value), format="%g",
                                             key=key)
    return given
