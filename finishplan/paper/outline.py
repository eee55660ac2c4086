"""Outlines of case parts: a grand's lid with its bentside, everything else as its rectangle."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

Point = tuple[float, float]

GRAND_LIDS = ("main and front lid, one face", "lid underside")
"""Parts drawn as a grand's lid, keyboard side at the bottom, bass side at the left."""

DEEP: tuple[Point, ...] = (
    (0.0, 0.0), (0.0, 0.90), (0.0, 1.0), (0.18, 1.0), (0.42, 1.0), (0.36, 0.72), (0.55, 0.60),
    (0.74, 0.48), (1.0, 0.52), (1.0, 0.28), (1.0, 0.0),
)
"""The slimmest lid: corner, spine, tail, bentside, cheek, corner, as shares of width and height."""
FULL: tuple[Point, ...] = (
    (0.0, 0.0), (0.0, 0.98), (0.0, 1.0), (0.18, 1.0), (0.60, 1.0), (0.60, 1.0), (0.80, 1.0),
    (0.95, 1.0), (1.0, 0.99), (1.0, 0.95), (1.0, 0.0),
)
"""The fullest: nearly the rectangle."""
PIECES = 24


def lid_points(area_share: float) -> list[Point]:
    """Return the lid's points so that it fills ``area_share`` (0 to 1) of its box, as near as a lid can.

    The shape is our own sketch; what is true about it is width, height and area.
    """
    slim, full = 0.0, 1.0
    for _ in range(40):
        mid = (slim + full) / 2
        if area_of(flat(between(mid))) < area_share:
            slim = mid
        else:
            full = mid
    return between((slim + full) / 2)


def between(share: float) -> list[Point]:
    """Return the lid that lies ``share`` of the way from the slimmest to the fullest."""
    return [(a + share * (c - a), b + share * (d - b)) for (a, b), (c, d) in zip(DEEP, FULL, strict=True)]


def flat(p: Sequence[Point]) -> list[Point]:
    """Return the lid's outline as a polygon: straight spine and cheek, tail and bentside in short pieces."""
    tail = [_bezier([p[1], p[2], p[3]], k / PIECES) for k in range(PIECES + 1)]
    bent = [_bezier([p[3], p[4], p[5], p[6]], k / PIECES) for k in range(1, PIECES + 1)]
    cheek = [_bezier([p[6], p[7], p[8], p[9]], k / PIECES) for k in range(1, PIECES + 1)]
    return [p[0], *tail, *bent, *cheek, p[10]]


def _bezier(points: Sequence[Point], at: float) -> Point:
    while len(points) > 1:
        points = [(a + at * (c - a), b + at * (d - b))
                  for (a, b), (c, d) in pairwise(points)]
    return points[0]


def area_of(polygon: Sequence[Point]) -> float:
    """Return a polygon's area by the shoelace formula.

    >>> area_of([(0.0, 0.0), (1.0, 0.0), (1.0, 2.0), (0.0, 2.0)])
    2.0
    """
    pairs = zip(polygon, [*polygon[1:], polygon[0]], strict=True)
    return abs(sum(a * d - c * b for (a, b), (c, d) in pairs)) / 2
