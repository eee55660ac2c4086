"""The answer to what is open, worked out once: the plan first, how sure it is apart, since that takes longer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

import streamlit as st

from finishplan.bench.spot_change import SpotChange
from finishplan.planning.risk import DRAWS
from finishplan.planning.risk_result import Risk
from finishplan.records.files import read_job_bytes, read_shop_bytes
from finishplan.screens.parts import kept
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import Job, read_job_dict
from finishplan.workup import SEED, Answer, changed_by_spot, with_risk, work_up

ANSWER = "answer"
"""Answers already worked out, by what was open: going back to an earlier choice shows at once."""
RISK = "risk"
SPOT = "spot change"
MOST_KEPT = 8
MANY_PANELS, MANY_DEFECTS = 25, 60
"""From here on a plan takes over a second."""
T = TypeVar("T")


@dataclass(frozen=True)
class Source:
    """What is open: file names and their bytes, whether it is the demo, and a sequence asked for by name.

    ``stored`` is the id of a job that is kept, and ``shop_revision`` that of our shop, which it is planned in.
    """

    job_name: str
    job: bytes
    shop_name: str = ""
    shop: bytes = b""
    demo: bool = False
    sequence: tuple[str, ...] = ()
    stored: str = ""
    shop_revision: int = 0


def answer_of(source: Source) -> Answer:
    """Return the whole answer to what is open, without its risk; raises a FinishplanError."""
    return once(ANSWER, source, planned)


def risk_of(source: Source) -> Risk:
    """Return how sure the plan of what is open is: it takes longer than the plan, so it is asked for apart."""
    return once(RISK, source, audited)


def spot_of(source: Source) -> SpotChange | None:
    """Return what a test spot moved, with the safe time and cost; None without a test spot."""
    return once(SPOT, source, priced_spot)


def priced_spot(source: Source) -> SpotChange | None:
    """Work out ``spot_of``."""
    answer = answer_of(source)
    if answer.plan_before_spot is None:
        return None
    return changed_by_spot(answer.job, answer.profile, answer.plan, risk_of(source), answer.plan_before_spot,
                           source.sequence or None)


def once(name: str, source: Source, work: Callable[[Source], T]) -> T:
    """Return what ``work`` makes of ``source``, worked out once; only the last few are kept."""
    found: dict[Source, T] = st.session_state.setdefault(name, {})
    if source not in found:
        found[source] = work(source)
        while len(found) > MOST_KEPT:
            del found[next(iter(found))]
    return found[source]


def planned(source: Source) -> Answer:
    """Work out the answer to what is open."""
    job = read_job_dict(read_job_bytes(source.job, source.job_name))
    profile = kept.shop_now().profile if source.stored else default_profile()
    if source.shop:
        profile = apply_shop(profile, read_shop_bytes(source.shop, source.shop_name))
    tell_if_long(job)
    return work_up(job, profile, sequence=source.sequence or None, draws=0)


def tell_if_long(job: Job) -> None:
    """Say that a large job is being planned; a usual one is done before it could be read."""
    entries = [defect for panel in job.panels for zone in panel.zones for defect in zone.defects]
    if len(job.panels) >= MANY_PANELS or len(entries) >= MANY_DEFECTS:
        st.toast(f"Planning {len(job.panels)} panels with {len(entries)} entries of damage: a moment.")


def audited(source: Source) -> Risk:
    """Work out the risk of the plan of what is open."""
    answer = answer_of(source)
    return with_risk(answer.job, answer.profile, answer.plan, answer.labour, DRAWS, SEED, source.sequence or None)
