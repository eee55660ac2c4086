"""The Bench page run without a browser: what is done is kept once, what is odd is asked, a stop fills the page."""

from __future__ import annotations

import sys
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "records"))

from bench_screen import Bench, fine, press, sign, told, type_reading, words
from bench_screen import bench as bench
from bench_walk import PIN, Walk, demo, people
from store_examples import png
from streamlit.testing.v1 import AppTest

from finishplan.records import bench_timers, bench_work, film_records, photos
from finishplan.records.store import Store

FLAP = "front lid flap"


def now() -> datetime:
    return datetime.now().astimezone()


@pytest.fixture
def walk(kept_store: Store) -> Walk:
    """One panel of the demo, begun, its stops signed."""
    people(kept_store)
    found = Walk(kept_store, demo(kept_store, (FLAP,)), now())
    found.begin()
    return found


def lines(walk: Walk, kind: str) -> list[object]:
    return [line for line in walk.bench().lines if line.kind == kind]


def test_without_a_job_the_page_leads_to_one(bench: Bench) -> None:
    app = fine(bench())
    assert [button.label for button in app.button] == ["Open the demo job", "Start a job", "To the jobs"]


def test_begin_names_what_may_not_start_and_the_open_stops(bench: Bench, kept_store: Store) -> None:
    people(kept_store)
    app = fine(bench(demo(kept_store)))
    said = words(app)
    assert "Do not start" in said and "measure first" in said and "F3 peroxide in the eye" in said
    assert "A finisher signs on the Safety page" in said
    app.radio("bench order").set_value("by panel").run()
    fine(press(app, "Begin work"))
    assert "hold point" in words(app) and "Bench: 0 of" in words(app)


def test_hold_points_are_signed_with_a_pin_and_a_trainee_is_told(bench: Bench, walk: Walk) -> None:
    app = fine(bench(walk.job_id))
    assert "A finisher looks and signs" in words(app)
    assert "trainee signs no hold point; ask a finisher to sign" in told(sign(app, "T1", PIN))
    assert "wrong PIN; 4 more wrong ones lock the name" in told(sign(app, "F1", "9999"))
    fine(sign(app, "F1", PIN))
    assert not app.text_input("bench pin").value, "no PIN stays in its box"
    assert len(lines(walk, "hold signed")) == 1 and "Bench: 1 of" in words(app)
    fine(sign(app, "F1", PIN))
    assert "0 of 3 read" in words(app)


def test_readings_are_asked_about_refused_or_kept_each_on_its_spot(bench: Bench, walk: Walk) -> None:
    walk.go("check")
    app = fine(bench(walk.job_id))
    assert "LEAST 123" in words(app)
    fine(type_reading(app, "4120"))
    assert "did you mean 412?" in words(app) and not lines(walk, "reading")
    app = fine(bench(walk.job_id))
    assert "did you mean 412?" in words(app), "another session asks it as well"
    fine(press(app, "It is 412"))
    app = type_reading(app, "0 380")
    assert "You typed: 0 380" in told(app)
    assert [(r.values.um, r.values.spot) for r in lines(walk, "reading")] == [(412, 13), (380, 14)]  # type: ignore[attr-defined]
    assert "2 of 3 read: 412, 380 um" in words(app)
    app = type_reading(app, "")
    assert "type film in um" in told(app)


def test_work_is_logged_by_somebody_of_the_shop(bench: Bench, walk: Walk) -> None:
    walk.go("step")
    app = fine(bench(walk.job_id, kept_who="somebody"))
    assert "Say above who works here" in words(app) and "Done" not in [button.label for button in app.button]
    app.selectbox("bench who").set_value("T1").run()
    fine(press(app, "Done"))
    assert lines(walk, "step done")[0].who == "T1"  # type: ignore[attr-defined]


def test_a_step_is_timed_logged_and_kept_once(bench: Bench, walk: Walk) -> None:
    walk.go("step")
    app = fine(bench(walk.job_id))
    assert "P800" in words(app) and "Done when" in words(app) and "Stop if" in words(app) and "LEAST 104" in words(app)
    fine(press(app, "Start the timer"))
    assert "Runs since" in words(fine(bench(walk.job_id))), "a reload, or another tablet, finds it running"
    bench_timers.pause_timer(walk.store, walk.job_id, f"1 step|{FLAP}|P800", now() + timedelta(minutes=13))
    app = fine(bench(walk.job_id))
    assert next(n for n in app.number_input if n.label == "Minutes worked").value == 13
    next(n for n in app.number_input if n.label == "Sheets used").set_value(3)
    fine(press(app, "Done"))
    assert [line.kind for line in walk.bench().lines[-3:]] == ["minutes", "sheets", "step done"]
    assert walk.bench().lines[-3].values.minutes == 13  # type: ignore[attr-defined]
    assert not bench_timers.timer_of(walk.store, walk.job_id, f"1 step|{FLAP}|P800").used


def test_a_timer_left_overnight_is_asked_about_and_a_negative_time_is_refused(bench: Bench, walk: Walk) -> None:
    walk.go("step")
    bench_timers.start_timer(walk.store, walk.job_id, f"1 step|{FLAP}|P800", now() - timedelta(hours=30))
    app = fine(bench(walk.job_id))
    assert "runs since another day" in words(app)
    fine(press(app, "Done"))
    assert "ran over night" in words(app) and not lines(walk, "step done")
    minutes = next(n for n in app.number_input if n.label == "Minutes worked")
    assert minutes.value == 1440, "what the timer ran is still there"
    minutes.set_value(-5)
    assert "minutes is -5" in told(press(app, "Done")) and not lines(walk, "step done")
    next(n for n in app.number_input if n.label == "Minutes worked").set_value(14)
    fine(press(app, "Done"))
    assert len(lines(walk, "step done")) == 1 and lines(walk, "minutes")[0].values.minutes == 14  # type: ignore[attr-defined]


def test_a_step_out_of_order_or_logged_by_another_is_told(bench: Bench, walk: Walk) -> None:
    walk.go("step")
    app = fine(bench(walk.job_id))
    app.selectbox("bench other").set_value(f"step|{FLAP}|P1500").run()
    assert "first P800 is done; log that, or replan" in told(press(app, "Done"))
    app = fine(press(app, "Back to what comes next"))
    task = walk.bench().where.next
    assert task is not None
    walk.do(task)
    app = press(app, "Done")
    assert "F1 logged P800 on front lid flap as done" in told(app) and len(lines(walk, "step done")) == 1
    assert len(lines(walk, "minutes")) == 1


def test_a_low_reading_stops_the_page_until_it_is_read_twice_beside(bench: Bench, walk: Walk) -> None:
    walk.go(f"check|{FLAP}|field|levelled")
    app = fine(bench(walk.job_id))
    fine(type_reading(app, "96"))
    assert '<p class="word">STOP</p>' in words(app) and "96 um after P800, and LEAST is 104" in words(app)
    assert "Done" not in [button.label for button in app.button]
    fine(type_reading(app, "350"))
    assert "Read beside it so far: 350 um" in words(app)
    app = type_reading(app, "351")
    assert "96 um was an odd one and is set aside" in told(app) and '<p class="word">STOP</p>' not in words(app)
    app.button_group("bench mode").set_value("Log").run()
    assert "two readings beside it are at or over LEAST" in words(app)


def test_a_low_reading_that_repeats_leads_to_a_new_plan_that_a_finisher_signs(bench: Bench, walk: Walk) -> None:
    walk.go(f"check|{FLAP}|field|levelled")
    app = fine(bench(walk.job_id))
    for um in ("96", "95", "97"):
        fine(type_reading(app, um))
    assert "It repeats." in words(app) and "The new plan" in words(app) and "What is done stays done" in words(app)
    assert "a trainee signs no new plan" in told(sign(app, "T1", PIN, "Agree to the new plan"))
    fine(sign(app, "F2", PIN, "Agree to the new plan"))
    assert len(walk.bench().legs) == 2 and walk.bench().where.stops == ()
    line = lines(walk, "replan")[0]
    assert "96 um in front lid flap, field is under LEAST 104" in line.values.why  # type: ignore[attr-defined]


def test_a_shut_step_says_where_to_sign(bench: Bench, kept_store: Store) -> None:
    people(kept_store)
    walk = Walk(kept_store, demo(kept_store, (FLAP,)), now(), stops_signed=False)
    walk.begin()
    walk.go("step")
    app = fine(bench(walk.job_id))
    assert "Shut" in words(app) and "a finisher signs for it on the Safety page first" in words(app)
    assert "Done" not in [button.label for button in app.button]


def test_without_a_finisher_with_a_pin_the_page_says_where_to_set_one(bench: Bench, kept_store: Store) -> None:
    walk = Walk(kept_store, demo(kept_store, (FLAP,)), now())
    walk.begin()
    app = fine(bench(walk.job_id))
    assert "No finisher of our shop has a PIN yet" in words(app) and "To the Shop page" in [b.label for b in app.button]


def test_the_end_enters_the_record_prints_the_card_and_starts_the_next_job(bench: Bench, walk: Walk) -> None:
    walk.go()
    app = fine(bench(walk.job_id))
    assert "Everything on the course is done and signed." in words(app)
    fine(press(app, "Enter into the instrument's film record"))
    assert "The card stays in the instrument." in words(app)
    assert film_records.kept_record(walk.store, walk.job_id) is not None
    assert [e.label for e in app.get("download_button")] == ["Print the card (PDF)"]
    app = press(app, "Start the next job from this record")
    titles = [row.title for row in walk.store.jobs().rows]
    assert len(titles) == 2 and any(title.endswith("next service") for title in titles)


def test_notes_are_kept_and_lines_set_aside_with_a_reason(bench: Bench, walk: Walk) -> None:
    walk.go("step")
    app = fine(bench(walk.job_id, bench_mode="Log"))
    assert "380" in words(app) or "um at spot" in words(app)
    number = lines(walk, "reading")[0].number  # type: ignore[attr-defined]
    app.session_state["bench_aside_open"] = True
    app = fine(app.run())
    app.selectbox("bench line").set_value(number).run()
    assert "say why the line does not count" in told(press(app, "Set it aside"))
    app.text_input("bench aside").set_value("gauge slipped")
    fine(press(app, "Set it aside"))
    assert "gauge slipped" in words(app)


def test_practice_says_what_follows_and_keeps_nothing(bench: Bench, walk: Walk) -> None:
    before = walk.bench().lines
    app = fine(bench(walk.job_id, bench_mode="Practice"))
    fine(press(app, "Begin to practise"))
    assert "You are a trainee: a trainee cannot sign" in words(press(app, "Sign it yourself"))
    for _ in range(2):
        fine(press(app, "Show the finisher"))
    app.number_input("practice um").set_value(4120.0)
    fine(press(app, "Type it in"))
    assert "did you mean" in words(app)
    app.number_input("practice um").set_value(96.0)
    fine(press(app, "Type it in"))
    assert '<p class="word">STOP.</p>' in words(app)
    fine(press(app, "Plan again"))
    fine(press(app, "Leave the practice"))
    assert walk.bench().lines == before


def check_gauge(app: AppTest, shim: float, reads: float) -> AppTest:
    app.session_state["bench_shim_open"] = True
    app = fine(app.run())
    app.number_input("bench shim um").set_value(shim)
    app.number_input("bench shim reads").set_value(reads)
    return press(app, "Log the check")


def test_a_gauge_is_checked_on_a_shim_and_what_follows_is_said(bench: Bench, walk: Walk) -> None:
    walk.go("step")
    app = bench(walk.job_id, bench_mode="Log")
    assert "type how thick the shim is" in told(check_gauge(app, 400.0, 0.0))
    fine(check_gauge(app, 412.0, 4120.0))
    assert "did you mean 412?" in words(app) and not lines(walk, "shim check")
    fine(check_gauge(app, 400.0, 440.0))
    said = words(app)
    assert "read 440 um on a shim of 400 um, and not within the 14 um it may be off" in said
    assert "Set aside: seven readings" in said and "To be read again" in said and "teach no removal rate" in said
    assert "its readings do not count" in said
    app = fine(bench(walk.job_id))
    assert "0 of 3 read" in words(app) and "until then read with another" in words(app)
    app.text_input("bench gauge").set_value("no 2").run()
    assert "until then read with another" not in words(fine(app))
    fine(type_reading(app, "380"))
    assert "1 of 3 read: 380 um" in words(app)
    assert lines(walk, "reading")[-1].values.gauge == "no 2"  # type: ignore[attr-defined]


def test_the_next_job_is_started_from_the_jobs_page_too(walk: Walk, jobs: Callable[[], AppTest]) -> None:
    walk.go()
    other = walk.store.start(walk.bench().opened.body, "F1", now()).id
    film_records.enter_record(walk.store, walk.bench(), "F1", now(), draws=0)
    app = jobs()
    app.button(f"more {other}").click().run()
    assert "Start the next job on this instrument" not in [button.label for button in fine(app).button]
    app.button(f"more {walk.job_id}").click().run()
    assert "In the film record since" in words(fine(app)) and "by F1" in words(app)
    fine(press(app, "Start the next job on this instrument"))
    made = walk.store.open(app.session_state["kept job"])
    assert made.title.endswith("next service") and made.wording.startswith("started from the film record of")


def test_what_another_logs_meanwhile_does_not_change_the_page_under_a_thumb(bench: Bench, walk: Walk) -> None:
    walk.go("step")
    app = fine(bench(walk.job_id, kept_who="T1"))
    task = walk.bench().where.next
    assert task is not None
    walk.do(task)
    next(n for n in app.number_input if n.label == "Minutes worked").set_value(9).run()
    assert "F1 logged this at" in words(fine(app)) and "Nothing more is logged for it." in words(app)
    assert "Done" not in [button.label for button in app.button]
    app = press(app, "I worked on it too: keep my 9 min beside it")
    assert "9 min of P800 stand beside it in the log, set aside" in told(app)
    assert [(line.values.minutes, line.who, bool(line.set_aside)) for line in lines(walk, "minutes")][1:] == [  # type: ignore[attr-defined]
        (9, "T1", True)]
    fine(press(app, "Back to what comes next"))
    assert "0 of 3 read" in words(app)


def test_photos_of_the_log_are_shown_and_one_whose_file_is_gone_is_told(bench: Bench, walk: Walk) -> None:
    for colour in ("red", "green"):
        row = photos.add_photo(walk.store, walk.job_id, png(colour=colour), f"{colour}.png", "F1", now())
        raw = {"kind": "photo", "panel": FLAP, "values": {"digest": row.digest, "text": f"{colour}.png"}}
        assert bench_work.add_line(walk.store, walk.bench(), raw, "F1", now()).kept
    app = fine(bench(walk.job_id, bench_mode="Log"))
    assert len(app.get("image")) == 2 and "front lid flap: photo green.png" in words(app)
    next(walk.store.where.photos.rglob(f"{row.digest}*")).unlink()
    app = fine(bench(walk.job_id, bench_mode="Log"))
    assert len(app.get("image")) == 1 and "is not in the data folder; restore the last backup" in words(app)
