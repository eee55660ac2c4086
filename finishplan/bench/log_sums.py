"""What the lines of a log add up to: which count, which plan they belong to, minutes, readings, sheets."""

from __future__ import annotations

from collections.abc import Sequence

from finishplan.bench.log_lines import (
    LogLine,
    MinutesLine,
    ReadingLine,
    ReplanLine,
    SetAsideLine,
    SheetsLine,
    ShimLine,
    ShimValues,
    StepLine,
)
from finishplan.planning.result import Plan
from finishplan.planning.risk_model import strokes_of
from finishplan.survey.film import METHODS


def why_aside(lines: Sequence[LogLine]) -> dict[int, str]:
    """Return the lines that do not count, by number, each with its reason.

    Set aside by the store's mark, by a later line, or because a shim check shows that the gauge had drifted.
    """
    found = {line.number: line.set_aside for line in lines if line.set_aside}
    for line in lines:
        if isinstance(line, SetAsideLine) and line.number not in found:
            if line.values.reason is None:
                found.pop(line.values.line, None)
            else:
                found[line.values.line] = line.values.reason
    return drifted([line for line in lines if line.number not in found]) | found


def drifted(lines: Sequence[LogLine]) -> dict[int, str]:
    """Return the readings taken with a gauge between its last good shim check and its next one, each with why.

    A check is bad where the gauge is off the shim by more than its stated bias.
    """
    return shim_checked(lines)[0]


def bad_gauges(lines: Sequence[LogLine]) -> dict[tuple[str, str], str]:
    """Return the gauges, by method and name, whose last shim check was bad, each with why its readings do not count."""
    aside = why_aside(lines)
    return shim_checked([line for line in lines if line.number not in aside or not isinstance(line, ShimLine)])[1]


def shim_checked(lines: Sequence[LogLine]) -> tuple[dict[int, str], dict[tuple[str, str], str]]:
    """Return the readings that drifted gauges took, and the gauges that are off now; ``lines`` are those that count."""
    found: dict[int, str] = {}
    since: dict[tuple[str, str], list[int]] = {}
    bad: dict[tuple[str, str], str] = {}
    for line in lines:
        if isinstance(line, ReadingLine):
            gauge = (line.values.method, line.values.gauge)
            since.setdefault(gauge, []).append(line.number)
            if gauge in bad:
                found[line.number] = bad[gauge]
        elif isinstance(line, ShimLine):
            gauge = (line.values.method, line.values.gauge)
            why = drift_words(line)
            if why:
                bad[gauge] = why
                found |= dict.fromkeys(since.get(gauge, ()), why)
            else:
                bad.pop(gauge, None)
            since[gauge] = []
    return found, bad


def allowed_um(values: ShimValues) -> float:
    """Return how far a gauge may be off a shim [um]: its method's stated bias."""
    method = METHODS[values.method]
    return method.bias_um + method.bias_share * values.shim_um


def drift_words(line: ShimLine) -> str:
    """Return in words how far a gauge has drifted, or nothing where it is within its stated bias."""
    values = line.values
    off_um = values.um - values.shim_um
    if abs(off_um) <= allowed_um(values) + 1e-9:
        return ""
    name = f"{values.method} gauge {values.gauge}".strip()
    return (f"{name} read {values.um:g} um on a shim of {values.shim_um:g} um, and may be off by "
            f"{allowed_um(values):.0f}: its readings do not count")


def counted(lines: Sequence[LogLine]) -> tuple[LogLine, ...]:
    """Return the lines that count: none that is set aside, and not the lines that say so."""
    aside = why_aside(lines)
    return tuple(line for line in lines if line.number not in aside and not isinstance(line, SetAsideLine))


def legs(lines: Sequence[LogLine]) -> list[tuple[LogLine, ...]]:
    """Return the lines that count, split where another plan came into force; the last are of the plan in force."""
    found: list[list[LogLine]] = [[]]
    for line in counted(lines):
        if isinstance(line, ReplanLine):
            found.append([])
        else:
            found[-1].append(line)
    return [tuple(leg) for leg in found]


def in_force(lines: Sequence[LogLine]) -> tuple[LogLine, ...]:
    """Return the lines that count and belong to the plan in force."""
    return legs(lines)[-1]


def replans(lines: Sequence[LogLine]) -> tuple[ReplanLine, ...]:
    """Return the lines at which another plan came into force."""
    return tuple(line for line in counted(lines) if isinstance(line, ReplanLine))


def minutes_by_step(lines: Sequence[LogLine]) -> dict[tuple[str, str], float]:
    """Return minutes of work by panel and step, in the order in which they were first logged."""
    found: dict[tuple[str, str], float] = {}
    for line in counted(lines):
        if isinstance(line, MinutesLine):
            key = (line.panel, line.step)
            found[key] = found.get(key, 0.0) + line.values.minutes
    return found


def readings_by_zone(lines: Sequence[LogLine]) -> dict[tuple[str, str], tuple[ReadingLine, ...]]:
    """Return the readings that count by panel and zone, in the order of the log."""
    found: dict[tuple[str, str], tuple[ReadingLine, ...]] = {}
    for line in counted(lines):
        if isinstance(line, ReadingLine):
            found[(line.panel, line.zone)] = (*found.get((line.panel, line.zone), ()), line)
    return found


def sheets_used_up(lines: Sequence[LogLine]) -> dict[str, int]:
    """Return sheets used by grade."""
    found: dict[str, int] = {}
    for line in counted(lines):
        if isinstance(line, SheetsLine):
            found[line.step] = found.get(line.step, 0) + line.values.count
    return found


def steps_done(plan: Plan, lines: Sequence[LogLine]) -> dict[tuple[str, str], tuple[str, ...]]:
    """Return the steps of the plan in force that are done, by panel and zone, in the plan's order."""
    logged = {(line.panel, line.zone, line.step) for line in in_force(lines) if isinstance(line, StepLine)}
    return {
        (panel.name, zone.name): tuple(
            step.step for _, step, _ in strokes_of(panel, zone.name)
            if (panel.name, "", step.step) in logged or (panel.name, zone.name, step.step) in logged
        )
        for panel in plan.panels for zone in panel.zones
    }
