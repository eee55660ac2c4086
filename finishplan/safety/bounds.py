"""What a number must be before a safety sum will take it; anything else is one clear line."""

from __future__ import annotations

import math
from collections.abc import Iterable

from finishplan.errors import BadValue

DAY_MIN = 1440.0
"""Minutes in a day: no exposure of one day is longer."""
SHIFT_MIN = 480.0
"""Minutes of the reference day of 8 h that all daily figures are spread over."""


def checked(what: str, value: float, remedy: str, low: float, high: float, open_low: bool = False) -> float:
    """Return ``value`` as a float when it is a finite number from ``low`` to ``high``.

    ``open_low`` bars ``low`` itself. Raises BadValue with ``what``, the value and ``remedy``.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadValue(what, value, remedy)
    number = float(value)
    if not math.isfinite(number) or number > high or number < low or (open_low and number == low):
        raise BadValue(what, value, remedy)
    return number


def positive(what: str, value: float, unit: str) -> float:
    """Return ``value`` [unit] when it is over 0. Raises BadValue."""
    return checked(what, value, f"give a number of {unit} over 0", 0.0, math.inf, open_low=True)


def not_negative(what: str, value: float, unit: str) -> float:
    """Return ``value`` [unit] when it is 0 or more. Raises BadValue."""
    return checked(what, value, f"give a number of {unit}, 0 or more", 0.0, math.inf)


def share(what: str, value: float) -> float:
    """Return ``value`` when it is a share from 0 to 1. Raises BadValue."""
    return checked(what, value, "give a share from 0 to 1", 0.0, 1.0)


def day_minutes(what: str, value: float) -> float:
    """Return minutes of one day, 0 to 1440. Raises BadValue."""
    return checked(what, value, "a day has 1440 minutes; give 0 to 1440", 0.0, DAY_MIN)


def day_exposures(
    what: str, exposures: Iterable[tuple[float, float]], low: float, high: float, unit: str
) -> tuple[tuple[float, float], ...]:
    """Return (minutes, ``what``) pairs of one person's day, checked.

    ``what`` is in ``unit``, from ``low`` to ``high``. Raises BadValue when a pair is outside, or when the
    minutes come to more than a day.
    """
    remedy = f"give {low:g} to {high:g} {unit}"
    pairs = tuple((day_minutes("minutes", m), checked(what, x, remedy, low, high)) for m, x in exposures)
    day_minutes("sum of the minutes", math.fsum(minutes for minutes, _ in pairs))
    return pairs
