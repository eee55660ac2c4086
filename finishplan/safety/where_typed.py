"""Where a person types in what the sums ask for: the place on a page, and for those who write files the key."""

from __future__ import annotations

ROOM = "Survey page, Instrument, place and people"
LIMITS = "Shop page, Limits and gear"
PLACE = "Shop page, Our shop"
DAMAGE = "Survey page, at the damage"
MASK = "Shop page, Limits and gear, Respirator"
TOOL = "Shop page, Tools"

IN_FILES = {
    ROOM: "room_m3 of the job's site",
    LIMITS: "local_limits of the shop file",
    PLACE: "place of the shop file",
    DAMAGE: "length_mm and width_mm of the defect, or missing_ml",
    MASK: "equipment, respirator of the shop file",
    TOOL: "noise_from and a_from of the shop file's tools",
}
"""The key in a file that stands for each place on a page."""


def for_files(text: str) -> str:
    """Return what is said with the key of a file beside every place on a page.

    >>> for_files("Type in the volume (Survey page, Instrument, place and people).")
    "Type in the volume (Survey page, Instrument, place and people; in a file: room_m3 of the job's site)."
    """
    for place, key in IN_FILES.items():
        text = text.replace(f"({place})", f"({place}; in a file: {key})")
    return text
