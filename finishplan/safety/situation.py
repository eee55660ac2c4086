"""What a job does that can hurt someone: the facts that cautions and sums look at."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property

from finishplan import reference
from finishplan.planning.materials import resin_grams
from finishplan.planning.result import DefectPlan, Plan
from finishplan.safety.lead import laboratory_found_none, result_on_file
from finishplan.safety.used import Used, Wipe, Wiping, drawn_together
from finishplan.safety.vapour import FLASH_MARGIN_C
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job

POWERED_WAYS = ("machine", "wheel", "rotary", "random orbit")
LID = re.compile(r"\blids?\b")
NO_LID = re.compile(r"\blid (prop|stay)s?\b")
"""Parts that are named after the lid and are none."""
KEY_PARTS = ("fallboard", "key slip", "key block")
KEY_TASKS = ("fallboard off", "key slip and blocks off", "action out and cradled", "buff a set of plastic keytops")
LEGS = re.compile(r"\b(legs?|lyre|casters?)\b")
LEAD_YEAR = 1990
"""Instruments before this year, or of none known, are not taken to be free of lead (assumed)."""
WOOD_DAMAGE = {"sand_through", "dent", "chip", "edge_chip", "corner_missing", "impact_star"}
"""Kinds of damage whose repair may be cut back to the wood."""
CUT = ("sand", "spot", "fill")
OILY = re.compile(r"\b(oil|oils|stain|stains|linseed|tung|danish)\b")
"""Words of products that dry by taking up air, and heat on a rag."""
OTHER_RESINS = {
    "cyanoacrylate": r"cyanoacrylate|super ?glue|\bca\b",
    "uv": r"\buv\b|uv-|light[- ]cur",
    "epoxy": r"epoxy",
    "melted stick": r"\bwax|shellac|burn-?in|hot[- ]melt|lacquer stick",
}
"""Fills that are no polyester with a peroxide, by words; any other resin is taken for polyester."""
NO = ("", "no", "none", "not any", "false", "0")
ROOM_C = 20.0
"""Room temperature where none is given (assumed)."""


@dataclass(frozen=True)
class Situation:
    """A job, its plan and its shop, seen for what can hurt."""

    job: Job
    plan: Plan
    profile: Profile

    @cached_property
    def minutes_by_way(self) -> dict[tuple[str, str], float]:
        """Work minutes by (way, step kind); hardware polished at a wheel counts to it."""
        found: dict[tuple[str, str], float] = {}
        for panel in self.plan.panels:
            for step in panel.steps:
                kind = "sheet" if step.is_sheet else "compound"
                for zone in step.zones:
                    found[(zone.way, kind)] = found.get((zone.way, kind), 0.0) + zone.minutes
        if self.hardware_at_wheel:
            at = ("wheel", "compound")
            found[at] = found.get(at, 0.0) + self.hardware_wheel_minutes
        return found

    @cached_property
    def hardware_at_wheel(self) -> tuple[str, ...]:
        """Hardware that goes to the wheel: solid brass, and keytops."""
        return tuple(
            t.task for t in self.job.hardware
            if (t.task.startswith("polish") and t.brass == "solid") or "keytops" in t.task
        )

    @property
    def hardware_wheel_minutes(self) -> float:
        """Minutes at the wheel with hardware, as the table of hardware tasks has them."""
        table = {row["task"]: reference.number(row, "person_minutes") or 0.0
                 for row in reference.rows("hardware_minutes")}
        return sum(table.get(t.task, 0.0) * t.count for t in self.job.hardware if t.task in self.hardware_at_wheel)

    @property
    def local_repairs(self) -> tuple[DefectPlan, ...]:
        """Spots and fills."""
        return tuple(d for p in self.plan.panels for z in p.zones for d in z.defects if d.repair in ("spot", "fill"))

    @cached_property
    def sheets(self) -> tuple[tuple[str, bool], ...]:
        """Sheet steps used, each with whether it is wet; local ladders count."""
        names = [s.step for p in self.plan.panels for s in p.steps if s.is_sheet]
        names += [name for d in self.local_repairs for name in d.local_steps]
        return tuple((name, self.profile.step(name).wet) for name in dict.fromkeys(names))

    @property
    def wet(self) -> bool:
        """Whether any sheet is used wet."""
        return any(wet for _, wet in self.sheets)

    @property
    def dry(self) -> bool:
        """Whether any sheet is used dry."""
        return any(not wet for _, wet in self.sheets)

    @property
    def wet_minutes(self) -> float:
        """Minutes of wet sanding; a spot or fill with a wet sheet counts whole."""
        steps = sum(s.minutes for p in self.plan.panels for s in p.steps if s.is_sheet and s.wet)
        wet = {name for name, is_wet in self.sheets if is_wet}
        return steps + sum(d.minutes for d in self.local_repairs if wet & set(d.local_steps))

    @property
    def dry_cm3(self) -> float:
        """Film taken by dry sheets [cm3]; a spot with one dry sheet counts whole."""
        steps = sum(s.volume_cm3 for p in self.plan.panels for s in p.steps if s.is_sheet and not s.wet)
        dry = {name for name, is_wet in self.sheets if not is_wet}
        return steps + sum(d.local_volume_cm3 for d in self.local_repairs if dry & set(d.local_steps))

    @property
    def hand_minutes(self) -> float:
        """Minutes of work by hand: sheets and compounds by hand or block, spots and fills."""
        by_hand = sum(m for (way, _), m in self.minutes_by_way.items() if way in ("hand", "hand block"))
        return by_hand + sum(d.minutes for d in self.local_repairs)

    @property
    def compound_ways(self) -> set[str]:
        """Ways by which compounds are used."""
        return {way for way, kind in self.minutes_by_way if kind == "compound"}

    @property
    def ways(self) -> set[str]:
        """All ways of working used."""
        return {way for way, _ in self.minutes_by_way}

    @property
    def powered(self) -> bool:
        """Whether any powered tool is used."""
        return bool(self.ways & set(POWERED_WAYS))

    @property
    def mains(self) -> bool:
        """Whether a tool used here runs on mains; a tool of unknown power counts."""
        return any(
            way in POWERED_WAYS and self.profile.tool(way, kind).power in ("mains", "")
            for way, kind in self.minutes_by_way
        )

    @property
    def hardware_tasks(self) -> tuple[str, ...]:
        """Names of the hardware tasks."""
        return tuple(task.task for task in self.job.hardware)

    @property
    def wheel(self) -> bool:
        """Whether anything goes to a wheel."""
        return "wheel" in self.compound_ways

    @property
    def fills(self) -> bool:
        """Whether anything is filled."""
        return "fill" in self.plan.kits

    def resin_is(self, kind: str) -> bool:
        """Tell whether the job fills with a resin of OTHER_RESINS."""
        return self.fills and bool(re.search(OTHER_RESINS[kind], self.job.fill.resin.lower()))

    @property
    def polyester_fill(self) -> bool:
        """Whether polyester resin is used; a resin not known to be another counts as polyester."""
        named = "polyester" in self.job.fill.resin.lower()
        return self.fills and (named or not any(self.resin_is(kind) for kind in OTHER_RESINS))

    @property
    def peroxide_fill(self) -> bool:
        """Whether a peroxide catalyst is opened: polyester that light does not cure."""
        return self.polyester_fill and not self.resin_is("uv")

    @property
    def catalysed_fill(self) -> bool:
        """Whether resin is mixed with something that makes it heat."""
        return self.peroxide_fill or self.resin_is("epoxy")

    @property
    def resin_g(self) -> float | None:
        """Grams of resin mixed, None where no size is known."""
        return resin_grams(self.plan, self.profile, self.job.fill.catalyst_percent) if self.fills else None

    @property
    def fills_without_size(self) -> int:
        """Fills whose volume is not known."""
        return sum(d.count for d in self.local_repairs if d.repair == "fill" and d.fill_volume_cm3 is None)

    @property
    def wipe_minutes(self) -> float:
        """Minutes a wipe is taken to dry in: the longest look and wipe of the plan, at least the policy's."""
        looks = [s.look_minutes for p in self.plan.panels for s in p.steps]
        return max([self.profile.policy.least_dry_min, *looks])

    @cached_property
    def wipes(self) -> tuple[Wipe, ...]:
        """The wipes of the plan: every worked panel before its first step, and after each compound.

        A panel with spots or fills alone is wiped once; where nothing is worked, every panel is.
        """
        least, found = self.profile.policy.least_dry_min, []
        for panel in self.plan.panels:
            after = [step for step in panel.steps if not step.is_sheet]
            found += [Wipe(step.area_m2, max(least, step.look_minutes)) for step in (*panel.steps[:1], *after)]
            if not panel.steps and panel.repair_minutes > 0.0:
                found.append(Wipe(sum(zone.area_m2 for zone in panel.zones), least))
        return tuple(found) or tuple(
            Wipe(sum(zone.area_m2 for zone in panel.zones), least) for panel in self.plan.panels)

    @cached_property
    def solvents(self) -> tuple[Used, ...]:
        """The job's solvents, each substance once."""
        wiping = Wiping(self.wipes, self.profile.policy.wipe_ml_per_m2, self.wipe_minutes)
        return drawn_together(self.job.solvents, wiping)

    @property
    def solvent_ml(self) -> float:
        """All solvents together [ml]."""
        return sum(used.ml for used in self.solvents)

    @property
    def most_ml(self) -> float:
        """The solvent there is most of [ml]."""
        return max((used.ml for used in self.solvents), default=0.0)

    def uses(self, *names: str) -> bool:
        """Tell whether any of the substances is among the solvents."""
        return any(used.name in names for used in self.solvents)

    @property
    def oily(self) -> bool:
        """Whether a product with drying oil or stain is named among the solvents."""
        return any(OILY.search(used.name.lower()) for used in self.solvents)

    @property
    def room_c(self) -> float:
        """Room temperature; 20 C where none is given (assumed)."""
        given = self.job.site.temperature_c
        return ROOM_C if given is None else given

    @property
    def flammable(self) -> tuple[Used, ...]:
        """The solvents whose flash point lies under room + 10 C; an unknown flash point counts."""
        return tuple(
            used for used in self.solvents
            if used.record is None or used.record.flash_point_c is None
            or used.record.flash_point_c < self.room_c + FLASH_MARGIN_C
        )

    def has(self, equipment: str) -> bool:
        """Tell whether the shop names a piece of equipment; "no" and "none" are none."""
        named = self.profile.file.equipment.get(equipment)
        return bool(named) and (not isinstance(named, str) or named.strip().lower() not in NO)

    @property
    def lid_off(self) -> bool:
        """Whether a lid comes off or is worked off the instrument."""
        named = any("lid off" in t or "lid turned" in t for t in self.hardware_tasks)
        return named or any(self.is_lid(p.part or p.name) and p.off for p in self.job.panels)

    @property
    def lid_worked(self) -> bool:
        """Whether a lid that stays on is worked, or its hinge loosened."""
        hinge = any("hinge off" in t for t in self.hardware_tasks)
        on = any(self.is_lid(j.part or j.name) and not j.off and (p.sequence or p.repair_minutes > 0.0)
                 for j, p in zip(self.job.panels, self.plan.panels, strict=True))
        return hinge or on

    @staticmethod
    def is_lid(name: str) -> bool:
        """Tell whether a part is a lid, by its name."""
        return bool(LID.search(name.lower())) and not NO_LID.search(name.lower())

    @property
    def opens_keys(self) -> bool:
        """Whether keys or action are laid open."""
        parts = any(p.off and any(k in (p.part or p.name).lower() for k in KEY_PARTS) for p in self.job.panels)
        return parts or any(t in KEY_TASKS for t in self.hardware_tasks)

    @property
    def legs_off(self) -> bool:
        """Whether legs, lyre or casters come off, or an upright is moved to our shop."""
        tasks = any(LEGS.search(t) for t in self.hardware_tasks)
        parts = any(p.off and LEGS.search((p.part or p.name).lower()) for p in self.job.panels)
        moved = "upright" in (self.job.instrument.kind or "").lower() and self.job.site.kind == "shop"
        return tasks or parts or moved

    @property
    def old_material(self) -> bool:
        """Whether the finish is old, of no known year or colour build, or coated over."""
        year = self.job.instrument.year
        colour = self.job.build in ("clear over colour", "unknown")
        return year is None or year < LEAD_YEAR or colour or self.job.instrument.overcoated is True

    @property
    def lead_in_mind(self) -> bool:
        """Whether lead is not ruled out: old material, or a test on file that is no laboratory's "none found"."""
        test = self.job.finish_id.lead_test
        return (self.old_material or result_on_file(test)) and not laboratory_found_none(test)

    @property
    def reaches_wood(self) -> bool:
        """Whether sanding may reach wood: damage cut back, or sheets on a film that nobody has read."""
        kinds = {d.kind for p in self.plan.panels for z in p.zones for d in z.defects if d.repair in CUT}
        sheeted = {(p.name, z.zone) for p in self.plan.panels for s in p.steps if s.is_sheet for z in s.zones}
        guessed = any((p.name, z.name) in sheeted and z.film_from != "readings"
                      for p in self.plan.panels for z in p.zones)
        return bool(kinds & WOOD_DAMAGE) or guessed

    @property
    def trainee(self) -> bool:
        """Whether a trainee works on any panel that is worked."""
        return any(p.worker == "trainee" and (p.sequence or p.repair_minutes > 0.0) for p in self.plan.panels)
