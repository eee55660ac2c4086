"""Dust, lid, wheel and mask as they are shown."""

from __future__ import annotations

from dataclasses import replace

from finishplan.reference import Sourced
from finishplan.safety.air_figures import Law, Workroom
from finishplan.safety.dust import AIRBORNE_SHARE, CLOUD_G_PER_M3, FILM_G_PER_CM3, dust_of_volume
from finishplan.safety.lifting import UNEVEN_FACTOR, WOOD_KG_PER_M3, lid_share
from finishplan.safety.limits import Limit
from finishplan.safety.respirator import MaskFacts, UseCeiling, use_ceiling
from finishplan.safety.tables import find_substance, protection_factor, workplace
from finishplan.safety.wheels import WHEEL_WORDS, wheel_speed
from finishplan.safety.worked import Worked, assumed, number_of, typed

FOR_SCALE = "for scale only"
NOT_DUST = "It is no exposure and no dust class, and wet work is not free of dust."
NOT_A_TEAM_RULE = "23 kg stands for one ideal lift by one person; it does not say that a team may lift."
NOT_BURST = "It is no burst speed; the mark on the wheel decides."
NOT_LEAVE = "It is a ceiling on the mask, never leave to work, and no mask replaces extraction."


def dust_figures(removed_cm3: Sourced, room: Workroom) -> tuple[Worked, ...]:
    """Return the grams of dust, the cloud they could make and what a share of them makes in the room.

    ``removed_cm3`` [cm3] of film taken by dry steps. For scale only. Raises BadValue.
    """
    m3 = None if room.room_m3 is None else number_of(room.room_m3)
    scale = dust_of_volume(number_of(removed_cm3), m3)
    density = assumed("density of the film", FILM_G_PER_CM3, "g/cm3", "cured polyester")
    cloud = workplace("combustible dust", "lowest usual explosible cloud").likely
    inputs = (removed_cm3, density)
    found = [
        Worked("dust scale", "dust of the job", scale.dust_g, "g", "cm3 x 1.2", inputs, word=FOR_SCALE,
               not_claimed=NOT_DUST, about="dust"),
        Worked("dust scale", "explosible cloud all of it could make", scale.cloud_m3, "m3",
               f"g / {CLOUD_G_PER_M3:g} g/m3", (*inputs, cloud), word=FOR_SCALE, not_claimed=NOT_DUST,
               notes=("that is an extractor, or a bag being emptied, not the room",), about="dust"),
    ]
    if scale.room_mg_per_m3 is not None and room.room_m3 is not None:
        general = workplace("dust not otherwise regulated, total", "OSHA PEL").likely
        hanging = assumed("share that hangs in the air", AIRBORNE_SHARE, "share", "for scale")
        found.append(Worked(
            "dust scale", "dust in the room if a hundredth of it hung there", scale.room_mg_per_m3, "mg/m3",
            "g x 0.01 / V", (*inputs, hanging, room.room_m3), word=FOR_SCALE, not_claimed=NOT_DUST,
            about="dust",
            notes=(f"the general dust limit is {number_of(general):g} mg/m3; dust under it can harm too",)))
    return tuple(found)


def lid_figures(
    area_m2: Sourced, thickness_mm: Sourced, film_mm_both_faces: Sourced, persons: int,
    hardware_kg: float = 0.0,
) -> tuple[Worked, ...]:
    """Return the uneven share of a lid, which decides, the even share and the weight. Raises BadValue."""
    share = lid_share(number_of(area_m2), number_of(thickness_mm), number_of(film_mm_both_faces), persons,
                      hardware_kg=hardware_kg)
    row = workplace("single lift, ideal posture", "NIOSH recommended weight")
    ideal = Limit("lift", number_of(row.likely), "kg", "one lift", "NIOSH, one ideal lift", row.likely.kind,
                  row.source, row.trust)
    inputs = (area_m2, thickness_mm, film_mm_both_faces,
              assumed("density of the lid core", WOOD_KG_PER_M3, "kg/m3", "700 to 750"),
              (typed("hardware left on the lid", hardware_kg, "kg") if hardware_kg else
               assumed("hardware left on the lid", 0.0, "kg", "none typed in")),
              assumed("uneven share", UNEVEN_FACTOR, "times the even share", "one end is heavier"))
    base = Worked("lid weight", f"share of each of {persons}, shared unevenly", share.uneven_kg, "kg",
                  "area x thickness x 725 + 1.2 x area x film + hardware, x 1.5 / persons", inputs,
                  limit=ideal, not_claimed=NOT_A_TEAM_RULE, warnings=share.warnings, about="lid")
    even = replace(base, what=f"share of each of {persons}, shared evenly", value=share.even_kg,
                   decides=False)
    whole = replace(base, what="weight of the lid by its area", value=share.lid_kg, limit=None, decides=False,
                    word="an estimate: weigh it if you can")
    return base, even, whole


def wheel_figure(diameter_m: Sourced | None, rpm: Sourced | None, marked_rpm: Sourced | None) -> Worked:
    """Return a wheel's rim speed with its word; no number where size or speed is unknown. Raises BadValue."""
    given = [None if one is None else number_of(one) for one in (diameter_m, rpm, marked_rpm)]
    speed = wheel_speed(given[0], given[1], given[2])
    inputs = tuple(one for one in (diameter_m, rpm, marked_rpm) if one is not None)
    unknown = "" if speed.rim_m_per_s is not None else "; ".join(speed.reasons)
    return Worked("wheel speed", "rim speed of the wheel", speed.rim_m_per_s, "m/s", "pi D n / 60", inputs,
                  no_number=unknown, not_claimed=NOT_BURST, notes=speed.reasons, about="wheel",
                  word=WHEEL_WORDS[speed.word])


def mask_ceiling(
    name: str, mask: str, facts: MaskFacts, law: Law, cartridge_limit_ppm: float | None = None
) -> UseCeiling:
    """Return the ceiling of ``mask`` for substance ``name``, from the tables, or no number with the reasons.

    Whether the NIOSH record lists this kind of mask is read from the table and not from ``facts``.
    ``cartridge_limit_ppm`` [ppm] is the maker's, when typed in. Raises UnknownName and BadValue.
    """
    factor = protection_factor(mask)
    substance = find_substance(name)
    listed = substance is not None and factor.listed_as in substance.cartridges
    return use_ceiling(
        None if (used := law.choice(name, "8 h").used) is None else used.value,
        factor.apf,
        None if substance is None else substance.idlh_ppm,
        cartridge_limit=cartridge_limit_ppm,
        apf_trust=factor.trust,
        facts=replace(facts, cartridge_listed=listed),
    )


def mask_figure(
    name: str, mask: str, facts: MaskFacts, law: Law, cartridge_limit_ppm: float | None = None
) -> Worked:
    """Return the ceiling of ``mask`` in ``name`` as it is shown; arguments and errors as ``mask_ceiling``."""
    ceiling = mask_ceiling(name, mask, facts, law, cartridge_limit_ppm)
    factor, substance, used = protection_factor(mask), find_substance(name), law.choice(name, "8 h").used
    inputs = [Sourced(f"assigned protection factor, {mask}", factor.apf, "times", "standard", factor.source)]
    if used is not None:
        inputs.append(Sourced(f"limit, {used.whose}", used.value, used.unit, used.kind, used.source))
    if substance is not None and substance.idlh_ppm is not None:
        inputs.append(substance.figure("idlh_ppm"))
    if cartridge_limit_ppm is not None:
        inputs.append(typed("cartridge limit", cartridge_limit_ppm, "ppm", "the cartridge maker"))
    return Worked(
        "MUC", f"{name}, ceiling of the mask ({mask})", ceiling.value, ceiling.unit,
        "min(protection factor x limit, immediately dangerous level, cartridge limit)", tuple(inputs),
        no_number="" if ceiling.value is not None else ceiling.said.removeprefix("no number: "),
        notes=(ceiling.said,), not_claimed=NOT_LEAVE, about=name, word="a ceiling on the mask")
