"""A panel drawn to be tapped on: its outline to scale, spots numbered, defects lettered, as plain data.

The browser draws it, so that marks and letters keep their size on a phone; all geometry is worked out here.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

from finishplan.paper.panel import Frame, outline_of, panel_words, reading_spots, size_of
from finishplan.survey.job import Defect, Panel
from finishplan.units import MM_PER_M

MOST_WIDTH_PX = 848.0
MARGIN_PX = 16.0
MAX_HEIGHT_PX = 520.0
MIN_HEIGHT_PX = 90.0
"""A long strip is drawn higher than to scale, so that a thumb can hit it; the sheet then says so."""


def tap_frame(panel: Panel) -> tuple[Frame, bool]:
    """Return where the panel lies on the sheet, and whether it is to one scale both ways."""
    width_m, height_m, _ = size_of(panel)
    px_per_m = min(MOST_WIDTH_PX / width_m, MAX_HEIGHT_PX / height_m)
    width, height = width_m * px_per_m, height_m * px_per_m
    tall = max(height, MIN_HEIGHT_PX)
    return Frame(MARGIN_PX, MARGIN_PX, width, tall, px_per_m), tall == height


def tap_sheet(panel: Panel, zone: str, picked: int | None = None) -> dict[str, Any]:
    """Return the sheet of a panel as plain data: size, box, outline, spots and defects in px of the sheet.

    ``zone`` is the one that is surveyed: its marks are told from the others'. ``picked`` is the defect of that
    zone which is being looked at. Places are shares 0 to 1 of the box, from its lower left.
    """
    frame, _ = tap_frame(panel)
    here = {str(k) for k in spot_numbers(panel, zone)}
    return {
        "w": frame.width + 2 * MARGIN_PX, "h": frame.height + 2 * MARGIN_PX,
        "box": [frame.x, frame.y, frame.width, frame.height],
        "outline": _outline(_bare(panel), frame), "alt": panel_words(panel),
        "spots": [dict(zip(("x", "y"), frame.at(x, y), strict=True), label=number, here=number in here)
                  for number, x, y in reading_spots(panel)],
        "defects": [mark for mark in _marks(panel, zone, picked, frame) if mark],
    }


@lru_cache(maxsize=64)
def _outline(bare: Panel, frame: Frame) -> str:
    """Return the outline's path; a lid's takes longer than all else on the sheet, and entries do not change it."""
    return outline_of(bare, frame)


def _bare(panel: Panel) -> Panel:
    """Return a panel without what is entered on it."""
    zones = tuple(zone.model_copy(update={"readings": (), "defects": ()}) for zone in panel.zones)
    return panel.model_copy(update={"zones": zones})


def spot_numbers(panel: Panel, zone: str) -> list[int]:
    """Return the numbers of the placed reading spots of one zone, as ``reading_spots`` counts them."""
    found, count = [], 0
    for held in panel.zones:
        for reading in held.readings:
            count += 1
            if held.name == zone and reading.at is not None:
                found.append(reading.spot if reading.spot is not None else count)
    return found


def letters(panel: Panel) -> dict[tuple[str, int], str]:
    """Return the letter of every defect of a panel, by zone and place in its list: a to z, then aa, ab ..."""
    keys = [(zone.name, k) for zone in panel.zones for k in range(len(zone.defects))]
    return {key: letter_of(number) for number, key in enumerate(keys)}


def letter_of(number: int) -> str:
    """Return the letter of an entry counted from 0.

    >>> letter_of(0), letter_of(25), letter_of(26), letter_of(52)
    ('a', 'z', 'aa', 'ba')
    """
    head, tail = divmod(number, 26)
    return (letter_of(head - 1) if head else "") + "abcdefghijklmnopqrstuvwxyz"[tail]


def _marks(panel: Panel, zone: str, picked: int | None, frame: Frame) -> list[dict[str, Any] | None]:
    named = letters(panel)
    return [_mark(defect, named[held.name, k], k if held.name == zone else None, held.name == zone and k == picked,
                  frame) for held in panel.zones for k, defect in enumerate(held.defects)]


def _mark(defect: Defect, letter: str, index: int | None, picked: bool, frame: Frame) -> dict[str, Any] | None:
    """Return one placed defect in its true size; its index where it belongs to the zone that is surveyed."""
    if defect.at is None:
        return None
    x, y = frame.at(defect.at.x, defect.at.y)
    radius = half = 0.0
    if defect.area_m2 is not None:
        radius = math.sqrt(defect.area_m2 / math.pi) * frame.px_per_m
    elif defect.length_mm is not None:
        half = defect.length_mm / MM_PER_M * frame.px_per_m / 2
    return {"x": x, "y": y, "label": letter, "index": index, "picked": picked, "radius": radius, "half": half}


def scale_words(panel: Panel) -> str:
    """Return what the drawing is drawn to, in one sentence."""
    width_m, height_m, given = size_of(panel)
    size = f"{width_m:.2f} x {height_m:.2f} m"
    if not given:
        return f"Size not given: drawn as {size} of the same area. Measure it, and distances to the edge count."
    return f"{size}, to scale." if tap_frame(panel)[1] else f"{size}; drawn higher than to scale, to be tapped on."
