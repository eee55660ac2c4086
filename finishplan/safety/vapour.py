"""Vapour sums: the room, near the face, several at once, the explosive limit, styrene from a fill.

Air figures stand for 25 C and 1 atm. Every sum is worked out from amounts, not measured; none of them
says what a person breathes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from finishplan.errors import BadValue
from finishplan.safety.air_course import AirCourse
from finishplan.safety.bounds import SHIFT_MIN, checked, day_exposures, day_minutes, not_negative, positive

MOLAR_VOLUME_L = 24.45
"""Litres that one mole of gas fills at 25 C and 1 atm (NIOSH Pocket Guide, conversion factors)."""
ATMOSPHERE_MMHG = 760.0
SHORT_MIN = 15.0
"""Window of a short-term limit [min]."""
NEAR_FACE_CLASSES = {"low": 3.0, "moderate": 6.0, "high": 11.0}
"""Air flow at the face [m3/min], lower end of each class of the two-box model's page (published, B)."""
MAX_BETA_M3_PER_MIN = 22.0
"""Upper end of the highest published class; nothing above it is taken."""
TENTH = 0.1
"""Share of the lower explosive limit counted as a hazardous atmosphere (29 CFR 1910.146(b), as quoted)."""
FLASH_MARGIN_C = 10.0
"""A liquid counts as flammable when its flash point is under room temperature plus this (assumed)."""
GEL_COAT_LAW = (0.445, 1.675)
RESIN_LAW = (0.014, 2.275)
"""Factor and exponent of kg styrene per Mg, S in percent: 40 CFR 63 subpart VVVV Table 3 (open moulding)."""

OUTSIDE_LAWS = "styrene share outside 20 to 60 %: the release laws are not made for it"

SMALL_ROOM_M3 = 10.0
MANY_AIR_CHANGES = 20.0
LARGE_MASS_MG = 500_000.0
SHORT_EVAPORATION_MIN = 5.0
"""Where the room sum stops being meant for a wipe in a workroom (assumed)."""


@dataclass(frozen=True)
class AirSum:
    """What a room or near-face sum comes to. ``twa8_bound_ppm`` is the 8 h figure of an endless stay."""

    twa8_ppm: float
    c15_ppm: float
    end_ppm: float
    evaporating_mean_ppm: float
    twa8_bound_ppm: float | None
    saturated: bool
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class LelAir:
    """Vapour of a liquid against the lower explosive limit; ``room_share`` None when no room is given."""

    vapour_m3: float
    air_at_lel_m3: float
    air_at_tenth_m3: float
    room_share: float | None


@dataclass(frozen=True)
class StyreneRelease:
    """Styrene a fill can give off [mg]: all of it, by the gel-coat law, by the resin law."""

    most_mg: float
    gel_coat_mg: float
    resin_mg: float
    warnings: tuple[str, ...] = ()


def ppm(mg_per_m3: float, molar_mass_g_per_mol: float, molar_volume_l: float = MOLAR_VOLUME_L) -> float:
    """Return parts per million of ``mg_per_m3`` [mg/m3] of a vapour of ``molar_mass_g_per_mol`` [g/mol].

    ppm = mg/m3 x molar volume / molar mass; ``molar_volume_l`` [L/mol] is 24.45 at 25 C and 1 atm.
    Raises BadValue. Source: NIOSH Pocket Guide, conversion factors.
    """
    mass = positive("molar mass", molar_mass_g_per_mol, "g/mol")
    volume = positive("molar volume", molar_volume_l, "L/mol")
    return not_negative("concentration", mg_per_m3, "mg/m3") * volume / mass


def mg_per_m3(ppm_value: float, molar_mass_g_per_mol: float) -> float:
    """Return mg/m3 of ``ppm_value`` [ppm] at 25 C and 1 atm; the inverse of ``ppm``. Raises BadValue."""
    mass = positive("molar mass", molar_mass_g_per_mol, "g/mol")
    return not_negative("concentration", ppm_value, "ppm") * mass / MOLAR_VOLUME_L


def solvent_mass_mg(solvent_ml: float, specific_gravity: float) -> float:
    """Return the mass in mg of ``solvent_ml`` [ml] with ``specific_gravity`` (water 1). Raises BadValue."""
    gravity = positive("specific gravity", specific_gravity, "g/ml")
    return not_negative("solvent", solvent_ml, "ml") * gravity * 1000.0


def saturation_ppm(vapour_pressure_mmhg: float) -> float:
    """Return the most vapour air can hold [ppm]: ``vapour_pressure_mmhg`` [mmHg] / 760. Raises BadValue."""
    limit = "give the vapour pressure in mmHg, over 0 and up to 760"
    pressure = checked("vapour pressure", vapour_pressure_mmhg, limit, 0.0, ATMOSPHERE_MMHG, open_low=True)
    return pressure / ATMOSPHERE_MMHG * 1e6


def air_course(
    mass_mg: float,
    *,
    room_m3: float,
    air_changes_per_h: float,
    evaporation_min: float,
    beta_m3_per_min: float | None = None,
    cap_mg_per_m3: float = math.inf,
) -> AirCourse:
    """Return the course over time of ``mass_mg`` [mg] evaporating evenly, with its numbers checked.

    ``room_m3`` [m3], ``air_changes_per_h`` [1/h] (0 is a closed room), ``evaporation_min`` [min],
    ``beta_m3_per_min`` [m3/min] up to 22, ``cap_mg_per_m3`` [mg/m3]. Raises BadValue.
    """
    if beta_m3_per_min is not None:
        remedy = f"give m3/min over 0 and up to {MAX_BETA_M3_PER_MIN:g}, the highest published class"
        beta_m3_per_min = checked(
            "air flow at the face", beta_m3_per_min, remedy, 0.0, MAX_BETA_M3_PER_MIN, open_low=True)
    minutes = positive("evaporation time", day_minutes("evaporation time", evaporation_min), "minutes")
    return AirCourse(
        not_negative("mass", mass_mg, "mg"), minutes, positive("room", room_m3, "m3"),
        not_negative("air changes", air_changes_per_h, "1/h"), beta_m3_per_min, cap_mg_per_m3)


def room_air(
    mass_mg: float,
    *,
    molar_mass_g_per_mol: float,
    room_m3: float,
    air_changes_per_h: float = 1.0,
    evaporation_min: float = 10.0,
    stay_min: float = 60.0,
    saturation_ppm: float | None = None,
) -> AirSum:
    """Return the vapour in the middle of one mixed room, spread over 8 h and over the worst 15 min.

    C(t) = (G/Q)(1 - e^-kt) while it evaporates, decay afterwards; TWA8 = integral over the stay / 480.
    ``mass_mg`` [mg] all evaporates; ``molar_mass_g_per_mol`` [g/mol], ``room_m3`` [m3],
    ``air_changes_per_h`` [1/h] (0: closed room), ``evaporation_min`` [min], ``stay_min`` [min] from the
    start, ``saturation_ppm`` [ppm] caps the air. Holds for small amounts of vapour in one room with clean
    supply air: not for mist, spraying or a closet. Raises BadValue. Source: mass balance of a mixed room;
    checked against the published purge and build-up cases in tests/published.
    """
    cap = math.inf if saturation_ppm is None else mg_per_m3(saturation_ppm, molar_mass_g_per_mol)
    course = air_course(mass_mg, room_m3=room_m3, air_changes_per_h=air_changes_per_h,
                        evaporation_min=evaporation_min, cap_mg_per_m3=cap)
    return summed(course, molar_mass_g_per_mol, stay_min)


def near_face(
    mass_mg: float,
    *,
    molar_mass_g_per_mol: float,
    room_m3: float,
    air_changes_per_h: float = 1.0,
    evaporation_min: float = 10.0,
    stay_min: float = 60.0,
    beta_m3_per_min: float = NEAR_FACE_CLASSES["low"],
    saturation_ppm: float | None = None,
) -> AirSum:
    """Return the vapour an arm's length from the work: the room's air with G/beta on top while it evaporates.

    ``beta_m3_per_min`` [m3/min] is the air flow between the face and the room: 3 in still air (low class of
    the two-box model, published, B), never over 22; the rest as in ``room_air``. Holds for a source at
    arm's length in still air. It is no exposure. Raises BadValue.
    """
    cap = math.inf if saturation_ppm is None else mg_per_m3(saturation_ppm, molar_mass_g_per_mol)
    course = air_course(mass_mg, room_m3=room_m3, air_changes_per_h=air_changes_per_h,
                        evaporation_min=evaporation_min, beta_m3_per_min=beta_m3_per_min, cap_mg_per_m3=cap)
    return summed(course, molar_mass_g_per_mol, stay_min)


def summed(course: AirCourse, molar_mass_g_per_mol: float, stay_min: float) -> AirSum:
    """Return the figures of ``course`` for a stay of ``stay_min`` [min] from its start. Raises BadValue."""
    stay, te = day_minutes("stay", stay_min), course.evaporation_min
    if stay < te:
        raise BadValue("stay", stay, f"the person is there while it evaporates; give at least {te:g} minutes")

    def in_ppm(mg: float) -> float:
        return ppm(mg, molar_mass_g_per_mol)

    flow = course.room_m3 * course.k_per_min
    bound = None
    if flow > 0.0:
        face = course.mass_mg / course.beta_m3_per_min if course.beta_m3_per_min else 0.0
        bound = in_ppm((course.mass_mg / flow + face) / SHIFT_MIN)
    return AirSum(
        twa8_ppm=in_ppm(course.integral(stay) / SHIFT_MIN),
        c15_ppm=in_ppm(course.highest_mean(SHORT_MIN, stay)),
        end_ppm=in_ppm(course.mg_per_m3(te)),
        evaporating_mean_ppm=in_ppm(course.integral(te) / te),
        twa8_bound_ppm=bound,
        saturated=course.saturated,
        warnings=air_warnings(course),
    )


def air_warnings(course: AirCourse) -> tuple[str, ...]:
    """Return what makes ``course`` a case outside the sum's range, in words; the figures still stand."""
    found = []
    if course.saturated:
        found.append("saturated: the sum ran into the most vapour that air can hold and was stopped there")
    if course.room_m3 < SMALL_ROOM_M3:
        found.append(f"a room under {SMALL_ROOM_M3:g} m3 is a closet: this sum is for a workroom")
    if course.air_changes_per_h > MANY_AIR_CHANGES:
        found.append(f"over {MANY_AIR_CHANGES:g} air changes an hour: air no longer mixes as the sum assumes")
    if course.mass_mg > LARGE_MASS_MG:
        found.append("over half a kilogram of vapour: this sum is for wipes and small fills, not for a spill")
    if course.evaporation_min < SHORT_EVAPORATION_MIN:
        found.append(f"under {SHORT_EVAPORATION_MIN:g} minutes to evaporate: the air has no time to mix")
    return tuple(found)


def average_8h(exposures: Iterable[tuple[float, float]]) -> float:
    """Return the 8 h average of (minutes, ppm) pairs: sum(C t)/480 [ppm].

    Raises BadValue. Source: 29 CFR 1910.1000(d)(1).
    """
    pairs = day_exposures("concentration", exposures, 0.0, 1e6, "ppm")
    return math.fsum(minutes * value for minutes, value in pairs) / SHIFT_MIN


def mixture_index(pairs: Iterable[tuple[float, float]]) -> float:
    """Return sum(value/limit) over (value, limit) pairs of substances that act alike.

    Value and limit of a pair share a unit and a span. Raises BadValue, also when a limit is missing or no
    pair is given: a sum that leaves one out would look smaller than it is. Source: 29 CFR 1910.1000(d)(2).
    """
    shares = [not_negative("value", value, "its unit") / positive("limit", limit, "the value's unit")
              for value, limit in pairs]
    if not shares:
        raise BadValue("number of substances", 0, "give at least one value with its limit")
    return math.fsum(shares)


def lel_air(
    solvent_ml: float,
    specific_gravity: float,
    molar_mass_g_per_mol: float,
    lel_percent: float,
    room_m3: float | None = None,
    molar_volume_l: float = MOLAR_VOLUME_L,
) -> LelAir:
    """Return how much air the vapour of ``solvent_ml`` [ml] could bring to the lower explosive limit.

    v = ml x SG / MW x 24.45/1000 m3 of vapour; air at the limit v/(LEL/100), at a tenth of it v/(LEL/1000).
    ``specific_gravity`` (water 1), ``molar_mass_g_per_mol`` [g/mol], ``lel_percent`` [% by volume],
    ``room_m3`` [m3] for the share when spread evenly, ``molar_volume_l`` [L/mol]. Holds for 0 to 40 C in
    air. Under a tenth it can still burn: vapour lies low, in pools and in rags. Raises BadValue.
    """
    molar_mass = positive("molar mass", molar_mass_g_per_mol, "g/mol")
    moles = solvent_mass_mg(solvent_ml, specific_gravity) / 1000.0 / molar_mass
    remedy = "give the lower explosive limit in percent by volume, over 0 and up to 100"
    lel = checked("lower explosive limit", lel_percent, remedy, 0.0, 100.0, open_low=True) / 100.0
    vapour = moles * positive("molar volume", molar_volume_l, "L") / 1000.0
    share = None if room_m3 is None else vapour / positive("room", room_m3, "m3") / lel
    return LelAir(vapour, vapour / lel, vapour / (lel * TENTH), share)


def flash_is_near(flash_point_c: float, room_c: float, margin_c: float = FLASH_MARGIN_C) -> bool:
    """Return whether a flash point [C] lies under the room's temperature [C] plus ``margin_c`` [K].

    Raises BadValue for temperatures outside -100 to 400 C. The margin is assumed.
    """
    flash = checked("flash point", flash_point_c, "give degrees Celsius, -100 to 400", -100.0, 400.0)
    room = checked("room temperature", room_c, "give degrees Celsius, -30 to 60", -30.0, 60.0)
    return flash < room + not_negative("margin", margin_c, "K")


def styrene_release(resin_g: float, styrene_percent: float) -> StyreneRelease:
    """Return the styrene that ``resin_g`` [g] of mixed resin with ``styrene_percent`` [%] can give off [mg].

    All of it: g S/100; gel-coat law 0.445 S^1.675 and resin law 0.014 S^2.275, both kg/Mg = mg/g. Made for
    open boat moulds, brushed or rolled and not sprayed, S 20 to 60 %; a thin open fill is taken to be nearer
    gel coat (assumed). Raises BadValue. Source: 40 CFR 63 subpart VVVV Table 3.
    """
    grams = not_negative("resin", resin_g, "g")
    remedy = "give the styrene share of the resin in percent, over 0 and up to 100, from its data sheet"
    percent = checked("styrene share", styrene_percent, remedy, 0.0, 100.0, open_low=True)
    most = grams * percent * 10.0
    gel_coat, resin = (grams * factor * percent**power for factor, power in (GEL_COAT_LAW, RESIN_LAW))
    odd = () if 20.0 <= percent <= 60.0 else (OUTSIDE_LAWS,)
    return StyreneRelease(most, gel_coat, resin, odd)
