"""The quote in a real browser: five clicks from the demo job to the PDF, and the owner's view never on paper."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

pytestmark = pytest.mark.browser


def serious(page: object) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{v['id']}: {[n['target'] for n in v['nodes']][:3]}" for v in found
            if v["impact"] in ("serious", "critical")]


def test_three_clicks_from_the_door_to_a_pdf_of_two_pages(
    visit: Callable, settled: Callable, tmp_path: Path,
) -> None:
    page = visit(1280, 900, path="")
    page.get_by_role("button", name="Open the demo job").click()
    settled(page)
    page.get_by_role("link", name="Quote", exact=True).click()
    page.get_by_role("heading", name="Sent", exact=True).wait_for()
    settled(page)
    with page.expect_download() as waiting:
        page.get_by_role("button", name="PDF", exact=True).click()
    path = tmp_path / "quote.pdf"
    waiting.value.save_as(path)
    told = subprocess.run(["pdfinfo", str(path)], capture_output=True, check=True).stdout.decode()
    assert re.search(r"Pages:\s+2\n", told)
    printed = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, check=True).stdout.decode()
    shown = page.locator(".fp-options tr:last-child td").all_inner_texts()[1:]
    assert len(shown) == 3 and all(price in printed for price in shown), "page and paper say the same prices"
    assert page.locator(".fp-paper img").count() == 2
    assert page.locator(".fp-paper img").first.evaluate("i => i.complete && i.naturalWidth > 0")
    assert serious(page) == []
    page.get_by_text("Owner's view: cost, margin, chance of a loss").click()
    page.get_by_role("heading", name="For the owner alone").wait_for()
    page.emulate_media(media="print")
    assert not page.get_by_role("heading", name="For the owner alone").is_visible(), "never printed"


def test_on_a_phone_every_option_is_named_before_its_words_and_nothing_runs_over(
    visit: Callable, settled: Callable,
) -> None:
    page = visit(412, 900, path="quote")
    page.get_by_role("button", name="Open the demo job").click()
    page.get_by_role("heading", name="Sent", exact=True).wait_for()
    settled(page)
    before = "e => getComputedStyle(e, '::before').content"
    cells = page.locator(".fp-options tbody tr").first.locator("td")
    assert "buff only" in cells.nth(1).evaluate(before) and "level every" in cells.nth(3).evaluate(before)
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    assert serious(page) == []
