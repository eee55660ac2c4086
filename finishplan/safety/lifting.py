"""What a lid weighs by its area, and the share of each who lifts it. Never that they may lift it."""

from __future__ import annotations

from dataclasses import dataclass

from finishplan.errors import BadValue
from finishplan.safety.bounds import checked, not_negative, positive

WOOD_KG_PER_M3 = 725.0
"""Lid core, 700 to 750 kg/m3 (assumed)."""
FILM_KG_PER_M2_MM = 1.2
"""One mm of polyester film over 1 m2 (assumed, 1.2 g/cm3)."""
UNEVEN_FACTOR = 1.5
"""How much more than an even share the worst place may carry (assumed)."""
IDEAL_LIFT_KG = 23.0
"""Recommended weight of one ideal single lift, 51 lb (NIOSH; not a team rule)."""
MAX_PERSONS = 12


@dataclass(frozen=True)
class LidShare:
    """Weight of a lid [kg] and what each carries when shared evenly and unevenly."""

    lid_kg: float
    even_kg: float
    uneven_kg: float
    over_ideal_lift: bool
    """Whether the uneven share is over the figure for one ideal lift, 23 kg."""
    warnings: tuple[str, ...] = ()


def lid_share(
    area_m2: float,
    thickness_mm: float,
    film_mm_both_faces: float,
    persons: int,
    *,
    hardware_kg: float = 0.0,
    wood_kg_per_m3: float = WOOD_KG_PER_M3,
    uneven_factor: float = UNEVEN_FACTOR,
) -> LidShare:
    """Return the estimated weight of a lid and each person's share.

    kg = area x thickness x density + 1.2 x area x film + hardware; ``area_m2`` [m2], ``thickness_mm`` [mm],
    ``film_mm_both_faces`` [mm] of both faces together, ``hardware_kg`` [kg] typed in, ``wood_kg_per_m3``
    [kg/m3]. The uneven share is ``uneven_factor`` times the even one, at most the whole lid. Raises
    BadValue. Reference weight: NIOSH, 51 lb for one ideal lift.
    """
    if isinstance(persons, bool) or not isinstance(persons, int) or not 1 <= persons <= MAX_PERSONS:
        raise BadValue("persons", persons, f"give a whole number from 1 to {MAX_PERSONS}")
    area = positive("area", area_m2, "m2")
    thickness_m = positive("thickness", thickness_mm, "mm") / 1000.0
    wood = area * thickness_m * positive("density of wood", wood_kg_per_m3, "kg/m3")
    film = FILM_KG_PER_M2_MM * area * not_negative("film", film_mm_both_faces, "mm")
    total = wood + film + not_negative("hardware", hardware_kg, "kg")
    factor = checked("uneven share", uneven_factor, "give 1 to 3 times the even share", 1.0, 3.0)
    uneven = min(total / persons * factor, total)
    found = ["one person alone: a lid is never a lift for one"] if persons == 1 else []
    if not 600.0 <= wood_kg_per_m3 <= 900.0:
        found.append("density outside 600 to 900 kg/m3: no usual lid core; weigh it")
    return LidShare(total, total / persons, uneven, uneven > IDEAL_LIFT_KG, tuple(found))
