"""A kept job at the bench: its plan stays while others edit, work is kept once, consent puts a plan in force."""

from __future__ import annotations

import threading

import pytest
from bench_walk import PIN, Walk, demo, people
from store_examples import at

from finishplan.bench.new_line import CannotSign, OutOfOrder, WorkStopped
from finishplan.errors import FinishplanError
from finishplan.records import bench_asked, bench_log, bench_signed, bench_work, film_records, pins, signatures
from finishplan.records.at_bench import at_bench, choose_order, plans_in_force
from finishplan.records.bench_timers import clear_timer, pause_timer, start_timer, timer_of
from finishplan.records.store import Store

FLAP = "front lid flap"


@pytest.fixture
def walk(lite: Store) -> Walk:
    people(lite)
    found = Walk(lite, demo(lite))
    found.begin()
    return found


def reading(um: float, **more: object) -> dict[str, object]:
    return {"kind": "reading", "panel": "main lid, top", "zone": "field", "step": "", "values": {"um": um, **more}}


def test_nothing_is_logged_before_work_is_begun(lite: Store) -> None:
    people(lite)
    found = Walk(lite, demo(lite))
    with pytest.raises(OutOfOrder, match="work is not begun yet; press Begin first"):
        bench_work.add_line(lite, found.bench(), reading(400), "F1", at())
    found.begin()
    found.begin()
    assert [line.kind for line in found.bench().lines] == ["work begun"]
    assert lite.open(found.job_id).state == "at the bench"


def test_the_plan_in_force_stays_whatever_is_edited(walk: Walk) -> None:
    before = walk.bench()
    body = walk.store.open(walk.job_id).body
    body["panels"][0]["zones"][0]["readings"] = []
    walk.store.save(walk.job_id, body, walk.store.open(walk.job_id).revision, "Ben", at(1))
    shop = walk.store.shop("F1", at())
    walk.store.save("shop", {**shop.body, "policy": {"min_readings": 5}}, shop.revision, "Ben", at(2))
    after = walk.bench()
    assert (after.answer, after.course.tasks) == (before.answer, before.course.tasks)
    assert after.surveyed_since and not before.surveyed_since


def test_a_changed_survey_is_taken_up_before_the_first_stroke_alone(walk: Walk) -> None:
    body = walk.store.open(walk.job_id).body
    body["panels"] = body["panels"][:2]
    walk.store.save(walk.job_id, body, walk.store.open(walk.job_id).revision, "Ben", at(1))
    refused = bench_signed.take_up_survey(walk.store, walk.bench(), "F1", "0000", at(2))
    assert not refused.kept and "wrong PIN" in refused.words
    assert bench_signed.take_up_survey(walk.store, walk.bench(), "F1", PIN, at(3)).kept
    assert len(walk.bench().answer.job.panels) == 2 and not walk.bench().surveyed_since
    walk.sign_stops()
    walk.go("check|front lid flap|field|levelled")
    with pytest.raises(FinishplanError, match="the bench goes by its own plan; replan from what is read"):
        bench_signed.take_up_survey(walk.store, walk.bench(), "F1", PIN, at(4))


def test_the_order_is_kept_and_what_is_done_with_it(walk: Walk) -> None:
    walk.go("pour")
    done = walk.bench().where.done
    choose_order(walk.store, walk.job_id, "by panel")
    assert walk.bench().course.order == "by panel" and walk.bench().where.done >= done


def test_two_people_logging_the_same_step_count_once_and_are_told(walk: Walk) -> None:
    seen_by_both = walk.go("step")
    task = seen_by_both.where.next
    assert task is not None
    assert bench_work.finish_task(walk.store, seen_by_both, task, "F1", walk.now, 12.0).kept
    late = bench_work.finish_task(walk.store, seen_by_both, task, "F2", at(9000), 14.0)
    assert late.kept and late.words == (
        f"F1 logged this at {walk.now:%H:%M}; it counts once. 14 min of P800 stand beside it in the log, set aside: "
        "let them count there if both worked")
    again = bench_work.finish_task(walk.store, seen_by_both, task, "F2", at(9000), 14.0)
    assert again.words == late.words, "sent twice it is one line"
    minutes = [line for line in walk.bench().lines if line.kind == "minutes"]
    assert [(line.who, line.set_aside) for line in minutes] == [("F1", None), ("F2", bench_work.BESIDE)]
    asked = bench_work.finish_task(walk.store, walk.bench(), task, "F2", at(9001))
    assert not asked.kept and "F1 logged P800 on front lid flap as done" in asked.words
    steps = [line for line in walk.bench().lines if line.kind == "step done"]
    assert [line.who for line in steps] == ["F1"]


def test_a_hold_point_that_two_sign_at_once_is_signed_once(walk: Walk) -> None:
    seen_by_both = walk.bench()
    task = seen_by_both.where.next
    assert task is not None
    assert bench_signed.sign_holds(walk.store, seen_by_both, [task], "F1", PIN, at(1)).words == ""
    late = bench_signed.sign_holds(walk.store, seen_by_both, [task], "F2", PIN, at(2))
    assert late.kept and late.words == "F1 signed this at 08:01; it counts once."
    assert [one.who for one in signatures.signatures_of(walk.store, walk.job_id, "hold")] == ["F1"]
    assert [line.who for line in walk.bench().lines if line.kind == "hold signed"] == ["F1"]


@pytest.mark.parametrize("broken", ["put_signature", "put_line"])
def test_a_signature_and_its_line_are_kept_together_or_not_at_all(
    walk: Walk, monkeypatch: pytest.MonkeyPatch, broken: str
) -> None:
    tasks = [task for task in walk.bench().course.tasks if task.key.endswith("|cleaned")]
    real, calls = getattr(bench_signed, broken), []

    def third_fails(*args: object, **kwargs: object) -> object:
        calls.append(args)
        if len(calls) == 3:
            raise KeyboardInterrupt
        return real(*args, **kwargs)

    monkeypatch.setattr(bench_signed, broken, third_fails)
    with pytest.raises(KeyboardInterrupt):
        bench_signed.sign_holds(walk.store, walk.bench(), tasks, "F2", PIN, at(1))
    monkeypatch.undo()
    assert [line.kind for line in walk.bench().lines] == ["work begun"]
    assert signatures.signatures_of(walk.store, walk.job_id, "hold") == ()
    assert bench_signed.sign_holds(walk.store, walk.bench(), tasks, "F2", PIN, at(2)).kept
    assert len(signatures.signatures_of(walk.store, walk.job_id, "hold")) == len(tasks) == 4


def test_minutes_and_step_are_kept_together_or_not_at_all(walk: Walk, monkeypatch: pytest.MonkeyPatch) -> None:
    bench = walk.go("step")
    task, before = bench.where.next, len(bench.lines)
    assert task is not None
    real = bench_work.put_line
    monkeypatch.setattr(bench_work, "put_line", lambda connection, job_id, new, who, at: real(
        connection, job_id if new.kind != "step done" else "gone", new, who, at))
    with pytest.raises(FinishplanError, match="no job 'gone' is kept here"):
        bench_work.finish_task(walk.store, bench, task, "F1", walk.now, 12.0, 2)
    assert len(walk.bench().lines) == before


def test_out_of_order_and_negative_or_odd_minutes_keep_nothing(walk: Walk) -> None:
    bench = walk.go("step")
    task, before = bench.where.next, len(bench.lines)
    assert task is not None
    later = bench.course.task("step|front lid flap|cutting compound")
    with pytest.raises(OutOfOrder, match="front lid flap: first P800 is done; log that, or replan"):
        bench_work.finish_task(walk.store, bench, later, "F1", walk.now, 10.0)
    with pytest.raises(FinishplanError, match="minutes is -5"):
        bench_work.finish_task(walk.store, bench, task, "F1", walk.now, -5.0)
    asked = bench_work.finish_task(walk.store, bench, task, "F1", walk.now, 700.0)
    assert not asked.kept and "is it so, or was the timer left running?" in asked.asked[0]
    night = bench_work.finish_task(walk.store, bench, task, "F1", walk.now, 600.0, started=at(-600))
    assert not night.kept and "ran over night" in night.asked[0]
    assert len(walk.bench().lines) == before
    assert bench_work.finish_task(walk.store, bench, task, "F1", walk.now, 700.0, 3, sure=True).kept
    assert [line.kind for line in walk.bench().lines[before:]] == ["minutes", "sheets", "step done"]


def test_a_shut_step_cannot_be_logged_before_the_stop_is_signed(lite: Store) -> None:
    people(lite)
    walk = Walk(lite, demo(lite), stops_signed=False)
    walk.begin()
    bench = walk.go("pour")
    assert bench.where.next is not None and bench.where.next.key in bench.shut
    with pytest.raises(bench_work.StillShut, match=r"main lid, top: shut by .*F3 peroxide in the eye.* first"):
        bench_work.finish_task(lite, bench, bench.where.next, "F1", walk.now)
    walk.sign_stops()
    assert walk.bench().shut == {} and walk.bench().unsigned == ()
    assert bench_work.finish_task(lite, walk.bench(), bench.where.next, "F1", walk.now).kept


def test_odd_readings_wait_for_an_answer_and_nothing_is_lost(walk: Walk) -> None:
    walk.go("check")
    first = bench_asked.read_or_ask(walk.store, walk.bench(), reading(4120, spot=1), "F1", at(1), "tap 1")
    assert not first.kept and first.meant_um == 412
    again = bench_asked.read_or_ask(walk.store, walk.bench(), reading(4120, spot=1), "F1", at(1), "tap 1")
    assert not again.kept
    waiting = bench_asked.waiting(walk.store, walk.job_id)
    assert [one.um for one in waiting] == [4120] and "did you mean 412?" in waiting[0].words
    bench_asked.answer(walk.store, walk.bench(), waiting[0], 412.0, at(2))
    assert bench_asked.waiting(walk.store, walk.job_id) == []
    assert [line.values.um for line in walk.bench().lines if line.kind == "reading"] == [412]  # type: ignore[attr-defined]
    with pytest.raises(FinishplanError, match="um is 0"):
        bench_asked.read_or_ask(walk.store, walk.bench(), reading(0), "F1", at(3))
    bench_asked.read_or_ask(walk.store, walk.bench(), reading(41), "F1", at(4))
    bench_asked.answer(walk.store, walk.bench(), bench_asked.waiting(walk.store, walk.job_id)[0], None, at(5))
    assert len([line for line in walk.bench().lines if line.kind == "reading"]) == 1


def test_two_tablets_that_ask_at_once_lose_no_question(walk: Walk) -> None:
    bench = walk.go("check")

    def ask(number: int) -> None:
        bench_asked.read_or_ask(walk.store, bench, reading(4120 + number), "F1", at(1), f"tap {number}")

    tablets = [threading.Thread(target=ask, args=(number,)) for number in range(6)]
    for tablet in tablets:
        tablet.start()
    for tablet in tablets:
        tablet.join()
    asked = bench_asked.waiting(walk.store, walk.job_id)
    assert sorted(one.um for one in asked) == [4120, 4121, 4122, 4123, 4124, 4125]
    bench_asked.answer(walk.store, bench, asked[0], 412.0, at(2))
    assert len(bench_asked.waiting(walk.store, walk.job_id)) == 5


def test_hold_points_want_a_finisher_with_a_pin_who_did_not_do_the_work(walk: Walk) -> None:
    bench = walk.bench()
    task = bench.where.next
    assert task is not None and task.hold is not None
    with pytest.raises(CannotSign, match="T1 is a trainee, and a trainee signs no hold point; ask a finisher to sign"):
        bench_signed.sign_holds(walk.store, bench, [task], "T1", PIN, at(1))
    assert bench_signed.sign_holds(walk.store, bench, [task], "F1", "0000", at(1)).words.startswith("wrong PIN")
    assert [line.tried for line in pins.attempts(walk.store, "F1")][:1] == ["wrong"]
    assert bench_signed.sign_holds(walk.store, bench, [task], "F1", PIN, at(2)).kept
    kept = signatures.signatures_of(walk.store, walk.job_id, "hold")
    assert [(one.what, one.who) for one in kept] == [(task.key, "F1")] and kept[0].body["text"] == task.hold.text
    held = walk.go("hold|front lid flap|levelled").where.next
    assert held is not None
    with pytest.raises(CannotSign, match="F1 worked here, and nobody signs for their own work; ask F2 to"):
        bench_signed.sign_holds(walk.store, walk.bench(), [held], "F1", PIN, walk.now)
    assert bench_signed.sign_holds(walk.store, walk.bench(), [held], "F2", PIN, walk.now).kept


def test_a_lone_finisher_is_asked_before_signing_for_own_work(lite: Store) -> None:
    people(lite, "F1", "T1")
    walk = Walk(lite, demo(lite))
    walk.begin()
    for _ in range(60):
        task = walk.bench().where.next
        assert task is not None
        if task.key == "hold|front lid flap|levelled":
            break
        if task.hold is None:
            walk.do(task)
        else:
            assert bench_signed.sign_holds(lite, walk.bench(), [task], "F1", PIN, walk.now, sure=True).kept
    asked = bench_signed.sign_holds(lite, walk.bench(), [task], "F1", PIN, walk.now)
    assert not asked.kept and asked.asked == (
        "F1 worked here, and nobody else of our shop may sign: sign for your own work?",)
    assert bench_signed.sign_holds(lite, walk.bench(), [task], "F1", PIN, walk.now, sure=True).kept
    assert signatures.signatures_of(lite, walk.job_id, "hold")[-1].reason == bench_signed.OWN_WORK


def test_hold_points_looked_at_together_are_signed_with_one_pin(walk: Walk) -> None:
    tasks = [task for task in walk.bench().course.tasks if task.key.endswith("|cleaned")]
    assert len(tasks) == 4
    assert bench_signed.sign_holds(walk.store, walk.bench(), tasks, "F2", PIN, at(1)).kept
    assert {task.key for task in tasks} <= walk.bench().where.done
    assert [line.tried for line in pins.attempts(walk.store, "F2")] == ["right", "set"]


def test_timers_are_kept_at_start_and_at_pause(walk: Walk) -> None:
    start_timer(walk.store, walk.job_id, "1 step|lid|P800", at(0))
    assert timer_of(walk.store, walk.job_id, "1 step|lid|P800").runs
    assert pause_timer(walk.store, walk.job_id, "1 step|lid|P800", at(9)).before_min == 9.0
    assert timer_of(walk.store, walk.job_id, "1 step|lid|P800").before_min == 9.0
    clear_timer(walk.store, walk.job_id, "1 step|lid|P800")
    assert not timer_of(walk.store, walk.job_id, "1 step|lid|P800").used


def test_a_whole_service_with_an_odd_one_a_stop_and_a_new_plan(walk: Walk) -> None:
    walk.go("check|front lid flap|field|levelled")
    task = walk.bench().where.next
    assert task is not None
    walk.read(96, 13, task)
    stop = walk.bench().where.stops[0]
    with pytest.raises(WorkStopped, match=f"line {stop.line} is what work on front lid flap is stopped by: read twice "
                       "beside it, which sets it aside where it does not repeat, or plan again"):
        bench_work.leave_out(walk.store, walk.bench(), stop.line, "typed wrong", "T1", walk.now)
    bench_work.leave_out(walk.store, walk.bench(), stop.line - 1, "typed wrong", "T1", walk.now)
    bench_log.set_aside(walk.store, walk.job_id, stop.line - 1, None, "T1", walk.now)
    with pytest.raises(WorkStopped, match="work on front lid flap is stopped: 96 um in field is under LEAST 104"):
        after = walk.bench().course.task("step|front lid flap|P1500")
        bench_work.finish_task(walk.store, walk.bench(), after, "F1", walk.now)
    walk.read(350, 13, task, stop.line)
    assert bench_work.settle_odd(walk.store, walk.job_id, "F1", walk.now) == ()
    walk.read(351, 13, task, stop.line)
    told = bench_work.settle_odd(walk.store, walk.job_id, "F1", walk.now)
    assert "96 um was an odd one and is set aside" in told[0] and walk.bench().where.stops == ()
    assert bench_log.lines(walk.store, walk.job_id)[stop.line - 1].set_aside

    walk.film[(FLAP, "field")] = {spot: um - 20.0 for spot, um in walk.film[(FLAP, "field")].items()}
    walk.go("hold|front lid flap|levelled")
    bench = walk.bench()
    found = bench_signed.plan_again(bench)
    assert found.news and found.changes
    with pytest.raises(CannotSign, match="a trainee signs no new plan; ask a finisher"):
        bench_signed.agree(walk.store, bench, found, "T1", PIN, "thin", walk.now)
    assert bench_signed.agree(walk.store, bench, found, "F2", PIN, "thin at spot 13", walk.now).kept
    agreed = walk.bench()
    assert [p.sequence for p in agreed.answer.plan.panels] == [p.sequence for p in found.plan.panels]
    assert walk.store.open(walk.job_id).wording == "new plan: thin at spot 13"
    assert [job for job, _ in plans_in_force(walk.store, walk.job_id, walk.now)] == [a.job for a in agreed.answers]
    assert len(agreed.answers) == 2
    walk.sign_stops()
    assert walk.go().where.finished
    made = film_records.enter_record(walk.store, walk.bench(), "F1", walk.now)
    assert film_records.enter_record(walk.store, walk.bench(), "F2", walk.now).revision == made.revision == 1
    assert walk.store.open(walk.job_id).state == "done"


def test_a_survey_edited_meanwhile_is_not_overwritten_by_a_new_plan(walk: Walk) -> None:
    walk.go("hold|front lid flap|levelled")
    body = walk.store.open(walk.job_id).body
    walk.store.save(walk.job_id, {**body, "title": "renamed"}, walk.store.open(walk.job_id).revision, "Ben", walk.now)
    bench = walk.bench()
    out = bench_signed.agree(walk.store, bench, bench_signed.plan_again(bench), "F2", PIN, "looked again", walk.now)
    assert out.kept and "Ben changed the survey meanwhile" in out.words
    assert walk.store.open(walk.job_id).title == "renamed"
    after = at_bench(walk.store, walk.job_id, walk.now)
    assert after.answer.job.title != "renamed" and after.leg.revision != bench.leg.revision
    zone = next(p for p in after.answer.job.panels if p.name == FLAP).zones[0]
    assert zone.previous_step == "P800"


def test_a_consent_broken_off_after_its_job_is_kept_is_given_again(
    walk: Walk, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench = walk.go("hold|front lid flap|levelled")

    def killed(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(bench_signed, "keep_consent", killed)
    with pytest.raises(KeyboardInterrupt):
        bench_signed.agree(walk.store, bench, bench_signed.plan_again(bench), "F2", PIN, "looked again", walk.now)
    monkeypatch.undo()
    left = walk.bench()
    assert len(left.legs) == 1 and left.answer.plan == bench.answer.plan, "the plan in force is the old one"
    kept = walk.store.open(walk.job_id).revision
    assert bench_signed.agree(walk.store, left, bench_signed.plan_again(left), "F2", PIN, "looked again", walk.now).kept
    assert len(walk.bench().legs) == 2 and walk.store.open(walk.job_id).revision == kept


def test_two_consents_at_once_put_one_plan_in_force(walk: Walk) -> None:
    walk.go("hold|front lid flap|levelled")
    bench = walk.bench()
    found = bench_signed.plan_again(bench)
    for who in ("F1", "F2"):
        assert bench_signed.agree(walk.store, bench, found, who, PIN, "looked again", walk.now).kept
    assert len(walk.bench().legs) == 2
    assert [line.who for line in walk.bench().lines if line.kind == "replan"] == ["F1"]
