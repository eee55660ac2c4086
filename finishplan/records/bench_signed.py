"""Signatures of the bench: hold points, and a finisher's consent to a new plan. Nobody signs for their own work."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection

from finishplan.bench.course import Task
from finishplan.bench.log import kept_values, read_line
from finishplan.bench.log_lines import HoldLine, PlanInForce, ReplanLine
from finishplan.bench.new_line import CannotSign, check_line, own_work_questions
from finishplan.bench.people import person_of
from finishplan.bench.replan import Replan, consent_line, replan
from finishplan.errors import FinishplanError
from finishplan.records.at_bench import AtBench, asked_sequence, shown_edit
from finishplan.records.bench_log import NewLine, put_line
from finishplan.records.bench_work import Outcome, next_number, task_key
from finishplan.records.conflicts import Conflict
from finishplan.records.pins import put_signing, sign_with_pin
from finishplan.records.signatures import put_signature
from finishplan.records.store import Store
from finishplan.shop.shop_file import Person
from finishplan.survey.job import job_as_dict

OWN_WORK = "own work; nobody else of the shop may sign"
"""The reason that a signature for one's own work carries."""
SURVEY_CHANGED = "the survey was changed before the first stroke"


def sign_holds(
    store: Store, bench: AtBench, tasks: Sequence[Task], who: str, pin: str, at: datetime, sure: bool = False,
) -> Outcome:
    """Sign hold points with one PIN; the outcome tells a wrong PIN, and asks where one signs for one's own work.

    Raises CannotSign for a trainee, and for one's own work where another finisher of the shop could look;
    OutOfOrder for a hold point that is not reached.
    """
    person = person_of(bench.people, who)
    lines = [hold_line(bench, task, person, at) for task in tasks]
    own: list[str] = []
    for line in lines:
        check_line(bench.where, line)
        own += own_work_questions(bench.where, line)
    others = [p.id for p in bench.people if p.role == "finisher" and p.id != person.id]
    if own and others:
        raise CannotSign(f"{person.id} worked here, and nobody signs for their own work; ask {' or '.join(others)} to "
                         "look and sign")
    if own and not sure:
        return Outcome(False, (f"{person.id} worked here, and nobody else of our shop may sign: sign for your own "
                               "work?",))
    told = []
    with store.writing() as connection:  # the attempt, each signature and its line: all of it is kept, or nothing
        signing = put_signing(connection, bench.people, person.id, pin, at, ", ".join(task.key for task in tasks))
        if not signing.signed:
            return Outcome(False, words=signing.words)
        for task, line in zip(tasks, lines, strict=True):
            new = NewLine(line.kind, kept_values(line), line.panel, key=task_key(bench, task))
            told.append(put_signed(connection, bench, Signed(task.key, OWN_WORK if own else "", bench.leg.revision, {
                "text": task.hold.text if task.hold else ""}), new, person.id, at))
    return Outcome(True, words=" ".join(filter(None, told)))


@dataclass(frozen=True)
class Signed:
    """What a signature is for, its reason, the revision it stands for, and what was read before it was given."""

    what: str
    reason: str
    revision: int
    body: Mapping[str, Any]


def put_signed(
    connection: Connection, bench: AtBench, signed: Signed, new: NewLine, who: str, at: datetime
) -> str:
    """Keep a signature and its line of the log; where another signed meanwhile, say so, and theirs stands alone."""
    line = put_line(connection, bench.job_id, new, who, at)
    if line.who != who:
        return f"{line.who} signed this at {line.at.astimezone(at.tzinfo):%H:%M}; it counts once."
    put_signature(connection, bench.job_id, "hold", signed.what, who, signed.reason, signed.revision, at, signed.body)
    return ""


def hold_line(bench: AtBench, task: Task, person: Person, at: datetime) -> HoldLine:
    """Return the line of a signed hold point."""
    if task.hold is None:
        raise FinishplanError("this is no hold point; choose one that waits for a signature")
    line = read_line({"number": next_number(bench), "at": at, "who": person.id, "kind": "hold signed",
                      "panel": task.panel, "values": {"hold": task.hold.key, "role": person.role}})
    assert isinstance(line, HoldLine)
    return line


def plan_again(bench: AtBench) -> Replan:
    """Return the next plan from what the log holds; the plan in force stays until a finisher agrees."""
    answer = bench.answer
    return replan(answer.job, answer.profile, answer.plan, bench.lines, sequence=bench.leg.sequence or None)


def agree(
    store: Store, bench: AtBench, found: Replan, who: str, pin: str, why: str, at: datetime
) -> Outcome:
    """Put a new plan in force with a finisher's PIN: its job is kept as a revision, the log says why.

    Where somebody changed the survey meanwhile, theirs stays what the survey shows, and the bench goes by its own,
    kept beside. Raises CannotSign for a trainee.
    """
    person = person_of(bench.people, who)
    line = consented(bench, person, why, at)
    made = consent_line(found, line.number, line)
    outcome = signed(store, bench, person, pin, at)
    if not outcome.kept:
        return outcome
    try:
        store.save(bench.job_id, job_as_dict(found.job), bench.leg.revision, person.id, at, f"new plan: {why}")
        revision, words = shown_edit(store, bench.job_id), ""
    except Conflict as met:
        revision = met.beside or bench.leg.revision
        words = (f"{met.theirs.who} changed the survey meanwhile: theirs stands on the Survey page, and the bench goes "
                 f"by its own, kept as revision {revision}.")
    worked = any(zone.worked for zone in bench.where.zones)
    plan = PlanInForce(
        revision=revision, shop_revision=bench.leg.shop_revision,
        sequence=() if worked else bench.leg.sequence,
        only=(bench.leg.sequence or bench.leg.only) if worked else bench.leg.only)
    keep_consent(store, bench, with_plan(made, plan), at)
    return Outcome(True, words=words)


def take_up_survey(store: Store, bench: AtBench, who: str, pin: str, at: datetime) -> Outcome:
    """Put the changed survey's plan in force, before the first stroke; raises FinishplanError after it."""
    if bench.touched:
        raise FinishplanError("work is under way: the bench goes by its own plan; replan from what is read")
    person = person_of(bench.people, who)
    line = consented(bench, person, SURVEY_CHANGED, at)
    outcome = signed(store, bench, person, pin, at)
    if outcome.kept:
        plan = PlanInForce(revision=bench.survey_shows, shop_revision=store.shop(who, at).revision,
                           sequence=asked_sequence(store, bench.job_id))
        keep_consent(store, bench, with_plan(line, plan), at)
    return outcome


def consented(bench: AtBench, person: Person, why: str, at: datetime) -> ReplanLine:
    """Return the line of a consent; raises CannotSign for a trainee, a FinishplanError where no reason is given."""
    raw: dict[str, Any] = {"number": next_number(bench), "at": at, "who": person.id, "kind": "replan",
                           "values": {"why": why.strip(), "role": person.role}}
    line = read_line(raw)
    check_line(bench.where, line)
    assert isinstance(line, ReplanLine)
    return line


def with_plan(line: ReplanLine, plan: PlanInForce) -> ReplanLine:
    """Return a consent with the plan that it puts in force."""
    return line.model_copy(update={"values": line.values.model_copy(update={"plan": plan})})


def signed(store: Store, bench: AtBench, person: Person, pin: str, at: datetime) -> Outcome:
    """Return whether the PIN of a consent was right."""
    signing = sign_with_pin(store, bench.people, person.id, pin, at, f"new plan {len(bench.legs)}")
    return Outcome(signing.signed, words=signing.words)


def keep_consent(store: Store, bench: AtBench, line: ReplanLine, at: datetime) -> None:
    """Keep the signature under a new plan, and the line that puts it in force; both or none.

    A new plan's job was kept just before: killed in between, the same consent given again finds it as it is.
    """
    revision = line.values.plan.revision if line.values.plan else bench.leg.revision
    new = NewLine(line.kind, kept_values(line), key=f"replan {len(bench.legs)}")
    with store.writing() as connection:
        put_signed(connection, bench, Signed(f"replan|{len(bench.legs)}", line.values.why, revision, {}), new,
                   line.who, at)
