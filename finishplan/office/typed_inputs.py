"""What a person types into the boxes of a quote, read into plain data and written back; each error is one sentence."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from finishplan.errors import BadValue
from finishplan.office.schedule import due_date
from finishplan.office.terms import LINE_GROUPS, exact

TAX = re.compile(r"(?P<name>.*\S)\s+(?P<percent>[-+]?[0-9]+(?:[.,][0-9]+)?)\s*%?\s*(?:\((?P<groups>[^)]*)\))?")
TAX_REMEDY = "write one tax a line: its name and percent, as in VAT 21"


def number_text(value: float | None) -> str:
    """Return a number as it is typed; empty for none.

    >>> number_text(12.50), number_text(1234567.0), number_text(None)
    ('12.5', '1234567', '')
    """
    if value is None:
        return ""
    text = f"{exact(value):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def read_number(text: str, name: str) -> float:
    """Return a typed number, comma or point. Raises BadValue for anything else.

    >>> read_number(" 12,5 ", "margin")
    12.5
    """
    try:
        found = Decimal(text.strip().replace(",", "."))
    except ArithmeticError:
        raise BadValue(name, text.strip(), "type a number, as in 12.5") from None
    if not found.is_finite():
        raise BadValue(name, text.strip(), "type a number, as in 12.5")
    return float(found)


def read_whole(text: str, name: str) -> int:
    """Return a typed whole number. Raises BadValue."""
    found = read_number(text, name)
    if found != int(found):
        raise BadValue(name, text.strip(), "type a whole number, as in 14")
    return int(found)


def read_rate(text: str, name: str) -> float | None:
    """Return what an hour costs, None for an empty box. Raises BadValue for nothing or less."""
    if not text.strip():
        return None
    found = read_number(text, name)
    if found <= 0:
        raise BadValue(name, text.strip(), "type what an hour costs the shop, as in 45, or leave it empty")
    return found


def number(name: str) -> Callable[[Any], float]:
    """Return the reader of a box that holds a number."""
    return lambda text: read_number(str(text), name)


def whole(name: str) -> Callable[[Any], int]:
    """Return the reader of a box that holds a whole number."""
    return lambda text: read_whole(str(text), name)


def rate(name: str) -> Callable[[Any], float | None]:
    """Return the reader of a box that holds what an hour costs."""
    return lambda text: read_rate(str(text), name)


def due(today: Callable[[], date]) -> Callable[[Any], str | None]:
    """Return the reader of the box of the due date: none, or a day that is not past."""

    def read(text: Any) -> str | None:
        day = due_date(None if text is None else str(text), "")
        if day is not None and day < today():
            raise BadValue("due", day.isoformat(), "it is before today; give a later day, or leave it out")
        return None if day is None else day.isoformat()

    return read


def code(text: Any) -> str | None:
    """Return typed letters of a currency, None for an empty box."""
    return str(text).strip().upper() or None


def read_taxes(text: str) -> list[dict[str, Any]]:
    """Return typed taxes, one a line. Raises BadValue for a line that is none.

    >>> read_taxes("VAT 21%") == [{"name": "VAT", "percent": 21.0, "groups": []}]
    True
    """
    found = []
    for line in filter(None, (line.strip() for line in text.splitlines())):
        match = TAX.fullmatch(line)
        if match is None:
            raise BadValue("tax", line, TAX_REMEDY)
        groups = [group.strip() for group in (match["groups"] or "").split(",") if group.strip()]
        unknown = next((group for group in groups if group not in LINE_GROUPS), None)
        if unknown is not None:
            raise BadValue("lines of a tax", unknown, f"choose among: {', '.join(LINE_GROUPS)}")
        percent = read_number(match["percent"], match["name"])
        if not 0 <= percent <= 100:
            raise BadValue(f"tax {match['name']!r}", number_text(percent), "a percentage of 0 to 100")
        found.append({"name": match["name"], "percent": percent, "groups": groups})
    return found


def taxes_text(taxes: Sequence[Mapping[str, Any]]) -> str:
    """Return taxes as they are typed.

    >>> taxes_text([{"name": "VAT", "percent": 7.7, "groups": ["labour"]}])
    'VAT 7.7 (labour)'
    """
    return "\n".join(
        f"{tax['name']} {number_text(tax['percent'])}" + (f" ({', '.join(tax['groups'])})" if tax.get("groups") else "")
        for tax in taxes)


def lines_of(text: Any) -> list[str]:
    """Return the lines of a box that are not empty."""
    return [line.strip() for line in str(text).splitlines() if line.strip()]
