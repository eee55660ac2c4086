"""Legal sequences of steps: which step may follow which, and all sequences that reach a finish.

Two limits rule: the jump between sheets, and the coarsest sheet before a compound by tool (common
practice in trade accounts, assumed here). All sequences of a target are listed once, each knowing
its tail, so that suffixes are looked up and never searched.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from finishplan.errors import FinishplanError, NoSequence
from finishplan.shop.policy import Policy
from finishplan.shop.profile import Profile
from finishplan.shop.steps import COMPOUNDS, Step

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
MOST_SEQUENCES = 60_000


def may_follow(before: Step, step: Step, coarsest_before: Step, policy: Policy) -> bool:
    """Tell whether ``step`` may come right after ``before``.

    ``coarsest_before`` is the coarsest sheet from which the panel's tool takes cutting compound.
    """
    if step.scratch_depth_um >= before.scratch_depth_um:
        return False
    if step.is_sheet:
        if not before.is_sheet or before.d50_um is None or step.d50_um is None:
            return False
        return before.d50_um / step.d50_um <= policy.max_step_ratio + 1e-9
    if step.name == COMPOUNDS[0]:
        return before.order >= coarsest_before.order
    stage_before = COMPOUNDS[COMPOUNDS.index(step.name) - 1]
    return not before.is_sheet and COMPOUNDS.index(before.name) >= COMPOUNDS.index(stage_before)


def why_not_follow(before: Step, step: Step, coarsest_before: Step, way: str, policy: Policy) -> str:
    """Return in words which limit keeps ``step`` from following ``before``; empty if none does."""
    if may_follow(before, step, coarsest_before, policy):
        return ""
    if step.scratch_depth_um >= before.scratch_depth_um:
        return f"{step.name} is no finer than {before.name}"
    if step.is_sheet and before.is_sheet and before.d50_um and step.d50_um:
        ratio = before.d50_um / step.d50_um
        return f"{before.name} to {step.name} is a jump of {ratio:.2f}, over {policy.max_step_ratio:g}"
    if step.is_sheet:
        return f"{step.name} is a sheet and cannot follow {before.name}"
    if step.name == COMPOUNDS[0]:
        return f"{step.name} by {way} needs {coarsest_before.name} or finer before it, and {before.name} is coarser"
    return f"{step.name} follows {COMPOUNDS[COMPOUNDS.index(step.name) - 1]}, not {before.name}"


def coarsest_before(profile: Profile, way: str) -> Step:
    """Return the coarsest sheet from which cutting compound by ``way`` may start."""
    name = profile.tool(way, "compound").cutting_coarsest_before
    return profile.step(name) if name else profile.steps[0]


@dataclass(frozen=True)
class SequenceTable:
    """All sequences that end where the target wants, as arrays over Q sequences.

    ``steps`` [Q, longest] holds step indices padded with -1; ``tail`` [Q] the sequence without its first
    step, -1 for one step; ``mask`` [Q] the step set as bits; ``valid`` by way [Q]; the rest in um or
    um min/cm3 as named.
    """

    names: tuple[str, ...]
    candidates: tuple[Step, ...]
    steps: Ints
    length: Ints
    tail: Ints
    mask: Ints
    first: Ints
    last_scratch_um: Floats
    later_um: Floats
    later_sheet_per_rate: Floats
    later_compound_per_rate: Floats
    sheets: Ints
    valid: dict[str, Bools]

    @cached_property
    def limits(self) -> dict[object, tuple[Floats, Floats]]:
        """Least and most that each candidate takes first, already worked out, by what they rest on."""
        return {}

    @cached_property
    def is_sheet(self) -> Bools:
        """Which candidates are sheets."""
        return np.array([s.is_sheet for s in self.candidates], dtype=bool)

    @cached_property
    def sheet_first(self) -> Bools:
        """Which sequences start with a sheet."""
        return self.is_sheet[self.first]

    @cached_property
    def shut_without_sheet(self) -> Floats:
        """0 for the sequences that start with a sheet, inf for the others."""
        return np.where(self.sheet_first, 0.0, np.inf)

    @cached_property
    def first_rate(self) -> Floats:
        """Removal rate of each sequence's first step [cm3/min]."""
        return np.array([s.removal_rate_cm3_per_min for s in self.candidates])[self.first]

    @cached_property
    def _suffixes(self) -> dict[int, Ints]:
        return {}

    def suffixes(self, least: int) -> Ints:
        """Return each sequence's suffixes of at least ``least`` steps, longest first, as indices [Q, most].

        The first is the sequence itself, which also stands in for those that are not there.
        """
        if least not in self._suffixes:
            columns = [np.arange(len(self.length))]
            for _ in range(int(self.length.max()) - max(1, least)):
                tail = self.tail[columns[-1]]
                columns.append(np.where((tail >= 0) & (self.length[tail] >= least), tail, columns[-1]))
            self._suffixes[least] = np.column_stack(columns)
        return self._suffixes[least]

    def names_of(self, q: int) -> tuple[str, ...]:
        """Return the step names of sequence ``q``, coarse to fine."""
        return tuple(self.candidates[i].name for i in self.steps[q, : self.length[q]])

    def steps_of(self, q: int) -> list[Step]:
        """Return the steps of sequence ``q``, coarse to fine."""
        return [self.candidates[i] for i in self.steps[q, : self.length[q]]]


def candidate_steps(profile: Profile) -> tuple[Step, ...]:
    """Return the steps that a plan may use: in the default plan or turned on, and not barred."""
    barred = set(profile.policy.barred_steps)
    return tuple(s for s in profile.steps if s.in_default_plan and s.name not in barred)


def end_steps(candidates: Sequence[Step], finish: str, last_sheet: str | None, policy: Policy) -> list[int]:
    """Return the indices of steps at which a sequence for the target may end; raises NoSequence if none."""
    if finish == "satin":
        found = [i for i, s in enumerate(candidates) if s.name == last_sheet and s.is_sheet]
        if not found:
            sheets = ", ".join(s.name for s in candidates if s.is_sheet)
            raise NoSequence(
                f"no sequence ends at {last_sheet!r}: it is no sheet of this shop's plan; choose one of: {sheets}"
            )
        return found
    found = [i for i, s in enumerate(candidates) if s.scratch_depth_um <= policy.target_scratch_um + 1e-12]
    if not found:
        finest = min(candidates, key=lambda s: s.scratch_depth_um, default=None)
        says = f"the finest, {finest.name}, leaves {finest.scratch_depth_um:g} um" if finest else "there are no steps"
        raise NoSequence(
            f"no sequence of this shop reaches full gloss: {says}, and {policy.target_scratch_um:g} um is asked; "
            f"turn on {COMPOUNDS[-1]}, or ask for satin"
        )
    return found


def list_sequences(
    profile: Profile, ways: Sequence[str], finish: str, last_sheet: str | None, only: Sequence[str] | None = None
) -> SequenceTable:
    """Return every legal sequence for a target with the compound ``ways`` that the job uses.

    ``only`` keeps one sequence, given by step names, and its tails. Raises NoSequence when the target
    cannot be reached, and FinishplanError when the shop turned on so many steps that listing is hopeless.
    """
    key = ("sequences", tuple(ways), finish, last_sheet, None if only is None else tuple(only))
    if key not in profile.memo:
        profile.memo[key] = work_out_sequences(profile, ways, finish, last_sheet, only)
    table: SequenceTable = profile.memo[key]
    return table


def work_out_sequences(
    profile: Profile, ways: Sequence[str], finish: str, last_sheet: str | None, only: Sequence[str] | None
) -> SequenceTable:
    """Work out ``list_sequences``."""
    policy = profile.policy
    candidates = tuple(profile.step(n) for n in only) if only else candidate_steps(profile)
    ends = end_steps(candidates, finish, last_sheet, policy)
    coarsest = {way: coarsest_before(profile, way) for way in ways}
    follow = {
        way: np.array([[may_follow(a, b, coarsest[way], policy) for b in candidates] for a in candidates], bool)
        for way in ways
    }
    grown = grow(follow, ends, len(candidates)) if only is None else chain(follow, len(candidates), ends)
    return as_table(profile, candidates, *grown)


def grow(
    follow: dict[str, Bools], ends: list[int], n: int
) -> tuple[list[tuple[int, ...]], list[int], dict[str, list[bool]]]:
    """Return all sequences grown backwards from ``ends``, their tails, and by which ways each is legal."""
    sequences: list[tuple[int, ...]] = [(i,) for i in ends]
    tails = [-1] * len(ends)
    valid = {way: [True] * len(ends) for way in follow}
    at = 0
    while at < len(sequences):
        for before in range(n):
            fits = [way for way in follow if valid[way][at] and follow[way][before, sequences[at][0]]]
            if fits:
                sequences.append((before, *sequences[at]))
                tails.append(at)
                for way in follow:
                    valid[way].append(way in fits)
        at += 1
        if len(sequences) > MOST_SEQUENCES:
            raise FinishplanError(
                f"this shop turns on so many steps that over {MOST_SEQUENCES} sequences are legal; "
                "turn some off in the shop file (in_default_plan false, or policy barred_steps)"
            )
    return sequences, tails, valid


def chain(
    follow: dict[str, Bools], n: int, ends: list[int]
) -> tuple[list[tuple[int, ...]], list[int], dict[str, list[bool]]]:
    """Return the one sequence of all candidates and its tails, shortest first."""
    sequences = [tuple(range(n - k, n)) for k in range(1, n + 1)] if n - 1 in ends else []
    tails = list(range(-1, n - 1))
    valid = {
        way: [all(pairs[a, b] for a, b in pairwise(seq)) for seq in sequences]
        for way, pairs in follow.items()
    }
    return sequences, tails, valid


def as_table(
    profile: Profile,
    candidates: tuple[Step, ...],
    sequences: list[tuple[int, ...]],
    tails: list[int],
    valid: dict[str, list[bool]],
) -> SequenceTable:
    """Return the listed sequences as arrays."""
    clearing = profile.policy.clearing
    longest = max(len(s) for s in sequences)
    steps = np.full((len(sequences), longest), -1, dtype=np.int64)
    for q, seq in enumerate(sequences):
        steps[q, : len(seq)] = seq
    scratch = np.array([s.scratch_depth_um for s in candidates] + [0.0])
    per_rate = np.array([1.0 / s.removal_rate_cm3_per_min for s in candidates] + [0.0])
    is_sheet = np.array([s.is_sheet for s in candidates] + [False])
    here, before = steps[:, 1:], steps[:, :-1]
    taken = np.where(here >= 0, clearing * scratch[before], 0.0)
    by_rate = taken * per_rate[here]
    length = (steps >= 0).sum(axis=1)
    last = steps[np.arange(len(sequences)), length - 1]
    return SequenceTable(
        names=tuple(s.name for s in candidates),
        candidates=candidates,
        steps=steps,
        length=length,
        tail=np.array(tails, dtype=np.int64),
        mask=np.array([sum(1 << i for i in seq) for seq in sequences], dtype=np.int64),
        first=steps[:, 0],
        last_scratch_um=scratch[last],
        later_um=taken.sum(axis=1),
        later_sheet_per_rate=(by_rate * is_sheet[here]).sum(axis=1),
        later_compound_per_rate=(by_rate * ~is_sheet[here]).sum(axis=1),
        sheets=(is_sheet[steps] & (steps >= 0)).sum(axis=1),
        valid={way: np.array(flags, dtype=bool) for way, flags in valid.items()},
    )


def check_sequence(profile: Profile, names: Sequence[str], way: str, finish: str, last_sheet: str | None) -> None:
    """Refuse a sequence that cannot be done: raises NoSequence naming the pair and the nearest mend."""
    if len(set(names)) != len(names):
        twice = next(n for n in names if list(names).count(n) > 1)
        raise NoSequence(f"sequence: {twice} stands twice; name each step once")
    steps = [profile.step(name, "sequence") for name in names]
    coarsest = coarsest_before(profile, way)
    for before, step in pairwise(steps):
        reason = why_not_follow(before, step, coarsest, way, profile.policy)
        if reason:
            raise NoSequence(f"sequence: {reason}; {mend(profile, before, step, coarsest)}")
    last = steps[-1]
    ends = (
        end_steps(steps, finish, last_sheet, profile.policy)
        if finish == "satin"
        else [i for i, s in enumerate(steps) if s.scratch_depth_um <= profile.policy.target_scratch_um + 1e-12]
    )
    if len(steps) - 1 not in ends:
        raise NoSequence(
            f"sequence: it ends at {last.name}, which leaves {last.scratch_depth_um:g} um; full gloss asks for "
            f"{profile.policy.target_scratch_um:g} um: go on to {COMPOUNDS[-1]}"
        )


def mend(profile: Profile, before: Step, step: Step, coarsest: Step) -> str:
    """Return the nearest mend of a broken pair: a step between the two, else another second step."""
    policy = profile.policy
    for between in sorted(profile.steps, key=lambda s: s.order):
        if may_follow(before, between, coarsest, policy) and may_follow(between, step, coarsest, policy):
            return f"put {between.name} between them"
    after = [s for s in profile.steps if may_follow(before, s, coarsest, policy)]
    if after and step.order > before.order:
        reach = min(after, key=lambda s: abs(s.scratch_depth_um - step.scratch_depth_um))
        return f"the nearest step that may follow {before.name} is {reach.name}"
    if after:
        return f"after {before.name} go finer: {after[0].name}, for one"
    return f"nothing of this shop may follow {before.name}: take it out"
