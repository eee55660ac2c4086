"""One number told with its formula and every input's source; the zone it belongs to."""

from __future__ import annotations

from dataclasses import dataclass

from finishplan.planning.problem import PanelProblem, ZoneProblem
from finishplan.planning.result import PanelPlan, ZonePlan
from finishplan.reference import Sourced
from finishplan.shop.policy import Policy, policy_figures
from finishplan.shop.profile import Profile
from finishplan.shop.steps import Step
from finishplan.survey.job import Job

SURVEYED = "the survey of this job"
METHOD_SOURCE = "table of ways to read film"
MOST_SUMMED = 12
"""Longer sums are told by their total."""


@dataclass(frozen=True)
class Working:
    """One number: what it is, its value, the formula in words and with its numbers, and its inputs.

    ``worked`` is empty where no short sum gives the value; the formula then says how it is found.
    """

    what: str
    value: float
    unit: str
    formula: str
    worked: str
    inputs: tuple[Sourced, ...]


@dataclass(frozen=True)
class Case:
    """One zone, with all that its numbers rest on."""

    job: Job
    profile: Profile
    panel: PanelProblem
    zone: ZoneProblem
    plan: PanelPlan
    done: ZonePlan

    @property
    def policy(self) -> Policy:
        """The shop's policy."""
        return self.profile.policy

    @property
    def taken(self) -> list[tuple[Step, float, float, str]]:
        """The zone's steps: step, what it takes [um], minutes, way."""
        return [(self.profile.step(step.step), part.removal_um, part.minutes, part.way)
                for step in self.plan.steps for part in step.zones if part.zone == self.done.name]


def num(value: float) -> str:
    """Return a number as it stands in a sum: four digits.

    >>> num(405.8333), num(0.25), num(12345.0)
    ('405.8', '0.25', '12345')
    """
    return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.4g}"


def figure(policy: Policy, name: str, words: str, value: float | None = None) -> Sourced:
    """Return a policy figure as an input under its words; ``value`` for one of several that it holds."""
    found = next(f for f in policy_figures(policy) if f.name == name)
    return found._replace(name=words, value=found.value if value is None else value)


def summed(values: list[float]) -> str:
    """Return a sum in brackets: each part, or of very many the total."""
    return f"({' + '.join(num(v) for v in values)})" if len(values) <= MOST_SUMMED else num(sum(values))
