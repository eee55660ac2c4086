"""Signing for stops: who, when, why; and what stays open."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from made_situations import CHIP, panel, raised, raw_job

from finishplan.errors import BadValue, UnknownName
from finishplan.safety.sign_off import SignOff, changed_ground, counts, ground_of, last_for, open_stops

GOOD: dict[str, Any] = {"caution_id": "F4", "name": "a finisher (invented)", "date": "2025-03-09",
                        "reason": "eyewash walked to and run", "revision": 3}


def test_stops_stay_open_until_each_is_signed_for() -> None:
    found = tuple(raised(raw_job(panel(CHIP))).values())
    stops = [caution.id for caution in found if caution.severity == "stop"]
    assert stops == ["E1", "S7", "F3", "F4", "F5", "F6"]
    assert [c.id for c in open_stops(found, [])] == stops
    one = SignOff(**GOOD)
    assert [c.id for c in open_stops(found, [one])] == [s for s in stops if s != "F4"]
    every = [replace(one, caution_id=name) for name in stops]
    assert open_stops(found, every) == ()


def test_a_signature_of_another_revision_does_not_count() -> None:
    found = tuple(raised(raw_job(panel(CHIP))).values())
    one = SignOff(**GOOD)
    assert "F4" in [c.id for c in open_stops(found, [one], revision=4)]
    assert "F4" not in [c.id for c in open_stops(found, [one], revision=3)]
    assert "F4" not in [c.id for c in open_stops(found, [one, replace(one, revision=4)], revision=4)]


def test_a_signature_on_another_ground_does_not_count_and_says_what_changed() -> None:
    job = raw_job(panel(CHIP))
    found = raised(job)
    before = found["F4"]
    one = SignOff(**GOOD, ground=ground_of(before))
    assert counts(one, before) and changed_ground(one, before) == ()
    after = replace(before, text="Other words.", notes=("a new note",))
    assert not counts(one, after) and open_stops([after], [one]) == (after,)
    assert changed_ground(one, after) == (before.text,)
    assert last_for(after, [one]) == one and last_for(before, []) is None
    again = replace(one, ground=ground_of(after), name="another")
    assert last_for(after, [one, again]) == again == last_for(after, [again, one])
    assert counts(replace(one, ground=""), after), "where no ground was kept the revision alone tells"


def test_the_ground_holds_every_sum_that_decides() -> None:
    caution = raised(raw_job(panel(CHIP), solvents=[{"substance": "acetone", "ml": 200}]))["S3"]
    assert all(f.said in ground_of(caution) for f in caution.figures if f.decides) and caution.figures
    more = raised(raw_job(panel(CHIP), solvents=[{"substance": "acetone", "ml": 300}]))["S3"]
    assert not counts(SignOff("S3", "a", "2025-03-09", "aired", 1, ground_of(caution)), more)


def test_only_stops_are_kept_open() -> None:
    found = tuple(raised(raw_job()).values())
    assert [c.id for c in found] == ["P6"] and open_stops(found, []) == ()


@pytest.mark.parametrize(("field", "value", "error", "said"), [
    ("caution_id", "S1", UnknownName, r"^stop caution is 'S1'; .*choose one of: D5, D6, E1"),
    ("name", "  ", BadValue, r"^sign-off of F4: name is '  '; write who signs$"),
    ("reason", "ok", BadValue, r"^sign-off of F4: reason is 'ok'; write what was done about it$"),
    ("reason", "...", BadValue, r"^sign-off of F4: reason is '...'; write what was done"),
    ("date", "9.3.2025", BadValue, r"^sign-off of F4: date is '9.3.2025'; write a day as 2025-03-09$"),
    ("date", "2025-02-30", BadValue, r"^sign-off of F4: date is '2025-02-30'"),
    ("date", "20250309", BadValue, r"^sign-off of F4: date is '20250309'"),
    ("date", "", BadValue, r"^sign-off of F4: date is ''"),
    ("revision", -1, BadValue, r"^sign-off of F4: revision is -1; give a whole number, 0 or more$"),
    ("revision", True, BadValue, r"^sign-off of F4: revision is True"),
])
def test_a_signature_that_says_too_little_is_refused(
    field: str, value: object, error: type[Exception], said: str
) -> None:
    with pytest.raises(error, match=said):
        SignOff(**{**GOOD, field: value})
