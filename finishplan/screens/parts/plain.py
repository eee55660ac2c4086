"""Text from people inside labels: shown letter by letter, never read as markup."""

from __future__ import annotations

from datetime import datetime

MARKUP = "\\`*_{}[]()#+-.!|<>$~:&"


def plain(words: str) -> str:
    """Return ``words`` so that a label shows them as they are."""
    return "".join(f"\\{letter}" if letter in MARKUP else letter for letter in " ".join(words.split()))


def moment(at: datetime) -> str:
    """Return a moment as it is said at this machine: the day and the time."""
    return at.astimezone().strftime("%d %b %Y, %H:%M")


def short_moment(at: datetime) -> str:
    """Return a moment in a list of one job: the year is left out."""
    return at.astimezone().strftime("%d %b, %H:%M")
