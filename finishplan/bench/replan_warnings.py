"""What a new plan cannot see by itself: places that lie lower than the face, and spots that count already."""

from __future__ import annotations

import math
from collections.abc import Sequence

from finishplan import wording
from finishplan.bench.checks import whole_um
from finishplan.bench.log_lines import LogLine, RepairLine
from finishplan.bench.zones_now import ZoneNow
from finishplan.planning.removal import SLACK
from finishplan.planning.result import DefectPlan, Plan, ZonePlan
from finishplan.shop.policy import Policy

MORE_UM = 0.05
"""More film than the plan in force left by this, and a dish is worth a reading."""


def warnings_of(new: Plan, zones: Sequence[ZoneNow], all_lines: Sequence[LogLine], policy: Policy) -> tuple[str, ...]:
    """Return what to be careful of under a new plan, zone by zone; ``all_lines`` are all that count."""
    planned = {(panel.name, zone.name): zone for panel in new.panels for zone in panel.zones}
    found = []
    for now in zones:
        then = planned[(now.panel, now.zone.name)]
        repairs = [line for line in all_lines if isinstance(line, RepairLine)
                   and (line.panel, line.zone) == (now.panel, now.zone.name)]
        if repairs:
            found += dish_warning(now, then) + spot_warning(now, then, repairs, policy)
    return tuple(found)


def dish_warning(now: ZoneNow, then: ZonePlan) -> list[str]:
    """Warn where more goes over a zone with done spots or fills than the plan in force left for it.

    The film inside a spot, and round a fill, is thinner than the readings of the face say.
    """
    rest = sum(um for step, um in zip(now.steps, now.planned_um, strict=True) if step not in now.done)
    if then.removal_um <= rest + MORE_UM:
        return []
    under = [under_um(now, entry) for entry in now.plan.defects if entry.index in now.repaired]
    how_deep = f" (up to {wording.removal_words(max(under))} um by the plan)" if under else ""
    return [
        f"{now.panel}, {now.zone.name}: spots and fills are done here, and inside them the film lies lower than the "
        f"face{how_deep}. The new plan takes more over them than the old one left: read inside them before the first "
        f"stroke; LEAST is {whole_um(then.least_start_um)} there too."
    ]


def under_um(now: ZoneNow, entry: DefectPlan) -> float:
    """Return how far a spot's bottom, or the film round a fill, lies under the face by the plan [um]."""
    return max(0.0, (entry.film_needed_um or 0.0) - sum(now.planned_um))


def spot_warning(now: ZoneNow, then: ZonePlan, repairs: Sequence[RepairLine], policy: Policy) -> list[str]:
    """Warn where the spots done and the spots planned are together more than a zone takes."""
    done = sum(line.values.repair == "spot" for line in repairs)
    planned = sum(entry.count for entry in then.defects if entry.repair == "spot")
    most = max(1, math.floor(policy.spot_max_per_m2 * now.zone.area_m2 + SLACK))
    if not planned or done + planned <= most:
        return []
    where, spots = f"{now.panel}, {now.zone.name}", wording.counted(done, "spot")
    return [f"{where}: {spots} done and {planned} more planned; over {most} in a zone of this size show as waves. "
            "Level it, or leave some."]
