"""Gloss: the ceiling a perfect surface of a given refractive index can read (ISO 2813, by Fresnel)."""

from __future__ import annotations

import math

from finishplan.errors import BadValue

STANDARD_INDEX = 1.567
"""Refractive index of the glass that reads 100 GU (ISO 2813)."""
POLYESTER_INDEX = 1.55
"""Refractive index of cured polyester film (from memory)."""
ANGLES = (20.0, 60.0, 85.0)


def mirror_reflectance(index: float, angle_deg: float) -> float:
    """Return the unpolarised Fresnel reflectance of a perfect mirror of ``index`` at ``angle_deg``.

    Mean of the two polarisations. Valid for index > 1 and angles 0 to 90 degrees.

    >>> round(mirror_reflectance(1.567, 20.0), 6), round(mirror_reflectance(1.567, 60.0), 6)
    (0.049078, 0.100056)
    """
    incidence = math.radians(angle_deg)
    cos_in = math.cos(incidence)
    cos_out = math.sqrt(1.0 - (math.sin(incidence) / index) ** 2)
    across = (cos_in - index * cos_out) / (cos_in + index * cos_out)
    along = (index * cos_in - cos_out) / (index * cos_in + cos_out)
    return (across**2 + along**2) / 2.0


def gloss_ceiling_gu(index: float = POLYESTER_INDEX, angle_deg: float = 20.0) -> float:
    """Return the highest gloss [GU] a film of ``index`` can read at ``angle_deg``.

    100 R(n)/R(1.567): the definition of ISO 2813. A ceiling, never a prediction.

    >>> round(gloss_ceiling_gu(1.55, 20.0), 2), round(gloss_ceiling_gu(1.55, 60.0), 2)
    (95.37, 97.29)
    """
    return 100.0 * mirror_reflectance(index, angle_deg) / mirror_reflectance(STANDARD_INDEX, angle_deg)


def check_gloss_target(gloss_gu: float | None, where: str) -> None:
    """Refuse a gloss target that no polyester film can read at 20 degrees. Raises BadValue."""
    ceiling = gloss_ceiling_gu()
    if gloss_gu is not None and gloss_gu > ceiling:
        raise BadValue(
            "gloss_gu", gloss_gu, f"polyester reads at most {ceiling:.1f} GU at 20 degrees; ask for less", where
        )
