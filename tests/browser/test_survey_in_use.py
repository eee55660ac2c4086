"""Survey in a real browser: nothing typed or tapped is lost on a slow tablet, and everyone can read it."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from finishplan.records import where
from finishplan.records.files import demo_job_path
from finishplan.records.store import Store, open_store
from finishplan.survey.edits import zone_at
from finishplan.survey.templates import template_job

pytestmark = pytest.mark.browser

AT = datetime(2031, 5, 6, 7, 8, tzinfo=UTC)
LID = ("main lid, top", "field")
ROW = "Film, um: one, or several with spaces"
ODD = '<img src=x onerror="document.title=1"> "; drop table document; =1+1 \u0627\u0644\u0639 \U0001f3b9 *x* [a](http://b.example)'
MODES = ("Readings", "Defects", "Test spot", "Photos", "Panel")


@pytest.fixture
def kept(data_folder: Path, app: str) -> Iterator[Store]:
    """The running app's store, opened from here too."""
    made = open_store(where.find(data_folder, None, {}), AT)
    yield made
    made.close()


@pytest.fixture
def demo(kept: Store) -> str:
    """A copy of the demo job for one test."""
    body = json.loads(demo_job_path().read_text(encoding="utf-8"))
    return kept.start({**body, "title": "A lid and a rim"}, "anna", AT).id


@pytest.fixture
def survey(visit: Callable, demo: str) -> Callable[..., Any]:
    """Opens the survey of that job."""

    def opened(width: int = 820, height: int = 1180, scheme: str = "light") -> Any:
        page = visit(width, height, scheme, f"survey?job={demo}")
        page.get_by_label(ROW).wait_for()
        return page

    return opened


def zone(store: Store, job_id: str, at: tuple[str, str] = LID) -> dict[str, Any]:
    return dict(zone_at(store.open(job_id).body, *at))


def films(store: Store, job_id: str) -> list[float]:
    return [reading["um"] for reading in zone(store, job_id)["readings"]][6:]


def wait_for(page: Any, wanted: Callable[[], object], seconds: float = 20.0) -> None:
    """Wait until the store holds what is wanted."""
    for _ in range(int(seconds * 10)):
        if wanted():
            return
        page.wait_for_timeout(100)
    raise AssertionError("the store never held what was wanted")


def slowed(page: Any, times: int = 6) -> None:
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": times})


def mode(page: Any, name: str) -> None:
    page.locator(".st-key-survey-mode").get_by_text(name, exact=True).click()


def drawing(page: Any) -> Any:
    found = page.locator(".st-key-panel_tap svg[role=img]")
    found.wait_for()
    return found


def tap(page: Any, share_x: float, share_y: float) -> None:
    """Tap the drawing at a share of the panel's box, from its lower left."""
    at = drawing(page).evaluate(
        """(svg, [x, y]) => { const box = svg.dataset.box.split(",").map(Number);
           const p = new DOMPoint(box[0] + x * box[2], box[1] + (1 - y) * box[3]).matrixTransform(svg.getScreenCTM());
           return [p.x, p.y]; }""",
        [share_x, share_y],
    )
    page.touchscreen.tap(*at)


def serious(page: Any) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [
        f"{v['id']}: {[n['target'] for n in v['nodes']][:3]}" for v in found if v["impact"] in ("serious", "critical")
    ]


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (820, "dark"), (768, "light"), (412, "dark")])
def test_every_way_of_entering_can_be_read_and_hit_by_everyone(
    survey: Callable,
    settled: Callable,
    width: int,
    scheme: str,
) -> None:
    page = survey(width, 1180 if width < 1000 else 900, scheme)
    page.get_by_text("Take the next reading").wait_for()
    row = page.get_by_label("Film, um: one, or several with spaces")
    row.press_sequentially("4")
    hint = page.get_by_test_id("InputInstructions").first
    hint.wait_for(state="attached")
    assert not hint.is_visible(), "it lay over the row"
    row.fill("")
    for name in MODES:
        mode(page, name)
        settled(page)
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), name
        assert page.locator("[data-testid=stMain]").evaluate("e => e.scrollWidth <= e.clientWidth + 1"), name
        if width in (1280, 820):
            assert serious(page) == [], name
        small = page.evaluate(
            """steppers => [...document.querySelectorAll("[data-testid=stMain] button, [data-testid=stMain] summary")]
               .filter(e => e.checkVisibility() && !steppers.includes(e.dataset.testid))
               .filter(e => e.getBoundingClientRect().height < 44).map(e => e.ariaLabel || e.innerText)""",
            list(STEPPERS))
        assert small == [], name


STEPPERS = ("stNumberInputStepDown", "stNumberInputStepUp")
"""The small plus and minus inside a figure's box; the box itself is the target."""


def test_nothing_typed_is_lost_on_a_slow_tablet(survey: Callable, kept: Store, demo: str) -> None:
    page, dice = survey(), random.Random(7)
    slowed(page)
    rows = [[401, 402], [1 + 398], [403.5, 405], [406], [407, 408, 409], [410], [411, 412]]
    field = page.get_by_label(ROW)
    field.click()
    for row in rows:
        for key in " ".join(f"{um:g}" for um in row):
            page.keyboard.press("Space" if key == " " else key)
            page.wait_for_timeout(dice.uniform(80, 150))
        page.keyboard.press("Enter")
        page.wait_for_timeout(dice.uniform(80, 150))
    wanted = [um for row in rows for um in row]
    wait_for(page, lambda: len(films(kept, demo)) >= len(wanted))
    assert films(kept, demo) == wanted
    spots = [reading["spot"] for reading in zone(kept, demo)["readings"]][6:]
    assert spots == [39 + k for k, row in enumerate(rows) for _ in row]


def test_what_was_sent_before_the_page_is_closed_is_kept(survey: Callable, kept: Store, demo: str) -> None:
    page = survey()
    slowed(page)
    page.get_by_label(ROW).click()
    page.keyboard.type("401 402", delay=90)
    page.keyboard.press("Enter")
    page.wait_for_timeout(300)  # as quick as a hand can be
    page.close()
    other = survey()
    wait_for(other, lambda: films(kept, demo) == [401, 402], 10)


def test_the_pad_takes_quick_thumbs(survey: Callable, kept: Store, demo: str) -> None:
    page, dice = survey(), random.Random(11)
    page.locator(".st-key-number_pad").get_by_role("button", name="add these readings").scroll_into_view_if_needed()
    slowed(page)
    keys = {
        name: page.locator(".st-key-number_pad").get_by_role("button", name=name, exact=True)
        for name in [*"0123456789", "next reading", "add these readings"]
    }
    middle = {name: key.bounding_box() for name, key in keys.items()}

    def press(name: str) -> None:
        box = middle[name]
        page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        page.wait_for_timeout(dice.uniform(60, 110))

    rows = [[401, 398], [412], [395, 400], [403]]
    for row in rows:
        for k, um in enumerate(row):
            for figure in str(um):
                press(figure)
            if k < len(row) - 1:
                press("next reading")
        press("add these readings")
    wanted = [um for row in rows for um in row]
    wait_for(page, lambda: len(films(kept, demo)) >= len(wanted))
    assert films(kept, demo) == wanted
    page.locator(".st-key-number_pad li").first.wait_for(state="detached")


def test_every_quick_tap_on_the_drawing_is_placed_once(
    survey: Callable,
    settled: Callable,
    kept: Store,
    demo: str,
) -> None:
    page, dice = survey(), random.Random(3)
    mode(page, "Defects")
    page.get_by_text("fine scratch", exact=True).first.click()
    settled(page)
    drawing(page).scroll_into_view_if_needed()
    settled(page)
    slowed(page)
    places = [(round(0.08 + 0.07 * k, 2), 0.08 if k % 2 else 0.93 if k < 4 else 0.14) for k in range(8)]
    for place in places:
        tap(page, *place)
        page.wait_for_timeout(dice.uniform(80, 200))
    wait_for(page, lambda: len(zone(kept, demo)["defects"]) >= 5 + len(places), 30)
    page.wait_for_timeout(1500)
    found = zone(kept, demo)["defects"][5:]
    assert [defect["kind"] for defect in found] == ["fine scratch".replace(" ", "_")] * len(places)
    for defect, place in zip(found, places, strict=True):
        assert abs(defect["at"]["x"] - place[0]) < 0.006 and abs(defect["at"]["y"] - place[1]) < 0.006


def test_a_tap_places_readings_and_opens_a_defect(survey: Callable, settled: Callable, kept: Store, demo: str) -> None:
    page = survey(1280, 900)
    page.get_by_label(ROW).fill("401 402")
    page.get_by_label(ROW).press("Enter")
    page.get_by_text("A tap places spot 39: 401, 402 um.").wait_for()
    settled(page)
    click(page, 0.25, 0.1)
    wait_for(page, lambda: zone(kept, demo)["readings"][7].get("at"))
    for reading in zone(kept, demo)["readings"][6:]:
        assert abs(reading["at"]["x"] - 0.25) < 0.006 and abs(reading["at"]["y"] - 0.1) < 0.006
    mode(page, "Defects")
    settled(page)
    click(page, 0.62, 0.35)
    page.get_by_role("heading", name="b: nick").wait_for()
    assert page.get_by_label("Depth, um: one measured").input_value() == "230"
    assert len(zone(kept, demo)["defects"]) == 5


def click(page: Any, share_x: float, share_y: float) -> None:
    """Click the drawing at a share of the panel's box."""
    drawing(page).scroll_into_view_if_needed()
    box = drawing(page).evaluate("svg => svg.dataset.box.split(',').map(Number)")
    scale = drawing(page).evaluate("svg => svg.getScreenCTM().a")
    start = drawing(page).evaluate("svg => [svg.getScreenCTM().e, svg.getScreenCTM().f]")
    page.mouse.click(
        start[0] + scale * (box[0] + share_x * box[2]), start[1] + scale * (box[1] + (1 - share_y) * box[3])
    )


def test_undo_says_what_it_takes_back(survey: Callable, settled: Callable, kept: Store, demo: str) -> None:
    page = survey()
    page.get_by_label(ROW).fill("401")
    page.get_by_label(ROW).press("Enter")
    undo = page.get_by_role("button", name="Undo: main lid, top, field: reading 401 um at spot 39, ultrasonic")
    undo.click()
    page.get_by_role("button", name=re.compile("^Redo: main lid")).wait_for()
    assert films(kept, demo) == []


def test_a_box_keeps_itself_when_it_is_left_by_going_on(survey: Callable, kept: Store, demo: str) -> None:
    page = survey(1280, 900)
    mode(page, "Defects")
    page.get_by_role("button", name=re.compile("^a 2 scratches")).click()
    page.get_by_label("Depth, um: one measured").fill("12 18 30")
    page.get_by_label("Length, mm").fill("155")
    note = page.get_by_label("Note").last
    note.fill("")
    note.press_sequentially("a nail catches", delay=30)
    page.get_by_role("button", name="Next panel: front lid flap").click()
    page.get_by_role("heading", name="front lid flap", exact=True).wait_for()
    wait_for(page, lambda: zone(kept, demo)["defects"][0].get("note") == "a nail catches")
    first = zone(kept, demo)["defects"][0]
    assert first["depth_um"] == {"low": 12, "likely": 18, "high": 30} and first["length_mm"] == 155
    assert first["count"] == 2 and first["at"] == {"x": 0.31, "y": 0.62}


def test_two_tabs_at_one_defect_are_told_and_neither_is_lost(
    survey: Callable,
    settled: Callable,
    kept: Store,
    demo: str,
) -> None:
    tabs = [survey(1280, 900), survey(1280, 900)]
    for count, page in zip(("3", "5"), tabs, strict=True):
        mode(page, "Defects")
        page.get_by_role("button", name=re.compile("^a 2 scratches")).click()
        page.get_by_label("How many").fill(count)
    for page in tabs:
        page.get_by_label("How many").press("Enter")
        settled(page)
    assert zone(kept, demo)["defects"][0]["count"] == 3
    page = tabs[1]
    page.get_by_role("heading", name="Somebody else changed this while you typed").wait_for()
    assert "count 2 became 3" in page.locator("[data-testid=stMain]").inner_text()
    page.get_by_role("button", name="Put mine in its place").click()
    wait_for(page, lambda: zone(kept, demo)["defects"][0]["count"] == 5)


def test_the_job_is_found_again_after_a_reload_and_after_going_back(
    survey: Callable,
    settled: Callable,
    demo: str,
) -> None:
    page = survey(1280, 900)
    page.reload()
    page.get_by_role("heading", name="A lid and a rim").wait_for()
    settled(page)
    page.get_by_text("Working out which reading").wait_for(state="detached")
    page.get_by_role("button", name="See the plan").click()
    page.get_by_role("heading", name="Notes", exact=True).wait_for()
    settled(page)
    page.go_back()
    settled(page)
    page.get_by_label(ROW).wait_for()
    assert page.locator("h1").inner_text() == "A lid and a rim"
    page.get_by_text("Working out which reading").wait_for(state="detached")
    page.get_by_role("link", name="Plan").click()
    page.get_by_role("heading", name="Notes", exact=True).wait_for()
    page.wait_for_url(f"**/plan?job={demo}")
    settled(page)
    page.go_back()
    page.wait_for_url(f"**/survey?job={demo}")
    settled(page)
    page.get_by_label(ROW).wait_for()


def test_going_to_a_page_is_one_step_back_however_slow_the_machine(
    survey: Callable, settled: Callable, demo: str,
) -> None:
    page = survey()
    settled(page)
    before = page.evaluate("history.length")
    slowed(page)
    page.get_by_role("link", name="Safety").click()
    page.wait_for_url(f"**/safety?job={demo}")
    settled(page)
    assert page.evaluate("history.length") == before + 1, "an entry of its own for the job would swallow one Back"
    page.go_back()
    page.wait_for_url(f"**/survey?job={demo}")
    page.get_by_label(ROW).wait_for()


def test_text_from_people_is_shown_and_does_nothing(visit: Callable, settled: Callable, kept: Store) -> None:
    body = template_job("upright", ODD, ["key slip"], {"customer": ODD})
    body["panels"][0]["name"] = ODD
    body["panels"][0]["zones"][0] |= {
        "name": ODD,
        "defects": [{"kind": "chip", "note": ODD, "at": {"x": 0.5, "y": 0.5}}],
    }
    job_id = kept.start(body, ODD, AT, ODD).id
    page = visit(1280, 900, "light", f"survey?job={job_id}")
    for name in MODES:
        mode(page, name)
        settled(page)
        assert page.locator("h1").inner_text() == ODD
        assert ODD in page.locator("h2").all_inner_texts()
        assert page.title() == "Survey" or page.title() == "finishplan"
        assert page.locator("a[href*='b.example'], img[src=x]").count() == 0
    assert kept.open(job_id).body == body


def test_next_reading_comes_when_it_is_worked_out(survey: Callable) -> None:
    page = survey()
    page.get_by_text("Take the next reading beside the suspect one at rim, bass side, field").wait_for()
