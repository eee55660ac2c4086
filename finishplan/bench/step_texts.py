"""What is said of a step at its place in a sequence: how, which way, done when, stop if, and why.

The texts stand in ``step_texts.csv`` with their sources; a shop's own words for a step win.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

from finishplan import reference
from finishplan.errors import TableError
from finishplan.shop.steps import Step

GROUPS = {
    "step": "a sheet or compound at its place in the sequence",
    "place": "what holds for every sheet, wet or dry",
    "zone": "how each kind of zone is worked",
    "way": "each tool: its name, and what it must not do (reason)",
    "local": "the work inside the rings of spots and fills",
    "repair": "what a mark on the drawing is told to get",
}
"""Groups of texts."""


@dataclass(frozen=True)
class StepText:
    """The words of one kind of step; empty where there is nothing to say."""

    how: str
    direction: str
    done_when: str
    stop_if: str
    reason: str
    source_kind: str
    source: str


@cache
def all_texts() -> dict[tuple[str, str], StepText]:
    """Return every text by group and key; raises TableError for a group nobody looks up."""
    found = {}
    for row in reference.rows("step_texts"):
        if row["group"] not in GROUPS:
            raise TableError(f"step_texts.csv: group {row['group']!r} is not one of: {', '.join(GROUPS)}")
        found[(row["group"], row["key"])] = StepText(
            row["how"], row["direction"], row["done_when"], row["stop_if"], row["reason"], row["source_kind"],
            row["source"],
        )
    return found


def text_of(group: str, key: str) -> StepText:
    """Return one text; raises TableError where the table has none."""
    try:
        return all_texts()[(group, key)]
    except KeyError:
        raise TableError(f"step_texts.csv has no text {key!r} in group {group!r}; add a row") from None


def key_of(steps: Sequence[Step], at: int, finish: str, lean: bool = False) -> str:
    """Return the key of the text for step ``at`` of a panel's steps, coarse to fine.

    >>> from finishplan.shop.profile import default_profile
    >>> steps = [default_profile().step(n) for n in ("P500", "P1000", "P2000", "cutting compound")]
    >>> [key_of(steps, k, "gloss") for k in range(4)]
    ['first_sheet', 'next_sheet', 'last_sheet', 'cutting compound']
    """
    step = steps[at]
    if not step.is_sheet:
        return step.name
    sheets = sum(s.is_sheet for s in steps)
    if at == sheets - 1 and finish == "satin":
        return "satin_sheet"
    if sheets == 1:
        return "only_sheet"
    if at == 0:
        return "first_sheet_lean" if lean else "first_sheet"
    return "last_sheet" if at == sheets - 1 else "next_sheet"


def step_text(
    steps: Sequence[Step], at: int, finish: str, lean: bool = False, by_hand: bool = False
) -> StepText:
    """Return the text for step ``at`` of a panel's steps; the shop's own direction, done when, stop if win.

    ``by_hand``: no machine or wheel takes part in the step.
    """
    step = steps[at]
    text = text_of("step", key_of(steps, at, finish, lean))
    if at == 0 and not step.is_sheet:
        first = text_of("step", "first_compound")
        text = replace(text, done_when=first.done_when, stop_if=first.stop_if, reason=first.reason)
    way = "straight strokes" if by_hand and not step.is_sheet else strokes(steps, at, finish)
    return replace(
        text, direction=step.direction or way, done_when=step.done_when or text.done_when,
        stop_if=step.stop_if or text.stop_if,
    )


PLACES = {
    "first_sheet": "as the first sheet", "next_sheet": "as a sheet between", "last_sheet": "as the last sheet",
    "only_sheet": "as the only sheet", "satin_sheet": "as the last one of a satin face",
    "first_sheet_lean": "as the first sheet of a lean first cut", "first_compound": "where no sheet goes before it",
}
"""Where a text holds that is not of the step alone."""
BY_PLACE = "by its place in the sequence"
DIRECTIONS = {
    True: ("across and along in turn, so that the last sheet runs along",
           "as the last one of a satin face: along, one way"),
    False: ("crossing passes", "by hand: straight strokes"),
}
"""Which way the strokes go as shipped, for a sheet or not: always, and where else; ``strokes`` does it so."""


def shipped_words(step: Step, field: str) -> tuple[str, str, tuple[str, ...]]:
    """Return what is shipped of a step's ``direction``, ``done_when`` or ``stop_if``: words, kind and more lines.

    The lines say what it is where it depends on the step's place in the sequence.
    """
    if field == "direction":
        always, *other = DIRECTIONS[step.is_sheet]
        return always, "common practice", tuple(other)
    keys = [key for key in PLACES if key.endswith("_compound") != step.is_sheet]
    texts = [(PLACES[key], text_of("step", key)) for key in keys]
    lines = tuple(f"{place}: {getattr(text, field)} ({text.source_kind})" for place, text in texts)
    if step.is_sheet:
        return BY_PLACE, "", lines
    own = text_of("step", step.name)
    return str(getattr(own, field)), own.source_kind, lines


def strokes(steps: Sequence[Step], at: int, finish: str) -> str:
    """Return which way the strokes of step ``at`` go: sheets cross from grade to grade, the last runs along.

    Crossing is published (a sailing class's gelcoat repair page); that the last runs along the part is
    common practice, no source. A compound's passes cross each other.

    >>> from finishplan.shop.profile import default_profile
    >>> steps = [default_profile().step(n) for n in ("P500", "P1000", "P2000", "cutting compound")]
    >>> [strokes(steps, k, "gloss") for k in range(4)]
    ['along', 'across', 'along', 'crossing passes']
    """
    if not steps[at].is_sheet:
        return "crossing passes"
    left = sum(s.is_sheet for s in steps) - 1 - at
    if finish == "satin" and left == 0:
        return "along, one way"
    return "along" if left % 2 == 0 else "across"


def tool_words(way: str, use: str) -> str:
    """Return a tool as the sheet names it; a shop's own tool by its own name.

    >>> tool_words("machine", "sheet"), tool_words("hand", "compound")
    ('machine, soft pad', 'by hand')
    """
    found = all_texts().get(("way", f"{way} {use}"))
    return found.how if found else way


def tool_rule(way: str, use: str) -> str:
    """Return what a tool must not do, or nothing."""
    found = all_texts().get(("way", f"{way} {use}"))
    return found.reason if found else ""
