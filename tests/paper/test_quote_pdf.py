"""The quote on paper: two pages, tagged, the same bytes again, and the numbers of the text and the JSON."""

from __future__ import annotations

import json
import re
import subprocess
from datetime import date
from pathlib import Path

import pytest

from finishplan import cli
from finishplan.errors import UnknownName
from finishplan.office.quote import Quote
from finishplan.office.quote_tables import as_data
from finishplan.office.quote_work import work_up_quote
from finishplan.paper.quote_pdf import quote_pdf, quote_pictures
from finishplan.records.files import demo_job_path, demo_shop_path, read_file
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import read_job_dict
from finishplan.wording import film_words

DAY = date(2026, 6, 1)


def made(raw: dict[str, object] | None = None, terms: dict[str, object] | None = None) -> Quote:
    shop = read_file(demo_shop_path())
    shop["quote"] = {**shop["quote"], **(terms or {})}
    job = read_job_dict({**read_file(demo_job_path()), **(raw or {})})
    return work_up_quote(job, apply_shop(default_profile(), shop), DAY)[0]


@pytest.fixture(scope="module")
def demo() -> Quote:
    return made({"customer": "nobody (invented)"}, {"shop_text": "Keys stay with us.", "sand_through_text": "Ours."})


def text_of(pdf: bytes, folder: Path, page: int | None = None) -> str:
    path = folder / "quote.pdf"
    path.write_bytes(pdf)
    pages = [] if page is None else ["-f", str(page), "-l", str(page)]
    done = subprocess.run(["pdftotext", "-layout", *pages, str(path), "-"], capture_output=True, check=True)
    return " ".join(done.stdout.decode().split())


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_two_pages_tagged_and_the_same_bytes_again(demo: Quote, paper: str, tmp_path: Path) -> None:
    first = quote_pdf(demo, paper)
    assert first == quote_pdf(demo, paper)
    path = tmp_path / "quote.pdf"
    path.write_bytes(first)
    told = subprocess.run(["pdfinfo", str(path)], capture_output=True, check=True).stdout.decode()
    assert re.search(r"Pages:\s+2\n", told) and re.search(r"Tagged:\s+yes", told)
    assert ("A4" if paper == "A4" else "letter") in told
    fonts = subprocess.run(["pdffonts", str(path)], capture_output=True, check=True).stdout.decode().splitlines()[2:]
    assert fonts and all(line.split()[-5] == "yes" for line in fonts), "every font is carried"


def test_page_one_holds_options_and_price_page_two_scope_terms_and_acceptance(demo: Quote, tmp_path: Path) -> None:
    one, two = (text_of(quote_pdf(demo), tmp_path, page) for page in (1, 2))
    for words in ("Estimate", "nobody (invented)", "buff only", "level every seen face", "sand-through", "Total"):
        assert words in one
    for words in ("Scope of: repair what shows", "we count on", "Not in the price", "Local law first", "Ours.",
                  "Keys stay with us.", "I have read this offer", "Name, signature"):
        assert words in two
    assert not re.search(r"\b(margin|loss|cost)\b", one + two), "the owner's view is never printed"


def test_pdf_and_json_carry_the_same_prices(demo: Quote, tmp_path: Path) -> None:
    said = text_of(quote_pdf(demo), tmp_path)
    for option in as_data(demo)["options"]:
        assert f"€{float(option['price']['total']):,.2f}" in said
    for line in as_data(demo)["options"][1]["price"]["lines"]:
        assert f"€{float(line['amount']):,.2f}" in said


def test_what_people_type_is_never_markup(tmp_path: Path) -> None:
    odd = made({"customer": "#panic() *x* $y$ <z> \\"}, {"shop_text": "= no heading\n#let a = 1"})
    said = text_of(quote_pdf(odd), tmp_path)
    assert "#panic() *x* $y$ <z> \\" in said and "#let a = 1" in said


def test_a_whole_grand_of_21_panels_is_two_pages_and_names_every_panel(tmp_path: Path) -> None:
    panels = read_file(demo_job_path())["panels"]
    many = made({"panels": [{**panel, "name": f"{panel['name']} {k}"} for k in range(3) for panel in panels]})
    said = quote_pdf(many, "Letter")
    assert "page 2 of 2" in text_of(said, tmp_path, 2)
    two = text_of(said, tmp_path, 2)
    assert len(many.scope) == 21 and all(line.panel.split(",")[0] in two for line in many.scope)
    for statement in many.film:
        assert re.search(rf"{re.escape(statement.film.panel)} {film_words(statement.film.now_um)}\b", two)


def test_long_terms_go_on_overleaf_and_nothing_is_lost(tmp_path: Path) -> None:
    names = ("shop_text", "warranty_text", "payment_text", "sand_through_text")
    words = {name: [f"{name[:4]}{k}" for k in range(200)] for name in names}
    said = text_of(quote_pdf(made(terms={name: " ".join(found) for name, found in words.items()})), tmp_path).split()
    assert {word for found in words.values() for word in found} <= set(said)
    assert "signature" in said


def test_the_pictures_are_of_the_same_two_pages(demo: Quote) -> None:
    pages = quote_pictures(demo)
    assert len(pages) == 2 and all(page.startswith("<svg") for page in pages)


def test_an_unknown_paper_is_named(demo: Quote) -> None:
    with pytest.raises(UnknownName, match="choose one of: A4, Letter"):
        quote_pdf(demo, "A3")


def test_the_command_writes_the_pdf_on_the_shop_s_paper(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    shop = tmp_path / "our.shop.json"
    shop.write_text(json.dumps({**read_file(demo_shop_path()), "paper": "Letter"}), encoding="utf-8")
    out = tmp_path / "quote.pdf"
    asked = ["quote", str(demo_job_path()), "--shop", str(shop), "--start", "2026-06-01", "--pdf", str(out)]
    assert cli.main(asked) == 1
    said = capsys.readouterr()
    assert said.out == f"{out} is written.\n" and said.err == ""
    assert "612 x 792" in subprocess.run(["pdfinfo", str(out)], capture_output=True, check=True).stdout.decode()
