"""The Shop page in a real browser: a value typed fast is kept, nothing runs off the side, and everyone can read it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from argon2 import PasswordHasher
from axe_playwright_python.sync_playwright import Axe

from finishplan.records import backup, pins, where
from finishplan.records.store import SHOP_ID, Store, open_store

pytestmark = pytest.mark.browser

AT = datetime(2031, 5, 6, 7, 8, tzinfo=UTC)
SECTIONS = ("Rates learned", "People", "Limits and gear", "Shop file", "Backup", "Steps")
STEPPERS = ("stNumberInputStepDown", "stNumberInputStepUp")


@pytest.fixture
def kept(data_folder: Path, app: str) -> Iterator[Store]:
    """The running app's store, opened from here too."""
    made = open_store(where.find(data_folder, None, {}), AT)
    yield made
    made.close()


@pytest.fixture
def people(kept: Store) -> Iterator[None]:
    """A finisher, a price, a limit and a backup, so that every section has something to show."""
    before = kept.shop("anna", AT).body
    kept.change(SHOP_ID, lambda body: {
        **body, "people": [{"id": "F1", "name": "a finisher (invented)"}],
        "prices": {"catalyst": {"pack": 100.0, "price": 9.0}},
        "local_limits": {"styrene": {"twa": 10.0, "unit": "ppm"}},
        "steps": [{"step": "P180", "change_min": 4.0}]}, "anna", AT)
    backup.made_in_folder(kept, datetime.now(UTC))
    yield
    kept.change(SHOP_ID, lambda _: before, "anna", AT, "as before the test")


def section(page: Any, name: str, settled: Callable) -> None:
    page.get_by_test_id("stButtonGroup").get_by_text(name, exact=True).click()
    page.locator("[data-testid=stButtonGroup] [aria-checked=true], [data-testid=stButtonGroup] [aria-pressed=true]"
                 ).get_by_text(name, exact=True).wait_for()
    settled(page)


def serious(page: Any) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{v['id']}: {[n['target'] for n in v['nodes']][:3]}" for v in found
            if v["impact"] in ("serious", "critical")]


@pytest.mark.usefixtures("people")
@pytest.mark.parametrize(("width", "scheme", "names"), [
    (1280, "light", ("People", "Backup", "Steps")), (768, "dark", ("Rates learned", "Limits and gear", "Shop file")),
    (412, "light", SECTIONS)])
def test_every_section_can_be_read_and_hit(
    visit: Callable, settled: Callable, width: int, scheme: str, names: tuple[str, ...],
) -> None:
    page = visit(width, 1100, scheme, "shop")
    page.get_by_text("What to set").wait_for()
    for name in names:
        section(page, name, settled)
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), name
        assert page.locator("[data-testid=stMain]").evaluate("e => e.scrollWidth <= e.clientWidth + 1"), name
        if width != 412:
            assert serious(page) == [], name
        small = page.evaluate(
            """steppers => [...document.querySelectorAll("[data-testid=stMain] button, [data-testid=stMain] summary")]
               .filter(e => e.checkVisibility() && !steppers.includes(e.dataset.testid))
               .filter(e => e.getBoundingClientRect().height < 44).map(e => e.ariaLabel || e.innerText)""",
            list(STEPPERS))
        assert small == [], name


@pytest.mark.usefixtures("people")
def test_values_typed_fast_are_all_kept(visit: Callable, settled: Callable, kept: Store) -> None:
    page = visit(820, 1100, "light", "shop")
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": 4})
    section(page, "Our shop", settled)
    typed = {"Name of our shop": "Bench (invented) <b>1</b>", "Place: a country or state": "Ontario",
             "Currency, three letters": "CAD"}
    for label, text in typed.items():
        page.get_by_label(label).click()
        page.keyboard.type(text, delay=30)
    page.keyboard.press("Tab")
    wanted = {"name": "Bench (invented) <b>1</b>", "place": "Ontario", "currency": "CAD"}
    for _ in range(200):
        body = kept.shop("anna", AT).body
        if {name: body.get(name) for name in wanted} == wanted:
            break
        page.wait_for_timeout(100)
    assert {name: body.get(name) for name in wanted} == wanted
    page.get_by_role("heading", name="Bench (invented) <b>1</b>").wait_for()
    assert [line.wording for line in kept.history(SHOP_ID, 3)][::-1] == [
        "Name of our shop: Bench (invented) <b>1</b>",
        "Place: a country or state, for limits and papers: Ontario", "Currency, three letters: CAD"]
    page.get_by_role("button", name="Undo: Currency, three letters: CAD").click()
    page.get_by_role("button", name="Undo: Place").wait_for()
    settled(page)
    assert page.get_by_label("Currency, three letters").input_value() == ""


@pytest.mark.usefixtures("people")
def test_a_shop_file_is_brought_in_after_its_difference_is_read(
    visit: Callable, settled: Callable, kept: Store, tmp_path: Path,
) -> None:
    page = visit(820, 1100, "dark", "shop")
    section(page, "Shop file", settled)
    file = tmp_path / "theirs.json"
    file.write_text('{"format": "finishplan-shop", "version": 1, "name": "Theirs (invented)"}', encoding="utf-8")
    page.locator("input[type=file]").set_input_files(file)
    page.get_by_text("What theirs.json would change").wait_for()
    assert "name" not in kept.shop("anna", AT).body
    assert serious(page) == []
    page.get_by_role("button", name="Put theirs.json in place of ours").click()
    page.get_by_role("heading", name="Theirs (invented)").wait_for()
    assert kept.shop("anna", AT).body["name"] == "Theirs (invented)"


@pytest.mark.usefixtures("people")
def test_who_signs_is_changed_with_the_yes_of_one_who_does(visit: Callable, settled: Callable, kept: Store) -> None:
    """Last in its file: from the first PIN on, who signs is guarded in this shop."""
    pins.set_pin(kept, "F1", "2580", "anna", AT, PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))
    page = visit(820, 1180, "dark", "shop")
    section(page, "People", settled)
    page.get_by_label("Short name, signs with it").fill("T1")
    page.get_by_role("button", name="Add", exact=True).tap()
    page.get_by_text("T1 will sign as a finisher.").wait_for()
    settled(page)
    assert serious(page) == [] and len(kept.shop("anna", AT).body["people"]) == 1
    page.get_by_label("PIN of who says yes").fill("2580")
    page.get_by_role("button", name="Yes, change it").tap()
    page.get_by_text("This changes who signs for the work").wait_for(state="hidden")
    assert [one["id"] for one in kept.shop("anna", AT).body["people"]] == ["F1", "T1"]
    page.get_by_text("PIN of T1").wait_for()
