"""Readings and defects as CSV or XLSX: out for a spreadsheet, and in from one.

Numbers come back as they were up to their 15th digit: more than that XLSX does not keep. What a person typed
stays text: a cell that begins with ``= + - @`` never becomes a formula. In XLSX it is
marked as text; in CSV it gets a ``'`` before it, which is taken away again on the way in.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from finishplan.errors import UnknownName

Cell = str | float | int | None

COLUMNS: dict[str, tuple[str, ...]] = {
    "readings": ("panel", "zone", "um", "method", "spot", "x", "y", "note"),
    "defects": (
        "panel", "zone", "kind", "count", "length_mm", "width_mm", "area_m2", "depth_low_um",
        "depth_likely_um", "depth_high_um", "seen_in", "wish", "missing_ml", "x", "y", "note",
    ),
}
"""The tables and their columns, in order; the same names stand in the first row of a file."""

NEEDED = {"readings": ("panel", "zone", "um"), "defects": ("panel", "zone", "kind")}
"""Columns without which a row says nothing."""
WHOLE = ("spot", "count")
TEXT = ("panel", "zone", "method", "kind", "seen_in", "wish", "note")
_RISKY = re.compile(r"'*[=+\-@\t\r\n]")


def rows_of(body: Mapping[str, Any], what: str) -> list[dict[str, Cell]]:
    """Return the readings or defects of a job, one row each, in the order of the job."""
    if what not in COLUMNS:
        raise UnknownName("table", what, COLUMNS)
    found: list[dict[str, Cell]] = []
    for panel in body.get("panels") or ():
        for zone in panel.get("zones") or ():
            for entry in zone.get(what) or ():
                place = {"panel": panel["name"], "zone": zone["name"]}
                found.append({**place, **_flat(entry, COLUMNS[what])})
    return found


def as_csv(body: Mapping[str, Any], what: str) -> bytes:
    """Return readings or defects of a job as CSV (UTF-8 with a mark, so that spreadsheets read it right)."""
    rows, out = rows_of(body, what), io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(COLUMNS[what])
    for row in rows:
        writer.writerow([_csv_cell(row.get(name)) for name in COLUMNS[what]])
    return out.getvalue().encode("utf-8-sig", "replace")


def as_xlsx(body: Mapping[str, Any]) -> bytes:
    """Return readings and defects of a job as a workbook of two sheets."""
    from openpyxl import Workbook  # type: ignore[import-untyped]
    from openpyxl.cell import WriteOnlyCell  # type: ignore[import-untyped]

    book = Workbook(write_only=True)
    for what, names in COLUMNS.items():
        sheet = book.create_sheet(what)
        sheet.freeze_panes = "A2"
        sheet.append(list(names))
        for row in rows_of(body, what):
            cells = []
            for name in names:
                value = row.get(name)
                cell = WriteOnlyCell(sheet, value=plain_text(value) if isinstance(value, str) else value)
                if isinstance(value, str):
                    cell.data_type = "s"  # else a text that begins with = would be written as a formula
                cells.append(cell)
            sheet.append(cells)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def plain_text(text: str) -> str:
    """Return ``text`` as a spreadsheet file can hold it: no control or half characters, at most 32,000 letters."""
    lines = text[:32_000].replace("\r\n", "\n").replace("\r", "\n")
    kept = "".join("\ufffd" if ord(c) < 32 and c not in "\t\n" else c for c in lines)
    return kept.encode("utf-8", "replace").decode().replace("\ufffe", "\ufffd").replace("\uffff", "\ufffd")


def csv_text(text: str) -> str:
    """Return ``text`` so that no spreadsheet takes it for a formula; ``from_csv_text`` gives it back.

    >>> csv_text("=1+1")
    "'=1+1"
    """
    return f"'{text}" if _RISKY.match(text) else text


def from_csv_text(text: str) -> str:
    """Return what ``csv_text`` was given."""
    return text[1:] if text.startswith("'") and _RISKY.match(text) else text


def _csv_cell(value: Cell) -> str:
    if value is None:
        return ""
    return csv_text(value) if isinstance(value, str) else repr(value)


def _flat(entry: Mapping[str, Any], names: Iterable[str]) -> dict[str, Cell]:
    place, depth = entry.get("at") or {}, entry.get("depth_um")
    if not isinstance(depth, Mapping):
        # One number is a measured depth: it stands as likely, alone.
        depth = {"likely": depth}
    special: dict[str, Cell] = {"x": place.get("x"), "y": place.get("y")}
    special |= {f"depth_{part}_um": depth.get(part) for part in ("low", "likely", "high")}
    return {name: special[name] if name in special else entry.get(name) for name in names
            if name not in ("panel", "zone")}


def add_rows(body: Mapping[str, Any], what: str, rows: Sequence[Mapping[str, Cell]]) -> dict[str, Any]:
    """Return the job with ``rows`` added to the zones that they name, after what is there.

    Raises UnknownName for a panel or zone that the job does not have; the job itself stays as it was.
    """
    if what not in COLUMNS:
        raise UnknownName("table", what, COLUMNS)
    made: dict[tuple[str, str], list[dict[str, Any]]] = {}
    for panel in body.get("panels") or ():
        for zone in panel.get("zones") or ():
            made[(panel["name"], zone["name"])] = list(zone.get(what) or ())
    for number, row in enumerate(rows, start=2):
        panel_name, zone_name = str(row["panel"]), str(row["zone"])
        place = f"row {number}"
        panels = list(dict.fromkeys(name for name, _ in made))
        if panel_name not in panels:
            raise UnknownName("panel", panel_name, panels, place)
        if (panel_name, zone_name) not in made:
            zones = [zone for name, zone in made if name == panel_name]
            raise UnknownName("zone", zone_name, zones, f"{place}, panel {panel_name!r}")
        made[(panel_name, zone_name)].append(_entry(row))
    return {**body, "panels": [
        {**panel, "zones": [{**zone, what: made[(panel["name"], zone["name"])]} for zone in panel["zones"]]}
        for panel in body["panels"]
    ]}


def _entry(row: Mapping[str, Cell]) -> dict[str, Any]:
    """Return the reading or defect of a row, as the job file holds it."""
    apart = {"panel", "zone", "x", "y", "depth_low_um", "depth_likely_um", "depth_high_um"}
    entry: dict[str, Any] = {name: value for name, value in row.items() if name not in apart and value is not None}
    if row.get("x") is not None or row.get("y") is not None:
        entry["at"] = {"x": row.get("x"), "y": row.get("y")}
    low, likely, high = (row.get(f"depth_{part}_um") for part in ("low", "likely", "high"))
    if low is not None or high is not None:
        entry["depth_um"] = {"low": low, "likely": likely, "high": high}
    elif likely is not None:
        entry["depth_um"] = likely
    return entry
