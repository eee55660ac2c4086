"""What the logs of all kept jobs teach of the shop's rates, and which of it is in use."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func, select

from finishplan.bench.learn import LEAST_LINES, Learned, Rate, learn
from finishplan.bench.log import from_kept
from finishplan.bench.observations import Observation, all_observations
from finishplan.errors import FinishplanError
from finishplan.records.at_bench import plans_in_force
from finishplan.records.bench_log import lines
from finishplan.records.schema import document, log_line, log_mark
from finishplan.records.store import Store
from finishplan.shop.figure_kinds import short_kind
from finishplan.shop.profile import Profile, apply_shop, default_profile
from finishplan.wording import counted


@dataclass(frozen=True)
class FromLogs:
    """What the logs teach, of how many jobs, and the jobs whose log cannot be read against its plan."""

    learned: Learned
    jobs: int
    odd: tuple[str, ...]


def stamp(store: Store) -> tuple[int, int, str]:
    """Return what changes with every line that any log gets or loses: a thing worked out before holds until then."""
    with store.reading() as connection:
        written, last = connection.execute(select(func.count(), func.max(log_line.c.at)).select_from(log_line)).one()
        marks = connection.scalar(select(func.count()).select_from(log_mark)) or 0
    return int(written), int(marks), str(last)


def without_learned(body: Mapping[str, Any]) -> Profile:
    """Return a shop as it would plan without a log: what was learned is never a prior again."""
    return apply_shop(default_profile(), {name: value for name, value in body.items() if name != "learned_rates"})


def from_logs(store: Store, body: Mapping[str, Any], now: datetime) -> FromLogs:
    """Return what the logs of all kept jobs teach, archived ones too, beside the rates of the shop ``body``."""
    profile = without_learned(body)
    with store.reading() as connection:
        asked = select(document.c.id, document.c.title).where(document.c.id.in_(select(log_line.c.document_id)))
        logged = connection.execute(asked.order_by(document.c.id)).all()
    found: list[Observation] = []
    odd = []
    for job_id, title in logged:
        try:
            found += job_observations(store, job_id, profile, now)
        except (FinishplanError, ValueError) as error:
            odd.append(f"{title}: its log is left out, {error}")
    return FromLogs(learn(profile, found), len(logged) - len(odd), tuple(odd))


def job_observations(store: Store, job_id: str, profile: Profile, now: datetime) -> tuple[Observation, ...]:
    """Return what one job's log tells of rates."""
    plans = plans_in_force(store, job_id, now)
    steps = [name for _, plan in plans for name in plan.set_up_steps]
    return all_observations(plans, profile.with_steps(steps), from_kept(lines(store, job_id)))


def taken_up(rate: Rate) -> dict[str, Any]:
    """Return a learned rate as the shop file keeps it; raises FinishplanError under three lines."""
    if rate.lines < LEAST_LINES:
        raise FinishplanError(f"{rate.step}: {rate.why_shipped}")
    return {"rate_cm3_per_min": rate.learned, "low_cm3_per_min": rate.low, "high_cm3_per_min": rate.high,
            "lines": rate.lines}


def learned_words(rate: Rate | None, in_use: Any) -> str:
    """Return what is learned of a rate, and whether plans use it, as part of a line."""
    if in_use is not None:
        return (f"learned {in_use.rate_cm3_per_min:.3g} cm3/min ({in_use.low_cm3_per_min:.2g} to "
                f"{in_use.high_cm3_per_min:.2g}, {counted(in_use.lines, 'line')}, measured here) in use")
    if rate is None or not rate.lines:
        return "nothing learned yet"
    said = f"learned {rate.learned:.3g} cm3/min ({rate.low:.2g} to {rate.high:.2g}, {counted(rate.lines, 'line')})"
    return f"{said}, not used" if rate.in_use else f"{said}, {rate.why_shipped.partition(': ')[2]}"


def rate_rows(found: FromLogs, body: Mapping[str, Any], used: Profile) -> list[tuple[str, ...]]:
    """Return a row a step: shipped, our own, learned with its range, lines, used, and the kind of what is used."""
    shipped, own = default_profile().with_steps([s.name for s in used.steps]), without_learned(body)
    given = {change.step: change.removal_rate_cm3_per_min for change in used.file.steps}
    rows: list[tuple[str, ...]] = []
    for step in used.steps:
        rate, taken = found.learned.rate(step.name), used.file.learned_rates.get(step.name)
        typed = given.get(step.name)
        rows.append((
            step.name, f"{shipped.step(step.name).removal_rate_cm3_per_min:.3g}",
            "\u2013" if typed is None else f"{own.step(step.name).removal_rate_cm3_per_min:.3g}",
            "\u2013" if rate is None or not rate.lines else f"{rate.learned:.3g} ({rate.low:.2g} to {rate.high:.2g})",
            "0" if rate is None else str(rate.lines), f"{step.removal_rate_cm3_per_min:.3g}",
            f"measured here, {counted(taken.lines, 'line')}" if taken
            else short_kind(step.source_kind) if typed is None else "our own, typed",
        ))
    return rows


def apart_rows(rates: Sequence[Rate]) -> Sequence[tuple[str, ...]]:
    """Return a row a tool or person and step: lines, rate with its range."""
    return [(rate.step, rate.of, str(rate.lines), f"{rate.learned:.3g} ({rate.low:.2g} to {rate.high:.2g})")
            for rate in rates if rate.lines]


def line_rows(found: FromLogs) -> Sequence[tuple[str, ...]]:
    """Return a row an observation: what it tells, or why it does not count."""
    return [
        (o.step, o.panel, o.way, o.person, f"{o.minutes:.0f}",
         "\u2013" if o.left_out else f"{o.rate_cm3_per_min:.2g}", o.left_out or "counts")
        for o in found.learned.observations
    ]
