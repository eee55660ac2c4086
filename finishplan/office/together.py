"""Several jobs of the shop put into its days together: when each could be ready, and which come late."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from finishplan.errors import FinishplanError
from finishplan.office.inputs import read_inputs
from finishplan.office.options import option
from finishplan.office.quote_work import Told, tell, without_past_due
from finishplan.office.schedule import MOST_JOBS, Days, due_date, plan_days
from finishplan.office.schedule_search import Stop
from finishplan.office.schedule_tasks import JobOrder
from finishplan.office.terms import read_figures
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job
from finishplan.wording import counted


@dataclass(frozen=True)
class Together:
    """The days of several jobs, and what has to be said of those that are not in them."""

    days: Days
    notes: tuple[str, ...]


def plan_together(
    jobs: Sequence[tuple[str, Job]], profile: Profile, start: datetime, *, told: Told | None = None,
    stop: Stop | None = None, tries: int | None = None,
) -> Together:
    """Return the days of ``jobs`` (key and job) in the shop from ``start`` on, each done the way its quote says.

    A job that cannot be planned, or that is stopped before, is left out and named; a due date that is past is
    named and left out. ``told`` hears the share done: plans are half of it, tries of the order the other. Raises
    a FinishplanError where no job is left, or the shop's hours hold no work.
    """
    figures = read_figures(profile.file.office)
    orders, notes = list[JobOrder](), list[str]()
    for place, (key, job) in enumerate(jobs[:MOST_JOBS]):
        tell(told, place, 2 * len(jobs), f"the plan of {job.title}")
        if stop is not None and stop() and orders:
            notes.append(f"Stopped before {counted(len(jobs) - place, 'job')} could be planned: not in these days.")
            break
        job, late = without_past_due(job, start.date())
        notes += [f"{job.title}: {late}"] if late else []
        try:
            found = option(read_inputs(job.quote).option, job, profile, figures=figures, draws=0)
        except FinishplanError as error:
            notes.append(f"{job.title}: not in these days, it cannot be planned: {error}")
            continue
        if found.plan is None or not found.does_anything:
            notes.append(f"{job.title}: nothing is done on it this way, so it takes no days.")
            continue
        orders.append(JobOrder(key, found.job, found.plan, start.date(), due_date(job.due)))

    def halfway(done: int, of: int) -> None:
        tell(told, of + done, 2 * of, f"order {done} of {of}")

    days = plan_days(orders, profile, start, figures=figures, tries=tries, progress=halfway, stop=stop)
    return Together(days, tuple(notes))
