"""The noise of one person's day by three rules: OSHA (5 dB), NIOSH (3 dB) and the European LEX,8h.

Steady noise only; peaks and blows are not modelled, and no protector is counted.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from finishplan.safety.bounds import SHIFT_MIN, checked, day_exposures

CUT_OFF_DBA = 80.0
"""Levels under this are left out of an OSHA or NIOSH dose (from memory; may be switched off with None)."""
DECLARED_ADD_DB = 10.0
"""Put on a maker's declared level for a second line: over half of the sanders of one study were 9 to 14 dB
above it in use (INTER-NOISE 2016 253(3):5613, abstract)."""
LOW_DBA, HIGH_DBA = 40.0, 140.0


@dataclass(frozen=True)
class DoseRule:
    """A dose rule: full dose is 8 h at ``criterion_dba``; ``exchange_db`` more halves the time."""

    name: str
    criterion_dba: float
    exchange_db: float
    factor_db: float
    source: str

    def hours(self, level_dba: float) -> float:
        """Return the hours at ``level_dba`` [dB(A)] that make a full dose: 8/2^((L-criterion)/exchange)."""
        return 8.0 * math.pow(2.0, (self.criterion_dba - level_dba) / self.exchange_db)


OSHA = DoseRule("OSHA", 90.0, 5.0, 16.61, "29 CFR 1910.95 App. A (16.61 as printed)")
NIOSH = DoseRule("NIOSH", 85.0, 3.0, 3.0 / math.log10(2.0), "NIOSH 98-126 (3/log10 2 = 9.966)")


class Dose(NamedTuple):
    """Share of a full day's dose [%] and the 8 h level that would give it [dB(A)]; None when none counted."""

    dose_percent: float
    twa_dba: float | None


def osha_dose(exposures: Iterable[tuple[float, float]], cut_off_dba: float | None = CUT_OFF_DBA) -> Dose:
    """Return the OSHA noise dose of (minutes, dB(A)) pairs of one day.

    D = 100 sum(C/T), T = 8/2^((L-90)/5) h; TWA = 16.61 log10(D/100) + 90 [dB(A)]. Levels under
    ``cut_off_dba`` [dB(A)] are left out; None counts all. A dose of 0 has no TWA (None). Levels 40 to
    140 dB(A), at most 1440 minutes. Raises BadValue. Source: 29 CFR 1910.95 App. A.
    """
    return dose_by(OSHA, exposures, cut_off_dba)


def niosh_dose(exposures: Iterable[tuple[float, float]], cut_off_dba: float | None = CUT_OFF_DBA) -> Dose:
    """Return the NIOSH noise dose of (minutes, dB(A)) pairs of one day.

    D = 100 sum(C/T), T = 8/2^((L-85)/3) h; TWA = (3/log10 2) log10(D/100) + 85 [dB(A)]. Otherwise as
    ``osha_dose``. Raises BadValue. Source: NIOSH 98-126.
    """
    return dose_by(NIOSH, exposures, cut_off_dba)


def dose_by(rule: DoseRule, exposures: Iterable[tuple[float, float]], cut_off_dba: float | None) -> Dose:
    """Return the dose of (minutes, dB(A)) pairs by ``rule``; see ``osha_dose``. Raises BadValue."""
    cut_off = -math.inf
    if cut_off_dba is not None:
        remedy = f"give {LOW_DBA:g} to {HIGH_DBA:g} dB(A), or leave it empty to count all levels"
        cut_off = checked("cut-off level", cut_off_dba, remedy, LOW_DBA, HIGH_DBA)
    pairs = levels_of(exposures)
    dose = 100.0 * math.fsum(m / 60.0 / rule.hours(level) for m, level in pairs if level >= cut_off)
    twa = rule.factor_db * math.log10(dose / 100.0) + rule.criterion_dba if dose > 0.0 else None
    return Dose(dose, twa)


def lex_8h(exposures: Iterable[tuple[float, float]]) -> float | None:
    """Return LEX,8h [dB(A)] of (minutes, dB(A)) pairs: 10 log10(sum(min 10^(L/10))/480).

    No cut-off. None when no minutes are given. Raises BadValue. Source: 2003/10/EC; ISO 1999.
    """
    energy = math.fsum(minutes * 10.0 ** (level / 10.0) for minutes, level in levels_of(exposures))
    return 10.0 * math.log10(energy / SHIFT_MIN) if energy > 0.0 else None


def levels_of(exposures: Iterable[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Return (minutes, dB(A)) pairs, checked: 40 to 140 dB(A), a day at most. Raises BadValue."""
    return day_exposures("level", exposures, LOW_DBA, HIGH_DBA, "dB(A)")


def noise_warnings(
    exposures: Iterable[tuple[float, float]], cut_off_dba: float | None = CUT_OFF_DBA
) -> tuple[str, ...]:
    """Return what lies outside the rules' own range, in words; the figures still stand. Raises BadValue."""
    loud = max((level for minutes, level in levels_of(exposures) if minutes > 0.0), default=0.0)
    found = []
    if loud > 130.0:
        found.append("a level over 130 dB(A): the reference durations are printed up to 130")
    if loud > 115.0:
        found.append("a level over 115 dB(A): the permissible exposures of 29 CFR 1910.95 end at 115")
    if cut_off_dba is None:
        found.append("levels under 80 dB(A) counted in the dose: the rules are printed from 80 up")
    return tuple(found)
