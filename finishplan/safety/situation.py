"""What a job does that can hurt someone: the facts that the cautions look at."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from finishplan.planning.materials import resin_grams
from finishplan.planning.result import Plan
from finishplan.safety.tables import Substance, find_substance
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job, Solvent

POWERED_WAYS = ("machine", "wheel", "rotary", "random orbit")
LID_WORDS = ("lid",)
KEY_PARTS = ("fallboard", "key slip", "key blocks")
KEY_TASKS = ("fallboard off", "key slip and blocks off", "action out and cradled", "buff a set of plastic keytops")
LEG_WORDS = ("leg", "lyre", "caster")
LEAD_YEAR = 1990
"""Instruments before this year, or of none known, are not taken to be free of lead (assumed)."""


@dataclass(frozen=True)
class Situation:
    """A job, its plan and its shop, seen for what can hurt."""

    job: Job
    plan: Plan
    profile: Profile

    @cached_property
    def minutes_by_way(self) -> dict[tuple[str, str], float]:
        """Work minutes by (way, step kind)."""
        found: dict[tuple[str, str], float] = {}
        for panel in self.plan.panels:
            for step in panel.steps:
                kind = "sheet" if step.is_sheet else "compound"
                for zone in step.zones:
                    found[(zone.way, kind)] = found.get((zone.way, kind), 0.0) + zone.minutes
        return found

    @cached_property
    def sheets(self) -> tuple[tuple[str, bool], ...]:
        """Sheet steps used, each with whether it is wet; local ladders count."""
        names = [s.step for p in self.plan.panels for s in p.steps if s.is_sheet]
        names += [n for p in self.plan.panels for z in p.zones for d in z.defects for n in d.local_steps]
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
    def compound_ways(self) -> set[str]:
        """Ways by which compounds are used."""
        return {way for way, kind in self.minutes_by_way if kind == "compound"}

    @property
    def ways(self) -> set[str]:
        """All ways of working used."""
        return {way for way, _ in self.minutes_by_way}

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
        polishing = any(t.task.startswith("polish") and t.brass == "solid" for t in self.job.hardware)
        return "wheel" in self.compound_ways or polishing or any("keytops" in t for t in self.hardware_tasks)

    @property
    def fills(self) -> bool:
        """Whether anything is filled."""
        return "fill" in self.plan.kits

    @property
    def resin(self) -> str:
        """The resin of the job's fills, in small letters."""
        return self.job.fill.resin.lower()

    @property
    def polyester_fill(self) -> bool:
        """Whether polyester resin, cured by peroxide, is used."""
        return self.fills and "polyester" in self.resin

    @property
    def resin_g(self) -> float | None:
        """Grams of resin mixed, None where no size is known."""
        return resin_grams(self.plan, self.profile, self.job.fill.catalyst_percent) if self.fills else None

    @cached_property
    def solvents(self) -> tuple[tuple[Solvent, Substance | None], ...]:
        """Solvents of the job, each with its record where there is one."""
        return tuple((s, find_substance(s.substance)) for s in self.job.solvents)

    @property
    def room_c(self) -> float:
        """Room temperature; 20 C where none is given (assumed)."""
        given = self.job.site.temperature_c
        return 20.0 if given is None else given

    def flammable(self, over_ml: float = 0.0) -> tuple[Solvent, ...]:
        """Return the solvents whose flash point lies under room + 10 C; an unknown flash point counts."""
        return tuple(
            solvent for solvent, record in self.solvents
            if solvent.ml > over_ml and (record is None or record.flash_point_c is None
                                         or record.flash_point_c < self.room_c + 10.0)
        )

    @property
    def lid_off(self) -> bool:
        """Whether a lid comes off or is worked off the instrument."""
        named = any("lid off" in t or "lid turned" in t for t in self.hardware_tasks)
        return named or any(self.is_lid(p.part or p.name) and p.off for p in self.job.panels)

    @property
    def lid_worked(self) -> bool:
        """Whether a lid that stays on is worked, or its hinge loosened."""
        hinge = any("hinge off" in t for t in self.hardware_tasks)
        on = any(self.is_lid(j.part or j.name) and not j.off and p.sequence
                 for j, p in zip(self.job.panels, self.plan.panels, strict=True))
        return hinge or on

    @staticmethod
    def is_lid(name: str) -> bool:
        """Tell whether a part is a lid, by its name."""
        return any(word in name.lower() for word in LID_WORDS)

    @property
    def opens_keys(self) -> bool:
        """Whether keys or action are laid open."""
        parts = any(p.off and any(k in (p.part or p.name).lower() for k in KEY_PARTS) for p in self.job.panels)
        return parts or any(t in KEY_TASKS for t in self.hardware_tasks)

    @property
    def legs_off(self) -> bool:
        """Whether legs, lyre or casters come off, or an upright is moved to our shop."""
        tasks = any(word in t for t in self.hardware_tasks for word in LEG_WORDS)
        parts = any(p.off and any(w in (p.part or p.name).lower() for w in LEG_WORDS) for p in self.job.panels)
        return tasks or parts or (self.job.instrument.kind or "").lower() == "upright"

    @property
    def old_or_unknown(self) -> bool:
        """Whether lead cannot be left out of mind: old, of no known year, or coated over, and not tested."""
        if self.job.finish_id.lead_test:
            return False
        year = self.job.instrument.year
        colour = self.job.build in ("clear over colour", "unknown")
        return year is None or year < LEAD_YEAR or colour or self.job.instrument.overcoated is True

    @property
    def reaches_wood(self) -> bool:
        """Whether sanding may reach wood: old sand-through, damage cut back, or film under a guess."""
        kinds = {d.kind for p in self.plan.panels for z in p.zones for d in z.defects if d.repair != "leave"}
        return bool(kinds & {"sand_through", "dent", "chip", "edge_chip", "corner_missing", "impact_star"})

    @property
    def trainee(self) -> bool:
        """Whether a trainee works on any panel that is worked."""
        return any(p.worker == "trainee" and p.sequence for p in self.plan.panels)
