"""Exact conversions. Files and sums use um, m2, minutes, g, cm3; screens may show others.

1 um of film over 1 m2 is exactly 1 cm3 (SI), so a rate in cm3/min divides straight into um x m2.
"""

from __future__ import annotations

import math

UM_PER_MIL = 25.4
"""Micrometres in one mil, exact: 1 in = 25.4 mm by definition."""
M2_PER_FT2 = 0.09290304
"""Square metres in one square foot, exact: 1 ft = 0.3048 m by definition."""
MM_PER_M = 1000.0
UM_PER_M = 1e6
MINUTES_PER_HOUR = 60.0


def mil_to_um(film_mil: float) -> float:
    """Return film in um from ``film_mil`` [mil].

    >>> mil_to_um(1.0)
    25.4
    """
    return film_mil * UM_PER_MIL


def um_to_mil(film_um: float) -> float:
    """Return film in mil from ``film_um`` [um]."""
    return film_um / UM_PER_MIL


def ft2_to_m2(area_ft2: float) -> float:
    """Return area in m2 from ``area_ft2`` [ft2].

    >>> ft2_to_m2(50.0)
    4.645152
    """
    return area_ft2 * M2_PER_FT2


def f_to_c(temperature_f: float) -> float:
    """Return degrees Celsius from ``temperature_f`` [degF].

    >>> round(f_to_c(68.0), 9)
    20.0
    """
    return (temperature_f - 32.0) / 1.8


def volume_cm3(film_um: float, area_m2: float) -> float:
    """Return the volume in cm3 of ``film_um`` [um] over ``area_m2`` [m2]; 1 um x 1 m2 = 1 cm3.

    >>> volume_cm3(40.0, 2.1)
    84.0
    """
    return film_um * area_m2


def down(value: float, digits: int = 0) -> float:
    """Round towards less: for film, which must never look thicker than it is."""
    scale = 10.0**digits
    return math.floor(value * scale + 1e-9) / scale


def up(value: float, digits: int = 0) -> float:
    """Round towards more: for removal and least readings."""
    scale = 10.0**digits
    return math.ceil(value * scale - 1e-9) / scale
