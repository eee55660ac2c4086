"""Choices on the plan page in a real browser: they plan again at once, and what is wrong stands beside them."""

from __future__ import annotations

import json
import re
from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from oracle.random_jobs import random_case

pytestmark = pytest.mark.browser

SEQUENCE = "Your own sequence, for every panel"


def serious(page: object) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{v['id']}: {[n['target'] for n in v['nodes']][:3]}" for v in found
            if v["impact"] in ("serious", "critical")]


def pick(page: object, label: str, option: str, settled: Callable) -> None:
    box, wanted = page.get_by_label(label, exact=True).first, page.get_by_role("option", name=option)
    box.scroll_into_view_if_needed()
    for _ in range(5):  # a list that opens while the page still moves closes again
        box.click()
        page.wait_for_timeout(400)
        if wanted.count():
            break
    wanted.click()
    settled(page)


def test_a_favour_button_plans_again_and_undo_takes_it_back(visit: Callable, settled: Callable) -> None:
    page = visit(1280, 900)
    job, shop = random_case(115)
    boxes = page.locator("[data-testid=stFileUploaderDropzoneInput]")
    for box, name, raw in ((1, "shop.json", shop), (0, "job.json", job)):
        body = json.dumps(raw).encode()
        boxes.nth(box).set_input_files({"name": name, "mimeType": "application/json", "buffer": body})
        settled(page)
    page.get_by_role("heading", name="Where the numbers come from").wait_for()
    settled(page)
    curve = page.locator("img.curve")
    before, drawn = page.locator(".fp-first").inner_text(), curve.get_attribute("src")
    assert "quick" in (curve.get_attribute("alt") or "").lower()
    page.get_by_role("button", name="Keep film", exact=True).click()
    page.locator(".fp-favour", has_text="In force: film first").wait_for()
    settled(page)
    assert curve.get_attribute("src") != drawn, "the filled dot stands elsewhere"
    assert "keep film" in page.locator(".fp-mast").inner_text()
    assert serious(page) == []
    page.get_by_role("button", name=re.compile("Undo: favour")).click()
    page.locator(".fp-favour", has_text="In force: fewest minutes").wait_for()
    settled(page)
    assert page.locator(".fp-first").inner_text() == before


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_own_sequence_wrong_then_right(visit: Callable, open_demo: Callable, settled: Callable, scheme: str) -> None:
    page = visit(820, 1180, scheme)
    open_demo(page)
    before = page.locator(".fp-first").inner_text()
    field = page.get_by_label(SEQUENCE)
    field.fill("800 2500 cut polish finish")
    field.press("Enter")
    told = page.get_by_test_id("stAlert")
    told.wait_for()
    settled(page)
    assert told.inner_text().strip() == "sequence: P800 to P2500 is a jump of 2.60, over 1.8; put P1500 between them"
    gap = told.bounding_box()["y"] - field.bounding_box()["y"] - field.bounding_box()["height"]
    assert 0 <= gap < 60, "it stands right under the field"
    assert page.locator(".fp-first").inner_text() == before
    assert serious(page) == []
    field.fill("800 1000 1500 cut polish finish")
    field.press("Enter")
    page.locator(".fp-own").wait_for()
    settled(page)
    assert told.count() == 0
    assert "against the best plan: +" in page.locator(".fp-own").inner_text()
    assert "P1000" in page.locator(".fp-steps").first.inner_text()
    assert serious(page) == []


def test_risk_fills_its_place_after_the_plan_stands(visit: Callable, open_demo: Callable) -> None:
    page = visit(1280, 900)
    page.evaluate("""() => { window.seen = []; new MutationObserver(() => {
        const coming = document.querySelector('.fp-coming'), first = document.querySelector('.fp-first');
        if (coming) window.seen.push(Boolean(first && document.querySelectorAll('.fp-steps li').length)); })
        .observe(document.body, {childList: true, subtree: true}); }""")
    open_demo(page)
    # A quick machine may fill the place before it was ever painted empty.
    assert page.evaluate("window.seen.length == 0 || window.seen.at(-1)"), "the plan stood while it was worked out"
    assert page.evaluate("""() => document.querySelector('.fp-chances').compareDocumentPosition(
        document.querySelector('.fp-steps')) & Node.DOCUMENT_POSITION_PRECEDING"""), "the plan comes first"
    assert page.locator(".fp-coming").count() == 0
    text = page.locator("[data-testid=stMain]").inner_text()
    assert re.search(r"Sanding through anywhere: (under )?1 in \d+", text)
    assert re.search(r"time\s+\d+ h", text)


def test_who_and_with_what_open_by_keyboard_and_plan_again(
    visit: Callable, open_demo: Callable, settled: Callable,
) -> None:
    page = visit(1280, 900)
    open_demo(page)
    before = page.locator(".fp-first li").first.inner_text()
    page.locator("summary", has_text="Who, with what, seen from where").first.focus()
    page.keyboard.press("Enter")
    page.wait_for_timeout(600)  # the box opens with a movement; a list opened during it closes again
    pick(page, "Compounds by", "hand", settled)
    assert page.locator(".fp-first li").first.inner_text() != before
    assert "hand" in page.locator(".fp-steps").first.inner_text()
    assert page.get_by_label("Compounds by", exact=True).first.is_visible(), "it stays open for the next choice"
    pick(page, "First cut", "lean", settled)
    assert "lean is for a finisher only" in page.get_by_test_id("stAlert").inner_text()
    assert serious(page) == []


def test_ticks_stay_when_the_plan_is_made_again(visit: Callable, open_demo: Callable, settled: Callable) -> None:
    page = visit(820, 1180)
    open_demo(page)
    box = page.get_by_role("checkbox", name=re.compile("cutting compound, liquid"))
    page.get_by_text(re.compile("^cutting compound, liquid")).click()
    settled(page)
    assert box.is_checked()
    page.get_by_role("button", name="Quick", exact=True).click()
    page.locator(".fp-favour", has_text="In force: fewest minutes").wait_for()
    settled(page)
    assert box.is_checked()


def test_a_number_tells_its_sum_and_its_sources_when_asked(
    visit: Callable, open_demo: Callable, settled: Callable,
) -> None:
    page = visit(820, 1180)
    open_demo(page)
    asked = page.locator(".fp-sums details", has_text="film we count on").first
    assert not asked.get_by_role("table").is_visible()
    asked.locator("summary").focus()
    page.keyboard.press("Enter")
    assert "405.8 - 2.654 x 28.12 - 14.17" in asked.inner_text()
    assert "published" in asked.inner_text() and "assumed" in asked.inner_text()
    pick(page, "Numbers of", "the whole job", settled)
    assert page.locator(".fp-sums").inner_text().startswith("set-up")
    assert serious(page) == []


def test_names_of_the_first_list_lead_to_their_panels(visit: Callable, open_demo: Callable) -> None:
    page = visit(820, 1180)
    open_demo(page)
    link = page.locator(".fp-first li a").nth(4)
    link.focus()
    page.keyboard.press("Enter")
    page.wait_for_timeout(300)
    place = page.get_by_role("heading", name=link.inner_text(), exact=True).bounding_box()
    assert 40 < place["y"] < 400


def test_the_contents_lead_by_key_and_by_thumb(visit: Callable, open_demo: Callable) -> None:
    page = visit(412, 900)
    open_demo(page)
    links = page.locator(".fp-contents a")
    assert all(link.bounding_box()["height"] >= 44 for link in links.all())
    links.last.focus()
    page.keyboard.press("Enter")
    page.wait_for_function("""() => {
      const top = document.querySelector("#plan-numbers").getBoundingClientRect().top;
      return top > 40 && top < 400;
    }""")


def test_a_kept_job_remembers_its_choices_when_the_page_is_loaded_again(visit: Callable, settled: Callable) -> None:
    page = visit(1280, 900, path="")
    page.get_by_role("button", name="Open the demo job").click()
    page.get_by_role("button", name="See the plan").click()
    page.get_by_role("heading", name="Where the numbers come from").wait_for()
    settled(page)
    page.get_by_role("button", name="Keep film", exact=True).click()
    page.locator(".fp-favour", has_text="In force: film first").wait_for()
    settled(page)
    page.reload()
    page.locator(".fp-favour", has_text="In force: film first").wait_for()
    settled(page)
    assert serious(page) == []
    page.get_by_role("button", name=re.compile("Undo: favour: keep film")).click()
    page.locator(".fp-favour", has_text="In force: minutes and film together").wait_for()
    settled(page)
    page.get_by_role("button", name="To its survey").click()
    page.get_by_role("button", name="See the plan").wait_for()
