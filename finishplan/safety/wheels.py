"""Rim speed of a buffing wheel, against two warning lines and the wheel's own mark."""

from __future__ import annotations

import math
from dataclasses import dataclass

from finishplan.safety.bounds import positive

WARN_M_PER_S = 33.0
REFUSE_M_PER_S = 46.0
"""6,500 and 9,000 ft/min; sources differ two-fold (from memory). Neither is a burst speed."""
START_M_PER_S = (18.0, 25.0)
"""Usual speeds to start with (from memory)."""

WHEEL_WORDS = {
    "refuse": "not this way: slower, or a smaller wheel",
    "warn": "warn: check the mark on the wheel and ask its maker",
    "unknown": "no number: find the mark on the wheel before it runs",
    "as marked": "by this sum under the warning line; the mark on the wheel decides",
}


@dataclass(frozen=True)
class WheelSpeed:
    """Rim speed [m/s], None when diameter or speed is not known, and the word for it."""

    rim_m_per_s: float | None
    word: str
    reasons: tuple[str, ...]


def rim_speed(diameter_m: float, rpm: float) -> float:
    """Return the rim speed pi D n/60 [m/s]; ``diameter_m`` [m], ``rpm`` [1/min]. Raises BadValue."""
    return math.pi * positive("wheel diameter", diameter_m, "m") * positive("wheel speed", rpm, "rpm") / 60.0


def wheel_speed(
    diameter_m: float | None, rpm: float | None, marked_rpm: float | None = None
) -> WheelSpeed:
    """Return the rim speed of a wheel and what to do: refuse, warn, unknown or as marked.

    ``diameter_m`` [m], ``rpm`` [1/min], ``marked_rpm`` [1/min] the highest speed marked on the wheel.
    Over the mark or at 46 m/s: refuse; at 33 m/s or without a mark: warn. Raises BadValue.
    """
    over_mark = False
    if rpm is not None and marked_rpm is not None:
        over_mark = positive("wheel speed", rpm, "rpm") > positive("marked speed", marked_rpm, "rpm")
    reasons = [f"{rpm:g} rpm is over the {marked_rpm:g} rpm marked on the wheel"] if over_mark else []
    if diameter_m is None or rpm is None:
        reasons.append("diameter or speed of the wheel is not known")
        return WheelSpeed(None, "refuse" if over_mark else "unknown", tuple(reasons))
    speed = rim_speed(diameter_m, rpm)
    if speed >= REFUSE_M_PER_S:
        reasons.append(f"rim speed {speed:.1f} m/s, at or over {REFUSE_M_PER_S:g}")
    elif speed >= WARN_M_PER_S:
        reasons.append(f"rim speed {speed:.1f} m/s, at or over {WARN_M_PER_S:g}")
    if marked_rpm is None:
        reasons.append("no speed marked on the wheel is known")
    if over_mark or speed >= REFUSE_M_PER_S:
        return WheelSpeed(speed, "refuse", tuple(reasons))
    return WheelSpeed(speed, "warn" if reasons else "as marked", tuple(reasons))
