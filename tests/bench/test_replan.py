"""Replanning: the log goes into the job, and the one planner does the rest."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from bench_jobs import DULL, NICK, PEEL, SCRATCH, answer, demo, panel, zone
from bench_logs import Book, work_step

from finishplan.bench.log_lines import LogLine, ReplanLine
from finishplan.bench.new_line import CannotSign
from finishplan.bench.replan import Replan, consent_line, replan
from finishplan.errors import FinishplanError
from finishplan.survey.job import Depth, Job, job_as_dict, read_job_dict

EDGE = {"name": "edge", "kind": "edge", "area_m2": 0.05,
        "readings": [{"um": um} for um in (262, 258, 265, 261)], "defects": []}


def again(found: Any, lines: Sequence[LogLine], **more: Any) -> Replan:
    return replan(found.job, found.profile, found.plan, lines, why=True, **more)


def first_zone(job: Job) -> Any:
    return job.panels[0].zones[0]


def test_no_news_changes_nothing() -> None:
    for found in (demo(), answer(panel(zone(PEEL, SCRATCH, NICK), EDGE))):
        book = Book(panel=found.job.panels[0].name)
        book.add("note", values={"text": "started"})
        book.add("photo", panel=book.panel, values={"digest": "ab"})
        book.sign("cleaned")
        same = again(found, book.lines)
        assert same.job is found.job
        assert same.plan == found.plan
        assert (same.news, same.changes, same.reasons, same.kept, same.taken, same.warnings) == (
            False, (), (), (), (), ())


def test_reading_the_same_again_is_no_news() -> None:
    found = answer(panel(zone(PEEL)))
    book = Book()
    for reading in first_zone(found.job).readings:
        book.read(reading.um, reading.spot)
    assert again(found, book.lines).job == found.job


def test_a_full_step_as_planned_leaves_the_rest_of_the_plan() -> None:
    found = answer(panel(zone(PEEL), EDGE))
    planned = found.plan.panels[0]
    book = Book()
    work_step(book, found.job, found.plan, 0, planned.sequence[0])
    then = again(found, book.lines)
    assert then.plan.panels[0].sequence == planned.sequence[1:]
    field = first_zone(then.job)
    assert field.previous_step == planned.sequence[0]
    assert field.defects == ()
    taken = planned.steps[0].zones[0].removal_um
    assert [r.um for r in field.readings] == [r.um - taken for r in first_zone(found.job).readings]
    assert then.plan.panels[0].zones[0].removal_um == pytest.approx(planned.zones[0].removal_um - taken)
    assert then.kept == (f"part: {planned.sequence[0]} done by F1.",)
    assert then.changes == ()
    assert "orange peel is out" in then.reasons[0]
    assert then.taken[0].removal_um == pytest.approx(taken, abs=0.001)
    assert then.taken[0].read


def test_what_was_not_touched_stays_as_it_was() -> None:
    found = answer(panel(zone(PEEL)), panel(zone(DULL), name="other"))
    book = Book()
    work_step(book, found.job, found.plan, 0, found.plan.panels[0].sequence[0])
    then = again(found, book.lines)
    assert then.job.panels[1] == found.job.panels[1]


def test_a_finished_zone_carries_no_previous_step() -> None:
    found = answer(panel(zone(PEEL)))
    book = Book()
    for step in found.plan.panels[0].sequence:
        book.done(step)
    total = found.plan.panels[0].zones[0].removal_um
    for reading in first_zone(found.job).readings:
        book.read(reading.um - total, reading.spot, found.plan.panels[0].sequence[-1])
    then = again(found, book.lines)
    assert first_zone(then.job).previous_step is None
    assert then.plan.panels[0].sequence == ()
    assert then.plan.panels[0].zones[0].verdict == "go"


def test_fills_and_spots_drop_out() -> None:
    found = answer(panel(zone({"kind": "swirls"}, NICK, {"kind": "polish_build_up"}, DULL)))
    assert [d.repair for d in found.plan.panels[0].zones[0].defects] == ["buff", "fill", "clean", "buff"]
    book = Book()
    book.add("repair done", panel="part", zone="field", values={"defect": 1, "repair": "fill"})
    then = again(found, book.lines)
    assert [d.kind for d in first_zone(then.job).defects] == ["swirls", "polish_build_up", "dull_area"]
    assert then.plan.kits == ()
    assert "nick is filled" in then.reasons[0]
    assert then.kept == ("part, field: fill of mark 2 done by F1.",)


def test_a_thin_reading_asks_for_another_plan() -> None:
    found = answer(panel(zone(PEEL)))
    book = Book()
    for spot, um in ((1, 118.0), (2, 120.0), (3, 121.0), (4, 119.0), (5, 122.0)):
        book.read(um, spot)
    then = again(found, book.lines)
    assert then.news
    assert then.plan.panels[0].zones[0].film_mean_um == pytest.approx(120.0)
    assert then.plan.panels[0].zones[0].verdict == "not enough film"
    assert {change.what for change in then.changes} >= {"is now: not enough film (was: go)"}
    assert all(change.why for change in then.changes)
    assert any("goes on with nothing instead of" in change.what for change in then.changes)


def test_new_readings_before_the_first_stroke_join_the_old_ones() -> None:
    found = answer(panel(zone(PEEL)))
    book = Book()
    book.read(380.0, 3)
    book.read(384.0)
    readings = first_zone(again(found, book.lines).job).readings
    assert [(r.um, r.spot) for r in readings] == [
        (402, 1), (398, 2), (380.0, 3), (400, 4), (395, 5), (384.0, None)]


def test_readings_after_a_step_replace_the_older_ones() -> None:
    found = answer(panel(zone(PEEL)))
    step = found.plan.panels[0].sequence[0]
    book = Book()
    book.read(401.0, 1)
    book.done(step)
    book.read(377.0, 1, step)
    then = again(found, book.lines)
    assert [r.um for r in first_zone(then.job).readings] == [377.0]
    assert then.zones[0].change is not None
    assert then.zones[0].change.removal_um == pytest.approx(24.0)
    assert "that is -24 um, by the plan" in then.reasons[0]


def test_a_reading_taken_before_more_work_tells_nothing_of_now() -> None:
    found = answer(panel(zone(PEEL)))
    step = found.plan.panels[0].sequence[0]
    book = Book()
    book.minutes(step, 5.0)
    book.read(390.0, 1, step)
    book.minutes(step, 5.0)
    book.done(step)
    then = again(found, book.lines)
    assert first_zone(then.job).readings == ()
    assert then.plan.panels[0].zones[0].verdict == "measure first"


def test_nobody_read_after_a_step_and_the_film_is_a_guess() -> None:
    found = answer(panel(zone(PEEL)))
    planned = found.plan.panels[0]
    book = Book()
    book.done(planned.sequence[0])
    then = again(found, book.lines)
    field, zone_plan = first_zone(then.job), planned.zones[0]
    taken = planned.steps[0].zones[0].removal_um
    assert field.readings == ()
    assert field.film_estimate_um == pytest.approx(zone_plan.film_mean_um - (1 + zone_plan.overcut) * taken)
    assert then.plan.panels[0].zones[0].verdict == "measure first"
    assert "not read since" in then.reasons[0]
    assert not then.taken[0].read


def test_a_little_taken_and_not_read_lowers_the_old_readings() -> None:
    found = answer(panel(zone(DULL)))
    planned = found.plan.panels[0]
    first = planned.steps[0].zones[0].removal_um
    assert 0 < first <= found.profile.policy.unmeasured_um
    book = Book()
    book.done(planned.sequence[0])
    then = again(found, book.lines)
    lost = (1 + planned.zones[0].overcut) * first
    assert [r.um for r in first_zone(then.job).readings] == pytest.approx(
        [r.um - lost for r in first_zone(found.job).readings])
    assert "not read since" in first_zone(then.job).readings[0].note
    assert then.plan.panels[0].zones[0].verdict == "go"


def test_a_step_only_begun_leaves_its_scratches_and_the_whole_depth() -> None:
    found = answer(panel(zone(PEEL)))
    planned = found.plan.panels[0]
    book = Book()
    book.minutes(planned.sequence[0], 3.0)
    for reading in first_zone(found.job).readings:
        book.read(reading.um - 5.0, reading.spot, planned.sequence[0])
    then = again(found, book.lines)
    field = first_zone(then.job)
    assert field.previous_step == planned.sequence[0]
    (peel,) = field.defects
    assert peel.depth_um == pytest.approx(10.0)
    assert peel.note.startswith("was 15 um (measured), less 5 taken read up to ")
    assert then.plan.panels[0].zones[0].to_take_out_um >= 10.0


def test_a_step_begun_on_top_of_a_done_one_keeps_the_coarser_scratches() -> None:
    found = answer(panel(zone(PEEL)))
    first, second = found.plan.panels[0].sequence[:2]
    book = Book()
    book.done(first)
    book.minutes(second, 3.0)
    assert first_zone(again(found, book.lines).job).previous_step == first


@pytest.mark.parametrize(("typed", "expected"), [
    (30.0, 24.0),
    ({"low": 10.0, "likely": 20.0, "high": 30.0}, Depth(low=4.0, likely=14.0, high=24.0)),
])
def test_depth_still_to_go_and_the_wish_is_kept(typed: Any, expected: Any) -> None:
    scratch = {"kind": "ripple", "depth_um": typed, "wish": "remove", "note": "by the hinge"}
    found = answer(panel(zone(scratch)))
    step = found.plan.panels[0].sequence[0]
    book = Book()
    book.minutes(step, 3.0)
    for reading in first_zone(found.job).readings:
        book.read(reading.um - 6.0, reading.spot, step)
    then = again(found, book.lines)
    (left,) = first_zone(then.job).defects
    assert left.depth_um == (pytest.approx(expected) if isinstance(expected, float) else expected)
    assert left.wish == "remove"
    assert left.note.endswith("; by the hinge")
    was = found.plan.panels[0].zones[0].defects[0].planning_depth_um
    now = then.plan.panels[0].zones[0].defects[0].planning_depth_um
    assert now == pytest.approx(was - 6.0)


def test_softening_takes_what_is_still_to_go() -> None:
    found = answer(panel(zone({"kind": "ripple", "depth_um": 30.0, "wish": "soften"})))
    step = found.plan.panels[0].sequence[0]
    was = found.plan.panels[0].zones[0].defects[0].planning_depth_um
    assert was == pytest.approx(18.0)
    book = Book()
    book.minutes(step, 3.0)
    for reading in first_zone(found.job).readings:
        book.read(reading.um - 6.0, reading.spot, step)
    then = again(found, book.lines)
    assert first_zone(then.job).defects[0].wish == "soften"
    assert then.plan.panels[0].zones[0].defects[0].planning_depth_um == pytest.approx(12.0)


def test_what_was_softened_stays_as_agreed() -> None:
    found = answer(panel(zone({"kind": "ripple", "depth_um": 30.0, "wish": "soften"})))
    book = Book()
    work_step(book, found.job, found.plan, 0, found.plan.panels[0].sequence[0])
    then = again(found, book.lines)
    (left,) = first_zone(then.job).defects
    assert left.wish == "leave"
    assert left.depth_um.likely == pytest.approx(12.0)
    assert then.plan.panels[0].sequence == found.plan.panels[0].sequence[1:]
    assert "ripple is softened" in then.reasons[0]


def test_still_there_after_all_its_depth_asks_how_deep() -> None:
    found = answer(panel(zone(PEEL)))
    step = found.plan.panels[0].sequence[0]
    book = Book()
    work_step(book, found.job, found.plan, 0, step)
    book.add("defect seen", panel="part", zone="field", values={"defect": 0, "seen": "still there"})
    with pytest.raises(FinishplanError, match=r"part, field, mark 1: the orange peel is still there though all of its "
                                              r"planned depth \(15 um\) was taken; say how deep it still is"):
        again(found, book.lines)
    book.add("defect seen", panel="part", zone="field", values={"defect": 0, "seen": "still there", "depth_um": 6.0})
    then = again(found, book.lines)
    assert first_zone(then.job).defects[0].depth_um == 6.0
    assert then.plan.panels[0].zones[0].to_take_out_um >= 6.0


def test_said_to_be_gone_is_gone() -> None:
    found = answer(panel(zone(SCRATCH, PEEL)))
    book = Book()
    book.add("defect seen", panel="part", zone="field", values={"defect": 0, "seen": "gone"})
    assert [d.kind for d in first_zone(again(found, book.lines).job).defects] == ["orange_peel"]


def test_lean_keeps_what_the_finer_grades_still_have_to_take() -> None:
    found = answer(panel(zone({"kind": "ripple", "depth_um": 25.0})), crew={"first_cut": "lean"})
    planned = found.plan.panels[0]
    first = planned.steps[0].zones[0].removal_um
    assert first < 25.0
    book = Book()
    work_step(book, found.job, found.plan, 0, planned.sequence[0])
    then = again(found, book.lines)
    assert first_zone(then.job).defects[0].depth_um == pytest.approx(25.0 - first)
    assert then.plan.panels[0].sequence == planned.sequence[1:]
    assert then.plan.panels[0].zones[0].removal_um == pytest.approx(planned.zones[0].removal_um - first)


def test_the_test_spot_goes_where_its_entry_goes() -> None:
    spot = {"panel": "part", "zone": "field", "defect": 1, "steps": [{"step": "P1500", "minutes": 0.4}]}
    entries = ({"kind": "nick", "depth_um": 230.0, "width_mm": 2.0}, {"kind": "scratch", "length_mm": 60})
    found = answer(panel(zone(*entries)), test_spot=spot)
    assert found.plan.panels[0].zones[0].defects[0].repair == "fill"
    book = Book()
    book.add("repair done", panel="part", zone="field", values={"defect": 0, "repair": "fill"})
    then = again(found, book.lines)
    assert then.job.test_spot is not None
    assert then.job.test_spot.defect == 0
    work_step(book, found.job, found.plan, 0, found.plan.panels[0].sequence[0])
    assert again(found, book.lines).job.test_spot is None


def test_an_unread_edge_keeps_its_guess() -> None:
    edge = {**EDGE, "readings": []}
    found = answer(panel(zone(PEEL), edge))
    guess = found.plan.panels[0].zones[1].film_mean_um
    book = Book()
    for reading in first_zone(found.job).readings:
        book.read(reading.um - 40.0, reading.spot)
    then = again(found, book.lines)
    assert then.plan.panels[0].zones[1].film_mean_um == pytest.approx(guess)


def test_a_named_sequence_holds_before_the_first_stroke_and_bounds_the_rest() -> None:
    named = ("P800", "P1200", "P2000", "cutting compound", "polishing compound", "finishing compound")
    from finishplan.workup import work_up

    free = answer(panel(zone(PEEL)))
    found = work_up(free.job, free.profile, sequence=named)
    assert again(found, (), sequence=named).plan == found.plan
    book = Book()
    work_step(book, found.job, found.plan, 0, "P800")
    assert again(found, book.lines, sequence=named).plan.panels[0].sequence == named[1:]


def test_a_spot_under_the_face_is_warned_of() -> None:
    found = answer(panel(zone({"kind": "scratch", "depth_um": 20.0, "length_mm": 30}, DULL, area_m2=1.5)))
    (spot, _) = found.plan.panels[0].zones[0].defects
    assert spot.repair == "spot"
    book = Book()
    book.add("repair done", panel="part", zone="field", values={"defect": 0, "repair": "spot"})
    assert again(found, book.lines).warnings == ()
    book.add("defect seen", panel="part", zone="field", values={"defect": 1, "seen": "still there", "depth_um": 14.0})
    then = again(found, book.lines)
    assert then.plan.panels[0].zones[0].removal_um > found.plan.panels[0].zones[0].removal_um
    (said,) = then.warnings
    assert "inside them the film lies lower than the face (up to" in said
    assert f"LEAST is {-(-then.plan.panels[0].zones[0].least_start_um // 1):.0f} there too" in said


def test_spots_done_count_with_the_spots_to_come() -> None:
    short = {"kind": "scratch", "depth_um": 20.0, "length_mm": 20}
    found = answer(panel(zone(short, {**short, "wish": "leave"}, DULL, area_m2=0.6)))
    assert [d.repair for d in found.plan.panels[0].zones[0].defects][:2] == ["spot", "leave"]
    book = Book()
    book.add("repair done", panel="part", zone="field", values={"defect": 0, "repair": "spot"})
    job = job_as_dict(found.job)
    job["panels"][0]["zones"][0]["defects"][1]["wish"] = None
    then = replan(read_job_dict(job), found.profile, found.plan, book.lines)
    assert [d.repair for d in then.plan.panels[0].zones[0].defects][:1] == ["spot"]
    assert any("one spot done and 1 more planned; over 1 in a zone of this size show as waves" in w
               for w in then.warnings)


def test_only_the_lines_since_the_last_new_plan_count() -> None:
    found = answer(panel(zone(PEEL)))
    book = Book()
    work_step(book, found.job, found.plan, 0, found.plan.panels[0].sequence[0])
    first = again(found, book.lines)
    line = ReplanLine.model_validate({
        "number": 99, "at": "2031-05-12T12:00:00+02:00", "who": "F1", "values": {"why": "read", "role": "finisher"}})
    agreed = consent_line(first, len(book.lines) + 1, line)
    assert agreed.values.taken == first.taken
    assert agreed.number == len(book.lines) + 1
    second = replan(first.job, found.profile, first.plan, [*book.lines, agreed], why=True)
    assert second.job is first.job
    assert second.plan == first.plan
    assert not second.news


def test_a_trainee_does_not_agree_to_a_new_plan() -> None:
    found = answer(panel(zone(PEEL)))
    line = ReplanLine.model_validate({
        "number": 1, "at": "2031-05-12T12:00:00+02:00", "who": "T1", "values": {"why": "read", "role": "trainee"}})
    with pytest.raises(CannotSign, match="T1 is a trainee, and a trainee signs no new plan"):
        consent_line(again(found, ()), 1, line)


def test_a_plan_of_another_job_is_refused() -> None:
    found = answer(panel(zone(PEEL)))
    with pytest.raises(FinishplanError, match="this plan belongs to another job"):
        replan(demo().job, found.profile, found.plan, ())
