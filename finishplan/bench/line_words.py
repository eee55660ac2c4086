"""A log line in a few words, for whoever reads the log."""

from __future__ import annotations

from finishplan import wording
from finishplan.bench.log_lines import (
    BegunLine,
    DefectLine,
    HoldLine,
    LogLine,
    MinutesLine,
    NoteLine,
    PhotoLine,
    PouredLine,
    ReadingLine,
    RepairLine,
    ReplanLine,
    SetAsideLine,
    SheetsLine,
    ShimLine,
    StepLine,
)


def line_words(line: LogLine) -> str:
    """Return what a line says, with its place."""
    place = ", ".join(part for part in (line.panel, line.zone) if part)
    said = what_words(line)
    return f"{place}: {said}" if place else said


def what_words(line: LogLine) -> str:
    """Return what a line says, without its place."""
    if isinstance(line, ReadingLine):
        return reading_words(line)
    if isinstance(line, ShimLine):
        gauge = " ".join(part for part in (line.values.method, "gauge", line.values.gauge) if part)
        return f"{gauge} read {line.values.um:g} um on a shim of {line.values.shim_um:g} um"
    if isinstance(line, MinutesLine):
        return f"{wording.minutes_words(line.values.minutes)} of {line.step}"
    if isinstance(line, SheetsLine):
        return f"{wording.counted(line.values.count, 'sheet')} of {line.step}"
    if isinstance(line, NoteLine):
        return f"note: {line.values.text}"
    if isinstance(line, PhotoLine):
        return f"photo {line.values.text}".strip()
    if isinstance(line, HoldLine):
        return f"hold point {line.values.hold!r} signed"
    if isinstance(line, ReplanLine):
        return f"new plan agreed: {line.values.why}"
    return work_words(line)


def reading_words(line: ReadingLine) -> str:
    """Return a reading: how much, where, after what."""
    spot = f" at spot {line.values.spot}" if line.values.spot is not None else ""
    beside = f", beside line {line.values.beside}" if line.values.beside is not None else ""
    return f"{line.values.um:g} um{spot} {f'after {line.step}' if line.step else 'before the first stroke'}{beside}"


def work_words(line: LogLine) -> str:
    """Return a line of work done or of the log itself."""
    if isinstance(line, StepLine):
        return f"{line.step} done"
    if isinstance(line, PouredLine):
        return f"mark {line.values.defect + 1} poured"
    if isinstance(line, RepairLine):
        return f"{line.values.repair} of mark {line.values.defect + 1} done"
    if isinstance(line, DefectLine):
        deep = f", {line.values.depth_um:g} um to go" if line.values.depth_um is not None else ""
        return f"mark {line.values.defect + 1} is {line.values.seen}{deep}"
    if isinstance(line, BegunLine):
        return f"work begun by the plan of revision {line.values.revision}"
    if isinstance(line, SetAsideLine):
        return f"line {line.values.line} {'set aside' if line.values.reason else 'counts again'}"
    return line.kind
