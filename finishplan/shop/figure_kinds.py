"""One value that a shop can set: where it stands in the shop file, its words, what is shipped, how it is typed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from finishplan.errors import BadValue, shown
from finishplan.models import Record
from finishplan.shop.shop_edits import Path

SORTS = {
    "number": "a figure",
    "whole": "a whole figure",
    "flag": "yes or no",
    "choice": "one of a list",
    "text": "words in a row",
    "names": "names with commas between",
    "lines": "one a line",
    "hours": "from and to, as in 08:00-12:00, 12:30-16:30",
    "taxes": "name and percent a line, as in VAT 19, or VAT 7: materials, travel",
}
"""How a value is typed."""
UNITS = {"um": "um", "min": "min", "m2": "m2", "percent": "%", "m": "m", "h": "h", "g": "g", "rpm": "rpm"}
HOURS = re.compile(r"(\d{1,2}:\d{2})\s*(?:-|to)\s*(\d{1,2}:\d{2})")
TAX = re.compile(r"(.*\S)\s+(\d+(?:[.]\d+)?)\s*%?\s*(?::(.*))?")


@dataclass(frozen=True)
class ShopFigure:
    """One value of the shop: its place, words, unit, what is shipped and where that is from, and what is used."""

    path: Path
    label: str
    shipped: Any = None
    used: Any = None
    unit: str = ""
    kind: str = ""
    """Source kind of the shipped value; nothing where none is shipped."""
    sort: str = "text"
    choices: Mapping[str, str] = field(default_factory=dict)
    whole: Mapping[str, Any] | None = None
    """The shipped group that is only valid whole."""
    ours: bool = False
    """Whether there is nothing to ship: only the shop itself can say it."""
    needed: bool = False
    """Whether the entry it is part of cannot be without it."""
    lines: tuple[str, ...] = ()
    """What is shipped line by line, where it differs from place to place."""

    @property
    def name(self) -> str:
        """The figure's own name, from its path."""
        return ":".join(part if isinstance(part, str) else "/".join(v for _, v in part) for part in self.path)

    @property
    def told(self) -> str:
        """The figure's name in a line of the history: the step, tool or thing it is of, and its label.

        >>> ShopFigure(("tools", (("way", "wheel"), ("for", "compound")), "rpm"), "Speed").told
        'wheel for compound, Speed'
        >>> ShopFigure(("prices", "catalyst", "pack"), "A pack holds").told
        'catalyst, A pack holds'
        """
        entry = next((" for ".join(value for _, value in part) for part in self.path if not isinstance(part, str)), "")
        if self.path[0] in ("prices", "local_limits"):
            entry = str(self.path[1])
        return f"{entry}, {self.label}" if entry else self.label

    @property
    def title(self) -> str:
        """The label with its unit, as it stands over a box."""
        return f"{self.label}, {self.unit}" if self.unit else self.label


def sort_of(annotation: Any) -> str:
    """Return how a field of a file model is typed, from its annotation."""
    kind = _bare(annotation)
    return {float: "number", int: "whole", bool: "flag"}.get(kind, "names" if get_origin(kind) is tuple else "text")


def _bare(annotation: Any) -> Any:
    if get_origin(annotation) is Annotated:
        return _bare(get_args(annotation)[0])
    if get_origin(annotation) in (Union, UnionType):
        return _bare(next(part for part in get_args(annotation) if part is not type(None)))
    return annotation


def model_figures(
    model: type[Record], at: Path, used: Record, labels: Mapping[str, str] | None = None,
    sorts: Mapping[str, str] | None = None, choices: Mapping[str, Mapping[str, str]] | None = None,
) -> list[ShopFigure]:
    """Return the fields of a file model as figures: label and unit from the field itself, unless given here."""
    shipped, found = model(), []
    for name, info in model.model_fields.items():
        extra = info.json_schema_extra if isinstance(info.json_schema_extra, dict) else {}
        words = (labels or {}).get(name) or str(info.description or name.replace("_", " "))
        offered = (choices or {}).get(name, {})
        sort = (sorts or {}).get(name) or ("choice" if offered else sort_of(info.annotation))
        found.append(ShopFigure(
            (*at, info.alias or name), words[:1].upper() + words[1:], getattr(shipped, name), getattr(used, name),
            str(extra.get("unit", "")), str(extra.get("kind", "")), sort, offered))
    return found


def read_value(figure: ShopFigure, typed: Any) -> Any:
    """Return what is typed as the shop file holds it; None for an empty box. Raises BadValue."""
    if typed is None or (isinstance(typed, str) and not typed.strip()):
        return None
    if figure.sort == "number":
        return float(typed)
    if figure.sort in ("whole", "flag", "choice"):
        return typed
    text = str(typed).strip()
    if figure.sort == "names":
        return [part.strip() for part in text.split(",") if part.strip()]
    if figure.sort == "lines":
        return [line.strip() for line in text.splitlines() if line.strip()]
    if figure.sort == "hours":
        return _hours(figure, text)
    if figure.sort == "taxes":
        return [_tax(figure, line) for line in text.splitlines() if line.strip()]
    return text


def _hours(figure: ShopFigure, text: str) -> list[list[str]]:
    found = []
    for part in text.split(","):
        match = HOURS.fullmatch(part.strip())
        if match is None:
            raise BadValue(figure.label, text, "type from and to, as in 08:00-12:00, 12:30-16:30")
        found.append([clock.zfill(5) for clock in match.groups()])
    return found


def _tax(figure: ShopFigure, line: str) -> dict[str, Any]:
    match = TAX.fullmatch(line.strip())
    if match is None:
        raise BadValue(figure.label, line, "type a name and percent, as in VAT 19, or VAT 7: materials, travel")
    tax: dict[str, Any] = {"name": match[1], "percent": float(match[2])}
    groups = [group.strip() for group in (match[3] or "").split(",") if group.strip()]
    return tax | ({"groups": groups} if groups else {})


def typed_value(figure: ShopFigure, value: Any) -> Any:
    """Return a value of the shop file as it is typed in its box; the other way round than ``read_value``."""
    if value is None:
        return None if figure.sort in ("number", "whole") else ""
    if figure.sort == "number":
        return float(value)
    if figure.sort in ("whole", "flag", "choice"):
        return value
    if figure.sort == "names":
        return ", ".join(map(str, value))
    if figure.sort == "lines":
        return "\n".join(map(str, value))
    if figure.sort == "hours":
        return ", ".join(f"{begin}-{end}" for begin, end in value)
    if figure.sort == "taxes":
        return "\n".join(_tax_line(tax) for tax in value)
    return str(value)


def _tax_line(tax: Any) -> str:
    held = tax if isinstance(tax, Mapping) else tax.model_dump()
    groups = ", ".join(held.get("groups") or ())
    return f"{held['name']} {shown(held['percent'])}" + (f": {groups}" if groups else "")


def said_value(figure: ShopFigure, value: Any) -> str:
    """Return a value as it is read: a number with its unit, yes or no, a dash where there is none."""
    if value is None or value == "" or value in ((), [], {}):
        return "\u2013"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return f"{value:.6g} {figure.unit}".rstrip()
    return str(typed_value(figure, value)).replace("\n", "; ")


def short_kind(kind: str) -> str:
    """Return a source kind without its remark.

    >>> short_kind("assumed (d50: see grades.csv)"), short_kind("assumed; P1500 from trade accounts")
    ('assumed', 'assumed')
    """
    return re.split(r" \(|;", kind)[0]


def side_words(figure: ShopFigure, own: Any, learned: str = "") -> str:
    """Return shipped, learned and used side by side, each with where it comes from, as one line."""
    if figure.ours:
        return ""
    empty = said_value(figure, figure.shipped) == "\u2013"
    kind = f" ({short_kind(figure.kind)})" if figure.kind and not empty else ""
    parts = ["Nothing is shipped" if empty else f"Shipped {said_value(figure, figure.shipped)}{kind}"]
    parts += [learned] if learned else []
    if own is None:
        parts.append("" if empty else "used as shipped")
    elif learned.endswith("in use"):
        parts.append(f"our own {said_value(figure, own)} waits behind it")
    else:
        parts.append(f"used {said_value(figure, own)}, our own")
    return "; ".join(part for part in parts if part) + "."
