"""Reading a table of readings or defects from CSV or XLSX, row by row, trusting none of it."""

from __future__ import annotations

import csv
import io
import math
import re
import warnings
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import Any

from finishplan.errors import BadFile, BadValue, FinishplanError, UnknownKey, UnknownName, shown
from finishplan.records.tables import COLUMNS, NEEDED, TEXT, WHOLE, Cell, from_csv_text

MAX_TABLE_BYTES = 5_000_000
MAX_UNPACKED_BYTES = 6_000_000
"""An XLSX file is packed; one that unpacks to more is not opened: reading it would take seconds."""
MAX_ROWS = 3_000
MAX_CELL_LETTERS = 4000
Raw = str | float | int | bool | None | object


def read_table(data: bytes, name: str, what: str) -> tuple[dict[str, Cell], ...]:
    """Return the rows of a CSV or XLSX file of ``what`` (readings or defects), empty cells left out as None.

    The first row names the columns. Raises a FinishplanError, one line, that names file, row and column.
    Use ``tables.add_rows`` to put them into a job.
    """
    if what not in COLUMNS:
        raise UnknownName("table", what, COLUMNS)
    file = shown(name)
    if len(data) > MAX_TABLE_BYTES:
        raise BadFile(f"{file}: {len(data) / 1e6:.0f} MB is too large; give at most {MAX_TABLE_BYTES // 10**6} MB")
    try:
        if data.startswith(b"PK"):
            return _rows(_xlsx_rows(data, what), what, decimal_comma=False)
        if data.startswith(b"\xd0\xcf\x11\xe0"):
            raise BadFile("this is an old XLS file; save it as XLSX or CSV")
        rows, comma = _csv_rows(data)
        return _rows(rows, what, decimal_comma=comma)
    except FinishplanError as error:
        raise BadFile(f"{file}: {error}") from None


def _rows(source: Iterable[Sequence[Raw]], what: str, *, decimal_comma: bool) -> tuple[dict[str, Cell], ...]:
    rows = iter(source)
    names = _header(next(rows, ()), what)
    found: list[dict[str, Cell]] = []
    for number, cells in enumerate(rows, start=2):
        if number > MAX_ROWS + 1:
            raise BadFile(f"it has more than {MAX_ROWS} rows; is it the right file?")
        given = {name: cell for name, cell in zip(names, cells, strict=False) if name and not _blank(cell)}
        if any(not _blank(cell) for cell in cells[len(names):]):
            raise BadFile(f"row {number}: it has more cells than the first row has names; mend the row")
        if given:
            found.append(_row(given, number, what, decimal_comma))
    return tuple(found)


def _header(cells: Sequence[Raw], what: str) -> list[str]:
    names = [str(cell).strip().lower().replace(" ", "_") if not _blank(cell) else "" for cell in cells]
    for name in names:
        if name and name not in COLUMNS[what]:
            raise UnknownKey(name, COLUMNS[what], "row 1")
    for name in NEEDED[what]:
        if name not in names:
            raise BadFile(f"row 1: the column {name!r} is missing; the first row names the columns")
    twice = next((name for name in names if name and names.count(name) > 1), None)
    if twice:
        raise BadFile(f"row 1: the column {twice!r} stands twice; keep one")
    return names


def _row(given: dict[str, Raw], number: int, what: str, decimal_comma: bool) -> dict[str, Cell]:
    for name in NEEDED[what]:
        if name not in given:
            raise BadFile(f"row {number}: {name} is empty; fill it in, or take the row out")
    made: dict[str, Cell] = {}
    for name, cell in given.items():
        place = f"row {number}"
        made[name] = _text(cell, name, place) if name in TEXT else _number(cell, name, place, decimal_comma)
    return made


def _text(cell: Raw, name: str, place: str) -> str:
    text = f"{cell:.15g}" if isinstance(cell, float) else str(cell)
    if len(text) > MAX_CELL_LETTERS:
        raise BadValue(name, text, f"give at most {MAX_CELL_LETTERS} letters", place)
    return text.strip()


def _number(cell: Raw, name: str, place: str, decimal_comma: bool) -> float | int:
    value: float | int | None = None
    if isinstance(cell, str):
        text = cell.strip().replace("\u00a0", "")
        if decimal_comma and re.fullmatch(r"[+-]?\d+,\d+", text):
            text = text.replace(",", ".")
        if re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?", text) and len(text) < 40:
            value = float(text)
    elif isinstance(cell, (int, float)) and not isinstance(cell, bool):
        value = float(cell) if abs(cell) < 1e300 else math.inf
    if value is None or not math.isfinite(value):
        raise BadValue(name, cell, "give a number, with a point for decimals", place)
    if name in WHOLE:
        if value != int(value):
            raise BadValue(name, value, "give a whole number", place)
        return int(value)
    return value


def _blank(cell: Raw) -> bool:
    return cell is None or (isinstance(cell, str) and not cell.strip())


def _csv_rows(data: bytes) -> tuple[Iterator[list[Raw]], bool]:
    """Return the rows of a CSV, and whether a comma may stand for a decimal point in it."""
    text = _decoded(data)
    first = text.partition("\n")[0]
    mark = max((";", "\t", ","), key=first.count)

    def rows() -> Iterator[list[Raw]]:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
        try:
            for cells in reader:
                yield [from_csv_text(cell) for cell in cells]
        except csv.Error as error:
            raise BadFile(f"line {reader.line_num}: this is not CSV ({error}); mend it there") from None

    return rows(), mark != ","


def _decoded(data: bytes) -> str:
    encoding = "utf-16" if data.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        raise BadFile(f"byte {error.start + 1} is not UTF-8 text; save it as CSV UTF-8, or as XLSX") from None
    if "\0" in text:
        raise BadFile("it holds NUL characters, so it is no CSV; save it as CSV UTF-8, or as XLSX")
    return text


def _xlsx_rows(data: bytes, what: str) -> Iterator[list[Raw]]:
    from openpyxl import load_workbook  # type: ignore[import-untyped]

    no_book = BadFile("this is no XLSX workbook that can be read; save it again as XLSX, or as CSV")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if sum(entry.file_size for entry in packed.infolist()) > MAX_UNPACKED_BYTES:
                raise BadFile("it unpacks to more than a table of readings can be; is it the right file?")
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a damaged part that is not read is no news for a person
            book = load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
        sheet: Any = book[what] if what in book.sheetnames else book.worksheets[0]
        width = len(COLUMNS[what]) + 20
        rows = sheet.iter_rows(values_only=True, max_col=width, max_row=MAX_ROWS + 2)
        read = [list(cells) for cells in islice(rows, MAX_ROWS + 2)]
        book.close()
    except FinishplanError:
        raise
    # Damaged workbooks raise nearly anything from inside the library; it reads, it does not act.
    except Exception:
        raise no_book from None
    return iter(read)
