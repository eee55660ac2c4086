"""The emergency card as one page of plain text, to fill in and hang up."""

from __future__ import annotations

from finishplan.bench.columns import WIDTH, padded, wrapped
from finishplan.safety.card import emergency_card

PAGE_LINES = 66
"""Lines of one page."""
LABEL = 24
BLANK = 30


def card_lines() -> list[str]:
    """Return the card as lines of at most 80 columns; fewer than a page of 66."""
    lines = ["=" * WIDTH, "EMERGENCY CARD", *wrapped("Print it, fill it in, hang it by the door and by the bench."),
             "=" * WIDTH]
    for line in emergency_card():
        if line.part == "fill in":
            lines.append(padded(f"{line.what} ", WIDTH - BLANK) + "_" * BLANK)
        elif line.part == "first":
            lines += ["", *wrapped(f"{line.what}: {line.do}"), ""]
        else:
            lines += wrapped(line.do, first=padded(line.what.upper(), LABEL) + " ")
    return lines


def card_text() -> str:
    """Return the card as text."""
    return "\n".join(card_lines()) + "\n"
