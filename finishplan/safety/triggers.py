"""When each caution appears: every trigger of the table of cautions stands here, and only here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from finishplan.safety.air_figures import ROOM_UNKNOWN
from finishplan.safety.day_air import NO_SIZE
from finishplan.safety.day_sums import DaySums, share_of
from finishplan.safety.lifting import IDEAL_LIFT_KG
from finishplan.safety.situation import Situation
from finishplan.safety.vibration import ACTION_M_PER_S2, LIMIT_M_PER_S2
from finishplan.safety.wheels import WHEEL_WORDS
from finishplan.safety.worked import Worked

HALF = 0.5
"""Share of a limit from which a sum raises a caution (assumed; the usual action level)."""
LARGE_WIPE_ML = 50.0
FLAMMABLE_ML = 10.0
STOCK_ML = 250.0
CAN_ML = 5000.0
RESIN_G = 20.0
LONG_HAND_MIN = 60.0
WET_MIN = 120.0
LOWER_DBA, UPPER_DBA = 80.0, 85.0
HALF_DOSE_PERCENT = 50.0
STEPS_KG = 15.0
"""Share of a lid from which steps and corners are warned of (assumed)."""
PEROXIDES = ("methyl ethyl ketone peroxide", "benzoyl peroxide (paste hardener)")
OTOTOXIC = ("styrene", "toluene", "xylenes")
ASKED_FOR = (ROOM_UNKNOWN, NO_SIZE)
"""Reasons for no number that the surveyor can mend: they ask for the figure and need nobody qualified."""


@dataclass(frozen=True)
class Raised:
    """What a trigger looks at: the facts of a job and its sums."""

    facts: Situation
    sums: DaySums


def unknown_air(raised: Raised) -> tuple[Worked, ...]:
    """Return the figures that need a qualified person: air of which nothing is known, a named mask without a ceiling.

    An unknown room and fills without a size are asked for instead: typing them in gives the number.
    """
    air = (*raised.sums.air.solvents, *raised.sums.air.resin)
    unknown = [f for f in air if f.value is None and f.no_number not in ASKED_FOR]
    masks = raised.sums.air.masks if raised.facts.has("respirator") else ()
    return (*unknown, *(f for f in masks if f.value is None))


def no_cartridge(raised: Raised) -> bool:
    """Tell whether the NIOSH record of a solvent of the job was seen and lists no cartridge mask."""
    return any(used.record is not None and used.record.no_cartridge for used in raised.facts.solvents)


def lid_kg(raised: Raised) -> float:
    """Return the heaviest share of the lid [kg]; 0 where no lid comes off."""
    return max((f.value or 0.0 for f in raised.sums.lid if f.decides), default=0.0)


def lid_share_raised(raised: Raised) -> bool:
    """Tell whether a share of the lid is over one ideal lift, or over 15 kg in a home."""
    over = STEPS_KG if raised.facts.job.site.kind == "home" else IDEAL_LIFT_KG
    return lid_kg(raised) > over


def substances_in_air(raised: Raised) -> int:
    """Return how many substances are in the air of one day."""
    air = (*raised.sums.air.solvents, *raised.sums.air.resin)
    names = {used.name for used in raised.facts.solvents} | {f.about for f in air}
    return len(names | ({"styrene"} if raised.facts.polyester_fill else set()))


def needs_a_finisher(facts: Situation) -> bool:
    """Tell whether a job holds what nobody does alone: peroxide, wheel, lid, more than 50 ml of solvent."""
    return (facts.peroxide_fill or facts.wheel or facts.lid_off or facts.lid_worked
            or facts.solvent_ml > LARGE_WIPE_ML)


FACTS: dict[str, Callable[[Situation], bool]] = {
    "sheet_dry": lambda s: s.dry,
    "sheet_any": lambda s: bool(s.sheets),
    "sheet_wet": lambda s: s.wet,
    "finish_old_or_unknown": lambda s: s.lead_in_mind,
    "old_material": lambda s: s.old_material,
    "reaches_wood": lambda s: s.reaches_wood,
    "opens_keys": lambda s: s.opens_keys,
    "compound_any": lambda s: bool(s.compound_ways),
    "wet_and_mains": lambda s: s.wet and s.mains,
    "mains_tool": lambda s: s.mains,
    "wheel": lambda s: s.wheel,
    "rotary": lambda s: "rotary" in s.compound_ways,
    "powered": lambda s: s.powered,
    "compound_machine": lambda s: bool(s.compound_ways - {"hand"}),
    "long_hand_work": lambda s: s.hand_minutes > LONG_HAND_MIN,
    "solvent_any": lambda s: bool(s.solvents),
    "flammable": lambda s: sum(used.ml for used in s.flammable) > FLAMMABLE_ML,
    "solvent_then_power": lambda s: bool(s.solvents) and (s.powered or (s.fills and s.has("lamp"))),
    "solvent_stock": lambda s: s.solvent_ml >= STOCK_ML,
    "solvent_pour": lambda s: s.most_ml >= CAN_ML,
    "oil_or_resin_rags": lambda s: s.catalysed_fill or s.oily,
    "wet_hours": lambda s: s.wet_minutes > WET_MIN,
    "solvent_or_resin": lambda s: bool(s.solvents) or s.fills,
    "fill_polyester": lambda s: s.polyester_fill,
    "peroxide": lambda s: s.peroxide_fill or s.uses(*PEROXIDES),
    "peroxide_or_acetone": lambda s: FACTS["peroxide"](s) or s.uses("acetone"),
    "resin_mixed": lambda s: s.catalysed_fill and (s.fills_without_size > 0 or (s.resin_g or 0.0) >= RESIN_G),
    "lamp_on_fill": lambda s: s.fills and s.has("lamp"),
    "fill_then_sand": lambda s: s.fills,
    "fill_ca": lambda s: s.resin_is("cyanoacrylate") or s.uses("ethyl cyanoacrylate"),
    "refinish": lambda s: any(z.verdict == "not enough film" for p in s.plan.panels for z in p.zones),
    "uv_cure": lambda s: s.resin_is("uv"),
    "respirator": lambda s: s.has("respirator") or s.dry,
    "lid_off": lambda s: s.lid_off,
    "lid_open": lambda s: s.lid_worked or s.lid_off,
    "legs_off": lambda s: s.legs_off,
    "hardware_off": lambda s: bool(s.hardware_tasks),
    "trainee": lambda s: (s.trainee or s.job.site.alone) and needs_a_finisher(s),
    "on_site": lambda s: s.job.site.kind == "home",
    "health": lambda s: bool(s.solvents) or s.fills,
    "waste": lambda s: bool(s.solvents) or s.fills or bool(s.sheets),
    "flammable_or_resin": lambda s: s.fills or bool(s.flammable),
    "always": lambda s: True,
}
"""Triggers that look at facts alone, by key."""

SUMS: dict[str, Callable[[Raised], bool]] = {
    "wheel_speed": lambda r: any(f.word != WHEEL_WORDS["as marked"] for f in r.sums.wheel),
    "noise80": lambda r: (r.sums.lex_dba or 0.0) >= LOWER_DBA or r.sums.osha_dose_percent >= HALF_DOSE_PERCENT,
    "noise85": lambda r: (r.sums.lex_dba or 0.0) >= UPPER_DBA,
    "noise_declared": lambda r: any("makers' levels" in f.what for f in r.sums.noise),
    "ototoxic": lambda r: (
        (r.facts.uses(*OTOTOXIC) or r.facts.polyester_fill) and (r.sums.lex_dba or 0.0) >= LOWER_DBA),
    "hav25": lambda r: r.sums.a8_m_per_s2 >= ACTION_M_PER_S2,
    "hav50": lambda r: r.sums.a8_m_per_s2 >= LIMIT_M_PER_S2,
    "vapour_sum": lambda r: share_of(r.sums.air.solvents) >= HALF or r.facts.most_ml > LARGE_WIPE_ML,
    "styrene_sum": lambda r: share_of(r.sums.air.resin) >= HALF,
    "mixture": lambda r: substances_in_air(r) >= 2,
    "no_number": lambda r: bool(unknown_air(r)),
    "cartridge": no_cartridge,
    "lid_share": lid_share_raised,
}
"""Triggers that look at a sum, by key."""

KEYS = (*FACTS, *SUMS)
"""Every trigger."""


def raises(key: str, raised: Raised) -> bool:
    """Tell whether the trigger ``key`` of KEYS is met."""
    return FACTS[key](raised.facts) if key in FACTS else SUMS[key](raised)
