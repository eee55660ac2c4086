"""The ceiling of a respirator: the most its protection factor could stand for, or no number at all.

A ceiling on the mask, never leave to work. It is not worked out from the vapour sums: those are no
exposure.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

from finishplan.safety.bounds import checked, positive

MASKS = {
    "quarter mask": ("Air-purifying", "quarter mask", "quarter"),
    "half mask": ("Air-purifying", "half mask incl. filtering facepiece", "half"),
    "full face": ("Air-purifying", "full facepiece", "full"),
    "powered, half mask": ("PAPR", "half mask", "powered"),
    "powered, full face": ("PAPR", "full facepiece", "powered"),
    "powered, hood": ("PAPR", "helmet/hood", "powered"),
    "powered, loose-fitting": ("PAPR", "loose-fitting facepiece", "powered"),
}
"""Masks offered: class and facepiece in the table of protection factors, and the word of the NIOSH record."""

FACTS = {
    "exposure_measured": "the exposure is not measured; US law then takes the air for an instant danger",
    "one_substance": "there is more than one substance, or a mixture, in the air",
    "no_spraying": "something is sprayed, or an isocyanate is in use",
    "under_idlh_and_tenth_lel": "a sum is over the immediate-danger level or a tenth of the explosive limit",
    "oxygen_sure": "it is not sure that there is oxygen enough",
    "lead_and_asbestos_excluded": "lead or asbestos is not ruled out",
    "cartridge_listed": "the NIOSH record lists no cartridge of this kind for the substance, or was not seen",
    "cartridge_life_known": "it is not known how long the cartridge lasts",
    "fit_tested": "the wearer has no fit test, or no respirator programme stands behind it",
    "clean_shaven": "a beard lies under the seal, or nobody has looked",
}
"""What must be true before a number is given, and what is said when it is not."""

NO_NUMBER = "no number: ask a qualified person"


@dataclass(frozen=True)
class MaskFacts:
    """What is known of air, mask and wearer; everything counts as not known until it is ticked."""

    exposure_measured: bool = False
    one_substance: bool = False
    no_spraying: bool = False
    under_idlh_and_tenth_lel: bool = False
    oxygen_sure: bool = False
    lead_and_asbestos_excluded: bool = False
    cartridge_listed: bool = False
    cartridge_life_known: bool = False
    fit_tested: bool = False
    clean_shaven: bool = False

    def missing(self) -> tuple[str, ...]:
        """Return what is said for every fact that is not ticked."""
        return tuple(FACTS[f.name] for f in fields(self) if getattr(self, f.name) is not True)


@dataclass(frozen=True)
class UseCeiling:
    """Highest concentration the mask's factor could stand for, or None with every reason why not."""

    value: float | None
    unit: str
    set_by: str
    """What sets the ceiling: the factor times the limit, the immediately dangerous level, the cartridge."""
    reasons: tuple[str, ...] = ()

    @property
    def said(self) -> str:
        """The answer in words."""
        if self.value is None:
            return f"{NO_NUMBER} ({'; '.join(self.reasons)})"
        return f"ceiling of the mask {self.value:g} {self.unit}, set by {self.set_by}; not leave to work"


def use_ceiling(
    limit: float | None,
    apf: float | None,
    idlh: float | None,
    *,
    unit: str = "ppm",
    cartridge_limit: float | None = None,
    apf_trust: str = "A",
    facts: MaskFacts | None = None,
) -> UseCeiling:
    """Return the maximum use concentration min(APF x limit, IDLH, cartridge limit), or no number.

    ``limit``, ``idlh`` and ``cartridge_limit`` share ``unit``; ``apf`` is the assigned protection factor and
    ``apf_trust`` the trust of its row. Without a limit, without IDLH and cartridge limit, with a factor not
    seen in the law's own table (trust A), or with any fact not ticked, the value is None and all reasons
    are given. Raises BadValue for a limit, IDLH or factor that cannot be. Source: 29 CFR 1910.134(d)(3)(i).
    """
    why = list((facts or MaskFacts()).missing())
    if limit is None:
        why.append("there is no exposure limit on file for the substance")
    if idlh is None and cartridge_limit is None:
        why.append("no immediately dangerous level is on file and no cartridge limit is typed in")
    if apf is None or apf_trust != "A":
        why.append("the protection factor of this kind of mask was not seen in the law's own table")
    caps = ceilings(limit, apf, idlh, cartridge_limit, unit)
    if why or not caps:
        return UseCeiling(None, unit, "", tuple(why))
    set_by = min(caps, key=lambda name: caps[name])
    return UseCeiling(caps[set_by], unit, set_by)


def ceilings(
    limit: float | None, apf: float | None, idlh: float | None, cartridge_limit: float | None, unit: str
) -> dict[str, float]:
    """Return every ceiling that the given numbers allow, by what sets it. Raises BadValue."""
    found: dict[str, float] = {}
    if limit is not None and apf is not None:
        factor = checked("protection factor", apf, "give 5 to 10000, from the table", 5.0, 10_000.0)
        found["protection factor x limit"] = factor * positive("exposure limit", limit, unit)
    if idlh is not None:
        found["immediately dangerous level"] = positive("immediately dangerous level", idlh, unit)
    if cartridge_limit is not None:
        found["cartridge limit"] = positive("cartridge limit", cartridge_limit, unit)
    return found
