"""Steps and tools: sheets in three grading systems, compounds, and the ways to use them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from finishplan import reference
from finishplan.errors import UnknownName

COMPOUNDS = ("cutting compound", "polishing compound", "finishing compound")
"""The three compound stages, coarse to fine."""
REFERENCE_D50_UM = 25.8
"""Median grain of P600 (ISO 6344-3 as printed in secondary tables), to which rates are scaled."""


@dataclass(frozen=True)
class Step:
    """One sheet grade or one compound with its figures; the grading system always travels along."""

    name: str
    kind: str
    system: str
    d50_um: float | None
    scratch_depth_um: float
    removal_rate_cm3_per_min: float
    max_level_um: float
    change_min: float
    compound_g_per_m2_liquid: float
    compound_g_per_m2_bar: float
    in_default_plan: bool
    wet: bool
    source_kind: str
    source: str
    direction: str = ""
    done_when: str = ""
    stop_if: str = ""

    @property
    def is_sheet(self) -> bool:
        """Whether this is a sheet grade."""
        return self.kind == "sheet"

    @property
    def order(self) -> tuple[int, float]:
        """Sort key coarse to fine: sheets by median grain, then compounds by stage."""
        if self.d50_um is not None and self.is_sheet:
            return (0, -self.d50_um)
        return (1, float(COMPOUNDS.index(self.name)))


@dataclass(frozen=True)
class Tool:
    """A way to use sheets or compounds: its speed, and for compounds its limits."""

    way: str
    use: str
    speed_factor: float
    cutting_coarsest_before: str | None
    max_level_um: tuple[float, float, float] | None
    source_kind: str
    note: str
    power: str = ""
    noise_dba: float | None = None
    noise_from: str = ""
    a_m_s2: float | None = None
    a_from: str = ""
    diameter_m: float | None = None
    rpm: float | None = None
    marked_rpm: float | None = None


@cache
def grade_table() -> dict[str, tuple[str, float, str]]:
    """Return each grade as written with its system, median grain [um] and source kind.

    P grades carry their letter, US and JIS grades their system: ``P600``, ``US 600``, ``JIS #600``.
    """
    found = {}
    for row in reference.rows("grades"):
        name = grade_name(row["system"], row["grade"])
        found[name] = (row["system"], float(row["d50_um"]), row["source_kind"])
    return found


def grade_name(system: str, grade: str) -> str:
    """Return a grade as it is written here: with its system.

    >>> grade_name("US", "600"), grade_name("P", "P600"), grade_name("JIS", "#600")
    ('US 600', 'P600', 'JIS #600')
    """
    return f"{system} {grade}" if system in ("US", "JIS") else grade


def d50_of(grade: str) -> float:
    """Return the median grain in um of a grade written with its system.

    Raises UnknownName for a grade that no table prints.

    >>> d50_of("US 600"), d50_of("P600")
    (16.0, 25.8)
    """
    if grade not in grade_table():
        raise UnknownName("grade", grade, grade_table())
    return grade_table()[grade][1]


def nearest_p_grade(d50_um: float) -> str:
    """Return the P grade (ISO 6344) whose median grain is nearest in ratio to ``d50_um``."""
    p_grades = {name: d50 for name, (system, d50, _) in grade_table().items() if system == "P"}
    return min(p_grades, key=lambda name: abs(math.log(p_grades[name] / d50_um)))


@cache
def shipped_steps() -> tuple[Step, ...]:
    """Return the shipped steps, coarse to fine."""
    return tuple(sorted((step_from_row(row) for row in reference.rows("steps")), key=lambda s: s.order))


def step_from_row(row: dict[str, str]) -> Step:
    """Return the step of one table row."""
    return Step(
        name=row["step"],
        kind=row["kind"],
        system=row["system"],
        d50_um=reference.number(row, "d50_um"),
        scratch_depth_um=float(row["scratch_depth_um"]),
        removal_rate_cm3_per_min=float(row["removal_rate_cm3_per_min"]),
        max_level_um=reference.number(row, "max_level_um") or 0.0,
        change_min=float(row["change_min"]),
        compound_g_per_m2_liquid=reference.number(row, "compound_g_per_m2_liquid") or 0.0,
        compound_g_per_m2_bar=reference.number(row, "compound_g_per_m2_bar") or 0.0,
        in_default_plan=row["in_default_plan"] == "yes",
        wet=row["wet"] == "yes",
        source_kind=row["source_kind"],
        source=row["source"],
    )


def scratch_from_d50_um(d50_um: float, share: float = 0.20) -> float:
    """Return the scratch depth r = share x d50 [um] of a sheet that no table lists (assumed)."""
    return share * d50_um


def rate_from_d50_cm3_per_min(d50_um: float) -> float:
    """Return the removal rate Q = 0.924 (d50/25.8)^0.66 [cm3/min] of a sheet no table lists.

    Level assumed; the exponent is for wood, P60 to P180 (doi 10.3390/app11062860: 0.37 to 0.66), so
    outside that range it is an extrapolation.

    >>> round(rate_from_d50_cm3_per_min(25.8), 3)
    0.924
    """
    ratio: float = (d50_um / REFERENCE_D50_UM) ** 0.66
    return 0.924 * ratio


def max_level_from_d50_um(d50_um: float) -> float:
    """Return the most a sheet no table lists can level as first step, interpolated over the shipped ones."""
    sheets = [s for s in shipped_steps() if s.d50_um is not None]
    grain = np.log([s.d50_um for s in reversed(sheets) if s.d50_um])
    level = np.log([s.max_level_um for s in reversed(sheets)])
    return float(np.exp(np.interp(math.log(d50_um), grain, level)))


def sheet_from_grade(grade: str, scratch_share: float = 0.20) -> Step:
    """Return a sheet step for a grade of the grade table that the step table does not list.

    Raises UnknownName for a grade that no table prints.
    """
    d50 = d50_of(grade)
    system, _, kind = grade_table()[grade]
    return Step(
        name=grade,
        kind="sheet",
        system=system,
        d50_um=d50,
        scratch_depth_um=scratch_from_d50_um(d50, scratch_share),
        removal_rate_cm3_per_min=rate_from_d50_cm3_per_min(d50),
        max_level_um=max_level_from_d50_um(d50),
        change_min=3.0,
        compound_g_per_m2_liquid=0.0,
        compound_g_per_m2_bar=0.0,
        in_default_plan=False,
        wet=True,
        source_kind=f"assumed (d50 {kind})",
        source="worked out from the median grain as the shipped sheets were",
    )


@cache
def shipped_tools() -> dict[tuple[str, str], Tool]:
    """Return the shipped tools by way and use (sheet or compound)."""
    found = {}
    for row in reference.rows("tools"):
        limits = tuple(reference.number(row, f"max_level_{c.split()[0]}_um") for c in COMPOUNDS)
        cut, polish, finish = limits
        levels = (cut, polish, finish) if cut is not None and polish is not None and finish is not None else None
        power = "mains" if row["way"] in ("machine", "wheel", "rotary", "random orbit") else "none"
        found[(row["way"], row["for"])] = Tool(
            way=row["way"],
            use=row["for"],
            speed_factor=float(row["speed_factor"]),
            cutting_coarsest_before=row["cutting_coarsest_before"] or None,
            max_level_um=levels,
            source_kind=row["source_kind"],
            note=row["note"],
            power=power,
        )
    return found
