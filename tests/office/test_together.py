"""Several jobs in the days of the shop: due dates, what is left out and named, percent told, stopped early."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from typing import Any

import pytest
from made_jobs import demo_shop

from finishplan.errors import FinishplanError
from finishplan.office.together import Together, plan_together
from finishplan.paper.office_words import bound_line, days_lines, job_rows, task_rows, when
from finishplan.records.files import demo_job_path, read_file
from finishplan.survey.job import Job, read_job_dict

BODY: dict[str, Any] = read_file(demo_job_path())
START = datetime(2026, 6, 1)


def one(title: str, **more: Any) -> Job:
    return read_job_dict({**BODY, "title": title, **more})


def together(*jobs: Job, **more: Any) -> Together:
    return plan_together([(job.title, job) for job in jobs], demo_shop(), START, tries=20, **more)


def test_a_job_that_is_due_goes_first_and_a_late_one_says_by_how_many_days() -> None:
    found = together(one("a"), one("b", due="2026-06-10"), one("c", due="2026-06-02")).days
    ready = {job.title: job for job in found.jobs}
    assert ready["b"].ready < ready["a"].ready
    assert ready["c"].late_days == (ready["c"].ready.date() - date(2026, 6, 2)).days > 0
    rows = {row[0]: row for row in job_rows(found)}
    assert rows["a"][2] == rows["a"][3] == "–" and rows["c"][3].endswith(("day", "days"))
    assert {row[1].split(":")[0] for row in task_rows(found)} == {"a", "b", "c"}


def test_what_is_not_in_the_days_is_named() -> None:
    bare = one("bare", panels=[{"name": "lid", "zones": [{"name": "field", "area_m2": 1.0}]}])
    found = together(one("a", due="2026-05-01"), bare, one("odd", hardware=[{"task": "no such task", "count": 1}]))
    assert [job.title for job in found.days.jobs] == ["a"] and found.days.jobs[0].due is None
    assert any(note.startswith("a: due is '2026-05-01'") for note in found.notes)
    assert any(note.startswith("bare: nothing is done") for note in found.notes)
    assert any(note.startswith("odd: not in these days") for note in found.notes)
    with pytest.raises(FinishplanError, match="no job to be put into days"):
        together(bare)


def test_percent_never_falls_and_a_stop_keeps_what_was_planned() -> None:
    told: list[float] = []
    together(one("a"), one("b"), told=lambda share, what: told.append(share))
    assert told[0] == 0.0 and told == sorted(told) and told[-1] <= 1.0 and max(told) > 0.5
    asked: list[int] = []

    def stop() -> bool:
        asked.append(1)
        return True

    found = together(one("a"), one("b"), stop=stop)
    assert [job.title for job in found.days.jobs] == ["a"] and "Stopped before one job" in found.notes[0]
    assert asked


def test_ready_date_bound_and_gap_in_words() -> None:
    days = together(one("a")).days
    lines = days_lines(days)
    assert when(days.ready) in lines[0] and "working day" in lines[0]
    assert bound_line(replace(days, gap_min=0)) == "No schedule can be ready earlier."
    said = bound_line(replace(days, gap_min=75, gap_days=1))
    assert said.endswith("75 min of work behind that, one working day later.") and when(days.bound) in said
