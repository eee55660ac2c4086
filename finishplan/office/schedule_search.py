"""The search for a good order: priority rules first, then small changes of the best, until the bound is met.

A schedule is priced: minutes late dearest, then minutes of the last job past the day of the bound, then
how soon jobs are ready on the whole. A worse order is now and then taken on the way, less and less often
(annealing, textbook). Deterministic for one random generator.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from random import Random

from finishplan.office.schedule_bound import Bound
from finishplan.office.schedule_model import Works
from finishplan.office.schedule_place import Placed, place_all
from finishplan.office.working_time import DAY_MIN, morning_after

Progress = Callable[[int, int], None]
Stop = Callable[[], bool]
FIRST_HORIZON = 30 * DAY_MIN
TASKS_TO_PLACE = 100_000
"""How many placements a search takes at most, all tries together: two to three seconds (measured here)."""
MOST_TRIES = 1_500
MOST_MOVED = 200
FEWEST_TRIES = 40
MIXES = (0.0, 100.0, 300.0, 1000.0, 1e5)
"""How many minutes of longer tail weigh as much as one place in the order of jobs."""
NIGHT_WEIGHT_MIN = 240
WAIT_WEIGHT = 1.0 / 3.0
"""What a night, and an hour of the clock that is waited, count in a tail (about the share that is worked)."""
LATE_WEIGHT = 20.0
EXCESS_WEIGHT = 3.0
"""What a minute late, and a minute past the day of the bound, count against a minute of mean waiting."""
FIRST_WARMTH = 0.02
"""How much dearer an order may be at first and still be followed, as a share of the first price."""


@dataclass(frozen=True)
class Score:
    """How good a schedule is, less is better."""

    price: float
    late_min: int
    last: int
    """Moment at which the last job is ready."""


@dataclass(frozen=True)
class Order:
    """One way to rank tasks: an order of jobs, its weight against the tails, and changes of single tasks."""

    jobs: tuple[str, ...]
    mix: float
    moved: tuple[tuple[int, float], ...] = ()


@dataclass(frozen=True)
class Found:
    """The best schedule of a search, and how good it can be shown to be."""

    placed: tuple[Placed, ...]
    score: Score
    bound: int
    """No schedule is done before this moment."""
    tries: int
    stopped: bool


@dataclass
class Search:
    """One search over the orders of a set of works."""

    works: Works
    due: Mapping[str, int]
    """Moment by which a job shall be ready, where it has one."""
    rng: Random
    horizon: int = FIRST_HORIZON
    bound: int = 0
    """No schedule is done before this moment; known after the first try."""

    @cached_property
    def jobs(self) -> tuple[str, ...]:
        """All jobs as they came."""
        return tuple(dict.fromkeys(task.job for task in self.works.tasks))

    @cached_property
    def tails(self) -> list[float]:
        """Minutes from a task's start to its job's end along the longest chain, waits counted in part."""
        works = self.works
        tails = [0.0] * len(works.tasks)
        for i in reversed(works.topological):
            after = [tails[j] + wait.hours * 60.0 * WAIT_WEIGHT + (NIGHT_WEIGHT_MIN if wait.overnight else 0.0)
                     for j, wait in works.behind[i]]
            tails[i] = works.tasks[i].minutes + max(after, default=0.0)
        return tails

    def rank(self, order: Order) -> list[float]:
        """Return the rank of every task in an order, lowest first."""
        place = {job: k for k, job in enumerate(order.jobs)}
        ranks = [place[task.job] * order.mix - tail for task, tail in zip(self.works.tasks, self.tails, strict=True)]
        for i, by in order.moved:
            ranks[i] += by
        return ranks

    def run(self, order: Order) -> tuple[Score, list[Placed]]:
        """Return the schedule of an order and its score."""
        placed, self.horizon = place_all(self.works, self.rank(order), self.horizon)
        return self.score(placed), placed

    def ready(self, placed: list[Placed]) -> dict[str, int]:
        """Return when each job is done."""
        found = dict.fromkeys(self.jobs, 0)
        for task, one in zip(self.works.tasks, placed, strict=True):
            found[task.job] = max(found[task.job], one.end)
        return found

    def score(self, placed: list[Placed]) -> Score:
        """Return how good a schedule is."""
        ready = self.ready(placed)
        late = sum(max(0, ready[job] - due) for job, due in self.due.items() if job in ready)
        last = max(ready.values(), default=0)
        count = max(1, len(ready))
        price = (LATE_WEIGHT * late + sum(ready.values())) / count
        return Score(price + EXCESS_WEIGHT * max(0, last - morning_after(self.bound)), late, last)

    def first_orders(self) -> list[Order]:
        """Return the orders by rule: as due, as they came, longest and shortest first, each with all weights."""
        length: dict[str, float] = dict.fromkeys(self.jobs, 0.0)
        for task, tail in zip(self.works.tasks, self.tails, strict=True):
            length[task.job] = max(length[task.job], tail)
        far = max([*self.due.values(), 0]) + 1
        by_due = tuple(sorted(self.jobs, key=lambda job: self.due.get(job, far)))
        longest = tuple(sorted(self.jobs, key=lambda job: -length[job]))
        orders = dict.fromkeys((by_due, self.jobs, longest, longest[::-1]))
        return [Order(jobs, mix) for jobs in orders for mix in MIXES]

    def changed(self, order: Order) -> Order:
        """Return a neighbour of an order: jobs moved or swapped, the weight changed, or one task moved."""
        kind, rng, n = self.rng.random(), self.rng, len(order.jobs)
        if n > 1 and kind < 0.95:
            jobs, mix = list(order.jobs), order.mix
            a, b = rng.randrange(n), rng.randrange(n)
            if kind < 0.45:
                jobs.insert(b, jobs.pop(a))
            elif kind < 0.8:
                jobs[a], jobs[b] = jobs[b], jobs[a]
            else:
                mix = mix * rng.choice((0.5, 0.8, 1.25, 2.0)) + 1.0
            return Order(tuple(jobs), mix, order.moved)
        spread = max(60.0, max(self.tails) / 4.0)
        move = (rng.randrange(len(self.works.tasks)), rng.uniform(-spread, spread))
        return Order(order.jobs, order.mix, (*order.moved, move)[-MOST_MOVED:])

    def go(self, tries: int | None = None, progress: Progress | None = None, stop: Stop | None = None) -> Found:
        """Return the best schedule found; it ends early where nothing is left to gain, or when told to stop."""
        limit = max(1, self.usual_tries() if tries is None else tries)
        first = self.first_orders()
        here = first[0]
        _, best = self.run(here)
        last = max((one.end for one in best), default=0)
        self.bound = Bound(self.works, last).find(last)
        best_score = here_score = self.score(best)
        warmth, at, stopped = FIRST_WARMTH * best_score.price, 1, False
        while at < limit and not self.good_enough(best_score) and not stopped:
            order = first[at] if at < len(first) else self.changed(here)
            score, placed = self.run(order)
            if self.follow(score.price - here_score.price, 0.0 if at < len(first) else warmth * (1.0 - at / limit)):
                here, here_score = order, score
            if score.price < best_score.price:
                best, best_score = placed, score
            at += 1
            if progress is not None:
                progress(at, limit)
            stopped = stop is not None and stop()
        return Found(tuple(best), best_score, self.bound, at, stopped)

    def follow(self, dearer: float, warmth: float) -> bool:
        """Whether an order that is ``dearer`` by so much is followed."""
        return dearer <= 0.0 or (warmth > 0.0 and self.rng.random() < math.exp(-dearer / warmth))

    def usual_tries(self) -> int:
        """Return how many tries a search of this size takes."""
        return max(FEWEST_TRIES, min(MOST_TRIES, TASKS_TO_PLACE // max(1, len(self.works.tasks))))

    def good_enough(self, score: Score) -> bool:
        """Whether nothing is left to gain: one job, none late, done at the bound."""
        return len(self.jobs) <= 1 and score.late_min == 0 and score.last <= self.bound
