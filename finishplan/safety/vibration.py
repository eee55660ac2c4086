"""Hand-arm vibration of one person's day: A(8), points, and how fast a tool uses up the day.

The rule of ISO 5349-1 for the greater hand with the machine held. It says nothing of cold, grip force or
gloves, and the action value of the directive is no line under which there is no harm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from finishplan.safety.bounds import SHIFT_MIN, checked, day_exposures, positive

HIGH_M_PER_S2 = 40.0
"""No hand-held tool of this trade is believed above this; a typing slip is likelier (assumed)."""
TESTED_M_PER_S2 = 30.0
"""The standard's relation to harm is given up to about this (from memory)."""
ACTION_M_PER_S2 = 2.5
LIMIT_M_PER_S2 = 5.0
"""Daily action and limit value, 2002/44/EC art. 3."""


def a8(exposures: Iterable[tuple[float, float]]) -> float:
    """Return A(8) [m/s2] of (trigger minutes, m/s2) pairs: sqrt(sum(a^2 min)/480).

    Acceleration 0 to 40 m/s2, at most 1440 minutes. Raises BadValue. Source: ISO 5349-1; UK SI 2005/1093
    Schedule 1.
    """
    return math.sqrt(math.fsum(m * a * a for m, a in accelerations_of(exposures)) / SHIFT_MIN)


def points(exposures: Iterable[tuple[float, float]]) -> float:
    """Return exposure points of (trigger minutes, m/s2) pairs: sum(2 a^2 min/60); 100 is A(8) 2.5, 400 is 5.

    Raises BadValue. Source: hse.gov.uk ready-reckoner.
    """
    return math.fsum(2.0 * a * a * m / 60.0 for m, a in accelerations_of(exposures))


def a8_from_points(day_points: float) -> float:
    """Return A(8) [m/s2] of ``day_points``: 2.5 sqrt(points/100). Raises BadValue."""
    return 2.5 * math.sqrt(checked("points", day_points, "give 0 or more", 0.0, math.inf) / 100.0)


def minutes_to(limit_m_per_s2: float, a_m_per_s2: float) -> float | None:
    """Return the minutes at ``a_m_per_s2`` [m/s2] after which A(8) is ``limit_m_per_s2`` [m/s2].

    480 (limit/a)^2; None at 0 m/s2, which never gets there. May be longer than a day. Raises BadValue.
    Source: as ``a8``.
    """
    limit = positive("limit", limit_m_per_s2, "m/s2")
    a = checked("vibration", a_m_per_s2, f"give 0 to {HIGH_M_PER_S2:g} m/s2", 0.0, HIGH_M_PER_S2)
    return SHIFT_MIN * (limit / a) ** 2 if a > 0.0 else None


def accelerations_of(exposures: Iterable[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Return (minutes, m/s2) pairs, checked. Raises BadValue."""
    return day_exposures("vibration", exposures, 0.0, HIGH_M_PER_S2, "m/s2")


def vibration_warnings(exposures: Iterable[tuple[float, float]]) -> tuple[str, ...]:
    """Return what lies outside the rule's own range, in words; the figure still stands. Raises BadValue."""
    pairs = accelerations_of(exposures)
    found = []
    if any(a > TESTED_M_PER_S2 for minutes, a in pairs if minutes > 0.0):
        found.append("a tool over 30 m/s2: above what the rule was made for; have it measured")
    if math.fsum(minutes for minutes, _ in pairs) > SHIFT_MIN:
        found.append("more than 8 h on the trigger in one day: check the minutes")
    return tuple(found)
