"""What the plan uses up: sheets a grade, compound, pads, resin and catalyst, as a tick list."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from finishplan.planning.result import PanelPlan, Plan, StepPlan
from finishplan.shop.policy import Policy
from finishplan.shop.profile import Profile
from finishplan.shop.shop_file import Price
from finishplan.shop.steps import REFERENCE_D50_UM, Step
from finishplan.where_typed import GIVE_SIZE

NO_SIZE = f"no fill has a size: {GIVE_SIZE}"


@dataclass(frozen=True)
class MaterialLine:
    """One line of the tick list: quantity used, whole packs where the shop has a price, and why."""

    item: str
    quantity: float | None
    """None where it cannot be worked out; the note says why."""
    unit: str
    packs: int | None
    note: str


def sheets_used(volume_cm3: float, area_m2: float, d50_um: float, policy: Policy) -> float:
    """Return how many sheets one panel and grade use, unrounded.

    Removed volume over sheet life, which is ``sheet_life_cm3`` x d50/25.8; for fine grades also at most
    ``sheet_life_m2`` a sheet; at least one (assumed figures).
    """
    by_volume = volume_cm3 / (policy.sheet_life_cm3 * d50_um / REFERENCE_D50_UM)
    by_area = area_m2 / policy.sheet_life_m2 if d50_um <= policy.fine_sheet_d50_um + 1e-9 else 0.0
    return max(1.0, by_volume, by_area)


def materials(plan: Plan, profile: Profile, catalyst_percent: float | None = None) -> tuple[MaterialLine, ...]:
    """Return the job's materials, rounded up to packs once for the whole job.

    Sheets first, coarse to fine, then compounds with their pads, then fills. ``catalyst_percent`` is the
    supplier's figure; without one no catalyst is weighed out here.
    """
    lines = sheet_lines(plan, profile) + compound_lines(plan, profile) + fill_lines(plan, profile, catalyst_percent)
    return tuple(with_packs(line, profile.file.prices) for line in lines)


def with_packs(line: MaterialLine, prices: Mapping[str, Price]) -> MaterialLine:
    """Return a line with whole packs where the shop says what a pack holds."""
    price = prices.get(line.item)
    if price is None or line.quantity is None:
        return line
    packs = math.ceil(line.quantity / price.pack - 1e-9)
    return MaterialLine(line.item, line.quantity, line.unit, packs, line.note)


def sheet_lines(plan: Plan, profile: Profile) -> list[MaterialLine]:
    """Return whole sheets by grade: those of the panels' steps, and one for every local ladder's grade."""
    count: dict[str, int] = {}
    for panel in plan.panels:
        for step in panel.steps:
            if step.is_sheet:
                grade = profile.step(step.step)
                used = sheets_used(step.volume_cm3, step.area_m2, grade.d50_um or REFERENCE_D50_UM, profile.policy)
                count[step.step] = count.get(step.step, 0) + math.ceil(used - 1e-9)
        for grade_name in dict.fromkeys(n for z in panel.zones for d in z.defects for n in d.local_steps):
            if grade_name not in {s.step for s in panel.steps}:
                count[grade_name] = count.get(grade_name, 0) + 1
    in_order = [s.name for s in profile.steps if s.name in count]
    return [MaterialLine(f"sheet {name}", float(count[name]), "sheets", None, sheet_note(profile.step(name)))
            for name in in_order]


def sheet_note(step: Step) -> str:
    """Return how a sheet is used, with its grading system."""
    return f"{'wet' if step.wet else 'dry'}, graded {step.system}"


def compound_lines(plan: Plan, profile: Profile) -> list[MaterialLine]:
    """Return grams of each compound, and a pad or wheel for each, never shared."""
    lines = []
    for name in (s.name for s in profile.steps if not s.is_sheet):
        uses = [(panel, step) for panel in plan.panels for step in panel.steps if step.step == name]
        if not uses:
            continue
        grams = {"liquid": 0.0, "bar": 0.0}
        for panel, step in uses:
            bar, liquid = compound_grams(panel, step, profile.step(name))
            grams["bar"] += bar
            grams["liquid"] += liquid
        for form, used in grams.items():
            if used > 0:
                lines.append(MaterialLine(f"{name}, {form}", used, "g", None, ""))
        for way in dict.fromkeys(z.way for _, step in uses for z in step.zones):
            what = {"wheel": "wheel", "hand": "cloth"}.get(way, "pad")
            lines.append(MaterialLine(f"{what} for {name}, {way}", 1.0, what, None, "for this compound only"))
    return lines


def compound_grams(panel: PanelPlan, step: StepPlan, compound: Step) -> tuple[float, float]:
    """Return grams of bar and of liquid that one step uses on one panel."""
    areas = {zone.name: zone.area_m2 for zone in panel.zones}
    bar = sum(areas[z.zone] for z in step.zones if z.way == "wheel") * compound.compound_g_per_m2_bar
    liquid = sum(areas[z.zone] for z in step.zones if z.way != "wheel") * compound.compound_g_per_m2_liquid
    return bar, liquid


def least_batch_g(readability_g: float, catalyst_percent: float, error: float = 0.1) -> float:
    """Return the least resin batch [g] whose catalyst the scale weighs to ``error`` (share).

    readability/(error x catalyst share). Valid for positive arguments.

    >>> least_batch_g(0.01, 2.0)
    5.0
    """
    return readability_g / (error * catalyst_percent / 100.0)


def resin_grams(plan: Plan, profile: Profile, catalyst_percent: float | None) -> float | None:
    """Return the resin to mix [g], or None where no fill's volume is known.

    Volume x density x waste factor, and never under the batch whose catalyst the scale can weigh.
    """
    volumes = [d.fill_volume_cm3 for p in plan.panels for z in p.zones for d in z.defects if d.repair == "fill"]
    known = [v for v in volumes if v is not None]
    if not known:
        return None
    policy, scale = profile.policy, profile.file.scale_readability_g
    grams = sum(known) * policy.resin_density * policy.resin_waste_factor
    if scale is None or catalyst_percent is None:
        return grams
    return max(grams, least_batch_g(scale, catalyst_percent, policy.catalyst_weighing_error))


def fill_lines(plan: Plan, profile: Profile, catalyst_percent: float | None) -> list[MaterialLine]:
    """Return resin and catalyst, both by mass; a size that is not known is said, not guessed."""
    fills = [d for p in plan.panels for z in p.zones for d in z.defects if d.repair == "fill"]
    if not fills:
        return []
    grams = resin_grams(plan, profile, catalyst_percent)
    unknown = sum(d.count for d in fills if d.fill_volume_cm3 is None)
    if grams is None:
        return [MaterialLine("fill resin", None, "g", None, NO_SIZE)]
    note = "mixed in small batches; shrinks 5 to 8 % by volume, some to 13"
    if unknown:
        note += f"; without {unknown} of unknown size: {GIVE_SIZE}"
    if profile.file.scale_readability_g is None:
        note += "; least batch not worked out: the shop's scale is not known"
    lines = [MaterialLine("fill resin", grams, "g", None, note)]
    if catalyst_percent is not None:
        lines.append(MaterialLine("catalyst", grams * catalyst_percent / 100.0, "g", None,
                                  "by mass, as the supplier's sheet says, never by drops"))
    return lines


def cure_hours(hours_at_reference: float, temperature_c: float, policy: Policy) -> float:
    """Return a cure time [h] at another temperature: twice as long every ``cure_doubling_c`` colder.

    Warmer than the reference shortens nothing. No fill is poured under ``cure_min_c``: the caller says so.

    >>> cure_hours(24.0, 10.0, Policy())
    48.0
    """
    colder = max(0.0, policy.cure_reference_c - temperature_c)
    return float(hours_at_reference * 2.0 ** (colder / policy.cure_doubling_c))
