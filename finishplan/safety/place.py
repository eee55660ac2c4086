"""Whose limits count for a shop: its place in its own words, and the limits it typed in."""

from __future__ import annotations

import re

from finishplan.errors import shown
from finishplan.safety.air_figures import Law
from finishplan.safety.limits import PLACES, read_local_limits
from finishplan.shop.shop_file import ShopFile
from finishplan.where_typed import LIMITS, PLACE

ALSO_CALLED = {
    "usa": "United States",
    "u.s.a.": "United States",
    "u.s.": "United States",
    "united states of america": "United States",
    "uk": "United Kingdom",
    "u.k.": "United Kingdom",
    "great britain": "United Kingdom",
    "england": "United Kingdom",
    "scotland": "United Kingdom",
    "wales": "United Kingdom",
    "northern ireland": "United Kingdom",
    "deutschland": "Germany",
}
"""Other names of places in limits.PLACES, in small letters."""

INSIDE = {"California": "United States"}
"""Places with rows of their own inside a larger one; the smaller one counts."""

US_ONLY = f"the limits of OSHA and NIOSH are used; local limits may be lower: type them in ({LIMITS})"


def places_named(text: str) -> tuple[str, ...]:
    """Return the places of limits.PLACES that ``text`` names, a part of one in its stead.

    >>> places_named("Lyon, France"), places_named("Fresno, California, USA"), places_named("Oslo")
    (('France',), ('California',), ())
    """
    names = {name.lower(): name for name in PLACES} | ALSO_CALLED
    words = text.lower()
    found = [name for said, name in names.items() if re.search(rf"(?<!\w){re.escape(said)}(?!\w)", words)]
    larger = {INSIDE[name] for name in found if name in INSIDE}
    return tuple(dict.fromkeys(name for name in found if name not in larger))


def law_of(file: ShopFile) -> Law:
    """Return whose limits count for a shop.

    Where its place names none or several of limits.PLACES, the US limits count. Raises UnknownName,
    UnknownKey and BadValue for an entry of ``local_limits`` that cannot be used, each naming the entry.
    """
    found = places_named(file.place)
    return Law(found[0] if len(found) == 1 else None, read_local_limits(file.local_limits))


def law_note(file: ShopFile) -> str:
    """Return what must be said about whose limits are used."""
    found = places_named(file.place)
    own = sorted(file.local_limits)
    typed = f" Limits typed in by our shop count where they are stricter: {', '.join(own)}." if own else ""
    if len(found) == 1:
        return (f"Limits: the strictest of OSHA, NIOSH and those on file for {found[0]}; for some substances "
                f"there is none on file.{typed}")
    if not file.place.strip():
        return f"Limits: our shop names no place ({PLACE}), so {US_ONLY}.{typed}"
    why = f"means more than one place on file ({', '.join(found)})" if found else "is no place with limits on file"
    return f"Limits: place {shown(file.place)} {why}, so {US_ONLY}.{typed}"
