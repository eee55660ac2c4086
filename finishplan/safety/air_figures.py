"""The air sums as they are shown: solvents, fills, the explosive limit and several substances on one day.

Of the room and the near-face line the near-face one decides; of the three styrene lines the gel-coat one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from finishplan.errors import UnknownName
from finishplan.reference import Sourced
from finishplan.safety.limits import Limit, LimitChoice, limit_for, said_of
from finishplan.safety.tables import Substance, find_substance, workplace
from finishplan.safety.vapour import (
    NEAR_FACE_CLASSES,
    AirSum,
    mixture_index,
    near_face,
    room_air,
    saturation_ppm,
    solvent_mass_mg,
    styrene_release,
)
from finishplan.safety.worked import Worked, assumed, number_of, typed

ROOM_UNKNOWN = "room unknown: type in its volume in m3"
NOT_LISTED = "not in the table: ask for its data sheet"
NO_EXPOSURE = "It is no exposure and no sign that a limit is kept; a qualified person measures."
ROOM_FORMULA = (
    "C(t) = (G/Q)(1 - e^-kt) while it evaporates, then decay; "
    "summed over the stay / 480, and the worst 15 min"
)
NEAR_FORMULA = ROOM_FORMULA + "; plus G/beta while it evaporates"
STYRENE_LINES = {
    "gel-coat law": "g x 0.445 S^1.675 mg",
    "most it can be": "g x S/100",
    "resin law": "g x 0.014 S^2.275 mg",
}
"""The three styrene lines, always shown together; the first decides."""
DEFAULT_STAY_MIN = 60.0
DEFAULT_EVAPORATION_MIN = 5.0
DEFAULT_STYRENE_PERCENT = 40.0
DEFAULT_GEL_MIN = 30.0
SHUT_AIR_CHANGES_PER_H = 0.5
DECIDING_LINE = "gel-coat law"


@dataclass(frozen=True)
class Workroom:
    """The room of the air sums, each figure with its kind; ``room_m3`` None when nobody gave it."""

    room_m3: Sourced | None
    air_changes_per_h: Sourced
    beta_m3_per_min: Sourced
    stay_min: Sourced


def workroom(
    room_m3: float | None = None,
    air_changes_per_h: float | None = None,
    *,
    windows_shut: bool = False,
    stay_min: float | None = None,
    near_class: str = "low",
) -> Workroom:
    """Return the room of the air sums, what is not given taken from the tables or assumed.

    ``room_m3`` [m3] has no default. ``air_changes_per_h`` [1/h] is 1 when nothing is said, 0.5 when the
    windows are shut; ``stay_min`` [min] 60; ``near_class`` one of NEAR_FACE_CLASSES. Raises UnknownName.
    """
    if near_class not in NEAR_FACE_CLASSES:
        raise UnknownName("air flow at the face", near_class, NEAR_FACE_CLASSES)
    if air_changes_per_h is not None:
        changes = typed("air changes", air_changes_per_h, "1/h")
    elif windows_shut:
        changes = assumed("air changes", SHUT_AIR_CHANGES_PER_H, "1/h", "windows shut")
    else:
        printed = workplace("room air change when nothing mechanical", "default").likely
        changes = printed._replace(name="air changes")
    stay = assumed("stay from the start", DEFAULT_STAY_MIN, "min", "nobody gave one")
    return Workroom(
        None if room_m3 is None else typed("room", room_m3, "m3"),
        changes,
        workplace("near field to far field air flow beta", f"{near_class} class").likely._replace(
            name=f"air flow at the face, {near_class} class"),
        stay if stay_min is None else typed("stay from the start", stay_min, "min"),
    )


@dataclass(frozen=True)
class Law:
    """Whose limits count: the place of the shop and the limits it typed in."""

    place: str | None = None
    local: Mapping[str, tuple[Limit, ...]] | None = None

    def choice(self, name: str, span: str) -> LimitChoice:
        """Return the limit in force for a substance over a span."""
        return limit_for(name, span, place=self.place, local=self.local)


def solvent_figures(
    name: str, solvent_ml: Sourced, evaporation_min: Sourced | None, room: Workroom, law: Law
) -> tuple[Worked, ...]:
    """Return the near-face and room lines, 8 h and 15 min, of one solvent used on one day.

    ``solvent_ml`` [ml] all of it; ``evaporation_min`` [min], at least 5 (assumed) when not given. A
    substance that is not listed, one without a vapour sum, or an unknown room gives one figure without a
    number. Raises BadValue for numbers that cannot be.
    """
    unsaid = assumed("evaporation time", DEFAULT_EVAPORATION_MIN, "min", "nobody gave one")
    minutes = evaporation_min or unsaid
    substance = find_substance(name)
    why = reason_for_none(substance, room)
    if substance is None or why:
        return (no_air_number("vapour", name, (solvent_ml, minutes), why),)
    mass_mg = solvent_mass_mg(number_of(solvent_ml), number_of(substance.figure("liquid_sg")))
    inputs = (solvent_ml, substance.figure("liquid_sg"), minutes)
    return air_lines("vapour", substance, "", mass_mg, inputs, minutes, room, law)


def fill_figures(
    resin_g: Sourced, styrene_percent: Sourced | None, gel_min: Sourced | None, room: Workroom, law: Law
) -> tuple[Worked, ...]:
    """Return the styrene lines of a fill: three releases, each near the face and in the room, 8 h and 15 min.

    ``resin_g`` [g] as mixed; ``styrene_percent`` [%] 40 and ``gel_min`` [min] 30 when not given (assumed).
    The gel-coat line decides. Raises BadValue for numbers that cannot be.
    """
    percent = styrene_percent or assumed("styrene share", DEFAULT_STYRENE_PERCENT, "%", "30 to 45 is usual")
    minutes = gel_min or assumed("time to gel", DEFAULT_GEL_MIN, "min", "the supplier's sheet gives it")
    styrene = find_substance("styrene")
    inputs = (resin_g, percent, minutes)
    why = reason_for_none(styrene, room)
    if styrene is None or why:
        return (no_air_number("styrene", "styrene", inputs, why),)
    release = styrene_release(number_of(resin_g), number_of(percent))
    masses = dict(zip(STYRENE_LINES, (release.gel_coat_mg, release.most_mg, release.resin_mg), strict=True))
    return tuple(
        replace(figure, formula=f"styrene {STYRENE_LINES[line]}; {figure.formula}",
                decides=line == DECIDING_LINE, warnings=figure.warnings + release.warnings)
        for line, mass_mg in masses.items()
        for figure in air_lines("styrene", styrene, line, mass_mg, inputs, minutes, room, law)
    )


def reason_for_none(substance: Substance | None, room: Workroom) -> str:
    """Return why no air figure can be worked out; empty when one can."""
    if substance is None:
        return NOT_LISTED
    if substance.no_vapour_sum:
        return substance.no_vapour_sum
    if substance.molar_mass_g_per_mol is None or substance.liquid_sg is None:
        return f"{NOT_LISTED} (molar mass or density missing)"
    return ROOM_UNKNOWN if room.room_m3 is None else ""


def no_air_number(sum_name: str, name: str, inputs: tuple[Sourced, ...], why: str) -> Worked:
    """Return the one figure that stands for an air sum without a number."""
    return Worked(sum_name, f"{name} in the air", None, "ppm", NEAR_FORMULA, inputs, no_number=why,
                  not_claimed=NO_EXPOSURE, about=name)


def air_lines(
    sum_name: str, substance: Substance, line: str, mass_mg: float, inputs: tuple[Sourced, ...],
    minutes: Sourced, room: Workroom, law: Law,
) -> tuple[Worked, ...]:
    """Return near face and room, 8 h and 15 min, for ``mass_mg`` [mg] of a substance evaporating evenly."""
    if room.room_m3 is None:
        return (no_air_number(sum_name, substance.name, inputs, ROOM_UNKNOWN),)
    evaporation = number_of(minutes)
    stay = room.stay_min
    if stay.kind == "assumed" and number_of(stay) < evaporation:
        stay = assumed(stay.name, evaporation, stay.unit, "at least until it has evaporated")
    molar_mass = substance.figure("molar_mass_g_per_mol")
    inputs = (*inputs, molar_mass, room.room_m3, room.air_changes_per_h, stay)
    cap = substance.vapour_pressure_mmhg
    beta = room.beta_m3_per_min
    mol, m3, changes = number_of(molar_mass), number_of(room.room_m3), number_of(room.air_changes_per_h)
    held = None if cap is None else saturation_ppm(cap)
    near = near_face(mass_mg, molar_mass_g_per_mol=mol, room_m3=m3, air_changes_per_h=changes,
                     evaporation_min=evaporation, stay_min=number_of(stay),
                     beta_m3_per_min=number_of(beta), saturation_ppm=held)
    far = room_air(mass_mg, molar_mass_g_per_mol=mol, room_m3=m3, air_changes_per_h=changes,
                   evaporation_min=evaporation, stay_min=number_of(stay), saturation_ppm=held)
    if cap is not None:
        inputs = (*inputs, substance.figure("vapour_pressure_mmhg"))
    name = f"{substance.name}, {line}" if line else substance.name
    return (
        *two_spans(sum_name, f"{name}, near the face", substance, near, NEAR_FORMULA, (*inputs, beta), law),
        *two_spans(sum_name, f"{name}, in the room", substance, far, ROOM_FORMULA, inputs, law),
    )


def two_spans(
    sum_name: str, what: str, substance: Substance, air: AirSum, formula: str,
    inputs: tuple[Sourced, ...], law: Law,
) -> tuple[Worked, ...]:
    """Return the 8 h and the 15 min figure of an air sum, each held against its own limit.

    Without a limit over either span there is no number at all.
    """
    choices = {span: law.choice(substance.name, span) for span in ("8 h", "15 min")}
    values = {"8 h": air.twa8_ppm, "15 min": air.c15_ppm}
    if all(choice.used is None for choice in choices.values()):
        return (replace(no_air_number(sum_name, substance.name, inputs, choices["8 h"].said), what=what),)
    return tuple(
        Worked(sum_name, f"{what}, {span}", values[span], "ppm", formula, inputs, limit=choice.used,
               no_limit="" if choice.used else choice.said, not_claimed=NO_EXPOSURE,
               notes=tuple(f"lower guideline: {said_of(one)}" for one in choice.lower_guidelines),
               warnings=air.warnings + choice.warnings, about=substance.name, span=span)
        for span, choice in choices.items()
    )


def shared_figures(figures: Iterable[Worked]) -> tuple[Worked, ...]:
    """Return sum(C/L) of several substances on one day, from 8 h and from 15 min figures.

    Of each substance its highest share over a span counts. A substance without a number or without a limit
    over that span leaves the sum without a number. One substance alone gives no figure.
    """
    air = [one for one in figures if one.sum in ("vapour", "styrene")]
    names = tuple(dict.fromkeys(one.about for one in air))
    if len(names) < 2:
        return ()
    return tuple(shared_over(span, names, air) for span in ("8 h", "15 min"))


def shared_over(span: str, names: tuple[str, ...], air: list[Worked]) -> Worked:
    """Return the shared figure of ``names`` over one span; see ``shared_figures``."""
    worst: dict[str, Worked] = {}
    for one in air:
        if one.span == span and one.share is not None:
            held = worst.get(one.about)
            worst[one.about] = one if held is None or one.share > (held.share or 0.0) else held
    inputs = tuple(
        Sourced(f"{name}, {span}", one.value or 0.0, "ppm", "assumed", "worked out above, from assumed times")
        for name, one in worst.items()
    )
    missing = [name for name in names if name not in worst]
    why = f"no figure or no {span} limit for {', '.join(missing)}" if missing else ""
    pairs = [(one.value or 0.0, one.limit.value) for one in worst.values() if one.limit]
    unity = Limit("several at once", 1.0, "of the shared limit", span, "29 CFR 1910.1000(d)(2)", "standard",
                  "29 CFR 1910.1000(d)(2)", "A")
    return Worked(
        "shared limit", f"{', '.join(names)} together, {span}", None if missing else mixture_index(pairs),
        "of the shared limit", "sum(C/L)", inputs, limit=None if missing else unity, no_number=why,
        not_claimed="It takes the effects to be alike; under 1 is no proof of anything.", about="several",
        span=span)
