"""A whole service of the demo from the first hold point to the film record, with a stop and a new plan on the way."""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import Any

import pytest
from bench_jobs import demo
from bench_logs import NINE, Book, do

from finishplan.bench.course import course_of
from finishplan.bench.learn import learn
from finishplan.bench.log import Log, log_as_dict, read_log_dict
from finishplan.bench.log_lines import ReplanLine
from finishplan.bench.log_sums import in_force, steps_done
from finishplan.bench.new_line import check_line
from finishplan.bench.observations import all_observations
from finishplan.bench.progress import progress
from finishplan.bench.record import enter_service, film_record, next_job
from finishplan.bench.record_card import card_of, card_text
from finishplan.bench.replan import consent_line, replan
from finishplan.errors import FinishplanError
from finishplan.planning.plan import make_plan
from finishplan.planning.risk import audit
from finishplan.survey.job import job_as_dict, read_job_dict

FLAP = "front lid flap"


class Bench:
    """A bench on which every step takes just what is planned, but for what is told otherwise."""

    def __init__(self) -> None:
        found = demo()
        self.profile, self.job, self.plan = found.profile, found.job, found.plan
        self.book, self.now = Book(), NINE
        self.plans = [(self.job, self.plan)]
        self.film = {(p.name, z.name): {r.spot: float(r.um) for r in z.readings} for p in self.job.panels
                     for z in p.zones}
        self.more_um: dict[tuple[str, str], float] = {}

    def where(self) -> Any:
        # What is written down is what is read back: every state goes through the file.
        lines = read_log_dict(json.loads(json.dumps(log_as_dict(Log("demo", tuple(self.book.lines)))))).lines
        assert list(lines) == self.book.lines
        return progress(course_of(self.job, self.profile, self.plan), lines, self.now)

    def work(self, task: Any) -> None:
        panel = next(p for p in self.plan.panels if p.name == task.panel)
        step = next(s for s in panel.steps if s.step == task.step)
        for part in step.zones:
            taken = part.removal_um + self.more_um.get((panel.name, task.step), 0.0)
            film = self.film[(panel.name, part.zone)]
            self.film[(panel.name, part.zone)] = {spot: um - taken for spot, um in film.items()}
        self.book.minutes(task.step, step.minutes, panel=panel.name)

    def read_all(self, task: Any) -> None:
        for spot, um in self.film[(task.panel, task.zones[0])].items():
            self.book.read(um, spot, task.step, panel=task.panel, zone=task.zones[0])

    def walk(self) -> Any:
        """Do what comes next until nothing does; a wait is slept over."""
        for _ in range(200):
            here = self.where()
            if here.stops or here.finished:
                return here
            if here.next is None:
                self.now = here.waiting[0].not_before
                continue
            if here.next.what == "step":
                self.work(here.next)
            before = len(self.book.lines)
            if here.next.check is not None:
                self.read_all(here.next)
            else:
                do(self.book, here.next)
            for line in self.book.lines[before:]:
                check_line(here, line)
            self.now += timedelta(minutes=here.next.minutes)
        raise AssertionError("no end")

    def replan(self) -> Any:
        found = replan(self.job, self.profile, self.plan, self.book.lines)
        line = ReplanLine.model_validate({"number": 1, "at": self.now, "who": "F1",
                                          "values": {"why": "too much was taken", "role": "finisher"}})
        self.book.lines.append(consent_line(found, len(self.book.lines) + 1, line))
        self.job, self.plan = found.job, found.plan
        self.plans.append((self.job, self.plan))
        return found


def test_the_demo_from_the_first_hold_point_to_the_record() -> None:
    bench = Bench()
    first = next(p for p in bench.plan.panels if p.name == FLAP).sequence[0]
    # A hand that stayed on far too long: the film is under its least after the first grade.
    bench.more_um[(FLAP, first)] = 260.0
    stopped = bench.walk()
    (*_, stop) = stopped.stops
    assert (stop.panel, stop.step) == (FLAP, first)
    assert stopped.next is None
    for low in stopped.stops:
        for _ in range(2):
            bench.book.read(low.reading_um, step=low.step, panel=low.panel, zone=low.zone, values={"beside": low.line})
    assert all(s.settled for s in bench.where().stops)

    found = bench.replan()
    assert found.news
    assert any(change.panel == FLAP and "is now: " in change.what for change in found.changes)
    assert steps_done(bench.plan, in_force(bench.book.lines))[(FLAP, "field")] == ()
    after = bench.where()
    assert after.stops == ()
    assert FLAP in {held.panel for held in after.course.held_back}

    end = bench.walk()
    assert end.finished
    # The flap stays in the scratches of its first grade: that is no finished service, and is said.
    with pytest.raises(FinishplanError, match=f"{FLAP}, field: work is broken off after {first}"):
        film_record(bench.job, bench.profile, bench.plan, bench.book.lines, date(2031, 5, 20))


def test_the_demo_with_a_little_too_much_taken_to_the_next_job() -> None:
    bench = Bench()
    first = next(p for p in bench.plan.panels if p.name == FLAP).sequence[0]
    bench.more_um[(FLAP, first)] = 12.0
    while True:
        here = bench.where()
        if here.next is not None and here.next.key == f"hold|{FLAP}|levelled":
            break
        if here.next is None:
            bench.now = here.waiting[0].not_before
            continue
        if here.next.what == "step":
            bench.work(here.next)
        if here.next.check is not None:
            bench.read_all(here.next)
        else:
            do(bench.book, here.next)
    found = bench.replan()
    assert any("by the old plan" in change.what for change in found.changes)
    assert bench.walk().finished

    planned = next(z for p in demo().plan.panels if p.name == FLAP for z in p.zones if z.name == "field")
    risk = audit(bench.job, bench.profile, bench.plan, draws=1000, readings=False)
    record = film_record(bench.job, bench.profile, bench.plan, bench.book.lines, date(2031, 5, 20), risk)
    flap = next(z for z in record.zones if (z.panel, z.zone) == (FLAP, "field"))
    assert flap.removal_um == pytest.approx(planned.removal_um + 12.0, abs=0.01)
    assert flap.film_um == pytest.approx(planned.film_mean_um - planned.removal_um - 12.0, abs=0.01)
    assert flap.services is not None
    assert "main lid, top: cutting compound" in record.what.replace("Main", "main")

    job = next_job(bench.job, bench.profile, bench.plan, bench.book.lines, record, "next")
    assert read_job_dict(job_as_dict(job)) == job
    assert job.services[-1].by == record.by == "F1"
    assert make_plan(job, bench.profile).panels[0].sequence == ()
    text = card_text(card_of(enter_service(bench.job, record), record))
    assert all(len(line) <= 80 for line in text.splitlines())

    learned = learn(bench.profile, all_observations(bench.plans, bench.profile, bench.book.lines))
    rate = learned.rate(first)
    assert rate is not None
    # More film in the planned minutes is a faster rate, but one line is not used.
    assert rate.learned > rate.shipped
    assert not rate.in_use
