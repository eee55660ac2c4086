"""The explosive-limit sum as it is shown: the cloud first, the share spread over the room last."""

from __future__ import annotations

from finishplan.reference import Sourced
from finishplan.safety.air_figures import NOT_LISTED, Workroom
from finishplan.safety.limits import Limit, digits_up
from finishplan.safety.tables import Substance, find_substance, workplace
from finishplan.safety.vapour import TENTH, LelAir, flash_is_near, lel_air, saturation_ppm
from finishplan.safety.worked import Worked, number_of

LEL_FORMULA = "v = ml x SG / MW x 24.45/1000 m3 of vapour; v/(LEL/100), a tenth of the limit v/(LEL/1000)"
NOT_UNDER_A_TENTH = (
    "Under a tenth it can still burn: vapour lies low, in pools and in rags. It is no ventilation design."
)
COLD_C, WARM_C = 0.0, 40.0
"""Room temperatures the sum is meant for."""


def lel_figures(name: str, solvent_ml: Sourced, room: Workroom, room_c: float = 20.0) -> tuple[Worked, ...]:
    """Return the air a liquid's vapour could bring to its explosive limit, to a tenth, and the room's share.

    ``solvent_ml`` [ml] all of it; ``room_c`` [C] for the flash point. Without a listed explosive limit one
    figure without a number. Raises BadValue for numbers that cannot be. Notes say whether the air above the
    liquid can burn now and whether the flash point is near.
    """
    substance = find_substance(name)
    if substance is None or substance.lel_percent is None or substance.liquid_sg is None:
        why = NOT_LISTED if substance is None else "no explosive limit known: ask for its data sheet"
        return (Worked("LEL", f"{name}, air it can make ready to burn", None, "m3", LEL_FORMULA,
                       (solvent_ml,), no_number=why, not_claimed=NOT_UNDER_A_TENTH, about=name),)
    given = tuple(substance.figure(field) for field in ("liquid_sg", "molar_mass_g_per_mol", "lel_percent"))
    m3 = None if room.room_m3 is None else number_of(room.room_m3)
    ml = number_of(solvent_ml)
    air = lel_air(ml, number_of(given[0]), number_of(given[1]), number_of(given[2]), m3)
    return shown(substance, f"{digits_up(ml, 4)} ml {name}", air, (solvent_ml, *given), room, room_c)


def shown(
    substance: Substance, what: str, air: LelAir, inputs: tuple[Sourced, ...], room: Workroom, room_c: float
) -> tuple[Worked, ...]:
    """Return the two clouds and, with a room, its share of the explosive limit."""
    warnings = () if COLD_C <= room_c <= WARM_C else (f"the sum is meant for {COLD_C:g} to {WARM_C:g} C",)
    word = "keep sparks and flames out of it"
    clouds = [
        Worked("LEL", f"{what}, air it can bring to its lower explosive limit", air.air_at_lel_m3, "m3",
               LEL_FORMULA, inputs, notes=fire_notes(substance, room_c), warnings=warnings, word=word,
               not_claimed=NOT_UNDER_A_TENTH, about=substance.name),
        Worked("LEL", f"{what}, air it can bring to a tenth of it", air.air_at_tenth_m3, "m3", LEL_FORMULA,
               inputs, warnings=warnings, word=word, not_claimed=NOT_UNDER_A_TENTH, about=substance.name),
    ]
    if air.room_share is not None and room.room_m3 is not None:
        line = workplace("flammable vapour", "hazardous atmosphere above")
        tenth = Limit(substance.name, number_of(line.likely), "% of the explosive limit", "ceiling",
                      "hazardous atmosphere", line.likely.kind, line.source, line.trust)
        clouds.append(
            Worked("LEL", f"{what}, share of the explosive limit if spread evenly over the room",
                   air.room_share * 100.0, tenth.unit, "v / V / (LEL/100)", (*inputs, room.room_m3),
                   limit=tenth, warnings=warnings, not_claimed=NOT_UNDER_A_TENTH, about=substance.name,
                   decides=False))
    return tuple(clouds)


def fire_notes(substance: Substance, room_c: float) -> tuple[str, ...]:
    """Return what is said of the air right above the liquid, and of the flash point."""
    found = []
    if substance.vapour_pressure_mmhg is not None and substance.lel_percent is not None:
        held = saturation_ppm(substance.vapour_pressure_mmhg) / 1e4
        numbers = f"{held:.2g} % of vapour at 20 C against {substance.lel_percent:g} %"
        if held > substance.lel_percent:
            found.append(f"the air right above the liquid can burn now ({numbers})")
        elif held > substance.lel_percent * TENTH:
            found.append(f"the air above the liquid is under its limit at 20 C ({numbers}); warm liquid, or "
                         "resin that heats as it cures, can go over it")
    if substance.flash_point_c is not None and flash_is_near(substance.flash_point_c, room_c):
        found.append(f"flash point {substance.flash_point_c:g} C, room {room_c:g} C: flammable here")
    if "lel_percent" in substance.assumed:
        found.append("the explosive limit is assumed: the data sheet's own counts where it names one")
    return tuple(found)
