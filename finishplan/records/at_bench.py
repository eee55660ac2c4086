"""A kept job at the bench: which plan is in force, where it stands on its course, and what stops keep shut.

The plan in force is named by the log: by the line that work is begun with, and by every consent to a new plan.
Later edits of the survey or the shop change nothing at the bench until a finisher agrees to a new plan.
"""

from __future__ import annotations

import hashlib
import json
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from threading import Lock
from typing import Any, TypeVar

from finishplan.bench.course import ORDERS, Course, course_of
from finishplan.bench.log import from_kept
from finishplan.bench.log_lines import BegunLine, LogLine, PlanInForce
from finishplan.bench.log_sums import counted, replans
from finishplan.bench.new_line import WORK
from finishplan.bench.progress import Progress, progress
from finishplan.bench.replan import only_these
from finishplan.bench.shut import Leg, shut_tasks, unsigned_stops
from finishplan.planning.result import Plan
from finishplan.records.bench_log import lines as kept_lines
from finishplan.records.kept import Opened
from finishplan.records.signatures import stop_signatures
from finishplan.records.store import SHOP_ID, Store
from finishplan.safety.cautions import Caution
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.shop.shop_file import Person
from finishplan.survey.job import Job, read_job_dict
from finishplan.workup import Answer, work_up

MOST_ANSWERS = 24
"""Answers held ready; one takes up to a second to work out."""
_answers: OrderedDict[tuple[str, ...], Any] = OrderedDict()
_lock = Lock()
T = TypeVar("T")


@dataclass(frozen=True)
class AtBench:
    """One job at the bench at one moment."""

    opened: Opened
    begun: bool
    """Whether work is begun; until then the plan is that of the job as it stands."""
    legs: tuple[PlanInForce, ...]
    """Every plan that was in force, the last of them now."""
    answers: tuple[Answer, ...]
    """The whole answer of each."""
    course: Course
    lines: tuple[LogLine, ...]
    where: Progress
    unsigned: tuple[Caution, ...]
    """Stops that nobody has signed for."""
    shut: dict[str, tuple[Caution, ...]]
    """Tasks that those keep shut, by key."""
    people: tuple[Person, ...]
    survey_shows: int
    """The edit that the job's survey shows now."""
    now: datetime

    @property
    def job_id(self) -> str:
        """The job's number in the store."""
        return self.opened.id

    @property
    def answer(self) -> Answer:
        """The answer whose plan is in force."""
        return self.answers[-1]

    @property
    def leg(self) -> PlanInForce:
        """The plan in force."""
        return self.legs[-1]

    @property
    def surveyed_since(self) -> bool:
        """Whether the survey was changed since the plan in force was made."""
        return self.begun and self.survey_shows != self.leg.revision

    @property
    def touched(self) -> bool:
        """Whether anything was worked since work was begun."""
        return any(isinstance(line, WORK) for line in counted(self.lines))


def at_bench(store: Store, job_id: str, now: datetime) -> AtBench:
    """Return a job at the bench as it stands at ``now``; raises NoSuchDocument, and what no plan can be made of."""
    opened = store.open(job_id)
    shop = store.shop(opened.who, now)
    lines = from_kept(kept_lines(store, job_id))
    shows = shown_edit(store, job_id)
    begun = next((line for line in counted(lines) if isinstance(line, BegunLine)), None)
    first = begun.values if begun else PlanInForce(
        revision=shows, shop_revision=shop.revision, sequence=asked_sequence(store, job_id))
    legs = (first, *(line.values.plan for line in replans(lines) if line.values.plan is not None))
    answers = tuple(answer_of(store, job_id, leg) for leg in legs)
    answer = answers[-1]
    course = course_of(answer.job, answer.profile, answer.plan, order_of(store, job_id))
    spans = [Leg(leg.revision, made.cautions) for leg, made in zip(legs, answers, strict=True)]
    unsigned = unsigned_stops(spans, stop_signatures(store, job_id))
    shut = once(("shut", *key_of(store, job_id, legs[-1]), course.order, *(c.id for c in unsigned)),
                lambda: shut_tasks(answer, course, unsigned))
    people = apply_shop(default_profile(), shop.body).file.people
    return AtBench(opened, begun is not None, legs, answers, course, lines, progress(course, lines, now), unsigned,
                   shut, people, shows, now)


def shown_edit(store: Store, job_id: str) -> int:
    """Return the edit that a job shows now: after an undo that is an older one, and a change of state passes it on."""
    return store.history(job_id, limit=1)[0].shows


def asked_sequence(store: Store, job_id: str) -> tuple[str, ...]:
    """Return the sequence that was asked for on the job's plan, or nothing."""
    from finishplan.planning.typed_sequence import read_typed_sequence

    typed = store.setting(f"own sequence of {job_id}")
    return read_typed_sequence(typed) if typed else ()


def order_of(store: Store, job_id: str) -> str:
    """Return the order of a job's steps that was chosen, else grade by grade."""
    chosen = store.setting(f"bench order of {job_id}")
    return chosen if chosen in ORDERS else next(iter(ORDERS))


def choose_order(store: Store, job_id: str, order: str) -> None:
    """Keep the order in which a job's steps are batched."""
    store.remember(f"bench order of {job_id}", order)


def answer_of(store: Store, job_id: str, leg: PlanInForce) -> Answer:
    """Return the whole answer to the revision of the job and shop that a plan was made of."""
    job, shop = bodies_of(store, job_id, leg)
    return once(key_of(store, job_id, leg), lambda: worked_up(job, shop, leg))


def bodies_of(store: Store, job_id: str, leg: PlanInForce) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the job and the shop that a plan was made of."""
    return store.open_revision(job_id, leg.revision).body, store.open_revision(SHOP_ID, leg.shop_revision).body


def key_of(store: Store, job_id: str, leg: PlanInForce) -> tuple[str, ...]:
    """Return what an answer is held ready under: what it was worked out from."""
    held = json.dumps(bodies_of(store, job_id, leg), sort_keys=True)
    return (hashlib.sha256(held.encode()).hexdigest(), *leg.sequence, "only", *leg.only)


def worked_up(body: dict[str, Any], shop: dict[str, Any], leg: PlanInForce) -> Answer:
    """Work out the answer to a leg's job."""
    job, profile = read_job_dict(body), apply_shop(default_profile(), shop)
    if leg.only:
        return work_up(job, only_these(profile.with_steps(leg.only), leg.only), draws=0)
    return work_up(job, profile, sequence=leg.sequence or None, draws=0)


def once(key: tuple[str, ...], work: Callable[[], T]) -> T:
    """Return what ``work`` makes, held ready under ``key``."""
    with _lock:
        if key in _answers:
            _answers.move_to_end(key)
            found: T = _answers[key]
            return found
    made = work()
    with _lock:
        _answers[key] = made
        while len(_answers) > MOST_ANSWERS:
            _answers.popitem(last=False)
    return made


def plans_in_force(store: Store, job_id: str, now: datetime) -> list[tuple[Job, Plan]]:
    """Return the jobs and plans that were in force, one a leg of the log: what observed rates are read against."""
    return [(answer.job, answer.plan) for answer in at_bench(store, job_id, now).answers]
