"""Film records in the store: one a job, found by instrument, backed up, and the start of the next job."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from bench_walk import Walk, demo, people
from store_examples import at

from finishplan.errors import BadFile, FinishplanError
from finishplan.records import backup, film_records, restore
from finishplan.records.store import Store
from finishplan.survey.job import read_job_dict


@pytest.fixture
def done(lite: Store) -> Walk:
    """One panel of the demo, all done."""
    people(lite)
    walk = Walk(lite, demo(lite, ("front lid flap",)))
    walk.begin()
    walk.go()
    return walk


def test_it_is_entered_at_the_end_and_starts_the_next_job(done: Walk, tmp_path: Path) -> None:
    bench = done.bench()
    assert film_records.kept_record(done.store, done.job_id) is None
    made = film_records.enter_record(done.store, bench, "F1", done.now, draws=200)
    record = film_records.read_record(made.body)
    assert record.by == "F1" and "ront lid flap: P800" in record.what
    card = film_records.card_in(record)
    flap = next(row for row in card.rows if (row.panel, row.zone) == ("front lid flap", "field"))
    assert flap.taken == "32" and flap.services in ("1", "2", "3", "1 to 2", "1 to 3", "2 to 3")
    assert [row.id for row in film_records.records_of(done.store, "demo")] == [made.id]
    assert film_records.records_of(done.store, "another") == ()
    assert [row.title for row in done.store.jobs().rows] == [bench.opened.title], "a record is no job"

    following = film_records.start_from_record(done.store, made.id, "F1", done.now)
    job = read_job_dict(following.body)
    assert job.title.endswith("next service") and len(job.services) == len(bench.answer.job.services) + 1
    assert job.instrument == bench.answer.job.instrument
    assert {r.method for p in job.panels for z in p.zones for r in z.readings} == {"estimate"}
    assert following.wording == f"started from the film record of {record.day}"

    saved = backup.make_backup(done.store, tmp_path / "a.zip", done.now)
    restore.restore(done.store, saved.path, done.now)
    kept = film_records.kept_record(done.store, done.job_id)
    assert kept is not None and kept.body == made.body
    refuse_broken(made.body)
    assert film_records.read_after(bench)[("front lid flap", "field")] == pytest.approx(348, abs=2)


def test_an_unfinished_course_is_not_entered(lite: Store) -> None:
    people(lite)
    walk = Walk(lite, demo(lite))
    walk.begin()
    text = "the course is not finished yet; the film record is entered after the last hold point"
    with pytest.raises(FinishplanError, match=text):
        film_records.enter_record(lite, walk.bench(), "F1", at())
    assert film_records.kept_record(lite, walk.job_id) is None


BROKEN: list[tuple[dict[str, object], str]] = [
    ({"format": "something"}, "this is no film record; a film record is kept at the end of a job on the Bench page"),
    ({"day": ""}, "film record: day"),
    ({"more": 1}, "film record: unknown key 'more'"),
    ({"card": {"rows": [{"panel": "x"}]}}, "film record: its card is damaged; enter the service again from its job"),
    ({"next_job": {}}, "format is missing; a job file says"),
]


def refuse_broken(body: dict[str, object]) -> None:
    for change, text in BROKEN:
        with pytest.raises(FinishplanError, match=re.escape(text)) as told:
            film_records.read_record({**body, **change})
        assert "\n" not in str(told.value)


def test_no_object_at_all_is_refused() -> None:
    with pytest.raises(BadFile, match="this is no film record"):
        film_records.read_record([])
