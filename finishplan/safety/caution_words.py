"""The words of a caution with its sums' results in them, rounded up: no rounding makes a figure look better."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from string import Formatter

from finishplan.safety.day_sums import highest
from finishplan.safety.lead import HOW_TO_SAY, laboratory_found_none, result_on_file
from finishplan.safety.lifting import IDEAL_LIFT_KG
from finishplan.safety.limits import digits_up, said_of
from finishplan.safety.situation import Situation
from finishplan.safety.triggers import Raised, lid_kg, unknown_air
from finishplan.safety.used import Used
from finishplan.safety.worked import Worked, share_words

FIRST_WITHOUT_NUMBER = {
    "S2": "More than 50 ml of solvent in one go; the air sum gives no share of a limit here.",
    "S3": "{ml} ml of solvent that can burn; how much air its vapour makes ready to burn is not known here.",
    "S10": "Vapours add up; the shared sum has no number here.",
}
"""First sentences that stand in for a caution's own where its sum has no number."""
FIRST_IN_A_HOME = "Each share comes to {kg} kg; a home has steps and corners, and a lid is never an ideal lift."
"""First sentence of L2 where the share is not over one ideal lift."""


def words_of(caution_id: str, text: str, raised: Raised) -> str:
    """Return a caution's text with every blank of it filled from the job's sums.

    Where a sum has no number the first sentence is another one that says so.
    """
    if caution_id == "L2" and lid_kg(raised) <= IDEAL_LIFT_KG:
        return filled(with_first(text, FIRST_IN_A_HOME), caution_id, raised)
    blanks = blanks_of(text)
    if blanks and not all(values_of(caution_id, raised).get(name) for name in blanks):
        text = with_first(text, FIRST_WITHOUT_NUMBER[caution_id])
    return filled(text, caution_id, raised)


def blanks_of(text: str) -> tuple[str, ...]:
    """Return the names of the blanks in a text."""
    return tuple(name for _, name, _, _ in Formatter().parse(text) if name)


def with_first(text: str, first: str) -> str:
    """Return ``text`` with another first sentence."""
    return f"{first} {text.split('. ', 1)[1]}"


def filled(text: str, caution_id: str, raised: Raised) -> str:
    """Return ``text`` with its blanks filled."""
    return text.format(**values_of(caution_id, raised)) if blanks_of(text) else text


def values_of(caution_id: str, raised: Raised) -> dict[str, str]:
    """Return the value of each blank of a caution, in words; a sum without a number gives none."""
    return VALUES[caution_id](raised) if caution_id in VALUES else {}


def share_values(figures: Sequence[Worked], some_missing: bool = False) -> dict[str, str]:
    """Return the greatest share of a limit in percent, and that limit; "at least" where a part has no number.

    Percent, because "0.65 of 100 ppm" can be read as 0.65 ppm.
    """
    found = highest(figures)
    if found is None or found.limit is None or found.share is None:
        return {}
    least = "at least " if some_missing or any(f.value is None for f in figures) else ""
    return {"x": f"{least}{digits_up(100.0 * found.share, 2)} %", "lim": said_of(found.limit)}


def cloud_values(raised: Raised) -> dict[str, str]:
    """Return how much of the flammable solvents there is, and the air they can make ready to burn."""
    flammable = raised.facts.flammable
    clouds = [cloud_m3(used, raised.sums.air.fire) for used in flammable]
    found = {"ml": digits_up(sum(used.ml for used in flammable), 3)}
    known = [m3 for m3 in clouds if m3 is not None]
    if known:
        least = "" if len(known) == len(clouds) else "at least "
        found["m3"] = least + digits_up(sum(known), 2)
    return found


def cloud_m3(used: Used, fire: Iterable[Worked]) -> float | None:
    """Return the air [m3] that a solvent's vapour can bring to its explosive limit; None where unknown."""
    return next((f.value for f in fire if f.about == used.name and f.value is not None), None)


def shared_values(raised: Raised) -> dict[str, str]:
    """Return the shared sum of several substances."""
    found = highest(raised.sums.shared)
    if found is None or found.value is None:
        return {}
    least = "at least " if any(f.value is None for f in raised.sums.shared) else ""
    return {"em": least + share_words(found.value)}


def noise_values(raised: Raised) -> dict[str, str]:
    """Return the noise of the day, makers' levels with 10 dB on top."""
    level = raised.sums.lex_dba
    return {} if level is None else {"lex": digits_up(level, 3)}


def lid_values(raised: Raised) -> dict[str, str]:
    """Return the weight of the whole lid."""
    whole = max((f.value or 0.0 for f in raised.sums.lid), default=0.0)
    return {"kg": digits_up(whole, 2)} if whole > 0.0 else {}


VALUES: dict[str, Callable[[Raised], dict[str, str]]] = {
    "N1": noise_values,
    "N2": noise_values,
    "V1": lambda r: {"a8": digits_up(r.sums.a8_m_per_s2, 3)},
    "S2": lambda r: share_values(r.sums.air.solvents),
    "S3": cloud_values,
    "S10": shared_values,
    "F2": lambda r: share_values(r.sums.air.resin, r.facts.fills_without_size > 0),
    "L1": lid_values,
    "L2": lambda r: {"kg": digits_up(lid_kg(r), 2)},
}
"""What fills the blanks of each caution that has any."""

FIGURES: dict[str, Callable[[Raised], tuple[Worked, ...]]] = {
    "D1": lambda r: r.sums.dust,
    "D2": lambda r: r.sums.dust,
    "D7": lambda r: r.sums.dust,
    "M3": lambda r: r.sums.wheel,
    "N1": lambda r: r.sums.noise,
    "N2": lambda r: r.sums.noise,
    "N3": lambda r: r.sums.noise,
    "N4": lambda r: r.sums.noise,
    "V1": lambda r: r.sums.vibration,
    "V2": lambda r: r.sums.vibration,
    "S2": lambda r: r.sums.air.solvents,
    "S3": lambda r: r.sums.air.fire,
    "S4": lambda r: r.sums.air.fire,
    "S5": lambda r: r.sums.air.fire,
    "S10": lambda r: r.sums.shared,
    "F1": lambda r: r.sums.air.resin,
    "F2": lambda r: r.sums.air.resin,
    "F11": lambda r: r.sums.air.resin_fire,
    "F13": lambda r: r.sums.air.resin,
    "B1": lambda r: r.sums.air.masks,
    "B2": unknown_air,
    "B3": lambda r: tuple(f for f in r.sums.air.masks if without_cartridge(f, r.facts)),
    "L1": lambda r: r.sums.lid,
    "L2": lambda r: r.sums.lid,
}
"""The figures behind each caution that rests on a sum."""

NOTHING_TO_SUM = {
    "dust scale": "nothing is sanded dry",
    "MUC": "no mask with a cartridge is named, or no vapour is in the plan",
    "LEL": "no amount is known",
}
"""Why a caution that rests on a sum may have no figure, by sum."""


def without_cartridge(figure: Worked, facts: Situation) -> bool:
    """Tell whether a mask figure is about a solvent whose record lists no cartridge."""
    return any(used.name == figure.about and used.record is not None and used.record.no_cartridge
               for used in facts.solvents)


def notes_of(caution_id: str, raised: Raised) -> tuple[str, ...]:
    """Return what is said beside a caution of this job alone."""
    if caution_id == "D5":
        return lead_notes(raised.facts)
    if caution_id in ("N1", "N2") and any("makers' levels" in f.what for f in raised.sums.noise):
        return ("The level is that of the line with 10 dB on top of makers' figures.",)
    if caution_id == "F9" and raised.facts.fills_without_size:
        return ("How much resin is mixed is not known for every fill.",)
    return ()


def lead_notes(facts: Situation) -> tuple[str, ...]:
    """Return what a lead test on file says, where it does not silence the caution."""
    test = facts.job.finish_id.lead_test
    if not result_on_file(test) or laboratory_found_none(test):
        return ()
    return ("The lead test on file does not read as a laboratory's result that found none: the caution stays, the "
            f"lead rules and a qualified person decide. If a laboratory found none, {HOW_TO_SAY}.",)
