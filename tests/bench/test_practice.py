"""The practice job: the demo walked through without a piano, and what follows from what is typed."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest
from bench_jobs import DULL, NICK, PEEL, answer, demo, panel, zone

from finishplan.bench.practice import (
    LEARNT,
    TIGHT_UM,
    Consequence,
    Practice,
    do,
    plan_again,
    put_forward,
    read,
    scene,
    sign_yourself,
    start,
)
from finishplan.errors import BadValue, FinishplanError, UnknownName

NINE = datetime.fromisoformat("2031-05-12T09:00:00+02:00")


def on(*panels: dict[str, Any], name: str | None = None, **changes: Any) -> Practice:
    found = answer(*panels, **changes)
    return start(found.job, found.profile, found.plan, NINE, name)


def step_on(practice: Practice, um: float | None = None) -> Consequence:
    """Do the next thing; at a check, read just enough, or what is told."""
    here = practice.where
    if here.next is None:
        return Consequence("done", (), put_forward(practice))
    if here.next.check is None:
        return do(practice)
    return read(practice, here.next.check.least_um + 30.0 if um is None else um)


def until(practice: Practice, what: str) -> Practice:
    for _ in range(200):
        task = practice.where.next
        if task is not None and task.what == what:
            return practice
        practice = step_on(practice).practice
    raise AssertionError(what)


def test_the_demo_is_walked_from_the_first_hold_point_to_the_card() -> None:
    found = demo()
    practice = start(found.job, found.profile, found.plan, NINE)
    seen = set()
    for _ in range(300):
        if practice.where.finished:
            break
        words = scene(practice)
        assert words
        assert all(word and "\n" not in word for word in words)
        answered = step_on(practice)
        seen.add(answered.what)
        practice = answered.practice
    assert practice.where.finished
    assert scene(practice) == ("All done. The card goes into the instrument, and the film record says what was taken.",)
    assert seen == {"done", "go on"}
    assert practice.clock > NINE
    assert {task.panel for task in practice.course.tasks if task.panel} == set(practice.panels)


def test_a_trainees_own_panel_of_the_demo() -> None:
    found = demo()
    practice = start(found.job, found.profile, found.plan, NINE, "rim, treble side")
    assert practice.panels == ("rim, treble side",)
    first = scene(practice)
    assert first[0].startswith("rim, treble side: hold point. Clean, no wax or silicone")
    assert first[1] == "Only a finisher signs it; you may not go on before."
    practice = until(practice, "step")
    words = scene(practice)
    assert words[0].startswith("rim, treble side: cutting compound, ")
    assert [w.split(":")[0] for w in words[1:]] == ["Done when", "Stop if", "Why"]


@pytest.mark.parametrize(("name", "words"), [
    ("key slip", "key slip may not start: field is not enough film; practise on another panel"),
    ("rim, bass side", "rim, bass side may not start: field is measure first"),
])
def test_a_panel_that_may_not_start_is_no_practice(name: str, words: str) -> None:
    found = demo()
    with pytest.raises(FinishplanError, match=words):
        start(found.job, found.profile, found.plan, NINE, name)


def test_nothing_to_do_and_no_such_panel_are_told() -> None:
    with pytest.raises(FinishplanError, match="nothing is worked here"):
        on(panel(zone({**DULL, "wish": "leave"})))
    with pytest.raises(UnknownName, match="panel is 'lid'"):
        on(panel(zone(PEEL)), name="lid")


def test_a_trainee_cannot_sign() -> None:
    practice = on(panel(zone(PEEL)))
    tried = sign_yourself(practice)
    assert tried.what == "not yet"
    assert tried.words[0] == "You are a trainee: a trainee cannot sign a hold point. Show the finisher."
    assert tried.practice.where.next == practice.where.next


def test_a_check_is_not_done_by_saying_so_nor_a_reading_taken_where_none_is_asked() -> None:
    practice = on(panel(zone(PEEL)))
    with pytest.raises(BadValue, match="practice: reading is 400; no reading is asked for now; part: hold point"):
        read(practice, 400.0)
    practice = until(practice, "check")
    said = do(practice)
    assert said.what == "not yet"
    assert said.practice is practice
    assert said.words[0].startswith(
        "part: read the film in field at spots 1, 2, 3, 4, 5: three readings at least. LEAST is ")


def test_a_reading_over_least_goes_on_and_one_just_over_is_told() -> None:
    practice = until(on(panel(zone(PEEL))), "check")
    least = practice.where.next.check.least_um  # type: ignore[union-attr]
    plenty = read(practice, least + 50.0, spot=1)
    assert (plenty.what, plenty.words[0]) == ("go on", f"{least + 50} um is 50 over LEAST {least}.")
    tight = read(plenty.practice, least + TIGHT_UM - 1.0, spot=2)
    assert tight.what == "close"
    assert "read the other spots too" in tight.words[1]


def test_a_slip_is_asked_and_nothing_is_kept_until_sure() -> None:
    practice = until(on(panel(zone(PEEL))), "check")
    slip = read(practice, 4120.0, spot=1)
    assert (slip.what, slip.practice) == ("ask", practice)
    assert slip.words == ("4120 um, and here it was about 400: did you mean 412?",)
    kept = read(practice, 4120.0, spot=1, sure=True)
    assert len(kept.practice.lines) == len(practice.lines) + 1


def test_a_reading_of_nothing_is_an_error_of_one_line() -> None:
    practice = until(on(panel(zone(PEEL))), "check")
    with pytest.raises(FinishplanError, match="um is 0; give film in um, over 0 and up to 5000"):
        read(practice, 0.0)


def low(practice: Practice) -> tuple[Practice, int]:
    practice = until(practice, "check")
    least = practice.where.next.check.least_um  # type: ignore[union-attr]
    stopped = read(practice, least - 5.0, spot=3)
    assert stopped.what == "stop"
    return stopped.practice, least


def test_a_low_reading_stops_the_whole_page() -> None:
    practice, least = low(on(panel(zone(PEEL))))
    words = scene(practice)
    assert words[0] == "STOP."
    assert words[1].startswith(f"part, field: {least - 5} um before the first stroke, and LEAST is {least}.")
    assert len(words) == 4
    assert do(practice).what == "not yet"
    assert do(practice).practice is practice


def test_two_good_readings_beside_it_go_on_and_the_odd_one_is_set_aside() -> None:
    practice, least = low(on(panel(zone(PEEL))))
    first = read(practice, least + 90.0)
    assert first.what == "stop"
    second = read(first.practice, least + 95.0)
    assert second.what == "odd one"
    assert second.words[0] == f"Both beside it are at or over LEAST {least}: {least - 5} um was an odd one."
    assert second.practice.lines[-1].kind == "set aside"
    assert second.practice.where.stops == ()
    assert second.practice.where.odd == ()


def test_low_again_leaves_only_a_new_plan() -> None:
    practice, least = low(on(panel(zone(PEEL))))
    practice = read(practice, least - 3.0).practice
    settled = read(practice, least - 4.0)
    assert settled.what == "stay stopped"
    assert len(settled.words) == 3
    again = plan_again(settled.practice)
    assert again.what == "done"
    assert again.words[0].startswith("part, field: read ")
    assert again.practice.where.stops == ()
    assert again.practice.plan != practice.plan


def test_a_new_plan_that_holds_the_panel_back_says_what_then() -> None:
    practice = until(on(panel(zone(PEEL))), "check")
    for spot, um in enumerate((118.0, 120.0, 121.0, 119.0, 122.0), start=1):
        practice = read(practice, um, spot=spot, sure=True).practice
    held = plan_again(practice)
    assert any("is now: not enough film (was: go)" in words for words in held.words)
    assert scene(held.practice) == ("part may not go on: field is now not enough film.",
                                    "The finisher settles with the customer what is to be asked of it.")


def test_planning_again_with_no_news_changes_nothing() -> None:
    practice = on(panel(zone(PEEL)))
    same = plan_again(practice)
    assert same.what == "not yet"
    assert same.practice is practice


def test_planning_again_after_a_step_goes_on_with_the_rest() -> None:
    practice = until(on(panel(zone(PEEL))), "step")
    first, *rest = practice.plan.panels[0].sequence
    practice = do(practice).practice
    taken = practice.plan.panels[0].steps[0].zones[0].removal_um
    for spot, um in enumerate((402, 398, 405, 400, 395), start=1):
        practice = read(practice, um - taken, spot=spot).practice if practice.where.next.check else practice  # type: ignore[union-attr]
    after = plan_again(practice)
    assert after.practice.plan.panels[0].sequence == tuple(rest)
    assert first not in after.practice.plan.panels[0].sequence


def test_a_fill_waits_until_the_clock_is_put_forward() -> None:
    practice = until(on(panel(zone(PEEL, NICK))), "pour")
    practice = do(practice).practice
    assert practice.where.next is None
    assert scene(practice)[0] == "Everything left waits: the fill has to cure. Put the clock forward to 13 May 09:01."
    practice = put_forward(practice)
    assert practice.where.next is not None
    assert practice.where.next.what == "repair"
    assert put_forward(on(panel(zone(PEEL)))).clock == NINE


def test_every_answer_has_its_meaning() -> None:
    practice, least = low(on(panel(zone(PEEL))))
    found = {"stop", do(practice).what, read(practice, least + 90.0).what}
    assert found <= set(LEARNT)
