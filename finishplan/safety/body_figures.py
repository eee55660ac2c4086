"""The noise and vibration of one person's day as they are shown."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from finishplan.reference import Sourced
from finishplan.safety.bounds import SHIFT_MIN
from finishplan.safety.limits import Limit, jurisdictions
from finishplan.safety.noise import (
    CUT_OFF_DBA,
    DECLARED_ADD_DB,
    HIGH_DBA,
    NIOSH,
    OSHA,
    DoseRule,
    dose_by,
    lex_8h,
    noise_warnings,
)
from finishplan.safety.tables import workplace
from finishplan.safety.vibration import a8, minutes_to, points, vibration_warnings
from finishplan.safety.worked import Worked, assumed, number_of
from finishplan.units import down

BACKGROUND_DBA = 70.0
RULE_OF_PLACE = {
    "United States": "OSHA",
    "California": "OSHA",
    "France": "Europe",
    "Germany": "Europe",
    "United Kingdom": "Europe",
}
"""Which noise rule is printed in bold; elsewhere none is, and the strictest is the one to look at."""
NOT_HEARING = "It says nothing of what reaches the ear under a protector, of peaks, or of a week."
NOT_HANDS = "Under 2.5 is not free of harm; gloves, cold and grip force are not in it."
NONE_COUNTED = "none counted: no level reaches the cut-off"


@dataclass(frozen=True)
class NoiseTime:
    """Minutes at one level of the day. ``declared`` is true for a maker's figure."""

    minutes: float
    level_dba: Sourced
    declared: bool = False


@dataclass(frozen=True)
class TriggerTime:
    """Minutes on the trigger of one tool, with the likely vibration [m/s2] and its low and high."""

    minutes: float
    likely_m_per_s2: Sourced
    low_m_per_s2: float
    high_m_per_s2: float


def with_background(parts: Sequence[NoiseTime], background: Sourced | None = None) -> tuple[NoiseTime, ...]:
    """Return the day filled up to 480 min with the shop's background, 70 dB(A) when not given (assumed)."""
    rest = SHIFT_MIN - math.fsum(part.minutes for part in parts)
    level = background or assumed("background of the shop", BACKGROUND_DBA, "dB(A)", "a quiet workshop")
    return (*parts, NoiseTime(rest, level)) if rest > 0.0 else tuple(parts)


def noise_figures(
    parts: Sequence[NoiseTime], *, place: str | None = None, cut_off_dba: float | None = CUT_OFF_DBA
) -> tuple[Worked, ...]:
    """Return the OSHA dose, the NIOSH dose and LEX,8h of a day; makers' levels again with 10 dB on top.

    ``place`` of limits.PLACES picks the binding rule; ``cut_off_dba`` [dB(A)] as in ``noise``. Raises
    UnknownName and BadValue.
    """
    jurisdictions(place)
    inputs = tuple(one for part in parts
                   for one in (part.level_dba, minutes_input(part.minutes, part.level_dba)))
    found = noise_lines(pairs_of(parts, 0.0), inputs, "", place, cut_off_dba)
    if any(part.declared for part in parts):
        said = f", makers' levels with {DECLARED_ADD_DB:g} dB on top"
        found += noise_lines(pairs_of(parts, DECLARED_ADD_DB), inputs, said, place, cut_off_dba)
    return found


def minutes_input(minutes: float, of: Sourced) -> Sourced:
    """Return the minutes at a level as an input of the sum; they come from the plan."""
    return Sourced(f"minutes, {of.name}", minutes, "min", "assumed", "minutes of the plan")


def pairs_of(parts: Sequence[NoiseTime], added_db: float) -> tuple[tuple[float, float], ...]:
    """Return (minutes, dB(A)) pairs with ``added_db`` [dB] on the declared ones, at most 140 dB(A)."""
    return tuple(
        (part.minutes,
         min(number_of(part.level_dba) + added_db, HIGH_DBA) if part.declared else number_of(part.level_dba))
        for part in parts
    )


def noise_lines(
    pairs: tuple[tuple[float, float], ...], inputs: tuple[Sourced, ...], said: str, place: str | None,
    cut_off_dba: float | None,
) -> tuple[Worked, ...]:
    """Return the three lines of one day's (minutes, dB(A)) pairs."""
    warnings = noise_warnings(pairs, cut_off_dba)
    bold = RULE_OF_PLACE.get(place or "")
    doses = tuple(dose_line(rule, pairs, inputs, said, bold, cut_off_dba, warnings) for rule in (OSHA, NIOSH))
    level = lex_8h(pairs)
    lex = Worked(
        "noise", f"noise of the day, LEX,8h{said}", level, "dB(A)",
        "10 log10(sum(min 10^(L/10))/480)", inputs,
        no_number="" if level is not None else "no minutes given", not_claimed=NOT_HEARING, warnings=warnings,
        word="" if level is None else lex_word(level), about="noise", span="8 h", binding=bold == "Europe")
    return (*doses, lex)


def dose_line(
    rule: DoseRule, pairs: tuple[tuple[float, float], ...], inputs: tuple[Sourced, ...], said: str,
    bold: str | None, cut_off_dba: float | None, warnings: tuple[str, ...],
) -> Worked:
    """Return the dose of one rule, held against a full day's dose, with its 8 h level as a note."""
    dose = dose_by(rule, pairs, cut_off_dba)
    full = Limit("noise", 100.0, "% of a full dose", "8 h",
                 f"{rule.name}, {rule.criterion_dba:g} dB(A)", "standard", rule.source, "A")
    notes = [NONE_COUNTED if dose.twa_dba is None else f"8 h level {dose.twa_dba:.1f} dB(A)"]
    if rule is OSHA and dose.dose_percent >= 50.0:
        action = workplace("noise", "OSHA action level").likely
        notes.append(f"half a dose: the action level of {number_of(action):g} dB(A) is reached")
    return Worked(
        "noise", f"noise dose of the day, {rule.name}{said}", dose.dose_percent, full.unit,
        f"100 sum(C/T), T = 8/2^((L-{rule.criterion_dba:g})/{rule.exchange_db:g}) h", inputs, limit=full,
        not_claimed=NOT_HEARING, notes=tuple(notes), warnings=warnings, about="noise", span="8 h",
        word=NONE_COUNTED if dose.twa_dba is None else "", binding=bold == rule.name)


def lex_word(lex_dba: float) -> str:
    """Return which European level LEX,8h reaches. Protectors count only against the limit value."""
    lower, upper, limit = (
        workplace("noise", row).likely
        for row in ("EU lower action value", "EU upper action value", "EU limit value at the ear")
    )
    lines = ((limit, "limit value (without protectors) reached"), (upper, "upper action value reached"),
             (lower, "lower action value reached"))
    for line, word in lines:
        if lex_dba >= number_of(line):
            return f"{number_of(line):g} dB(A), {word}"
    return f"under {number_of(lower):g} dB(A) by this sum"


def vibration_figures(parts: Sequence[TriggerTime]) -> tuple[Worked, ...]:
    """Return A(8) of a day from likely, low and high tool figures, held against 5 m/s2.

    Half of that is the action value of 2.5. The likely line decides. Raises BadValue.
    """
    row = workplace("hand-arm vibration", "EU limit value A(8)")
    limit = Limit("hand-arm vibration", number_of(row.likely), "m/s2", "8 h", row.source,
                  row.likely.kind, row.source, row.trust)
    inputs = tuple(one for part in parts
                   for one in (part.likely_m_per_s2, minutes_input(part.minutes, part.likely_m_per_s2)))
    lines = {
        "likely": tuple((part.minutes, number_of(part.likely_m_per_s2)) for part in parts),
        "low": tuple((part.minutes, part.low_m_per_s2) for part in parts),
        "high": tuple((part.minutes, part.high_m_per_s2) for part in parts),
    }
    return tuple(
        Worked("vibration", f"hand-arm vibration of the day, A(8), {name}", a8(pairs), "m/s2",
               "sqrt(sum(a^2 min)/480)", inputs, limit=limit, not_claimed=NOT_HANDS,
               notes=vibration_notes(parts, pairs), warnings=vibration_warnings(pairs), about="vibration",
               span="8 h", decides=name == "likely")
        for name, pairs in lines.items()
    )


def vibration_notes(parts: Sequence[TriggerTime], pairs: tuple[tuple[float, float], ...]) -> tuple[str, ...]:
    """Return the points of the day, and after how many minutes each tool alone reaches 2.5 and 5 m/s2."""
    action = number_of(workplace("hand-arm vibration", "EU action value A(8)").likely)
    limit = number_of(workplace("hand-arm vibration", "EU limit value A(8)").likely)
    found = [f"{points(pairs):.0f} points (100 is the action value, 400 the limit value)"]
    for part, (_, a) in zip(parts, pairs, strict=True):
        first, second = minutes_to(action, a), minutes_to(limit, a)
        if first is not None and second is not None:
            found.append(f"{part.likely_m_per_s2.name}, {a:g} m/s2: {action:g} after {down(first):.0f} min, "
                         f"{limit:g} after {down(second):.0f} min")
    return tuple(found)
