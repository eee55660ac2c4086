"""Fonts: which letters there are, what becomes of the others, and words that would run off the page."""

from __future__ import annotations

import struct
import unicodedata
from io import BytesIO

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishplan.paper import pdf_fonts
from finishplan.paper.pdf_fonts import (
    FAMILIES,
    FONT_PACKAGES,
    FontsMissing,
    MissingLetter,
    Printer,
    font_folders,
    font_letters,
    missing_letters,
    shapes_of,
    without_glyph,
)

PIANO = "\U0001F3B9"


def test_every_package_is_here_with_its_licence() -> None:
    folders = font_folders()
    assert len(folders) == len(FONT_PACKAGES)
    for folder in folders:
        fonts = list(folder.rglob("*.ttf"))
        texts = [path for path in folder.rglob("*") if path.name in ("LICENSE", "OFL.txt")]
        assert fonts
        assert texts
        assert all("SIL OPEN FONT LICENSE" in path.read_text(encoding="utf-8").upper() for path in texts)


def test_letters_agree_with_another_reader_of_fonts() -> None:
    """Against fontTools, for every font; every table of format 4 in them is read as well."""
    reader = pytest.importorskip("fontTools.ttLib")
    every, segments = np.arange(0x110000), 0
    for folder in font_folders():
        for path in sorted(folder.rglob("*.ttf")):
            if "CJK" in path.name or any(name in path.name for name in ("SC[", "TC[", "KR[")):
                continue
            data = path.read_bytes()
            font = reader.TTFont(BytesIO(data), lazy=True)
            has = font_letters(data).has(every)
            assert set(every[has].tolist()) == set(font.getBestCmap()), path.name
            start = font.reader.tables["cmap"].offset
            for table in font["cmap"].tables:
                if table.format == 4:
                    offset = next(at for p, e, at in (
                        struct.unpack_from(">HHL", data, start + 4 + 8 * k)
                        for k in range(len(font["cmap"].tables)))
                        if (p, e) == (table.platformID, table.platEncID))
                    found = pdf_fonts.segments(data, start + offset)
                    assert set(found.first.tolist()) == set(table.cmap), path.name
                    segments += 1
    assert segments


def test_families_are_those_of_the_packages() -> None:
    from finishplan.paper.pdf import fonts

    assert set(FAMILIES) == set(fonts().families())


@pytest.mark.parametrize("name", [
    "Deckel, Fläche", "Крышка", "καπάκι", "蓋の上", "钢琴盖", "뚜껑", "غطاء", "מכסה", "ฝาเปียโน", "ढक्कन", "ঢাকনা",
    "மூடி", "మూత", "ຝາ", "គម្រប", "အဖုံး", "Nắp đàn", "½ – 20 µm · 5 °C",
])
def test_names_in_many_scripts_have_their_letters(name: str) -> None:
    assert missing_letters([name]) == ()
    assert without_glyph(name) == frozenset()


def test_a_letter_that_no_font_has_is_told_by_code_name_and_text() -> None:
    printer = Printer()
    assert printer.text(f"lid {PIANO} top") == "lid [U+1F3B9] top"
    assert [str(letter) for letter in printer.missing.values()] == [
        f"[U+1F3B9] musical keyboard, in 'lid {PIANO} top': no font here has this letter; its code is printed in "
        "its place"]
    assert missing_letters([f"lid {PIANO}", f"rim {PIANO}\u16A0"]) == (
        MissingLetter(PIANO, f"lid {PIANO}"), MissingLetter("\u16A0", f"rim {PIANO}\u16A0"))
    assert MissingLetter("\ue000", "x").named == "[U+E000] no known letter"


def test_letters_that_turn_or_steer_the_writing_are_dropped() -> None:
    assert shapes_of("a\u202eb\u2066c\u200ed\ufeffe\u00adf") == "abcdef"
    assert shapes_of("e\u0301") == "\u00e9"
    assert shapes_of(" two\n\tlines\u2028here\u00a0") == "two lines here"
    assert shapes_of("ka\u200dka") == "ka\u200dka", "some scripts need their joiners"


def test_long_words_may_be_broken_but_not_before_a_mark() -> None:
    printer = Printer()
    assert printer.text("p" * 200).replace("\u200b", "") == "p" * 200
    assert max(len(piece) for piece in printer.text("p" * 200).split("\u200b")) == 6
    assert "\u200b" not in printer.text("a few short words that make a long line of text")
    assert "\u200b" not in printer.text("\u84cb" * 100), "Han letters break by themselves"
    joined = printer.text("\u0915\u093f" * 60)
    assert all(not unicodedata.category(piece[0]).startswith("M") for piece in joined.split("\u200b"))


def test_without_its_own_fonts_nothing_is_printed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pdf_fonts, "find_spec", lambda name: None)
    font_folders.cache_clear()
    try:
        with pytest.raises(FontsMissing, match=r"are not installed; try: pip install fontpkg-noto-sans"):
            font_folders()
    finally:
        font_folders.cache_clear()


def test_without_the_other_fonts_only_their_letters_are_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    found = pdf_fonts.find_spec
    monkeypatch.setattr(pdf_fonts, "find_spec", lambda name: found(name) if name == "fontpkg_noto_sans" else None)
    for cached in (font_folders, pdf_fonts.letters):
        cached.cache_clear()
    try:
        assert [letter.letter for letter in missing_letters(["Lid 蓋, Крышка"])] == ["蓋"]
    finally:
        for cached in (font_folders, pdf_fonts.letters):
            cached.cache_clear()


def test_a_font_without_a_table_of_letters_is_refused() -> None:
    with pytest.raises(FontsMissing, match="no table of its letters; install the font packages again"):
        font_letters(struct.pack(">LHHHH", 0x00010000, 0, 0, 0, 0) + bytes(16))
    head = struct.pack(">LHHHH", 0x00010000, 1, 0, 0, 0) + struct.pack(">4sLLL", b"cmap", 0, 28, 12)
    with pytest.raises(FontsMissing, match="no table of its letters"):
        font_letters(head + struct.pack(">HHHHL", 0, 1, 1, 0, 12) + bytes(16))


@given(st.text(max_size=60))
def test_what_is_printed_has_all_its_letters(text: str) -> None:
    printer = Printer()
    shown = printer.text(text)
    assert without_glyph(shown.replace("\u200b", "")) == frozenset()
    assert "\n" not in shown
    assert set(printer.missing) == without_glyph(shapes_of(text))
