"""The air of a job: its solvents and its resin through the vapour, fire and mask sums."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from finishplan import wording
from finishplan.reference import Sourced
from finishplan.safety.air_figures import (
    NOT_LISTED,
    Law,
    Workroom,
    fill_figures,
    no_air_number,
    solvent_figures,
    workroom,
)
from finishplan.safety.bounds import DAY_MIN, positive
from finishplan.safety.fire_figures import lel_figures
from finishplan.safety.handling_figures import NOT_LEAVE, mask_figure
from finishplan.safety.respirator import FACTS, MASKS, MaskFacts
from finishplan.safety.shop_figures import of_shop
from finishplan.safety.situation import Situation
from finishplan.safety.tables import find_substance
from finishplan.safety.used import Used
from finishplan.safety.worked import Worked, assumed, number_of, typed
from finishplan.shop.policy import Policy
from finishplan.where_typed import GIVE_SIZE, MASK

JOB = "the job"
NO_SIZE = f"no fill has a size: {GIVE_SIZE}"
NO_CARTRIDGE_MASK = "the NIOSH record lists no cartridge mask for it: ask a qualified person"
UNKNOWN_MASK = f"the mask that our shop names ({MASK}) is none of: {', '.join(MASKS)}"
FROM_SHOP = (
    "exposure_measured", "no_spraying", "oxygen_sure", "cartridge_life_known", "fit_tested", "clean_shaven",
)
"""Facts of a mask that only the shop can tick; the others come from the job and the tables."""


class NamedMask(NamedTuple):
    """The mask that a shop names, the facts it ticks, and the cartridge maker's own limit where it is typed in."""

    mask: str
    ticked: frozenset[str] = frozenset()
    cartridge_limit_ppm: float | None = None


@dataclass(frozen=True)
class Air:
    """Everything about the air of a job. ``fire`` is that of the solvents, ``resin_fire`` of the mixed resin."""

    room: Workroom
    solvents: tuple[Worked, ...]
    resin: tuple[Worked, ...]
    fire: tuple[Worked, ...]
    resin_fire: tuple[Worked, ...]
    masks: tuple[Worked, ...]


def air_of(situation: Situation, law: Law) -> Air:
    """Return the air sums of a job."""
    room = room_of(situation)
    policy = situation.profile.policy
    solvents = tuple(f for used in situation.solvents for f in solvent_sum(used, room, law, policy))
    resin = resin_sum(situation, room, law)
    fire = tuple(f for used in situation.solvents for f in with_wipes(
        lel_figures(used.name, amount(used), room, situation.room_c), used, policy))
    resin_fire = resin_cloud(situation, room)
    masks = mask_sums(situation, (*solvents, *resin), (*fire, *resin_fire), law)
    return Air(room, solvents, resin, fire, resin_fire, masks)


def room_of(situation: Situation) -> Workroom:
    """Return the room of a job's air sums: the job's own figures, then the shop's, then those of the tables."""
    site, policy = situation.job.site, situation.profile.policy
    shut = site.kind == "home"
    room = workroom(site.room_m3, site.air_changes_per_h, windows_shut=shut, near_class=policy.near_face_class)
    changes = of_shop(policy, "air_changes_shut_per_h" if shut else "air_changes_per_h", "air changes", "1/h")
    stay = of_shop(policy, "stay_min", "stay from the start", "min")
    if changes is not None and site.air_changes_per_h is None:
        room = replace(room, air_changes_per_h=changes)
    return replace(room, stay_min=stay) if stay is not None else room


def solvent_sum(used: Used, room: Workroom, law: Law, policy: Policy) -> tuple[Worked, ...]:
    """Return the vapour sum of one solvent of the job."""
    minutes = evaporation(used, policy.least_dry_min)
    return with_wipes(solvent_figures(used.name, amount(used), minutes, room, law), used, policy)


def amount(used: Used) -> Sourced:
    """Return how much of a solvent there is: as typed, else worked out from the wipes and so assumed."""
    if not used.wipes:
        return typed(used.name, used.ml, "ml", JOB)
    return assumed(used.name, used.ml, "ml", f"no ml typed: {wording.counted(used.wipes, 'wipe')} of the plan, each "
                   "worked panel before its first step and after each compound")


def with_wipes(figures: tuple[Worked, ...], used: Used, policy: Policy) -> tuple[Worked, ...]:
    """Return figures with what the amount of a solvent was worked out from, where nobody typed it."""
    if not used.wipes:
        return figures
    name, unit = "solvent that a wipe takes", "ml/m2"
    own = of_shop(policy, "wipe_ml_per_m2", name, unit)
    given = (own or assumed(name, policy.wipe_ml_per_m2, unit, "a wet film of 10 um"),
             assumed("faces wiped, all wipes together", used.wiped_m2, "m2", "the plan's panels"))
    return tuple(replace(figure, inputs=(*figure.inputs, *given)) for figure in figures)


def evaporation(used: Used, least: float) -> Sourced:
    """Return how long a solvent takes to evaporate, with where that comes from."""
    if used.minutes_from == "typed":
        return typed("evaporation time", used.minutes, "min", JOB)
    why = ("all wipes at the rate of the fastest" if used.minutes_from == "fastest entry" and used.wipes else
           "all entries at the rate of the fastest" if used.minutes_from == "fastest entry"
           else f"the longest look and wipe of the plan, at least {least:g}")
    return assumed("evaporation time", used.minutes, "min", why)


def resin_sum(situation: Situation, room: Workroom, law: Law) -> tuple[Worked, ...]:
    """Return the air sum of the fills: styrene for polyester, else what little can be said of the resin."""
    if not situation.fills:
        return ()
    grams = resin_input(situation)
    if not situation.polyester_fill:
        if situation.resin_is("cyanoacrylate"):
            return solvent_figures("ethyl cyanoacrylate", grams, None, room, law)
        if situation.resin_is("melted stick"):
            return ()
        return (no_air_number("vapour", situation.job.fill.resin, (grams,), NOT_LISTED),)
    share = styrene_input(situation)
    if share is not None and share.value == 0.0:
        return ()
    if situation.resin_g is None:
        return (no_air_number("styrene", "styrene", (grams,), NO_SIZE),)
    figures = fill_figures(grams, styrene_input(situation), gel_input(situation), room, law)
    missing = situation.fills_without_size
    if missing:
        said = f"without {missing} of unknown size: {GIVE_SIZE}"
        figures = tuple(replace(f, warnings=(*f.warnings, said)) for f in figures)
    return figures


def resin_input(situation: Situation) -> Sourced:
    """Return the grams of resin mixed as an input; words where no fill has a size."""
    grams = situation.resin_g
    if grams is None:
        return Sourced("resin mixed", "not known", "g", "assumed", NO_SIZE)
    return assumed("resin mixed", grams, "g", "volume of the fills x density x waste, least batch included")


def styrene_input(situation: Situation) -> Sourced | None:
    """Return the styrene share of the resin's sheet, else the shop's own, None where nobody gave it."""
    percent = situation.job.fill.styrene_percent
    if percent is None:
        return of_shop(situation.profile.policy, "styrene_percent", "styrene share", "%")
    return typed("styrene share", percent, "%", "the resin's sheet")


def gel_input(situation: Situation) -> Sourced | None:
    """Return the gel time of the resin's sheet, at most a day, else the shop's own; None where nobody gave it."""
    gel_min = situation.job.fill.gel_min
    if gel_min is None:
        return of_shop(situation.profile.policy, "gel_min", "time to gel", "min")
    if gel_min > DAY_MIN:
        return assumed("time to gel", DAY_MIN, "min", "a day at most; the sheet gives more")
    return typed("time to gel", gel_min, "min", "the resin's sheet")


def resin_cloud(situation: Situation, room: Workroom) -> tuple[Worked, ...]:
    """Return the explosive-limit sum of the styrene in an open pot of polyester."""
    grams, styrene = situation.resin_g, find_substance("styrene")
    percent = situation.job.fill.styrene_percent
    percent = situation.profile.policy.styrene_percent if percent is None else percent
    if not situation.polyester_fill or not grams or not percent or styrene is None:
        return ()
    ml = grams * percent / 100.0 / number_of(styrene.figure("liquid_sg"))
    in_pot = assumed("styrene in the pot", ml, "ml", f"{grams:.4g} g of resin x {percent:g} % / specific gravity")
    return tuple(replace(f, what=f"open pot, {f.what}") for f in
                 lel_figures("styrene", in_pot, room, situation.room_c))


def mask_sums(
    situation: Situation, air: tuple[Worked, ...], fire: tuple[Worked, ...], law: Law
) -> tuple[Worked, ...]:
    """Return the ceiling of the mask that the shop names, for every substance in the air.

    Where none is named: for each solvent whose NIOSH record lists no cartridge, that there is none.
    """
    names = tuple(dict.fromkeys(f.about for f in air))
    if situation.has("respirator"):
        given = named_mask(situation.profile.file.equipment.get("respirator"))
        return tuple(one_mask(situation, given, name, names, (air, fire), law) for name in names)
    return tuple(
        no_mask_number(used.name, law, NO_CARTRIDGE_MASK)
        for used in situation.solvents if used.record is not None and used.record.no_cartridge
    )


def one_mask(
    situation: Situation, given: NamedMask, name: str, names: tuple[str, ...],
    sums: tuple[tuple[Worked, ...], tuple[Worked, ...]], law: Law,
) -> Worked:
    """Return the ceiling of the shop's mask for one substance, or no number with every reason."""
    if given.mask not in MASKS:
        return no_mask_number(name, law, UNKNOWN_MASK)
    facts = MaskFacts(
        one_substance=len(names) == 1,
        under_idlh_and_tenth_lel=under_both(name, *sums),
        lead_and_asbestos_excluded=not situation.lead_in_mind and not situation.old_material,
        **{fact: fact in given.ticked for fact in FROM_SHOP},
    )
    return mask_figure(name, given.mask, facts, law, given.cartridge_limit_ppm)


def named_mask(named: Any) -> NamedMask:
    """Return the mask that a shop file names, the facts it ticks with true, and the limit of its cartridge [ppm].

    The file gives a name, or an object such as {"mask": "half mask", "fit_tested": true}. Raises BadValue for a
    ``cartridge_limit_ppm`` that is no number over 0.
    """
    if isinstance(named, str):
        return NamedMask(named.strip().lower())
    if not isinstance(named, dict):
        return NamedMask("")
    mask, most = named.get("mask"), named.get("cartridge_limit_ppm")
    ticked = frozenset(fact for fact in FACTS if named.get(fact) is True)
    return NamedMask(mask.strip().lower() if isinstance(mask, str) else "", ticked,
                     None if most is None else positive("cartridge limit of the respirator", most, "ppm"))


def under_both(name: str, air: Iterable[Worked], fire: Iterable[Worked]) -> bool:
    """Tell whether all sums of a substance are under its immediately dangerous level and a tenth of its LEL.

    False where a sum has no number: what is not known is not under.
    """
    found = find_substance(name)
    concentrations = [f.value for f in air if f.about == name]
    clouds = [f.share for f in fire if f.about == name and f.limit is not None]
    if found is None or found.idlh_ppm is None or not concentrations or not clouds:
        return False
    low = all(value is not None and value < found.idlh_ppm for value in concentrations)
    return low and all(share is not None and share < 1.0 for share in clouds)


def no_mask_number(name: str, law: Law, why: str) -> Worked:
    """Return a mask ceiling without a number."""
    used = law.choice(name, "8 h").used
    limit = (Sourced(f"limit, {name}", "none on file", "ppm", "published", "the tables of limits") if used is None
             else Sourced(f"limit, {used.whose}", used.value, used.unit, used.kind, used.source))
    return Worked("MUC", f"{name}, ceiling of a mask", None, "ppm",
                  "min(protection factor x limit, immediately dangerous level, cartridge limit)", (limit,),
                  no_number=why, not_claimed=NOT_LEAVE, about=name)
