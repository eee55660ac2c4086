"""Readings and defects to a spreadsheet and back: text stays text, bad cells are named, nothing is guessed."""

from __future__ import annotations

import codecs
import csv
import io
import re
import zipfile
from typing import Any

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from store_examples import HOSTILE, at, job, readings, zone

from finishplan.errors import BadFile, FinishplanError, UnknownName
from finishplan.records.store import Store
from finishplan.records.tables import COLUMNS, add_rows, as_csv, as_xlsx, csv_text, from_csv_text, rows_of
from finishplan.records.tables_in import read_table
from finishplan.survey.job import read_job_dict

FORMULAS = ["=1+1", "+1", "-1", "@SUM(A1)", "=cmd|' /C calc'!A0", "'=1", "''=1", "\t=1", "=HYPERLINK(\"http://x\")"]


def surveyed(note: str = "near the hinge") -> dict[str, Any]:
    body = job()
    body["panels"][0]["zones"][0] = zone(
        readings=[{"um": 412, "method": "ultrasonic", "spot": 1, "at": {"x": 0.3, "y": 0.6}, "note": note},
                  {"um": 398.5, "method": "step at mortise"}],
        defects=[{"kind": "scratch", "count": 3, "length_mm": 140, "width_mm": 0.3, "seen_in": "detail", "note": note,
                  "depth_um": {"low": 10, "likely": 20, "high": 45}, "at": {"x": 0.31, "y": 0.62}},
                 {"kind": "dull_area", "area_m2": 0.4, "wish": "leave", "depth_um": 20, "missing_ml": 1.5}])
    return body


def emptied(body: dict[str, Any]) -> dict[str, Any]:
    zones = [{**one, "readings": [], "defects": []} for one in body["panels"][0]["zones"]]
    return {**body, "panels": [{**body["panels"][0], "zones": zones}]}


def as_file(body: dict[str, Any], what: str, kind: str) -> bytes:
    return as_csv(body, what) if kind == "csv" else as_xlsx(body)


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
@pytest.mark.parametrize("note", ["", "near, the \"hinge\"", "two\nlines", *FORMULAS, *HOSTILE.values()])
def test_there_and_back_again(kind: str, note: str) -> None:
    body = surveyed(note)
    found = emptied(body)
    for what in COLUMNS:
        found = add_rows(found, what, read_table(as_file(body, what, kind), f"a.{kind}", what))
    assert read_job_dict(found) == read_job_dict(body)


TYPED = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=40)


@settings(max_examples=60, deadline=None)
@given(note=TYPED | st.sampled_from(FORMULAS), um=st.floats(0.001, 5000), kind=st.sampled_from(["csv", "xlsx"]))
def test_what_is_typed_comes_back_from_a_spreadsheet(note: str, um: float, kind: str) -> None:
    body = surveyed(note)
    readings(body)[0]["um"] = um
    rows = read_table(as_file(body, "readings", kind), "a", "readings")
    entry = readings(add_rows(emptied(body), "readings", rows))[0]
    # XLSX keeps 15 to 16 digits, and has no letters U+FFFE and U+FFFF; they become the usual mark.
    wanted = note.replace("\ufffe", "\ufffd").replace("\uffff", "\ufffd") if kind == "xlsx" else note
    assert entry["um"] == (um if kind == "csv" else pytest.approx(um, rel=1e-15))
    assert entry.get("note", "") == wanted.strip()


@given(st.integers(1, 5_000_000))
@settings(max_examples=30, deadline=None)
def test_films_as_gauges_show_them_come_back_exactly(thousandths: int) -> None:
    body = surveyed()
    readings(body)[0]["um"] = thousandths / 1000
    for kind in ("csv", "xlsx"):
        assert read_table(as_file(body, "readings", kind), "a", "readings")[0]["um"] == thousandths / 1000


@given(st.text(max_size=9) | st.text("'=+-@\t\r\n", max_size=6))
def test_csv_text_is_never_a_formula_and_comes_back(text: str) -> None:
    assert not csv_text(text).startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
    assert from_csv_text(csv_text(text)) == text


@pytest.mark.parametrize("note", FORMULAS)
def test_no_cell_becomes_a_formula(note: str) -> None:
    data = as_xlsx(surveyed(note))
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        for name in packed.namelist():
            assert not re.search(rb"<f[ >/]", packed.read(name)), "a formula stands in the workbook"
    sheet = openpyxl.load_workbook(io.BytesIO(data))["readings"]
    assert (sheet["H2"].value, sheet["H2"].data_type) == (note, "s")
    cells = next(row for row in csv.reader(io.StringIO(as_csv(surveyed(note), "readings").decode("utf-8-sig")))
                 if row[0] == "lid")
    assert cells[-1].startswith("'"), "the first letter must not be one that begins a formula"


def test_the_table_by_example() -> None:
    assert as_csv(surveyed(), "readings").decode("utf-8-sig").splitlines() == [
        "panel,zone,um,method,spot,x,y,note",
        "lid,field,412,ultrasonic,1,0.3,0.6,near the hinge",
        "lid,field,398.5,step at mortise,,,,",
    ]
    assert as_csv(surveyed(), "defects").startswith(codecs.BOM_UTF8 + b"panel,zone,kind,count,length_mm,width_mm,")
    assert rows_of(surveyed(), "defects")[1] | {"panel": "x"} == {
        "panel": "x", "zone": "field", "kind": "dull_area", "count": None, "length_mm": None, "width_mm": None,
        "area_m2": 0.4, "depth_low_um": None, "depth_likely_um": 20, "depth_high_um": None, "seen_in": None,
        "wish": "leave", "missing_ml": 1.5, "x": None, "y": None, "note": None}


def test_rows_are_added_after_what_is_there_and_kept_in_the_store(lite: Store) -> None:
    made = lite.start(surveyed(), "Ana", at())
    rows = read_table(b"Panel,zone,UM,spot\nlid,front edge,255,1\nlid,field,390,3\n", "more.csv", "readings")
    edited = lite.change(made.id, lambda body: add_rows(body, "readings", rows), "Ana", at(1), "read from more.csv")
    assert [entry["um"] for entry in readings(edited.body)] == [412, 398.5, 390]
    assert readings(edited.body, 0, 1) == [{"um": 255, "spot": 1}]
    assert len(readings(made.body)) == 2, "the body that was given is not changed"


@pytest.mark.parametrize("data", [
    b"panel;zone;um\nlid;field;412,5\n",
    b"panel\tzone\tum\nlid\tfield\t412,5\n",
    b"panel,zone,um\r\nlid,field,412.5\r\n",
    b"\xef\xbb\xbfzone,um,panel\nfield,412.5,lid\n\n,,\n",
    "panel,zone,um\nlid,field,412.5\n".encode("utf-16"),
    b'panel,zone,um\n"lid","field","4.125e2"\n',
])
def test_the_ways_spreadsheets_write_csv(data: bytes) -> None:
    assert read_table(data, "a.csv", "readings") == ({"panel": "lid", "zone": "field", "um": 412.5},)


def book(*rows: list[Any], title: str = "Sheet1") -> bytes:
    made = openpyxl.Workbook()
    made.active.title = title
    for row in rows:
        made.active.append(row)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def test_a_workbook_made_by_hand_is_read() -> None:
    data = book(["panel", "zone", "um", "spot", None, "note"], ["lid", 1, "412.5", 1.0, None, 7], [None, " ", None])
    assert read_table(data, "a.xlsx", "readings") == (
        {"panel": "lid", "zone": "1", "um": 412.5, "spot": 1, "note": "7"},)


HEAD = b"panel,zone,um,spot\n"


@pytest.mark.parametrize(("data", "text"), [
    (b"", "'a.csv': row 1: the column 'panel' is missing; the first row names the columns"),
    (b"panel,zone\nlid,field\n", "'a.csv': row 1: the column 'um' is missing; the first row names the columns"),
    (b"panel,zone,um,colour\n", "'a.csv': row 1: unknown key 'colour'"),
    (b"panel,zone,um,um\n", "'a.csv': row 1: the column 'um' stands twice; keep one"),
    (HEAD + b"lid,field,thick,1\n", "'a.csv': row 2: um is 'thick'; give a number, with a point for decimals"),
    (HEAD + b"lid,field,\"412,5\",1\n", "'a.csv': row 2: um is '412,5'; give a number, with a point for decimals"),
    (HEAD + b"lid,field,nan,1\n", "'a.csv': row 2: um is 'nan'; give a number"),
    (HEAD + b"lid,field,1e999,1\n", "'a.csv': row 2: um is '1e999'; give a number"),
    (HEAD + b"lid,field,412,1.5\n", "'a.csv': row 2: spot is 1.5; give a whole number"),
    (HEAD + b"lid,field,412,1\n,field,400,1\n", "'a.csv': row 3: panel is empty; fill it in, or take the row out"),
    (HEAD + b"lid,field,412,1,odd\n", "'a.csv': row 2: it has more cells than the first row has names; mend the row"),
    (HEAD + b"lid,field,412,1\n" * 3001, "'a.csv': it has more than 3000 rows; is it the right file?"),
    (b"panel,zone,um,note\nlid,field,412," + b"x" * 4001, "'a.csv': row 2: note is 'xxx"),
    (b"panel,zone,um,note\nlid,field,412,\"" + b"x" * 140_000, "this is not CSV (field larger than field limit"),
    (b"panel,zone,um\nM\xfcller,field,412\n", "'a.csv': byte 16 is not UTF-8 text; save it as CSV UTF-8, or as XLSX"),
    (b"panel,zone,um\n\0\0\0\n", "'a.csv': it holds NUL characters, so it is no CSV; save it as CSV UTF-8"),
    (bytes(5_000_001), "'a.csv': 5 MB is too large; give at most 5 MB"),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "'a.csv': this is an old XLS file; save it as XLSX or CSV"),
    (b"PK\x03\x04" + bytes(99), "'a.csv': this is no XLSX workbook that can be read; save it again as XLSX"),
])
def test_a_bad_table_is_refused_in_one_line(data: bytes, text: str) -> None:
    with pytest.raises(BadFile, match=re.escape(text)) as told:
        read_table(data, "a.csv", "readings")
    assert "\n" not in str(told.value) and len(str(told.value)) < 300


STRINGS = "application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"


def packed_again(data: bytes, name: str, content: bytes) -> bytes:
    """Return a workbook with one part changed or added."""
    part = f'<Override PartName="/{name}" ContentType="{STRINGS}"/></Types>'.encode()
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target:
        parts = {entry: source.read(entry) for entry in source.namelist()}
        if name not in parts:
            parts["[Content_Types].xml"] = parts["[Content_Types].xml"].replace(b"</Types>", part)
        for entry, inner in {**parts, name: content}.items():
            target.writestr(entry, inner)
    return out.getvalue()


SPACE = b'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
ENTITIES = b"".join(b'<!ENTITY %c "%s">' % (98 + level, b"&%c;" % (97 + level) * 10) for level in range(9))
BOMBS = {
    "unpacks to 25 MB": (b"<sst>" + b" " * 25_000_000 + b"</sst>", "it unpacks to more than a table of readings can"),
    "entities": (
        b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">' + ENTITIES + b"]><sst " + SPACE + b"><si><t>&j;</t></si></sst>",
        "this is no XLSX workbook that can be read"),
    "outside entity": (
        b'<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]><sst ' + SPACE + b"><si><t>&a;</t></si></sst>",
        "this is no XLSX workbook that can be read"),
    "no XML": (b"<sst", "this is no XLSX workbook that can be read"),
}


@pytest.mark.parametrize("bomb", BOMBS)
def test_workbooks_that_mean_harm_are_refused(bomb: str) -> None:
    content, text = BOMBS[bomb]
    data = packed_again(book(["panel", "zone", "um"], ["lid", "field", 412]), "xl/sharedStrings.xml", content)
    with pytest.raises(BadFile, match=text):
        read_table(data, "a.xlsx", "readings")


def test_a_workbook_of_very_many_rows_is_refused_early() -> None:
    head = b"".join(b'<c r="%s1" t="inlineStr"><is><t>%s</t></is></c>' % pair
                    for pair in ((b"A", b"panel"), (b"B", b"zone"), (b"C", b"um")))
    cells = b'<c r="A%d" t="inlineStr"><is><t>lid</t></is></c><c r="B%d" t="inlineStr"><is><t>field</t></is></c>'
    for count, text in ((4000, "it has more than 3000 rows"), (200_000, "it unpacks to more than a table of")):
        rows = b"".join(b'<row r="%d">' % n + cells % (n, n) + b'<c r="C%d"><v>400</v></c></row>' % n
                        for n in range(2, count))
        start = b"<worksheet " + SPACE + b'><sheetData><row r="1">' + head + b"</row>"
        data = packed_again(book(["a"]), "xl/worksheets/sheet1.xml", start + rows + b"</sheetData></worksheet>")
        with pytest.raises(BadFile, match=text):
            read_table(data, "a.xlsx", "readings")


WHOLE = [as_xlsx(surveyed()), as_csv(surveyed(), "readings"), book(["panel", "zone", "um"])]


@settings(max_examples=100, deadline=None)
@given(st.data())
def test_spoiled_files_never_end_in_a_traceback(data: st.DataObject) -> None:
    whole = data.draw(st.sampled_from(WHOLE))
    spoiled = bytearray(whole)
    for _ in range(data.draw(st.integers(1, 6))):
        spoiled[data.draw(st.integers(0, len(spoiled) - 1))] = data.draw(st.integers(0, 255))
    try:
        read_table(bytes(spoiled), "a", data.draw(st.sampled_from(list(COLUMNS))))
    except FinishplanError as error:
        assert "\n" not in str(error)


def test_a_place_that_the_job_does_not_have_is_named() -> None:
    rows = read_table(HEAD + b"lid,field,400,1\nlidd,field,412,1\n", "a.csv", "readings")
    with pytest.raises(UnknownName, match=r"row 3: panel is 'lidd'; did you mean 'lid'\? choose one of: lid"):
        add_rows(job(), "readings", rows)
    rows = read_table(HEAD + b"lid,edge,400,1\n", "a.csv", "readings")
    with pytest.raises(UnknownName, match=r"row 2, panel 'lid': zone is 'edge'; .*choose one of: field, front edge"):
        add_rows(job(), "readings", rows)


@pytest.mark.parametrize("ask", [
    lambda: rows_of(job(), "photos"), lambda: as_csv(job(), "photos"), lambda: add_rows(job(), "photos", []),
    lambda: read_table(b"", "a", "photos"),
])
def test_other_tables_are_refused(ask: Any) -> None:
    with pytest.raises(UnknownName, match=r"table is 'photos'; .*choose one of: readings, defects"):
        ask()
