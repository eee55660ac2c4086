"""The emergency card: what to fill in, what comes first, and what to do when something has happened."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from finishplan import reference
from finishplan.errors import TableError

PARTS = {
    "fill in": "a line that the shop fills in",
    "first": "what holds for all of it",
    "do": "what has happened, and what to do",
}
"""Parts of the card, in their order on it."""


@dataclass(frozen=True)
class CardLine:
    """One line of the card, with where it comes from."""

    part: str
    what: str
    do: str
    source: str
    trust: str


@cache
def emergency_card() -> tuple[CardLine, ...]:
    """Return the lines of the emergency card in their order. Raises TableError for a part that is none."""
    lines = tuple(CardLine(row["part"], row["what"], row["do"], row["source"], row["trust"])
                  for row in reference.rows("emergency_card"))
    for line in lines:
        if line.part not in PARTS:
            raise TableError(f"emergency_card.csv: part {line.part!r} is none of: {', '.join(PARTS)}")
    return lines
