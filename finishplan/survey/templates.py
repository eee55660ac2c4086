"""A job to start from: the panels of a grand or an upright in walking order, each with its zones and areas.

Areas come from ``part_areas``, how a part is cut into panels from ``part_panels``; both are assumed, and a
tape measure beats them. Film, finish and build are left open: those are found at the instrument.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

from finishplan import reference
from finishplan.errors import BadValue, UnknownName
from finishplan.survey.job import JOB_FORMAT, JOB_VERSION

INSTRUMENTS = {"grand": "a grand, from lid to lyre", "upright": "an upright, from top lid to toes"}
"""Instruments that a template stands for."""
EDGE_M = 0.015
"""Width of an edge zone: the outer 15 mm (see ``choices.ZONE_KINDS``)."""
ZONE_NAMES = {"field": "field", "edge": "edges", "curve": "curve"}


@dataclass(frozen=True)
class PartPanel:
    """One panel of a template: the part it belongs to, its area, and how it lies."""

    part: str
    name: str
    area_m2: float
    width_over_height: float
    face: str
    position: str
    exposure: str
    zones: tuple[str, ...]
    in_template: bool
    """Whether a template has it without being asked; a bench is worked only when listed."""


def part_panels(instrument: str) -> tuple[PartPanel, ...]:
    """Return the panels of an instrument in walking order; raises UnknownName for another instrument."""
    if instrument not in INSTRUMENTS:
        raise UnknownName("instrument", instrument, INSTRUMENTS)
    areas = part_areas_m2(instrument)
    return tuple(
        PartPanel(
            row["part"], row["panel"], areas[row["part"]] * float(row["area_share"]), float(row["width_over_height"]),
            row["face"], row["position"], row["exposure"], tuple(row["zones"].split(";")),
            row["in_template"] == "yes",
        )
        for row in reference.rows("part_panels") if row["instrument"] == instrument
    )


def part_areas_m2(instrument: str) -> dict[str, float]:
    """Return the area of every part of an instrument in m2, as the table offers it."""
    return {row["part"]: float(row["area_m2"]) for row in reference.rows("part_areas")
            if row["instrument"] == instrument}


def edge_area_m2(area_m2: float, width_over_height: float) -> float:
    """Return the area of the outer 15 mm of a rectangle [m2].

    2 e (w + h) - 4 e^2 with e = 0.015 m, h = sqrt(area/ratio), w = ratio x h. Valid while both sides are over
    2 e; a narrower strip is all edge, and its whole area is returned.

    >>> round(edge_area_m2(2.0, 2.0), 4)
    0.0891
    """
    height = math.sqrt(area_m2 / width_over_height)
    width = width_over_height * height
    if min(width, height) <= 2 * EDGE_M:
        return area_m2
    return 2 * EDGE_M * (width + height) - 4 * EDGE_M**2


def zones_of(panel: PartPanel) -> list[dict[str, Any]]:
    """Return the zones of a template panel as the job file holds them; their areas add up to the panel's."""
    areas = dict.fromkeys(panel.zones, panel.area_m2)
    if len(panel.zones) > 1:
        edge = edge_area_m2(panel.area_m2, panel.width_over_height)
        areas = {"edge": edge, "field": panel.area_m2 - edge}
    return [
        {"name": ZONE_NAMES[kind], "kind": kind, "area_m2": round(areas[kind], 4), "readings": [], "defects": []}
        for kind in panel.zones
    ]


def panel_from(panel: PartPanel) -> dict[str, Any]:
    """Return a template panel as the job file holds it; its size is left open until it is measured."""
    return {
        "name": panel.name, "part": panel.part, "face": panel.face, "position": panel.position,
        "exposure": panel.exposure, "zones": zones_of(panel),
    }


def template_job(
    instrument: str, title: str, parts: Collection[str] | None = None, given: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """Return a job to start from, as the job file holds it.

    ``parts`` names the parts to list; None means all that a template has. ``given`` are further fields of the
    job (customer, due) and of its instrument (year, id). Raises UnknownName for an instrument or part that
    the tables do not have, BadValue for an empty title or no part at all.
    """
    panels = part_panels(instrument)
    known = list(dict.fromkeys(panel.part for panel in panels))
    for part in parts or ():
        if part not in known:
            raise UnknownName("part", part, known, instrument)
    if not title.strip():
        raise BadValue("title", title, "give the job a title to find it by")
    chosen = [panel for panel in panels if (panel.in_template if parts is None else panel.part in parts)]
    if not chosen:
        raise BadValue("parts", "none", "choose at least one part of the instrument")
    more = dict(given or {})
    return {
        "format": JOB_FORMAT, "version": JOB_VERSION, "title": title.strip(),
        "customer": more.get("customer") or None, "due": more.get("due") or None,
        "instrument": {"id": more.get("id") or None, "kind": instrument, "year": more.get("year")},
        "panels": [panel_from(panel) for panel in chosen],
    }
