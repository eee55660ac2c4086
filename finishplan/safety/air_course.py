"""How a vapour builds up in one mixed room and is aired out again; closed forms, nothing stepped.

    dC/dt = G/V - k C        while it evaporates (0 to te), G = mass/te, k = air changes per minute
    dC/dt = -k C             afterwards

Near the face the same course has G/beta on top while it evaporates (the two-box model of occupational
hygiene; published, see ``vapour``). No concentration is let over the saturation ``cap_mg_per_m3``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

SERIES_UNDER = 1e-3
"""Under this k t a series stands in for a difference of almost equal numbers."""


def mean_of_rise(x: float) -> float:
    """Return (1 - e^-x)/x, the mean of a decay over its first x time constants; 1 at x = 0."""
    return -math.expm1(-x) / x if x > 0.0 else 1.0


def second_of_rise(x: float) -> float:
    """Return (x - (1 - e^-x))/x^2; 1/2 at x = 0."""
    if x < SERIES_UNDER:
        return 0.5 - x / 6.0 + x * x / 24.0 - x**3 / 120.0
    return (x + math.expm1(-x)) / (x * x)


def log1p_exp(y: float) -> float:
    """Return ln(1 + e^y) without overflow."""
    return max(y, 0.0) + math.log1p(math.exp(-abs(y)))


@dataclass(frozen=True)
class AirCourse:
    """``mass_mg`` evaporating evenly over ``evaporation_min`` into ``room_m3`` with ``air_changes_per_h``.

    ``beta_m3_per_min`` is the air flow between the space at the face and the room; None for the room
    itself. The caller has checked the numbers.
    """

    mass_mg: float
    evaporation_min: float
    room_m3: float
    air_changes_per_h: float
    beta_m3_per_min: float | None = None
    cap_mg_per_m3: float = math.inf

    @property
    def emission_mg_per_min(self) -> float:
        """G, the mass that evaporates in a minute [mg/min]."""
        return self.mass_mg / self.evaporation_min

    @property
    def k_per_min(self) -> float:
        """Air changes in a minute [1/min]."""
        return self.air_changes_per_h / 60.0

    @property
    def face_mg_per_m3(self) -> float:
        """What stands on top of the room's air near the face while it evaporates [mg/m3]."""
        return self.emission_mg_per_min / self.beta_m3_per_min if self.beta_m3_per_min else 0.0

    @property
    def end_mg_per_m3(self) -> float:
        """The room's air when the last of it has evaporated, before the cap [mg/m3]."""
        return self.mass_mg / self.room_m3 * mean_of_rise(self.k_per_min * self.evaporation_min)

    @property
    def saturated(self) -> bool:
        """Whether the cap is reached at any time."""
        return self.end_mg_per_m3 + self.face_mg_per_m3 > self.cap_mg_per_m3

    def mg_per_m3(self, minute: float) -> float:
        """Return the concentration at ``minute`` [min] after the start [mg/m3]; 0 before it."""
        if minute < 0.0:
            return 0.0
        te, k = self.evaporation_min, self.k_per_min
        if minute <= te:
            rise = self.emission_mg_per_min / self.room_m3 * minute * mean_of_rise(k * minute)
            return min(rise + self.face_mg_per_m3, self.cap_mg_per_m3)
        return min(self.end_mg_per_m3 * math.exp(-k * (minute - te)), self.cap_mg_per_m3)

    def integral(self, minute: float) -> float:
        """Return the concentration summed from 0 to ``minute`` [mg min/m3]; 0 before the start."""
        if minute <= 0.0:
            return 0.0
        te = self.evaporation_min
        return self._rising(min(minute, te)) + (self._falling(minute - te) if minute > te else 0.0)

    def _rising(self, minute: float) -> float:
        k, face, cap = self.k_per_min, self.face_mg_per_m3, self.cap_mg_per_m3
        full = min(minute, self._minutes_to_cap())
        rate = self.emission_mg_per_min / self.room_m3
        free = rate * full * full * second_of_rise(k * full) + face * full
        return free + (cap * (minute - full) if minute > full else 0.0)

    def _minutes_to_cap(self) -> float:
        """Minutes of evaporation until the cap is reached; infinite when it is not."""
        if not self.saturated:
            return math.inf
        room_at_cap = self.cap_mg_per_m3 - self.face_mg_per_m3
        if room_at_cap <= 0.0:
            return 0.0
        straight = room_at_cap * self.room_m3 / self.emission_mg_per_min
        z = self.k_per_min * straight
        return min(straight * (-math.log1p(-z) / z if z > 0.0 else 1.0), self.evaporation_min)

    def _falling(self, after: float) -> float:
        k, end, cap = self.k_per_min, self.end_mg_per_m3, self.cap_mg_per_m3
        if end <= cap:
            return end * after * mean_of_rise(k * after)
        flat = min(after, math.log(end / cap) / k if k > 0.0 else math.inf)
        return cap * flat + cap * (after - flat) * mean_of_rise(k * (after - flat))

    def highest_mean(self, window_min: float, stay_min: float) -> float:
        """Return the highest mean over any ``window_min`` within 0 to ``stay_min`` [mg/m3].

        Before the start and after the stay the person breathes none. A stay shorter than the window is
        spread over the whole window.
        """
        start = min(self._worst_start(window_min), stay_min - window_min)
        return (self.integral(start + window_min) - self.integral(start)) / window_min

    def _worst_start(self, window: float) -> float:
        """Where the window stands best: there the air it gains at its end equals what it loses at its start.

        C(s) + face = C(s + window), solved for s. Left of it the mean rises, right of it it falls, also
        when the cap flattens the top (then both ends stand on the cap).
        """
        te, k = self.evaporation_min, self.k_per_min
        still_air_min = self.room_m3 / self.beta_m3_per_min if self.beta_m3_per_min else 0.0
        if k * te < 1e-9:
            start = te - still_air_min
        else:
            gained = log1p_exp(math.log(-math.expm1(-k * te)) + k * (te - window))
            start = (gained - math.log1p(k * still_air_min)) / k
        return min(max(start, te - window, 0.0), te)
