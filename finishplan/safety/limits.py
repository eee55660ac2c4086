"""Which exposure limit is used: the strictest of the shop's own, OSHA, NIOSH and the place's.

A missing limit gives no number. It never counts as passed.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from finishplan import reference
from finishplan.errors import BadValue, UnknownKey, UnknownName
from finishplan.safety.bounds import positive
from finishplan.safety.tables import Substance, find_substance, substances
from finishplan.safety.vapour import ppm
from finishplan.units import up

SPANS = {
    "8 h": "mean over 8 hours",
    "15 min": "mean over 15 minutes",
    "ceiling": "ceiling",
}
"""What a limit is a limit of; a ceiling is never to be passed, and is held against the 15-minute figure."""

PLACES = {
    "United States": (),
    "California": ("California PEL",),
    "France": ("France (law)",),
    "Germany": ("Germany MAK 2001",),
    "Japan": ("Japan, control concentration", "Japan, society for occupational health 2000"),
    "Ontario": ("Ontario (undated table)",),
    "United Kingdom": ("UK EH40", "UK COSHH trigger"),
}
"""Places a shop may choose, and the jurisdictions of limits_elsewhere.csv that come with each."""

GUIDELINES = ("ACGIH guideline",)
"""No law anywhere: shown as a lower guideline, never used as the limit."""

MOST_PLACES = 8
"""Most places after the point that a figure is written with."""

LIMIT_UNITS = {"ppm": "parts per million", "mg/m3": "milligrams per cubic metre"}
LOCAL_KEYS = {"twa": "8 h", "short_term": "15 min", "ceiling": "ceiling"}
"""Keys of a limit typed in by the shop, beside unit and source."""

US_COLUMNS = {
    "osha_pel_twa_ppm": ("OSHA PEL", "8 h", "ppm"),
    "osha_ceiling_ppm": ("OSHA ceiling", "ceiling", "ppm"),
    "niosh_rel_twa_ppm": ("NIOSH REL", "8 h", "ppm"),
    "niosh_rel_twa_mg_per_m3": ("NIOSH REL", "8 h", "mg/m3"),
    "niosh_stel_ppm": ("NIOSH STEL", "15 min", "ppm"),
    "niosh_ceiling_ppm": ("NIOSH ceiling", "ceiling", "ppm"),
    "niosh_ceiling_mg_per_m3": ("NIOSH ceiling", "ceiling", "mg/m3"),
}
"""Columns of substances.csv that hold a limit: whose, over what, in which unit."""


@dataclass(frozen=True)
class Limit:
    """One exposure limit: its value, what it is a limit of, whose it is, and where that was seen."""

    substance: str
    value: float
    unit: str
    span: str
    whose: str
    kind: str
    source: str
    trust: str
    printed: str = ""
    """As the source prints it, where the unit was changed."""


@dataclass(frozen=True)
class LimitChoice:
    """The limit in force, the others beside it, lower guidelines, and what must be said about the choice."""

    used: Limit | None
    others: tuple[Limit, ...] = ()
    lower_guidelines: tuple[Limit, ...] = ()
    said: str = ""
    warnings: tuple[str, ...] = ()


def limit_for(
    name: str,
    span: str,
    *,
    place: str | None = None,
    local: Mapping[str, tuple[Limit, ...]] | None = None,
) -> LimitChoice:
    """Return the strictest limit of substance ``name`` over ``span`` ("8 h" or "15 min"), in ppm.

    ``place`` is one of PLACES; ``local`` comes from ``read_local_limits``. Ceilings are held against the
    15-minute figure. Limits in mg/m3 are turned into ppm by the substance's molar mass at 25 C; one that
    cannot be turned is left out with a warning. Raises UnknownName for a span or place that is not listed.
    """
    if span not in ("8 h", "15 min"):
        raise UnknownName("span of a limit", span, ("8 h", "15 min"))
    wanted = ("8 h",) if span == "8 h" else ("15 min", "ceiling")
    own = tuple((local or {}).get(name, ()))
    shipped = us_limits(name) + limits_of(name, jurisdictions(place))
    fit, odd = in_ppm([one for one in own + shipped if one.span in wanted], find_substance(name))
    guidelines, _ = in_ppm([g for g in limits_of(name, GUIDELINES) if g.span in wanted], find_substance(name))
    if not fit:
        missing = f"no {span} limit on file for {name}: ask for its data sheet"
        return LimitChoice(None, (), guidelines, missing, odd)
    used = min(fit, key=lambda one: one.value)
    others = tuple(one for one in fit if one is not used)
    warnings = odd + remarks(used, others)
    lower = tuple(g for g in guidelines if g.value < used.value)
    return LimitChoice(used, others, lower, said_of(used), warnings)


def said_of(limit: Limit) -> str:
    """Return a limit in words: value, unit, whose, over what."""
    printed = f", printed as {limit.printed}" if limit.printed else ""
    span = "" if limit.whose.endswith(limit.span) else f", {limit.span}"
    return f"{digits(limit.value, 3)} {limit.unit} ({limit.whose}{span}{printed})"


def digits(value: float, count: int) -> str:
    """Return ``value`` with ``count`` digits, or whole where it has more before the point."""
    return f"{value:.0f}" if abs(value) >= 10.0**count else f"{value:.{count}g}"


def digits_up(value: float, count: int) -> str:
    """Return ``value`` >= 0 with ``count`` digits, rounded up, or whole where it has more before the point.

    >>> digits_up(0.531, 2), digits_up(83.94, 3), digits_up(1234.2, 3), digits_up(0.0, 2), digits_up(2.5, 3)
    ('0.54', '84', '1235', '0', '2.5')
    """
    if value <= 0.0:
        return "0"
    places = max(0, count - 1 - math.floor(math.log10(value)))
    if places > MOST_PLACES:
        return f"under {10.0**-MOST_PLACES:.{MOST_PLACES}f}"
    said = f"{up(value, places):.{places}f}"
    return said.rstrip("0").rstrip(".") if "." in said else said


def remarks(used: Limit, others: Iterable[Limit]) -> tuple[str, ...]:
    """Return what must be said about the limit used: from memory, or stricter than the shop's own."""
    found = []
    if used.trust == "C":
        found.append(f"the limit of {used.whose} is from memory: look it up before you rely on it")
    laxer = [one for one in others if one.whose == OWN and one.value > used.value]
    found += [f"{said_of(one)} is laxer than {used.whose} and is not used" for one in laxer]
    return tuple(found)


OWN = "our shop's own limit"


def in_ppm(limits: Iterable[Limit], substance: Substance | None) -> tuple[tuple[Limit, ...], tuple[str, ...]]:
    """Return ``limits`` in ppm, and a warning for each that cannot be turned into ppm."""
    molar_mass = substance.molar_mass_g_per_mol if substance else None
    fit, odd = [], []
    for one in limits:
        if one.unit == "ppm":
            fit.append(one)
        elif molar_mass is not None:
            printed = f"{one.value:g} {one.unit}"
            fit.append(replace(one, value=ppm(one.value, molar_mass), unit="ppm", printed=printed))
        else:
            odd.append(f"{one.whose} {one.value:g} {one.unit} left out: no molar mass to turn it into ppm")
    return tuple(fit), tuple(odd)


def us_limits(name: str) -> tuple[Limit, ...]:
    """Return the OSHA and NIOSH limits of a substance as they are printed."""
    for row in reference.rows("substances"):
        if row["substance"] == name:
            found = [(words, reference.number(row, column)) for column, words in US_COLUMNS.items()]
            return tuple(
                Limit(name, value, unit, span, whose, row["source_kind"], row["source"], row["trust"])
                for (whose, span, unit), value in found if value is not None
            )
    return ()


def limits_of(name: str, names_of_law: Iterable[str]) -> tuple[Limit, ...]:
    """Return the limits of a substance in the given jurisdictions of limits_elsewhere.csv."""
    wanted = tuple(names_of_law)
    return tuple(
        Limit(name, value, row["unit"], span, row["jurisdiction"], row["source_kind"], row["source"],
              row["trust"])
        for row in reference.rows("limits_elsewhere")
        if row["substance"] == name and row["jurisdiction"] in wanted
        for column, span in LOCAL_KEYS.items()
        if (value := reference.number(row, column)) is not None
    )


def jurisdictions(place: str | None) -> tuple[str, ...]:
    """Return the jurisdictions that come with a place of PLACES; none without a place. Raises UnknownName."""
    if not place:
        return ()
    if place not in PLACES:
        raise UnknownName("place", place, PLACES)
    return PLACES[place]


def read_local_limits(raw: Mapping[str, Any]) -> dict[str, tuple[Limit, ...]]:
    """Return the limits a shop typed in, by substance.

    ``raw`` is the shop file's ``local_limits``: ``{"styrene": {"twa": 20, "short_term": 40, "unit": "ppm",
    "source": "..."}}``, any of twa, short_term and ceiling, in ppm or mg/m3 (mg/m3 only for dusts and
    lead). Raises UnknownName for a substance or unit, UnknownKey for a key, BadValue for a value.
    """
    return {name: own_limits(name, entry) for name, entry in raw.items()}


def own_limits(name: str, entry: object) -> tuple[Limit, ...]:
    """Return the limits of one entry of ``local_limits``; see ``read_local_limits``."""
    where = f"local limits, {name}"
    known = named_agents()
    if name not in known:
        raise UnknownName("substance", name, known, "local limits")
    if not isinstance(entry, Mapping):
        raise BadValue("limit", entry, 'give an object such as {"twa": 20, "unit": "ppm"}', where)
    for key in entry:
        if key not in LOCAL_KEYS and key not in ("unit", "source"):
            raise UnknownKey(str(key), [*LOCAL_KEYS, "unit", "source"], where)
    unit = entry.get("unit", "")
    units = LIMIT_UNITS if name in substances() else ("mg/m3",)
    if unit not in units:
        raise UnknownName("unit", unit, units, where)
    given = {key: span for key, span in LOCAL_KEYS.items() if entry.get(key) is not None}
    if not given:
        named = ", ".join(f"{SPANS[span]} ({key})" for key, span in LOCAL_KEYS.items())
        raise BadValue("number of limits", 0, f"give one of: {named}", where)
    source = str(entry.get("source", "")) or "typed in by our shop"
    values = {span: positive(f"{where}: {SPANS[span]}", entry[key], unit) for key, span in given.items()}
    return tuple(
        Limit(name, value, unit, span, OWN, "measured here", source, "A") for span, value in values.items()
    )


def named_agents() -> tuple[str, ...]:
    """Return the substances and dusts a limit may be typed in for."""
    others = [row["substance"] for row in reference.rows("limits_elsewhere")]
    in_mass = ("mg/m3", "ug/m3")
    dusts = [row["agent"] for row in reference.rows("workplace") if row["unit"].startswith(in_mass)]
    return tuple(dict.fromkeys([*substances(), *others, *dusts]))
