"""The log as rows to read: a round of readings in one row, a step with its minutes and sheets in one."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from finishplan import wording
from finishplan.bench.line_words import line_words, what_words
from finishplan.bench.log_lines import (
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
    WashLine,
)

GROUPS: dict[str, tuple[type[LogLine], ...]] = {
    "readings": (ReadingLine, ShimLine),
    "work": (MinutesLine, SheetsLine, StepLine, PouredLine, RepairLine, WashLine, DefectLine),
    "signatures and plans": (HoldLine, ReplanLine, SetAsideLine),
    "notes and photos": (NoteLine, PhotoLine),
}
"""What may be looked at alone: kinds of line; that work is begun stands with all of them only."""
ASIDE = "set aside"
"""What may be looked at alone as well: lines that do not count."""
OF_STEP = (MinutesLine, SheetsLine, StepLine)


@dataclass(frozen=True)
class Row:
    """Lines that are told in one row, and why they do not count, where they do not."""

    lines: tuple[LogLine, ...]
    what: str
    aside: str

    @property
    def numbers(self) -> str:
        """The numbers of its lines, as in ``53 to 58``."""
        first, last = self.lines[0].number, self.lines[-1].number
        return str(first) if first == last else f"{first} to {last}"


def narrowed(
    lines: Sequence[LogLine], aside: Mapping[int, str], panel: str = "", groups: Collection[str] = ()
) -> tuple[LogLine, ...]:
    """Return the lines of one panel and of some groups; an empty name or no group stands for all."""
    kinds = tuple(kind for group in groups if group in GROUPS for kind in GROUPS[group])
    return tuple(
        line for line in lines if panel in ("", line.panel)
        and (not groups or isinstance(line, kinds) or (ASIDE in groups and line.number in aside)))


def rows_of(lines: Sequence[LogLine], aside: Mapping[int, str]) -> tuple[Row, ...]:
    """Return the lines as rows in their order; only lines that follow each other are told together."""
    together: list[list[LogLine]] = []
    for line in lines:
        if together and belongs(together[-1][-1], line, aside):
            together[-1].append(line)
        else:
            together.append([line])
    return tuple(Row(tuple(one), row_words(one), aside.get(one[0].number, "")) for one in together)


def belongs(last: LogLine, line: LogLine, aside: Mapping[int, str]) -> bool:
    """Tell whether a line is told in the row of the one before it."""
    same = (last.who, last.panel, last.zone, last.step, aside.get(last.number)) == (
        line.who, line.panel, line.zone, line.step, aside.get(line.number))
    if isinstance(last, ReadingLine) and isinstance(line, ReadingLine):
        return same and last.values.beside is None and line.values.beside is None and (
            last.values.method, last.values.gauge) == (line.values.method, line.values.gauge)
    return same and isinstance(last, OF_STEP) and isinstance(line, OF_STEP) and type(last) is not type(line)


def row_words(lines: Sequence[LogLine]) -> str:
    """Return what the lines of a row say, with their place."""
    first = lines[0]
    if len(lines) == 1:
        return line_words(first)
    place = ", ".join(part for part in (first.panel, first.zone) if part)
    if isinstance(first, ReadingLine):
        read = [line for line in lines if isinstance(line, ReadingLine)]
        said = wording.listed([f"{line.values.um:g}" for line in read])
        spots = [str(line.values.spot) for line in read if line.values.spot is not None]
        at = f" at spots {wording.listed(spots)}" if len(spots) == len(read) else ""
        when = f"after {first.step}" if first.step else "before the first stroke"
        return f"{place}: {said} um{at} {when}"
    done = sorted(lines, key=lambda line: not isinstance(line, StepLine))
    if not isinstance(done[0], StepLine):
        return f"{place}: {wording.listed([what_words(line) for line in lines])}"
    used = [what_words(line).removesuffix(f" of {line.step}") for line in done[1:]]
    return f"{place}: {what_words(done[0])}, {', '.join(used)}"
