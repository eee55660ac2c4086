"""The plan page in a real browser: what a person sees, in light and dark, wide and on a tablet."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from io import BytesIO

import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image

from finishplan.paper.theme import DARK, FONT, LIGHT, text_width
from finishplan.records.files import demo_job_path, read_job_bytes

pytestmark = pytest.mark.browser

OUTSIDE = "a[href^=http]:not([href^='http://127.0.0.1'])"
"""Links that lead away from this machine."""
LOOKS = [(1280, "light"), (1280, "dark"), (820, "light"), (820, "dark")]


def upload(page: object, name: str, body: bytes, box: int = 0) -> None:
    page.locator("[data-testid=stFileUploaderDropzoneInput]").nth(box).set_input_files(
        {"name": name, "mimeType": "application/json", "buffer": body})


def demo_raw() -> dict:
    return read_job_bytes(demo_job_path().read_bytes(), "demo")


def no_sideways_scroll(page: object) -> None:
    wide = page.evaluate(
        "[...document.querySelectorAll('[data-testid=stMain], [data-testid=stMainBlockContainer], .fp')]"
        ".filter(e => e.scrollWidth > e.clientWidth + 1).map(e => e.className)")
    assert wide == []
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def serious(page: object) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{v['id']}: {[n['target'] for n in v['nodes']][:3]}" for v in found
            if v["impact"] in ("serious", "critical")]


@pytest.mark.parametrize(("width", "scheme"), LOOKS)
def test_door_and_plan_can_be_read_by_everyone(
    visit: Callable, open_demo: Callable, width: int, scheme: str,
) -> None:
    page = visit(width, 1180 if width < 1000 else 900, scheme)
    assert serious(page) == []
    no_sideways_scroll(page)
    open_demo(page)
    assert serious(page) == []
    no_sideways_scroll(page)
    assert grounds(page) == {rgb({"light": LIGHT, "dark": DARK}[scheme].ground)}


def rgb(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def grounds(page: object) -> set[tuple[int, int, int]]:
    """The ground of the page and that of its first figure, as seen on the screen."""
    figure = page.locator("img.figure").first
    seen = Image.open(BytesIO(figure.screenshot())).convert("RGB")
    said = page.evaluate("getComputedStyle(document.querySelector('[data-testid=stApp]')).backgroundColor")
    return {seen.getpixel((seen.width - 2, 3)), tuple(int(n) for n in re.findall(r"\d+", said))}


def test_all_follows_at_once_when_the_browser_turns_dark(visit: Callable, open_demo: Callable) -> None:
    page = visit(1280, 900, "light")
    open_demo(page)
    assert grounds(page) == {rgb(LIGHT.ground)}
    page.emulate_media(color_scheme="dark")
    page.wait_for_timeout(500)
    assert grounds(page) == {rgb(DARK.ground)}
    assert serious(page) == []


def test_demo_says_verdict_first_then_everything_else(visit: Callable, open_demo: Callable) -> None:
    page = visit()
    open_demo(page)
    assert re.search(r"panels? can start\.", page.locator(".fp-first > p").inner_text())
    heads = page.locator("h2").all_inner_texts()
    names = [panel["name"] for panel in demo_raw()["panels"]]
    assert heads == ["What is asked for", *names, "The two limits that make this plan", "What asking less would buy",
                     "How sure this is", "Time", "Materials",
                     "Cautions", "Notes", "Where the numbers come from"]
    texts = page.locator("[data-testid=stMain]").inner_text()
    assert "our own invention" in texts
    assert "guessed" in texts and "measured" in texts
    assert not re.search(r"\bnan\b|\bNone\b|\binf\b|Traceback", texts)
    for step in page.locator(".fp-steps li").all():
        assert re.search(r"\d min|\d h", step.inner_text())


def test_every_figure_is_drawn_and_says_what_it_shows(visit: Callable, open_demo: Callable) -> None:
    page = visit()
    open_demo(page)
    figures = page.locator("img.figure")
    assert figures.count() >= len(demo_raw()["panels"])
    for figure in figures.all():
        assert figure.evaluate("e => e.complete && e.naturalWidth > 0")
        assert len(figure.get_attribute("alt")) > 40
    assert len({round(figure.bounding_box()["width"]) for figure in figures.all()}) == 1, "one scale for all"


@pytest.mark.parametrize(("name", "body", "said"), [
    ("torn.json", b'{"format": "finishplan-job", ', r"torn\.json: line 1, column \d+: this is not JSON"),
    ("list.json", b"[]", "this is not a job file"),
    ("zone.json", json.dumps({"format": "finishplan-job", "version": 1, "title": "x", "panels": [
        {"name": "lid", "zones": [{"name": "field", "area_m2": -1}]}]}).encode(), r"'Area, m2' is -1"),
    ("latin.json", '{"title": "Fl\u00fcgel"}'.encode("latin-1"), "UTF-8"),
])
def test_broken_file_gets_one_line_in_words(
    visit: Callable, settled: Callable, name: str, body: bytes, said: str,
) -> None:
    page = visit()
    upload(page, name, body)
    box = page.get_by_test_id("stAlert")
    box.wait_for()
    settled(page)
    assert re.search(said, box.inner_text())
    assert "\n" not in box.inner_text().strip()
    assert "Traceback" not in page.content() and page.locator("[data-testid=stException]").count() == 0
    assert page.locator(OUTSIDE).count() == 0
    assert page.get_by_role("button", name="Open the demo job").is_visible()


def test_after_a_broken_file_the_demo_still_opens(visit: Callable, settled: Callable, open_demo: Callable) -> None:
    page = visit()
    upload(page, "torn.json", b"{")
    page.get_by_test_id("stAlert").wait_for()
    settled(page)
    open_demo(page)
    assert page.get_by_test_id("stAlert").count() == 0


def test_own_job_with_odd_names_is_shown_literally(visit: Callable) -> None:
    raw = demo_raw()
    raw["title"] = '<img src=x onerror="document.title=1"> & "Fl\u00fcgel" \u30d4\u30a2\u30ce'
    raw["panels"][0]["name"] = "<b>lid</b> *bold* $x$ [link](http://example.org)"
    page = visit()
    upload(page, "own.json", json.dumps(raw).encode())
    page.get_by_role("heading", name="Notes", exact=True).wait_for()
    assert page.locator("h1").inner_text() == raw["title"]
    assert raw["panels"][0]["name"] in page.locator("h2").all_inner_texts()
    assert page.locator(OUTSIDE).count() == 0


def test_shop_file_changes_the_plan_and_a_broken_one_is_told(visit: Callable, settled: Callable) -> None:
    page = visit()
    upload(page, "own.json", demo_job_path().read_bytes())
    page.get_by_role("heading", name="Notes", exact=True).wait_for()
    assert "our own invention, no such" not in page.locator(".fp-mast").inner_text()
    page.get_by_text("Open another job").click()
    upload(page, "shop.json", b'{"format": "finishplan-shop", "version": 1, "policy": {"clearing": "much"}}', box=1)
    page.get_by_test_id("stAlert").wait_for()
    settled(page)
    assert "Shop page, Policy: 'Last-grit factor" in page.get_by_test_id("stAlert").inner_text()


def test_large_job_stays_readable(visit: Callable) -> None:
    raw = demo_raw()
    panel = raw["panels"][0]
    panel["zones"][0]["defects"] = [
        {"kind": "fine_scratch", "depth_um": 1 + k * 0.01, "at": {"x": (k % 6) / 6, "y": (k // 6) / 4}}
        for k in range(24)]
    panel["name"] = "panel " + "very " * 30
    raw["title"] = "t" * 200
    raw.pop("test_spot", None)
    page = visit(820, 1180)
    upload(page, "large.json", json.dumps(raw).encode())
    page.get_by_role("heading", name="Notes", exact=True).wait_for()
    no_sideways_scroll(page)
    assert "not drawn, see the table" in (page.locator("img.figure").first.get_attribute("alt") or "")


def test_targets_suit_a_thumb_and_the_demo_opens_by_keyboard_alone(visit: Callable) -> None:
    page = visit(820, 1180)
    for button in page.locator("[data-testid=stMain] button:visible").all():
        assert button.bounding_box()["height"] >= 44
    page.get_by_role("button", name="Open the demo job").focus()
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Notes", exact=True).wait_for()


def test_no_text_is_wider_than_drawings_reckon_with(visit: Callable) -> None:
    page = visit()
    words = [
        "we count on 276", "leave at least 80", "154 still to spend after", "film measured, 12 readings",
        "cutting 5.1, polishing 1.4, finishing 0.50", "3 scratches 43 guessed", "P1500 8.8", "um under the surface",
        "places with polish build-up 1234 from the test spot, through the film", "MWMWM illi WAVE %@&",
        "\u0141\u00f3d\u017a",
        "\u0424\u043e\u0440\u0442\u0435\u043f\u0438\u0430\u043d\u043e \u03a9\u03bc",
        "\u30d4\u30a2\u30ce\u306e\u84cb",
    ]
    fonts = [FONT, "Arial, sans-serif", "'Noto Sans', sans-serif", "'DejaVu Sans', sans-serif"]
    measured = page.evaluate(
        """([words, fonts]) => { const c = document.createElement('canvas').getContext('2d');
           return fonts.map(f => words.map(w => { c.font = '100px ' + f; return c.measureText(w).width; })); }""",
        [words, fonts])
    for font, widths in zip(fonts, measured, strict=True):
        for text, width in zip(words, widths, strict=True):
            assert width <= text_width(text, 100.0), (font, text)
