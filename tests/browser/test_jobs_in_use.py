"""Jobs in a real browser: the demo in one click, a job from an instrument's parts, and both looks."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from finishplan.records import where
from finishplan.records.files import demo_job_path, read_file
from finishplan.records.store import open_store

pytestmark = pytest.mark.browser


def serious(page: Any) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [
        f"{v['id']}: {[n['target'] for n in v['nodes']][:3]}" for v in found if v["impact"] in ("serious", "critical")
    ]


def test_the_demo_opens_in_one_click(visit: Callable) -> None:
    page = visit(1280, 900, "light", "")
    page.get_by_role("button", name="Open the demo job").click()
    page.get_by_role("heading", name="Demo (invented): salon grand, lid and rim").wait_for()
    page.get_by_text(re.compile("panels can start")).wait_for()
    assert "/survey?job=" in page.url


@pytest.mark.parametrize(("width", "scheme"), [(1280, "dark"), (820, "light")])
def test_a_job_is_started_found_and_put_away(
    visit: Callable,
    settled: Callable,
    width: int,
    scheme: str,
) -> None:
    page = visit(width, 1180, scheme, "")
    title = f"Practice upright {width}"
    page.get_by_role("button", name="Start a job").click()
    page.get_by_role("button", name="Start with these parts").wait_for()
    page.wait_for_function("""() => {
      const form = document.querySelector(".st-key-start_form").getBoundingClientRect();
      return form.top >= 0 && form.top < innerHeight / 2;
    }""")
    page.get_by_text("upright", exact=True).click()
    settled(page)
    assert serious(page) == []
    page.get_by_label("Title", exact=True).fill(title)
    page.get_by_role("button", name="Start with these parts").click()
    page.get_by_role("heading", name="Finish and build first").wait_for()
    assert page.locator("h1").inner_text() == title
    page.get_by_role("link", name="Jobs").click()
    page.get_by_label(re.compile("^Find by title")).fill(title)
    page.keyboard.press("Enter")
    settled(page)
    row = page.locator("[class*=st-key-job_]", has_text=title)
    row.get_by_role("button", name="More").click()
    row.get_by_role("button", name="Archive").wait_for()
    settled(page)
    assert serious(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    with page.expect_download() as got:
        row.get_by_role("button", name="Job file").click()
    assert title in got.value.path().read_text(encoding="utf-8")
    row.get_by_role("button", name="Archive").click()
    page.get_by_text("No job of that kind").wait_for()


def test_figures_are_taken_with_a_comma_and_refused_in_words(
    visit: Callable, settled: Callable, data_folder: Path,
) -> None:
    page = visit(820, 1180, "light", "")
    page.get_by_role("button", name="Start a job").click()
    page.get_by_label("Title", exact=True).fill("Comma")
    year = page.get_by_label("Year", exact=True)
    year.fill("188")
    page.get_by_role("button", name="Start with these parts").click()
    page.get_by_text("'Year' is 188; give a whole year", exact=False).wait_for()
    year.fill("1988")
    year.press("Enter")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Finish and build first").wait_for()
    page.get_by_text("Instrument, place and people").click()
    room = page.get_by_label("Room, m3", exact=True)
    room.wait_for()
    settled(page)
    room.press_sequentially("60,5")
    room.press("Tab")
    page.get_by_text(re.compile("room_m3 60.5|room.* 60.5")).first.wait_for()
    assert room.input_value() == "60.5"
    store = open_store(where.find(data_folder, None, {}), datetime.now(UTC))
    assert store.jobs("Comma").total == 1, "Enter twice starts one job"
    store.close()


def test_half_typed_text_is_asked_about_before_the_page_is_left(
    visit: Callable, settled: Callable, data_folder: Path,
) -> None:
    store = open_store(where.find(data_folder, None, {}), datetime.now(UTC))
    job_id = store.start(read_file(demo_job_path()), "Ana", datetime.now(UTC)).id
    page = visit(1280, 900, "light", f"survey?job={job_id}")
    asked: list[str] = []

    def stay(dialog: Any) -> None:
        asked.append(dialog.type)
        dialog.dismiss()

    page.on("dialog", stay)
    row = page.get_by_label("Film, um: one, or several with spaces")
    row.press_sequentially("401")
    row.press("Enter")
    page.get_by_role("button", name=re.compile("reading 401 um at spot")).first.wait_for()
    page.reload()
    row.wait_for()
    assert asked == [], "nothing was left half typed"
    page.get_by_text("Instrument, place and people").click()
    customer = page.get_by_label("Customer", exact=True)
    customer.wait_for()
    settled(page)
    customer.press_sequentially("half typed")
    page.evaluate("location.reload()")
    page.get_by_role("button", name=re.compile("^Undo: .*half typed")).wait_for()
    assert asked == ["beforeunload"], "asked, and handed over meanwhile"
    assert store.open(job_id).body["customer"] == "half typed"
    row.press_sequentially("399 4")
    page.evaluate("location.reload()")
    page.wait_for_function("document.activeElement === document.body")
    assert asked == ["beforeunload"] * 2 and row.input_value() == "399 4", "a form that is not sent stays as it is"
    row.fill("")
    store.close()
