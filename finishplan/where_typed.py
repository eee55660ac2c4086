"""Where a person types in what a finding or a sum asks for: the place on a page; the key, for those who write files."""

from __future__ import annotations

ROOM = "Survey page, Instrument, place and people"
LIMITS = "Shop page, Limits and gear"
PLACE = "Shop page, Our shop"
DAMAGE = "Survey page, at the damage"
PANEL = "Survey page, Panel"
ON_SHEETS = "Survey page, Panel, Sheets on this zone, and work broken off before"
MASK = "Shop page, Limits and gear, Respirator"
TOOL = "Shop page, Tools"
STEPS = "Shop page, Steps"

GIVE_SIZE = f"give length and width, or the ml missing ({DAMAGE})"

IN_FILES = {
    ROOM: "room_m3 of the job's site",
    LIMITS: "local_limits of the shop file",
    PLACE: "place of the shop file",
    DAMAGE: "length_mm and width_mm of the defect, or missing_ml",
    PANEL: "size_m of the panel",
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
