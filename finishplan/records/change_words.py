"""How the fields, values and entries of a job or shop are called when an edit is told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from finishplan.errors import shown
from finishplan.models import PLACES

UNITS = {
    "um": "um", "mm": "mm", "m": "m", "m2": "m2", "m3": "m3", "ml": "ml", "g": "g", "h": "h", "min": "min",
    "c": "C", "percent": "%", "gu": "GU", "dba": "dBA", "rpm": "rpm", "mrad": "mrad",
}
"""The unit that a field's name ends in."""

FIELDS: dict[str, tuple[str, str]] = {
    "um": ("film", "um"), "ml": ("amount", "ml"), "rpm": ("speed", "rpm"), "at": ("place", ""),
    "seen_in": ("seen from", ""), "off": ("taken off the instrument", ""), "finish_id": ("finish", ""),
    "result": ("identified as", ""), "how": ("identified how", ""), "where": ("identified where", ""),
    "by": ("by", ""), "size_m": ("size", "m"), "minutes": ("time", "min"),
    "before": ("readings before", "um"), "after": ("readings after", "um"), "cleared": ("defect gone", ""),
    "air_changes_per_h": ("air changes", "an hour"), "rate_per_h": ("rate", "an hour"),
    "missing_ml": ("missing material", "ml"), "view_note": ("note on how it is seen", ""),
    "removal_rate_cm3_per_min": ("removal rate", "cm3/min"), "a_m_s2": ("vibration", "m/s2"),
    "noise_dba": ("noise", "dBA"), "d50_um": ("grain", "um"), "for": ("use", ""),
    "compound_g_per_m2_liquid": ("liquid compound", "g/m2"),
    "compound_g_per_m2_bar": ("bar compound", "g/m2"),
    "keep": ("leave at least", "um"),
}
"""Fields whose name alone would not read well: their words and unit."""

ATOMS = ("at", "depth_um", "size_m", "before", "after", "photos", "hours")
"""Fields told as one value, though they hold several."""


def field_words(name: str) -> tuple[str, str]:
    """Return the words and the unit of a field; the unit is last in its name.

    >>> field_words("film_estimate_um")
    ('film estimate', 'um')
    """
    if name in FIELDS:
        return FIELDS[name]
    stem, mark, last = name.rpartition("_")
    if mark and last in UNITS:
        return stem.replace("_", " "), UNITS[last]
    return name.replace("_", " "), ""


def value_words(field: str, value: Any) -> str:
    """Return a value as it is told: ``412 um``, ``yes``, ``10 to 45 um, likely 20``."""
    unit = field_words(field)[1]
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return f"{shown(float(value))} {unit}".rstrip()
    if isinstance(value, str):
        return shown(value)
    if isinstance(value, Mapping):
        return _object_words(field, value)
    if isinstance(value, Sequence):
        return _list_words(field, value, unit)
    return shown(value)


def _object_words(field: str, value: Mapping[str, Any]) -> str:
    if {"low", "likely", "high"} <= value.keys():
        return f"{shown(value['low'])} to {shown(value['high'])} um, likely {shown(value['likely'])}"
    if {"x", "y"} <= value.keys():
        return f"{_percent(value['x'])} across, {_percent(value['y'])} up"
    if {"width", "height"} <= value.keys():
        return f"{shown(value['width'])} x {shown(value['height'])} m"
    return ", ".join(f"{field_words(key)[0]} {value_words(key, part)}" for key, part in value.items())


def _percent(share: Any) -> str:
    return f"{100 * share:.3g} %" if isinstance(share, (int, float)) else shown(share)


def _list_words(field: str, value: Sequence[Any], unit: str) -> str:
    if field == "photos":
        return "no photo" if not value else "1 photo" if len(value) == 1 else f"{len(value)} photos"
    parts = [" to ".join(map(str, part)) if isinstance(part, list) else shown(part) for part in value[:12]]
    parts += ["..."] if len(value) > 12 else []
    return f"{', '.join(parts) or 'none'} {unit}".rstrip()


def entry_words(of_list: str, entry: Any) -> str:
    """Return how an entry of a list is called: ``reading 412 um (ultrasonic, spot 1)``, ``panel 'rim'``."""
    word = PLACES.get(of_list, of_list)
    if not isinstance(entry, Mapping):
        return f"{word} {shown(entry)}"
    if of_list == "readings":
        return f"reading {value_words('um', entry.get('um'))}{reading_tail(entry)}"
    if of_list == "defects":
        count = entry.get("count", 1)
        return f"defect {entry.get('kind')}" + (f" ({count} of them)" if count != 1 else "")
    if "way" in entry:
        return f"{word} {entry['way']!r} for {entry.get('for')}"
    name = next((entry[key] for key in ("name", "id", "substance", "task", "step", "date", "what")
                 if entry.get(key)), None)
    return f"{word} {shown(name)}" if name is not None else word


def reading_tail(entry: Mapping[str, Any]) -> str:
    """Return method and spot of a reading in brackets."""
    parts = [str(entry.get("method", "ultrasonic"))]
    if entry.get("spot") is not None:
        parts.append(f"spot {entry['spot']}")
    return f" ({', '.join(parts)})"


def holds_words(entry: Mapping[str, Any]) -> str:
    """Return what a panel or zone brings along: ``, with 2 zones, 3 readings``; else nothing."""
    zones = entry.get("zones") if isinstance(entry.get("zones"), list) else None
    inner = zones if zones is not None else [entry]
    counts = [("zone", len(zones) if zones is not None else 0)]
    counts += [(word, sum(len(zone.get(f"{word}s") or ()) for zone in inner))
               for word in ("reading", "defect")]
    parts = [f"{count} {what}{'' if count == 1 else 's'}" for what, count in counts if count]
    return f", with {', '.join(parts)}" if parts else ""
