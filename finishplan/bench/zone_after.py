"""A zone as the next plan finds it: its new readings, the step last done, and what is still to come out.

Everything becomes part of the job itself, so that the same planner plans it: readings, ``previous_step``,
and depths that are less by what was taken, each with a note that says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from finishplan.bench.columns import fitted
from finishplan.bench.film_change import mean_um
from finishplan.bench.zones_now import Seen, ZoneNow
from finishplan.errors import FinishplanError
from finishplan.planning.result import DefectPlan
from finishplan.shop.policy import Policy
from finishplan.shop.steps import COMPOUNDS
from finishplan.survey.defects import KINDS
from finishplan.survey.job import Defect, Depth, Reading, Zone

GONE_UM = 1e-3
"""Depth that counts as none: a file holds nothing that small."""
NOTE = 400
"""Letters that a reading's or entry's note may grow to."""


@dataclass(frozen=True)
class EntryNow:
    """One entry of damage as the next plan finds it."""

    index: int
    kind: str
    what: str
    """kept, less deep, softened, gone, filled, spotted, left to the rest"""
    defect: Defect | None
    """None where it drops out."""


@dataclass(frozen=True)
class ZoneAfter:
    """A zone for the next plan, and what became of its entries."""

    zone: Zone
    entries: tuple[EntryNow, ...]
    lowered: bool
    """Whether nobody read since the last stroke, so that the old readings are counted less by the plan."""
    unread: bool
    """Whether nobody read since the last stroke, and too much was taken to go on without."""


def zone_after(now: ZoneNow, policy: Policy, lean: bool) -> ZoneAfter:
    """Return a zone for the next plan; a zone without news is returned as it is."""
    readings, lowered, unread = film_now(now, policy)
    estimate = now.zone.film_estimate_um
    if unread:
        estimate = max(1.0, now.plan.film_mean_um - now.lost_at_most_um)
    entries = tuple(entry_now(now, policy, lean, entry) for entry in now.plan.defects if entry.index is not None)
    changes: dict[str, object] = {}
    if readings != now.zone.readings:
        changes["readings"] = readings
    if estimate != now.zone.film_estimate_um:
        changes["film_estimate_um"] = estimate
    if previous_step(now) != now.zone.previous_step:
        changes["previous_step"] = previous_step(now)
    defects = tuple(e.defect for e in entries if e.defect is not None)
    if defects != now.zone.defects:
        changes["defects"] = defects
    return ZoneAfter(now.zone.model_copy(update=changes) if changes else now.zone, entries, lowered, unread)


def previous_step(now: ZoneNow) -> str | None:
    """Return the step whose scratches stand in the zone; none in a finished one.

    The step last done. A step only begun has laid its scratches over coarser ones that still count; where
    there are none, they count themselves.
    """
    if now.finished:
        return None
    if now.done:
        return now.done[-1]
    return now.zone.previous_step or now.begun or None


def film_now(now: ZoneNow, policy: Policy) -> tuple[tuple[Reading, ...], bool, bool]:
    """Return the readings of the film as it is now, whether they are lowered old ones, and whether there are none.

    Where nobody has read since the last stroke: up to ``unmeasured_um`` the old readings are lowered by what the
    plan may have taken, overcut with it; above it they say nothing any more.
    """
    if not now.worked or now.real:
        return now.readings, False, False
    if not any(r.method != "estimate" for r in now.start):
        return (), False, True
    planned = now.lost_at_most_um / (1.0 + now.plan.overcut)
    if planned > policy.unmeasured_um:
        return (), False, True
    note = f"{now.lost_at_most_um:.1f} um less than read, for {now.begun or now.last_step} by the plan; not read since"
    return tuple(lowered(r, now.lost_at_most_um, note) for r in now.start), True, False


def lowered(reading: Reading, by_um: float, note: str) -> Reading:
    """Return a reading less what was taken since, with a note that says so."""
    return reading.model_copy(update={"um": max(1.0, reading.um - by_um), "note": joined(reading.note, note)})


def joined(note: str, more: str) -> str:
    """Return a note with more words after it, within what a note may hold."""
    return fitted(f"{more}; {note}" if note else more, NOTE)


def entry_now(now: ZoneNow, policy: Policy, lean: bool, entry: DefectPlan) -> EntryNow:
    """Return one entry as the next plan finds it.

    Raises FinishplanError where it is said to be still there, nothing of its planned depth is left, and nobody
    says how deep it is.
    """
    assert entry.index is not None
    index, defect = entry.index, now.zone.defects[entry.index]
    seen = now.seen.get(index)
    if index in now.repaired and entry.repair in ("fill", "spot"):
        return EntryNow(index, entry.kind, {"fill": "filled", "spot": "spotted"}[entry.repair], None)
    if seen is not None:
        return seen_entry(now, policy, entry, seen)
    if not now.worked or entry.repair in ("clean", "refer") or entry.planning_depth_um is None:
        return EntryNow(index, entry.kind, "kept", defect)
    if entry.repair in ("sand", "buff") and now.done and (not lean or now.finished):
        # The first grade stays on until it is gone, and anyone can see that it is.
        return levelled(now, policy, entry)
    if lean and left_to_compounds(now, entry):
        return EntryNow(index, entry.kind, "left to the rest", None)
    return less_deep(now, policy, entry, now.taken_um)


def left_to_compounds(now: ZoneNow, entry: DefectPlan) -> bool:
    """Tell whether an entry that asks for a sheet has had it, and the steps left take out what is left of it.

    The compounds after a sheet are always the same, so that they take it whatever plan comes; to carry it on
    would ask for a sheet once more.
    """
    left = [um for step, um in zip(now.steps, now.planned_um, strict=True) if step not in now.done]
    sheets_left = any(step not in now.done and step not in COMPOUNDS for step in now.steps)
    had_sheet = bool(now.done) and now.done[0] not in COMPOUNDS
    asks = entry.repair == "sand" and "buff" not in KINDS[entry.kind].repairs
    rest = (entry.planning_depth_um or 0.0) - now.taken_um
    return asks and had_sheet and not sheets_left and rest <= sum(left) + GONE_UM


def seen_entry(now: ZoneNow, policy: Policy, entry: DefectPlan, seen: Seen) -> EntryNow:
    """Return an entry that somebody has looked at: what was said of it, less what the steps since were to take."""
    assert entry.index is not None
    index, defect = entry.index, now.zone.defects[entry.index]
    if seen.values.seen == "gone":
        return EntryNow(index, entry.kind, "gone", None)
    if seen.values.depth_um is not None:
        left = seen.values.depth_um - now.planned_since_um(seen.after)
        if left <= GONE_UM:
            return EntryNow(index, entry.kind, "gone", None)
        when = now.last_step or "all so far"
        note = joined(defect.note, f"still there after {when}: about {left:.0f} um to go")
        return EntryNow(index, entry.kind, "less deep", with_depth(defect, left, note))
    if not now.worked or entry.planning_depth_um is None:
        return EntryNow(index, entry.kind, "kept", defect)
    found = less_deep(now, policy, entry, now.taken_um)
    if found.defect is None:
        raise FinishplanError(
            f"{now.panel}, {now.zone.name}, mark {index + 1}: the {entry.kind.replace('_', ' ')} is still there though "
            f"all of its planned depth ({entry.planning_depth_um:.0f} um) was taken; say how deep it still is, or that "
            "it is gone"
        )
    return found


def levelled(now: ZoneNow, policy: Policy, entry: DefectPlan) -> EntryNow:
    """Return an entry that went with the zone: gone; a softened one stays, as agreed, less deep."""
    assert entry.index is not None
    index, defect = entry.index, now.zone.defects[entry.index]
    if entry.asked != "soften":
        return EntryNow(index, entry.kind, "gone", None)
    left = (entry.planning_depth_um or 0.0) * (1.0 / policy.soften_share - 1.0)
    if left <= GONE_UM:
        return EntryNow(index, entry.kind, "gone", None)
    note = joined(defect.note, f"softened as asked; about {left:.0f} um of it stays")
    return EntryNow(index, entry.kind, "softened",
                    with_depth(defect, Depth(low=left, likely=left, high=left), note).model_copy(
                        update={"wish": "leave"}))


def less_deep(now: ZoneNow, policy: Policy, entry: DefectPlan, taken_um: float) -> EntryNow:
    """Return an entry less deep by what was taken over it; gone where nothing is left.

    Softening takes a share of the typed depth, so that the typed depth is less by taken/share: what is still
    to come out is then the planned depth less what was taken. A range moves as a whole where its low end
    allows it; else the planned depth less what was taken stands for all three.
    """
    assert entry.index is not None and entry.planning_depth_um is not None
    index, defect = entry.index, now.zone.defects[entry.index]
    if taken_um <= 0.0:
        return EntryNow(index, entry.kind, "kept", defect)
    share = policy.soften_share if entry.asked == "soften" else 1.0
    by_um = taken_um / share
    full_um = entry.planning_depth_um / share
    if full_um - by_um <= GONE_UM:
        return EntryNow(index, entry.kind, "gone", None)
    how = "read" if now.change is not None else "by the plan"
    note = joined(defect.note, f"was {full_um:.0f} um ({entry.depth_from}), less {by_um:.0f} taken {how} "
                               f"up to {now.last_step}")
    return EntryNow(index, entry.kind, "less deep", with_depth(defect, moved(defect, entry, full_um, by_um), note))


def moved(defect: Defect, entry: DefectPlan, full_um: float, by_um: float) -> float | Depth:
    """Return a depth less by ``by_um``: the range where all of it is left, else what is left of the planned depth."""
    if entry.depth_from == "measured":
        return full_um - by_um
    typed, kind = defect.depth_um, KINDS[defect.kind].depth_um
    span = (typed.low, typed.likely, typed.high) if isinstance(typed, Depth) else kind
    if span is None or entry.depth_from == "test spot" or span[0] - by_um <= GONE_UM:
        left = full_um - by_um
        return Depth(low=left, likely=left, high=left)
    return Depth(low=span[0] - by_um, likely=span[1] - by_um, high=span[2] - by_um)


def with_depth(defect: Defect, depth_um: float | Depth, note: str) -> Defect:
    """Return an entry with another depth and note; its wish is kept."""
    return defect.model_copy(update={"depth_um": depth_um, "note": note})


def places(entries: Sequence[EntryNow]) -> dict[int, int]:
    """Return the new place of every entry that stays, by its old one."""
    stay = [entry.index for entry in entries if entry.defect is not None]
    return {old: new for new, old in enumerate(stay)}


def mean_words(readings: Sequence[Reading]) -> str:
    """Return readings as they are named in a sentence."""
    values = ", ".join(f"{r.um:.0f}" for r in readings[:6])
    more = f" and {len(readings) - 6} more" if len(readings) > 6 else ""
    return f"{values}{more} um (mean {mean_um(readings):.0f})"
