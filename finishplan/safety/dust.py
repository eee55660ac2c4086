"""How much dust a job makes, for scale only: no exposure, no dust class."""

from __future__ import annotations

from dataclasses import dataclass

from finishplan.safety.bounds import not_negative, positive, share
from finishplan.units import volume_cm3

FILM_G_PER_CM3 = 1.2
"""Density of cured polyester film (assumed)."""
AIRBORNE_SHARE = 0.01
"""Share of the dust that hangs in the air, for scale (assumed)."""
CLOUD_G_PER_M3 = 30.0
"""Lowest usual explosible dust cloud (from memory)."""


@dataclass(frozen=True)
class DustScale:
    """Dust of a job for scale. ``room_mg_per_m3`` is None when the room is not known."""

    removed_cm3: float
    dust_g: float
    cloud_m3: float
    room_mg_per_m3: float | None


def dust_scale(
    area_m2: float,
    removed_um: float,
    room_m3: float | None = None,
    *,
    density_g_per_cm3: float = FILM_G_PER_CM3,
    airborne_share: float = AIRBORNE_SHARE,
    cloud_g_per_m3: float = CLOUD_G_PER_M3,
) -> DustScale:
    """Return the dust of ``removed_um`` [um] of film over ``area_m2`` [m2]; see ``dust_of_volume``."""
    area, film = not_negative("area", area_m2, "m2"), not_negative("film taken", removed_um, "um")
    return dust_of_volume(volume_cm3(film, area), room_m3, density_g_per_cm3=density_g_per_cm3,
                          airborne_share=airborne_share, cloud_g_per_m3=cloud_g_per_m3)


def dust_of_volume(
    removed_cm3: float,
    room_m3: float | None = None,
    *,
    density_g_per_cm3: float = FILM_G_PER_CM3,
    airborne_share: float = AIRBORNE_SHARE,
    cloud_g_per_m3: float = CLOUD_G_PER_M3,
) -> DustScale:
    """Return the dust of ``removed_cm3`` [cm3] of film as grams, as a cloud, and hung in the room.

    g = cm3 x density [g/cm3]; cloud [m3] = g / ``cloud_g_per_m3`` [g/m3]: all of it stirred up at once, as
    in an emptied extractor; room [mg/m3] = g x ``airborne_share`` / ``room_m3`` [m3]. For scale only: it is
    no exposure. Raises BadValue.
    """
    grams = not_negative("film taken", removed_cm3, "cm3") * positive("density", density_g_per_cm3, "g/cm3")
    hanging_mg = grams * share("share in the air", airborne_share) * 1000.0
    in_room = None if room_m3 is None else hanging_mg / positive("room", room_m3, "m3")
    cloud_m3 = grams / positive("explosible cloud", cloud_g_per_m3, "g/m3")
    return DustScale(removed_cm3, grams, cloud_m3, in_room)
