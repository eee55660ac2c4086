"""What a new plan changes and why, and what stays: sentences for the finisher who has to agree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from finishplan import wording
from finishplan.bench.log_lines import LogLine, RepairLine, StepLine
from finishplan.bench.zone_after import EntryNow, ZoneAfter, mean_words
from finishplan.bench.zones_now import ZoneNow, left_to_do
from finishplan.planning.result import PanelPlan, Plan, ZonePlan

TELLS_UM = 0.5
"""Differences of film under this are not told."""
BECAME = {
    "less deep": "is less deep now",
    "softened": "is softened, the rest of it stays as agreed",
    "gone": "is out",
    "left to the rest": "had its sheet, and the compounds take the last of it",
    "filled": "is filled",
    "spotted": "is feathered out",
}
"""What became of an entry, in words."""


@dataclass(frozen=True)
class Change:
    """One thing that the new plan does otherwise, and why; no zone where it is the whole panel."""

    panel: str
    zone: str
    what: str
    why: str


def reasons_of(zones: Sequence[ZoneNow], after: Sequence[ZoneAfter]) -> tuple[str, ...]:
    """Return what is new since the last plan, zone by zone; nothing where nothing is."""
    found = []
    for now, made in zip(zones, after, strict=True):
        if made.zone != now.zone:
            found.append(zone_reason(now, made))
    return tuple(found)


def zone_reason(now: ZoneNow, made: ZoneAfter) -> str:
    """Return what is new in one zone."""
    parts = []
    if now.done:
        parts.append(f"{wording.listed(now.done)} done")
    if now.begun:
        parts.append(f"{now.begun} begun")
    if made.unread:
        parts.append(f"not read since: the film is taken as {made.zone.film_estimate_um:.0f} um until it is")
    elif made.lowered:
        parts.append("not read since: the readings before are counted less by what the plan takes")
    elif now.read:
        parts.append(f"read {mean_words(now.readings)}")
        if now.change is not None:
            parts.append(change_words(now))
    parts += [entry_reason(now, entry) for entry in made.entries if entry.what in BECAME]
    return f"{now.panel}, {now.zone.name}: {'; '.join(parts) or 'what is known of it has changed'}."


def change_words(now: ZoneNow) -> str:
    """Return what the readings say was taken, against the plan."""
    assert now.change is not None
    planned = f", by the plan {wording.removal_words(now.taken_by_plan_um)}" if now.done else ""
    return f"that is {wording.signed(-now.change.removal_um)} um{planned}"


def entry_reason(now: ZoneNow, entry: EntryNow) -> str:
    """Return what became of one entry; what only the readings say wants a look."""
    name = wording.defect_words(entry.kind)
    sure = now.done or entry.what not in ("gone",) or entry.index in now.seen
    became = BECAME[entry.what]
    became = became.replace("is ", "are ", 1) if name.endswith("s") else became
    return f"{name} {became}" + ("" if sure else " by the readings: look, and say so if it is not")


def kept_words(zones: Sequence[ZoneNow], here: Sequence[LogLine]) -> tuple[str, ...]:
    """Return what is done and stays, in the order of the log."""
    known = {(zone.panel, step) for zone in zones for step in zone.done}
    found = []
    for line in here:
        if isinstance(line, StepLine) and (line.panel, line.step) in known:
            known.discard((line.panel, line.step))
            found.append(f"{line.panel}: {line.step} done by {line.who}.")
        elif isinstance(line, RepairLine):
            found.append(f"{line.panel}, {line.zone}: {line.values.repair} of mark {line.values.defect + 1} done by "
                         f"{line.who}.")
    return tuple(dict.fromkeys(found))


def changes_of(old: Plan, new: Plan, zones: Sequence[ZoneNow], after: Sequence[ZoneAfter]) -> tuple[Change, ...]:
    """Return what the new plan does otherwise than the rest of the old one, panel by panel."""
    found = []
    for before, then in zip(old.panels, new.panels, strict=True):
        here = [(now, made) for now, made in zip(zones, after, strict=True) if now.panel == before.name]
        why = " ".join(zone_reason(now, made) for now, made in here if made.zone != now.zone)
        why = why or "Another panel has changed, and steps are set up for all of them."
        found += panel_changes(before, then, [now for now, _ in here], why)
    return tuple(found)


def panel_changes(before: PanelPlan, then: PanelPlan, zones: Sequence[ZoneNow], why: str) -> list[Change]:
    """Return what is otherwise on one panel."""
    rest = left_to_do(before, zones)
    found = []
    if rest != then.sequence:
        was, now = wording.listed(rest) or "nothing more", wording.listed(then.sequence) or "nothing"
        found.append(Change(before.name, "", f"goes on with {now} instead of {was}", why))
    for zone, planned in zip(zones, then.zones, strict=True):
        found += zone_changes(zone, planned, why)
    return found


def zone_changes(now: ZoneNow, then: ZonePlan, why: str) -> list[Change]:
    """Return what is otherwise in one zone: verdict, film still to be taken, film read."""
    was, found = now.plan, []
    if was.verdict != then.verdict:
        reason = f" {wording.sentence(then.reasons[0])}" if then.reasons else ""
        found.append(Change(now.panel, now.zone.name, f"is now: {then.verdict} (was: {was.verdict})", why + reason))
    rest = sum(um for step, um in zip(now.steps, now.planned_um, strict=True) if step not in now.done)
    if abs(then.removal_um - rest) > TELLS_UM:
        found.append(Change(now.panel, now.zone.name,
                            f"{wording.removal_words(then.removal_um)} um still to be taken, by the old plan "
                            f"{wording.removal_words(rest)}", why))
    expected = was.film_mean_um - now.taken_by_plan_um
    if abs(then.film_mean_um - expected) > TELLS_UM:
        told = (f"the film is {wording.film_words(then.film_mean_um)} um in the mean, by the old plan "
                f"{wording.film_words(max(0.0, expected))}; we count on {wording.film_words(then.film_low_um)}")
        found.append(Change(now.panel, now.zone.name, told, why))
    return found
