"""A plan in sentences: the first line, a line a panel, a line a zone. For pages, sheets and plain text."""

from __future__ import annotations

from finishplan import wording
from finishplan.planning.materials import MaterialLine
from finishplan.planning.result import DefectPlan, PanelPlan, Plan, StepPlan, ZonePlan
from finishplan.safety.cautions import Caution
from finishplan.safety.worked import deciding
from finishplan.survey.choices import NARROW_KINDS
from finishplan.survey.job import Job, Panel


def panel_verdict(panel: PanelPlan) -> str:
    """Return the verdict that has to be settled first on a panel; go where every zone is go."""
    return wording.worst_verdict(zone.verdict for zone in panel.zones)


def last_service(panel: PanelPlan) -> bool:
    """Tell whether any zone of a panel is worked for the last time."""
    return any(zone.last_service for zone in panel.zones)


NOTHING_ASKED = "No defect is entered yet, so there is nothing to plan."
"""The first line of a plan of no work: that all may start would be true, and misread."""


def first_line(plan: Plan, minutes: float) -> str:
    """Return the verdict sentence of the whole job; ``minutes`` with all allowances."""
    if not any(panel.steps or any(zone.defects for zone in panel.zones) for panel in plan.panels):
        return NOTHING_ASKED
    return wording.job_words({panel.name: panel_verdict(panel) for panel in plan.panels}, minutes)


def tightest(panel: PanelPlan) -> ZonePlan | None:
    """Return the worked zone that takes the largest share of its film to spend, or None."""
    worked = [zone for zone in panel.zones if zone.removal_um > 0]
    return max(worked, key=lambda zone: zone.removal_um / max(zone.spare_um, 1e-9), default=None)


def panel_line(panel: PanelPlan) -> str:
    """Return a panel's plan in one line, as a finisher would say it."""
    verdict = panel_verdict(panel)
    return f"{panel.name}: {'' if verdict == 'go' else verdict + ', '}{panel_gist(panel)}"


def panel_gist(panel: PanelPlan) -> str:
    """Return what is done with a panel in one line, or, if it may not start, where and why not."""
    if panel_verdict(panel) != "go":
        zone = next(zone for zone in panel.zones if zone.verdict == panel_verdict(panel))
        return f"{zone.name}: {zone.reasons[0]}" if zone.reasons else zone.name
    extra = ", ".join(words for words in (edges_words(panel), local_words(panel)) if words)
    if not panel.steps and panel.repair_minutes > 0:
        return f"{extra}, {wording.minutes_words(panel.minutes)}"
    tight = tightest(panel)
    taken, spare = (tight.removal_um, tight.spare_um) if tight else (0.0, 0.0)
    return wording.panel_gist(
        [step.step for step in panel.steps if step.is_sheet],
        [step.step for step in panel.steps if not step.is_sheet], panel.minutes, taken, spare, extra,
        tight.name if tight and len(panel.zones) > 1 else "",
    )


def edges_words(panel: PanelPlan) -> str:
    """Return how far the edges join in, where they differ from the face."""
    narrow = [zone for zone in panel.zones if zone.kind in NARROW_KINDS]
    if not narrow or not panel.steps:
        return ""
    sheeted = {part.zone for step in panel.steps if step.is_sheet for part in step.zones}
    if all(zone.untouched for zone in narrow):
        return "edges untouched"
    if any(step.is_sheet for step in panel.steps) and not any(zone.name in sheeted for zone in narrow):
        return "edges compound only"
    return ""


def local_words(panel: PanelPlan) -> str:
    """Return how many spots and fills a panel has."""
    repairs = [defect for zone in panel.zones for defect in zone.defects]
    counts = {name: sum(d.count for d in repairs if d.repair == name) for name in ("spot", "fill")}
    return wording.listed(wording.counted(count, name) for name, count in counts.items() if count)


def start_words(panel: PanelPlan) -> str:
    """Return whether a panel may be started, and if not, what comes first."""
    verdict = panel_verdict(panel)
    if verdict != "go":
        return f"Do not start: {verdict}"
    return "Go, last service" if last_service(panel) else "Go"


def ways_words(step: StepPlan) -> str:
    """Return the tools of a step, each once, and wet or dry for a sheet."""
    ways = list(dict.fromkeys(part.way for part in step.zones))
    wet = ["wet" if step.wet else "dry"] if step.is_sheet else []
    return ", ".join([wording.listed(ways), *wet])


def taken_words(step: StepPlan) -> str:
    """Return what a step takes, zone by zone where it differs."""
    amounts = {part.zone: wording.removal_words(part.removal_um) for part in step.zones}
    if len(set(amounts.values())) == 1:
        return f"{next(iter(amounts.values()))} um"
    return ", ".join(f"{zone} {um}" for zone, um in amounts.items()) + " um"


def defect_name(defect: DefectPlan) -> str:
    """Return how an entry is called in a table."""
    if defect.index is None:
        return "scratches of the last step"
    return wording.defect_words(defect.kind, defect.count)


def defect_rows(panel: PanelPlan) -> list[tuple[str, ...]]:
    """Return a row an entry: zone, what, depth, what is done, own time, why; entries alike in all of it in one row."""
    counts: dict[tuple[str, ...], int] = {}
    for zone in panel.zones:
        for one in zone.defects:
            row = (zone.name, defect_name(one), wording.depth_words(one.planning_depth_um, one.depth_from),
                   repair_words(one), own_minutes(one), wording.sentence(one.why))
            counts[row] = counts.get(row, 0) + 1
    return [row if count == 1 else many_alike(row, count) for row, count in counts.items()]


def many_alike(row: tuple[str, ...], count: int) -> tuple[str, ...]:
    """Return the row of entries that are alike: how many, and that the time is that of each."""
    zone, name, depth, done, own, why = row
    each = own if own == wording.DASH else f"{own} each"
    return zone, f"{name}; {wording.counted(count, 'entry', 'entries')} alike", depth, done, each, why


def repair_words(defect: DefectPlan) -> str:
    """Return what is done with a defect: the repair, its local steps, and what was asked if not all."""
    steps = f" with {wording.listed(defect.local_steps)}" if defect.local_steps else ""
    softened = ", softened" if defect.asked == "soften" and defect.repair not in ("leave", "refer") else ""
    return f"{defect.repair}{softened}{steps}"


def zone_line(zone: ZonePlan) -> str:
    """Return a zone's film in one line: mean, counted on, to stay, taken, left."""
    parts = [
        f"film {wording.film_words(zone.film_mean_um)} um, "
        f"{wording.film_from_words(zone.film_from, zone.readings)}",
        f"we count on {wording.film_words(zone.film_low_um)}",
        f"leave at least {wording.least_words(zone.keep_um)}",
    ]
    if zone.removal_um > 0:
        parts.append(f"takes {wording.removal_words(zone.removal_um)}")
        parts.append(f"{wording.film_words(zone.film_left_um)} left to count on")
    return ", ".join(parts)


def panel_setting(panel: PanelPlan) -> str:
    """Return how a panel is worked: how it lies, by whom, with which tools, and what limits it."""
    lies = "off the instrument" if panel.off else panel.position
    return wording.sentence(f"{panel.face}, {lies}, {panel.worker}; limited by {panel.limited_by}")


def own_minutes(defect: DefectPlan) -> str:
    """Return the time that an entry takes by itself; a dash where the zone's work does it."""
    return wording.minutes_words(defect.minutes) if defect.minutes > 0 else wording.DASH


def packs_words(packs: int | None) -> str:
    """Return whole packs, or the dash whose reason stands over the table: no pack size known."""
    return wording.DASH if packs is None else str(packs)


def material_words(line: MaterialLine) -> str:
    """Return one thing to lay out: what, how much, in how many packs, and what to know of it."""
    note = f" ({line.note})" if line.note else ""
    if line.quantity is None:
        return f"{line.item}: {wording.DASH}{note}"
    amount = wording.quantity_words(line.quantity)
    unit = line.unit.removesuffix("s") if amount == "1" else line.unit
    packs = f", {wording.counted(line.packs, 'pack')}" if line.packs is not None else ""
    return f"{line.item}: {amount} {unit}{packs}{note}"


def check_words(check_locally: str) -> str:
    """Return what to check where one works."""
    if not check_locally:
        return ""
    return "Check all of it where you work." if check_locally == "all" else f"Check where you work: {check_locally}."


def rests_on(job: Job, plan: Plan) -> str:
    """Return what a plan rests on, in one line: instrument, finish, build, view, crew and favour."""
    made = [job.instrument.kind or "", str(job.instrument.year or "")]
    found = "polyester" if plan.identified else f"finish {job.finish_id.result}"
    build = "build not known" if plan.build == "unknown" else plan.build
    parts = [" ".join(word for word in made if word), found, build, f"seen from {job.seen_from}",
             f"{job.crew.worker}, first cut {plan.first_cut}", plan.favour]
    return wording.sentence(", ".join(part for part in parts if part))


def sum_words(caution: Caution) -> str:
    """Return the figure that decides behind a caution, in one sentence, or why there is none."""
    if not caution.figures:
        return wording.sentence(f"no figure: {caution.without_figure}") if caution.without_figure else ""
    shown = deciding(caution.figures) or next((f for f in caution.figures if f.decides), caution.figures[0])
    return wording.sentence(shown.said)


def worth_drawing(panel: Panel) -> bool:
    """Tell whether a survey gives the place of anything on a panel."""
    places = [reading.at for zone in panel.zones for reading in zone.readings]
    places += [defect.at for zone in panel.zones for defect in zone.defects]
    return any(place is not None for place in places)
