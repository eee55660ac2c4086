"""Labels at their marks: lines of text with straight leaders that do not run into each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from finishplan.paper.theme import text_width

GAP_PX = 8.0


@dataclass(frozen=True)
class Label:
    """What is said at ``x`` of a drawing; ``quiet`` in the second ink."""

    x: float
    words: str
    quiet: bool = False


@dataclass(frozen=True)
class Placed:
    """A label in its lane; lane 0 lies next to the mark."""

    label: Label
    lane: int
    left: float
    right: float

    @property
    def start(self) -> float:
        """Where the text starts."""
        return self.left


def place(labels: Sequence[Label], right_px: float, size_px: float, left_px: float = 0.0) -> list[Placed]:
    """Return every label in the nearest lane where it meets no other, all between left_px and right_px.

    Texts never overlap. A leader goes through no text wherever straight leaders allow it; where they
    do not, it passes behind the text.
    """
    placed: list[Placed] = []
    fits_right = [lab for lab in labels if lab.x + width_of(lab, size_px) <= right_px]
    rest = [lab for lab in labels if lab not in fits_right]
    for label in [*sorted(fits_right, key=lambda lab: -lab.x), *sorted(rest, key=lambda lab: lab.x)]:
        placed.append(_find(label, placed, left_px, right_px, size_px))
    return placed


def width_of(label: Label, size_px: float) -> float:
    """Return the room in px that a label takes, with the gap after it."""
    return text_width(label.words, size_px) + GAP_PX


def lanes(placed: Sequence[Placed]) -> int:
    """Return how many lanes the labels take."""
    return max((p.lane for p in placed), default=-1) + 1


def _find(label: Label, placed: Sequence[Placed], left_px: float, right_px: float, size_px: float) -> Placed:
    width = width_of(label, size_px)
    start = min(label.x, right_px - width)
    wished = [start] if start == label.x else [max(left_px, label.x - width), start]
    for strict in (True, False):
        for lane in range(len(placed) + 1):
            for left in wished:
                found = Placed(label, lane, max(left_px, left), max(left_px, left) + width)
                if _free(found, placed, strict):
                    return found
    raise AssertionError("a lane of its own is always free")


def _free(found: Placed, placed: Sequence[Placed], strict: bool) -> bool:
    for other in placed:
        if other.lane == found.lane and found.left < other.right and other.left < found.right:
            return False
        if not strict:
            continue
        if other.lane < found.lane and other.left - GAP_PX < found.label.x < other.right:
            return False
        if other.lane > found.lane and found.left - GAP_PX < other.label.x < found.right:
            return False
    return True
