"""A drifted gauge at the bench: its readings are set aside, what rested on them is open again, rates forget them."""

from __future__ import annotations

from typing import Any

import pytest
from bench_walk import Walk, demo, people
from store_examples import at

from finishplan.bench.gauge_check import effect
from finishplan.bench.log import read_line
from finishplan.bench.log_lines import ShimLine
from finishplan.bench.observations import DOUBTFUL
from finishplan.bench.task_card import as_it_is_now, card_of, check_words, read_after
from finishplan.records import bench_signed, bench_work
from finishplan.records.bench_gauges import read_elsewhere
from finishplan.records.shop_learned import from_logs
from finishplan.records.store import Store

FLAP = "front lid flap"


@pytest.fixture
def walk(lite: Store) -> Walk:
    people(lite)
    found = Walk(lite, demo(lite, (FLAP,)))
    found.begin()
    return found


def check(walk: Walk, um: float, keep: bool = True) -> tuple[str, ...]:
    """Check the gauge on a shim of 400 um; return what is said of it."""
    raw: dict[str, Any] = {"kind": "shim check", "values": {"shim_um": 400.0, "um": um}}
    bench = walk.bench()
    line = read_line({**raw, "number": bench_work.next_number(bench), "at": walk.now, "who": "F1"})
    assert isinstance(line, ShimLine)
    told = effect(bench.where, line, walk.now)
    if keep:
        assert bench_work.add_line(walk.store, bench, raw, "F1", walk.now).kept
    return told


def test_a_good_check_lets_all_stand(walk: Walk) -> None:
    walk.go("step")
    done = walk.bench().where.done
    assert check(walk, 401.0)[1:] == ("Its readings stand.",)
    assert walk.bench().where.done == done and walk.bench().lines[-1].kind == "shim check"


def test_a_drifted_gauge_opens_the_checks_again_before_the_next_stroke(walk: Walk) -> None:
    task = walk.go("step").where.next
    told = " ".join(check(walk, 460.0))
    assert "and not within the" in told and "Set aside: seven readings since its last good check" in told
    assert f"{FLAP}, field (" in told and f"To be read again: {FLAP}: read the film in field" in told
    bench = walk.bench()
    assert bench.where.next is not None and bench.where.next.key == f"check|{FLAP}|field|before"
    assert bench_signed.plan_again(bench).news is False, "without them the film is what the survey says"
    walk.do(bench.where.next)
    assert walk.bench().where.next.key == bench.where.next.key, "what it reads now does not count either"  # type: ignore[union-attr]
    assert check(walk, 400.0)[1] == "From here on its readings count again; those before stay set aside."
    walk.go("step")
    assert walk.bench().where.next == task


def test_where_work_has_gone_on_the_film_is_read_as_it_is_now(walk: Walk) -> None:
    walk.go(f"step|{FLAP}|polishing")
    told = " ".join(check(walk, 340.0))
    assert "The plan in force stays; planned again, it goes by what still counts." in told
    check(walk, 400.0)
    bench = walk.bench()
    task = bench.where.next
    assert task is not None and task.key == f"check|{FLAP}|field|before"
    assert read_after(task, bench.where) == "cutting compound"
    assert "cutting compound has gone over it since: read it as it is now" in check_words(task, bench.where)
    card = card_of(bench.answer, bench.course, task)
    now = as_it_is_now(card, task, bench.where)
    assert now.least[0][1] < card.least[0][1] and dict(now.facts)["When"] == "after cutting compound"
    while (task := walk.bench().where.next) is not None and task.check is not None:
        for spot, um in walk.film[(FLAP, task.zones[0])].items():
            raw = {"kind": "reading", "panel": FLAP, "zone": task.zones[0], "step": read_after(task, bench.where),
                   "values": {"um": um, "spot": spot}}
            assert bench_work.add_line(walk.store, walk.bench(), raw, "F1", walk.now).kept
    assert task == walk.bench().course.task(f"step|{FLAP}|polishing compound")
    walk.go()
    assert walk.bench().where.finished


def test_a_stop_that_rested_on_it_goes_and_is_read_again(walk: Walk) -> None:
    task = walk.go(f"check|{FLAP}|field|levelled").where.next
    assert task is not None
    walk.read(96, 13, task)
    assert len(walk.bench().where.stops) == 1
    told = " ".join(check(walk, 340.0))
    assert f"The stop at 96 um in {FLAP}, field rested on it: read there before anyone goes on." in told
    assert walk.bench().where.stops == () and walk.bench().where.next is not None
    assert walk.bench().where.next.key.startswith("check|")


def test_readings_of_a_drifted_gauge_teach_no_rate(walk: Walk) -> None:
    walk.go("step|front lid flap|polishing")
    before = from_logs(walk.store, walk.store.shop("F1", at()).body, walk.now).learned.observations
    assert [one.step for one in before if not one.left_out] and before
    told = " ".join(check(walk, 340.0))
    assert "They teach no removal rate." in told
    after = from_logs(walk.store, walk.store.shop("F1", at()).body, walk.now).learned.observations
    assert [one for one in after if not one.left_out] == []


def test_a_low_reading_that_nobody_has_settled_teaches_no_rate(walk: Walk) -> None:
    task = walk.go(f"check|{FLAP}|field|levelled").where.next
    assert task is not None

    def found() -> list[tuple[str, str]]:
        logs = from_logs(walk.store, walk.store.shop("F1", at()).body, walk.now)
        return [(one.step, one.left_out) for one in logs.learned.observations]

    walk.read(96, 13, task)
    assert found() == [("P800", DOUBTFUL)]
    for um in (95, 97):
        walk.read(um, 13, task, walk.bench().where.stops[0].line)
    assert found() == [("P800", "")], "it repeats: so much was taken"


def test_other_jobs_read_with_the_same_gauge_are_named(walk: Walk) -> None:
    walk.go("step")
    other = Walk(walk.store, demo(walk.store, (FLAP,), title="The other"))
    assert read_elsewhere(walk.store, walk.job_id, ("ultrasonic", "")) == ()
    other.begin()
    other.go("step")
    assert read_elsewhere(walk.store, walk.job_id, ("ultrasonic", "")) == ("The other",)
    assert read_elsewhere(walk.store, walk.job_id, ("ultrasonic", "2")) == ()
    check(other, 460.0)
    assert read_elsewhere(walk.store, walk.job_id, ("ultrasonic", "")) == ()


def test_a_mistyped_check_is_asked_about(walk: Walk) -> None:
    walk.go("check")
    raw = {"kind": "shim check", "values": {"shim_um": 412.0, "um": 4120.0}}
    asked = bench_work.add_line(walk.store, walk.bench(), raw, "F1", walk.now)
    assert not asked.kept and asked.asked == ("4120 um on a shim of 412 um: did you mean 412?",)
    far = bench_work.add_line(walk.store, walk.bench(), {"kind": "shim check", "values": {
        "shim_um": 400.0, "um": 700.0}}, "F1", walk.now)
    assert far.asked == ("700 um on a shim of 400 um: is it so?",)
