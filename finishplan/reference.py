"""The sourced tables. A row that does not say where its value comes from does not load.

Tables are CSV files that travel inside the package; in a checkout they stand in ``data/``.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path
from typing import NamedTuple

from finishplan.errors import TableError

SOURCE_KINDS = {
    "standard": "printed in a standard or law",
    "published": "printed in a book, paper, manual or trade page",
    "common practice": "a fact of the trade, no source",
    "from memory": "known to the makers of this program, not looked up",
    "assumed": "a start value, to be replaced by the shop's own",
    "measured here": "the shop's own figure",
    "doubtful": "printed, but at odds with the standard: ask",
}
"""Where a number may come from; the kind travels with the number to the screen."""

KIND_COLUMNS = ("source_kind", "trust")


class Sourced(NamedTuple):
    """A number with its unit and where it comes from."""

    name: str
    value: float | str
    unit: str
    kind: str
    source: str


def data_dir() -> Path:
    """Return the folder that holds ``reference`` and ``demo``: the package's own, else the checkout's."""
    inside = Path(__file__).parent / "_data"
    return inside if (inside / "reference").is_dir() else Path(__file__).parent.parent / "data"


@cache
def rows(table: str) -> tuple[dict[str, str], ...]:
    """Return the rows of a reference table as dicts of text.

    ``table`` is a file name without ending. Raises TableError when the file is missing, a row has too
    few or too many cells, or a row names no source.
    """
    path = data_dir() / "reference" / f"{table}.csv"
    if not path.is_file():
        raise TableError(f"reference table {table!r} is missing from this installation; install it again")
    with path.open(encoding="utf-8", newline="") as handle:
        return checked(table, list(csv.DictReader(handle)))


def checked(table: str, found: list[dict[str, str]]) -> tuple[dict[str, str], ...]:
    """Return ``found`` as a tuple after checking that every row is whole and sourced."""
    for number, row in enumerate(found, start=2):
        if None in row or None in row.values():
            raise TableError(f"{table}.csv, line {number}: wrong number of cells; compare with the header")
        kind_of(table, number, row)
    return tuple(found)


def kind_of(table: str, number: int, row: dict[str, str]) -> str:
    """Return the source kind of a row, or raise TableError when it names none that is known."""
    if row.get("source_kind"):
        kind = next((k for k in SOURCE_KINDS if row["source_kind"].startswith(k)), None)
        if kind:
            return kind
        raise TableError(
            f"{table}.csv, line {number}: source kind {row['source_kind']!r} is not known; "
            f"use one of: {', '.join(SOURCE_KINDS)}"
        )
    if row.get("trust") and (row.get("source") or row.get("source_seen")):
        return "published"
    raise TableError(f"{table}.csv, line {number}: no source; a value without a source is not used")


def number(row: dict[str, str], column: str) -> float | None:
    """Return a cell as a float, or None where it is blank. Raises TableError for other text."""
    text = row[column].strip()
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        raise TableError(f"column {column}: {text!r} is not a number") from None
