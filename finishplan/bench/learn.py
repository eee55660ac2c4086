"""The shop's own removal rates, learned from its bench log, beside the shipped ones.

log Q has a normal prior at the shipped value and a normal likelihood a line; the rate learned is the middle of
what is then known, its range holds the true rate nine times in ten. The shipped table is never changed, and
under three lines a rate is shown and not used.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

from finishplan import wording
from finishplan.bench.observations import SEVERAL, TEST_SPOT, Observation
from finishplan.shop.profile import LEARNED, Profile
from finishplan.survey.film import z_of

PRIOR_SD = 0.5
"""How far a shop's rate may lie from the shipped one, as a standard deviation of log Q (assumed)."""
LINE_SD = 0.3
"""How much one line differs from the next beside what the gauge adds, in log Q (assumed)."""
LEAST_LINES = 3
"""Fewer lines than this are shown and not used."""
RANGE_SHARE = 0.90
"""How often the true rate lies in the range that is shown."""


def posterior(mean: float, variance: float, data: Sequence[float], variances: Sequence[float]) -> tuple[float, float]:
    """Return mean and variance of a normal quantity after normal data of known variances.

    1/v = 1/v0 + sum(1/v_i), m = v (m0/v0 + sum(x_i/v_i)). Valid for positive variances. Source: the
    normal-normal example of any textbook; Lee, Bayesian Statistics, 2.2.

    >>> m, v = posterior(370.0, 20.0**2, [421.0], [8.0**2])
    >>> round(m, 2), round(v**0.5, 2)
    (413.97, 7.43)
    """
    precision = 1.0 / variance + sum(1.0 / v for v in variances)
    weighted = mean / variance + sum(x / v for x, v in zip(data, variances, strict=True))
    return weighted / precision, 1.0 / precision


def line_variance(log_variance: float) -> float:
    """Return the variance of one line in log Q: (sd/difference)^2 of its readings, and that between lines."""
    return log_variance + LINE_SD**2


@dataclass(frozen=True)
class Rate:
    """One removal rate [cm3/min]: shipped, learned, used side by side, with counts and range."""

    step: str
    of: str
    """The tool or person it is of; nothing for all lines of the step."""
    shipped: float
    learned: float
    low: float
    high: float
    """The range that holds the true rate nine times in ten."""
    used: float
    lines: int
    """Lines that count."""
    left_out: int
    """Lines that tell nothing."""

    @property
    def in_use(self) -> bool:
        """Whether plans use the learned rate."""
        return self.lines >= LEAST_LINES and not self.of

    @property
    def why_shipped(self) -> str:
        """Why plans use the shipped rate all the same, or nothing."""
        if self.in_use:
            return ""
        if self.of:
            return "shown to compare; plans use the rate of all lines"
        lack = LEAST_LINES - self.lines
        return f"{wording.counted(self.lines, 'line')}: shown, not used; {wording.counted(lack, 'more line')} to go"


@dataclass(frozen=True)
class Learned:
    """All that the log tells of the shop's rates."""

    by_step: tuple[Rate, ...]
    by_tool: tuple[Rate, ...]
    by_person: tuple[Rate, ...]
    observations: tuple[Observation, ...]
    """Every line, those left out with the reason."""

    def rate(self, step: str) -> Rate | None:
        """Return a step's rate, or None where no line tells of it."""
        return next((rate for rate in self.by_step if rate.step == step), None)


def learn(profile: Profile, observations: Sequence[Observation]) -> Learned:
    """Return the rates that ``observations`` teach, beside those of ``profile``, coarse to fine.

    ``profile`` holds the shipped rates, or the shop's own typed ones: what a plan would use without a log.
    """
    order = {step.name: at for at, step in enumerate(profile.steps)}
    known = tuple(o for o in observations if o.step in order)

    def rates(of: Callable[[Observation], str]) -> tuple[Rate, ...]:
        keys = dict.fromkeys((o.step, of(o)) for o in known)
        made = [rate_of(profile, step, name, [o for o in known if (o.step, of(o)) == (step, name)])
                for step, name in keys if name not in (TEST_SPOT, SEVERAL)]
        return tuple(sorted(made, key=lambda rate: (order[rate.step], rate.of)))

    return Learned(rates(lambda o: ""), rates(lambda o: o.way), rates(lambda o: o.person), tuple(observations))


def rate_of(profile: Profile, step: str, of: str, observations: Sequence[Observation]) -> Rate:
    """Return one rate from its lines; without a line that counts it is the shipped one in its own range."""
    shipped = profile.step(step).removal_rate_cm3_per_min
    counting = [o for o in observations if not o.left_out]
    mean, variance = posterior(
        math.log(shipped), PRIOR_SD**2, [math.log(o.rate_cm3_per_min) for o in counting],
        [line_variance(o.log_variance) for o in counting],
    )
    reach = z_of(0.5 + RANGE_SHARE / 2.0) * math.sqrt(variance)
    learned = math.exp(mean)
    rate = Rate(step, of, shipped, learned, learned * math.exp(-reach), learned * math.exp(reach), shipped,
                len(counting), len(observations) - len(counting))
    return replace(rate, used=learned) if rate.in_use else rate


def learned_profile(profile: Profile, learned: Learned, keep_shipped: Collection[str] = ()) -> Profile:
    """Return ``profile`` with the rates in use, marked as measured here; ``keep_shipped`` names steps to leave.

    Give it the profile that the rates were learned beside: what was learned is never a prior again.
    """
    rates = {rate.step: rate.used for rate in learned.by_step if rate.in_use and rate.step not in keep_shipped}
    steps = tuple(replace(step, removal_rate_cm3_per_min=rates.get(step.name, step.removal_rate_cm3_per_min))
                  for step in profile.steps)
    own = dict.fromkeys([*profile.own, *(LEARNED.format(name=name) for name in rates)])
    return replace(profile, steps=steps, own=tuple(own))


def rate_words(rate: Rate) -> str:
    """Return a rate as one line: shipped, learned with its range and count, used."""
    name = f"{rate.step}, {rate.of}" if rate.of else rate.step
    lines = wording.counted(rate.lines, "line")
    span = f"{rate.low:.2g} to {rate.high:.2g}"
    learned = f"learned {rate.learned:.2g} ({span}, {lines})" if rate.lines else "not learned"
    left = f", {rate.left_out} left out" if rate.left_out else ""
    return f"{name}: shipped {rate.shipped:.2g}, {learned}{left}, used {rate.used:.2g} cm3/min"
