"""The bench in a real browser, with a thumb on a tablet: a whole service of the demo, and what everyone can read."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

sys.path.insert(0, str(Path(__file__).parents[1] / "records"))

from bench_walk import PIN, Walk, demo, people

from finishplan.records import film_records, where
from finishplan.records.bench_timers import timer_of
from finishplan.records.store import Store, open_store

pytestmark = pytest.mark.browser

FLAP = "front lid flap"


def days_ago(days: float) -> datetime:
    return datetime.now().astimezone() - timedelta(days=days)


@pytest.fixture
def kept(data_folder: Path, app: str) -> Iterator[Store]:
    """The running app's store, opened from here too: the other tablet of the bench."""
    made = open_store(where.find(data_folder, None, {}), days_ago(9))
    yield made
    made.close()


def wait_for(page: Any, wanted: Callable[[], object], seconds: float = 20.0) -> None:
    """Wait until the store holds what is wanted."""
    for _ in range(int(seconds * 10)):
        if wanted():
            return
        page.wait_for_timeout(100)
    raise AssertionError("the store never held what was wanted")


def tap(page: Any, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).tap()


def sign(page: Any, label: str, who: str = "F2") -> None:
    box = page.get_by_label("Who signs")
    if who not in (box.input_value() or box.inner_text()):
        box.tap()
        page.get_by_role("option", name=who).tap()
    page.get_by_label("PIN", exact=True).fill(PIN)
    tap(page, label)


def pad(page: Any, figures: str) -> None:
    """Type a reading on the pad, key by key."""
    for figure in figures:
        page.get_by_role("button", name=figure, exact=True).tap()
    page.get_by_role("button", name="add these readings").tap()


def high(page: Any, name: str) -> float:
    return float(page.get_by_role("button", name=name, exact=True).bounding_box()["height"])


def test_a_whole_service_from_survey_to_film_record(visit: Callable, kept: Store, settled: Callable) -> None:
    people(kept)
    job = demo(kept, title="A whole service")
    page = visit(820, 1180, "light", f"survey?job={job}")
    row = page.get_by_label("Film, um: one, or several with spaces")
    row.fill("401")
    row.press("Enter")
    wait_for(page, lambda: kept.open(job).revision == 2)
    page.get_by_role("link", name="Plan").tap()
    page.get_by_text("panels can start").first.wait_for()
    page.get_by_role("link", name="Bench").tap()
    page.get_by_role("button", name="Begin work").wait_for()
    other = Walk(kept, job, days_ago(8))  # signs the stops
    tap(page, "Begin work")
    page.get_by_text("A finisher looks and signs").wait_for()
    for panel in (FLAP, "rim, tail bend", "rim, treble side"):
        page.get_by_role("button", name=panel, exact=True).tap()
    sign(page, "Sign")
    wait_for(page, lambda: len([line for line in other.bench().lines if line.kind == "hold signed"]) == 4)
    work_the_flap(page, kept, other, settled)
    stop_and_go_on(page, other)
    plan_again(page, other)
    other.sign_stops()
    other.go("hold|main lid, top|cold")
    finish(page, kept, other, settled)


def work_the_flap(page: Any, kept: Store, other: Walk, settled: Callable) -> None:
    """The other tablet comes as far as the flap's first grade; here it is timed, over a reload."""
    pour = other.go("pour").where.next
    assert pour is not None
    other.do(pour)  # days ago: the fill has cured by now
    other.now = datetime.now().astimezone()
    other.go(f"step|{FLAP}|P800")
    page.reload()
    page.get_by_text("P800", exact=True).first.wait_for()
    settled(page)
    page.get_by_label("Who works here").click()
    page.get_by_role("option", name="F1").click()
    page.get_by_role("button", name="Start the timer").wait_for()
    tap(page, "Start the timer")
    page.get_by_text("Runs since").wait_for()
    page.reload()
    page.get_by_text("Runs since").wait_for()
    assert timer_of(kept, other.job_id, f"1 step|{FLAP}|P800").runs
    assert high(page, "Pause") >= 96 and high(page, "Done") >= 96
    for large in page.locator(".fp-card .big, .fp-card .least").all():
        assert large.evaluate("e => parseFloat(getComputedStyle(e).fontSize)") >= 48
    tap(page, "Done")
    page.get_by_text("0 of 3 read").wait_for()
    task = other.bench().course.task(f"step|{FLAP}|P800")
    other.more_um[(FLAP, "P800")] = 20.0
    other.work(task)


def stop_and_go_on(page: Any, other: Walk) -> None:
    """A low reading stops the page; two beside it are higher, and the others are read."""
    assert high(page, "7") >= 96
    pad(page, "96")
    page.get_by_text("STOP", exact=True).wait_for()
    assert page.get_by_role("button", name="Done", exact=True).count() == 0
    low = page.locator("[data-testid=stMain]").evaluate("e => e.getBoundingClientRect().bottom - window.innerHeight")
    assert low <= -14, "the frame stands round the page, not over its keys"
    pad(page, "330")
    page.get_by_text("Read beside it so far: 330 um").wait_for()
    pad(page, "331")
    page.get_by_text("was an odd one and is set aside").wait_for()
    other.now = datetime.now().astimezone()
    other.go(f"hold|{FLAP}|levelled")


def plan_again(page: Any, other: Walk) -> None:
    """More was taken than planned: a new plan is made from what is read, and a finisher agrees."""
    page.get_by_text("Replan", exact=True).tap()
    page.get_by_role("heading", name="The new plan").wait_for()
    page.get_by_text("What is done stays done").wait_for()
    page.get_by_label("Why, in a few words").fill("more taken than planned")
    page.get_by_label("Why, in a few words").press("Tab")
    sign(page, "Agree to the new plan")
    wait_for(page, lambda: len(other.bench().legs) == 2)


def finish(page: Any, kept: Store, other: Walk, settled: Callable) -> None:
    """The last hold points, the film record, and the next job from it."""
    page.reload()
    page.get_by_text("Looked at as well").wait_for()
    for panel in (FLAP, "rim, tail bend", "rim, treble side"):
        page.get_by_role("button", name=panel, exact=True).tap()
    sign(page, "Sign")
    page.get_by_role("button", name="Enter into the instrument's film record").tap()
    page.get_by_text("The card stays in the instrument.").wait_for()
    assert film_records.kept_record(kept, other.job_id) is not None
    page.get_by_role("button", name="Print the card (PDF)").wait_for()
    tap(page, "Start the next job from this record")
    page.get_by_role("heading", name="A whole service, next service").wait_for()
    assert "/survey" in page.url
    settled(page)


def serious(page: Any) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{v['id']}: {[n['target'] for n in v['nodes']][:3]}" for v in found
            if v["impact"] in ("serious", "critical")]


def test_every_kind_of_task_can_be_read_and_hit_on_a_phone(visit: Callable, kept: Store, settled: Callable) -> None:
    people(kept)
    walk = Walk(kept, demo(kept, ("main lid, top", FLAP), title="For a phone"), days_ago(8))
    walk.begin()
    page = visit(412, 915, "dark", f"bench?job={walk.job_id}")
    for until in ("hold", "check", "pour", "step", f"check|{FLAP}|field|levelled"):
        walk.go(until)
        page.reload()
        page.locator(".fp-card .big").first.wait_for()
        settled(page)
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), until
        assert page.locator("[data-testid=stMain]").evaluate("e => e.scrollWidth <= e.clientWidth + 1"), until
        if until == "check":
            page.get_by_text("Check the gauge on a shim").tap()
            page.get_by_role("button", name="Log the check").wait_for()
            assert high(page, "Log the check") >= 96
            assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
        else:
            assert serious(page) == [], until
    task = walk.bench().where.next
    assert task is not None
    walk.read(96, 13, task)
    page.reload()
    page.get_by_text("STOP", exact=True).wait_for()
    settled(page)
    assert serious(page) == []
