"""Takes the README's pictures anew from the demo: the plan page, a bench sheet, the film section of a panel.

    python -m tests.pictures

Needs the browser of the browser tests and pdftoppm. Each picture stays under 200 kB.
"""

from __future__ import annotations

import io
import subprocess
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

from finishplan.paper.pdf import pdf_of
from finishplan.paper.sheets import sheet_document
from finishplan.records.files import demo_job_path, demo_shop_path, read_file
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import read_job_dict
from finishplan.workup import work_up
from tests.soak.tablets import CHROMIUM, started

FOLDER = Path(__file__).parents[1] / "data" / "demo"
MOST_BYTES = 200_000
WIDTH, HEIGHT = 1180, 860
SHEET_PAGE = 3
"""The first panel's sheet: the front page of the job takes two."""


def keep(name: str, png: bytes) -> None:
    """Write a picture in 64 colours; raises AssertionError where it is too large."""
    out = io.BytesIO()
    Image.open(io.BytesIO(png)).convert("RGB").quantize(64).save(out, "PNG", optimize=True)
    assert len(out.getvalue()) < MOST_BYTES, f"{name} is {len(out.getvalue())} bytes"
    (FOLDER / name).write_bytes(out.getvalue())


def screens(folder: Path) -> None:
    """Take the head of the plan page, and one film section."""
    server, address = started(folder)
    try:
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
            page = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT})
            page.goto(f"{address}/")
            page.get_by_role("button", name="Open the demo job").click()
            page.get_by_role("link", name="Plan").click()
            page.get_by_role("heading", name="Zone by zone").wait_for()
            page.wait_for_selector("[data-testid=stApp][data-test-script-state=notRunning]")
            keep("plan_page.png", page.screenshot())
            section = page.locator("img.figure").first
            section.scroll_into_view_if_needed()
            keep("film_section.png", section.screenshot())
            browser.close()
    finally:
        server.terminate()
        server.wait(30)


def sheet(folder: Path) -> None:
    """Take the bench sheet of the demo's first panel."""
    profile = apply_shop(default_profile(), read_file(demo_shop_path()))
    answer = work_up(read_job_dict(read_file(demo_job_path())), profile)
    (folder / "sheet.pdf").write_bytes(pdf_of(sheet_document(answer), "A4"))
    page = str(SHEET_PAGE)
    subprocess.run(["pdftoppm", "-png", "-r", "75", "-f", page, "-l", page, "-singlefile", "sheet.pdf", "sheet"],
                   cwd=folder, check=True, capture_output=True)
    keep("bench_sheet.png", (folder / "sheet.png").read_bytes())


def main() -> None:
    """Take all three."""
    with tempfile.TemporaryDirectory() as folder:
        screens(Path(folder) / "data")
        sheet(Path(folder))


if __name__ == "__main__":
    main()
