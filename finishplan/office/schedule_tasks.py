"""From a job and its plan to the tasks of its days: what waits for what, who does it, which clocks run.

Fills first with their two cure clocks, all sanding before the first compound with a wash-down between, a
night before the final look; hardware off before and on after. Jobs stand at benches of their own: that
the sanding of one is no dust on another's buffing is for the shop to see to.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from finishplan.errors import BadValue
from finishplan.office.hardware import hardware_work
from finishplan.office.labour import LabourLine, labour, leading_role, whole_minutes
from finishplan.office.schedule_model import ANYONE, After, Task
from finishplan.office.terms import OfficeFigures
from finishplan.planning.materials import cure_hours
from finishplan.planning.result import PanelPlan, Plan, StepPlan
from finishplan.safety.tables import workplace
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job

PHASES = {
    "intake": "intake",
    "prepare": "clean, identify, survey, hardware off",
    "fill": "fills",
    "sand": "sanding",
    "wash": "wash-down",
    "buff": "buffing",
    "look": "cold look and residue",
    "refit": "refitting",
    "hand over": "inspection, office, hand-over",
    "visit": "visit at the customer's",
}
"""Phases of a job's days, in order: the bars of the chart."""
FIGURES_OF_WAY = {
    "machine": ("random-orbit sander", "vibration, typical"),
    "random orbit": ("random-orbit sander", "vibration, typical"),
    "rotary": ("rotary polisher", "vibration"),
}
"""Where a way's vibration stands in the workplace table; a tool of the shop with its own figure beats it.
By hand there is none; at a fixed wheel the hand holds the part, for which no figure was found: not counted."""
SURVEY_TASKS = ("intake and photos", "photos", "clean and de-wax", "identify finish", "survey", "reading", "test spot")
ROOM_C = 20.0


@dataclass(frozen=True)
class JobOrder:
    """One job to be put into the days of the shop."""

    key: str
    job: Job
    plan: Plan
    arrives: date
    due: date | None = None
    surveyed: bool = False
    """Whether intake, cleaning, identification, survey and test spot are behind us."""
    plastic_keytops: bool = False


def vibration_m_s2(profile: Profile, way: str, is_sheet: bool) -> float:
    """Return the vibration [m/s2] of a way of working: the shop's own figure, else the table's, else 0."""
    own = profile.tool(way, "sheet" if is_sheet else "compound").a_m_s2
    if own is not None:
        return own
    if way not in FIGURES_OF_WAY:
        return 0.0
    value = workplace(*FIGURES_OF_WAY[way]).likely.value
    return float(value)


def step_dose(profile: Profile, step: StepPlan) -> float:
    """Return the vibration dose of a step on a panel: sum of a^2 x minutes."""
    return math.fsum(zone.minutes * vibration_m_s2(profile, zone.way, step.is_sheet) ** 2 for zone in step.zones)


@dataclass(frozen=True)
class Draft:
    """A task before its minutes are whole."""

    task: Task
    minutes: float


@dataclass
class Builder:
    """Collects the tasks of one job."""

    order: JobOrder
    profile: Profile
    figures: OfficeFigures
    arrival_min: int
    helpers: int
    """How many people the shop can put to one task at most."""
    drafts: list[Draft] = field(default_factory=list)
    brought_in: list[str] = field(default_factory=list)

    @property
    def plan(self) -> Plan:
        """The plan of the job."""
        return self.order.plan

    def add(self, what: str, minutes: float, role: str, phase: str, after: Iterable[After] = (),
            people: int = 1, dose: float = 0.0, tool: str = "") -> str:
        """Add a task and return its id; ``minutes`` by the clock."""
        if people > self.helpers:
            self.brought_in.append(what)
        needs = (role, *(ANYONE for _ in range(min(people, self.helpers) - 1)))
        name = f"{self.order.key}/{len(self.drafts) + 1}"
        self.drafts.append(Draft(Task(
            id=name, job=self.order.key, what=what, minutes=0, needs=needs, after=tuple(after),
            not_before=self.arrival_min, dose=dose, tool=tool, in_one_day=people > 1, phase=phase), minutes))
        return name

    def tasks(self) -> tuple[Task, ...]:
        """Return the tasks in whole minutes that add up."""
        whole = whole_minutes([draft.minutes for draft in self.drafts])
        return tuple(replace(draft.task, minutes=m) for draft, m in zip(self.drafts, whole, strict=True))


def waits(*groups: Iterable[str], hours: float = 0.0, overnight: bool = False) -> list[After]:
    """Return one wait for each task named."""
    return [After(name, hours, overnight) for group in groups for name in group]


def job_tasks(
    order: JobOrder, profile: Profile, figures: OfficeFigures, arrival_min: int, helpers: int
) -> tuple[tuple[Task, ...], tuple[str, ...]]:
    """Return the tasks of one job in the shop, and what needs hands from outside.

    Raises BadValue where resin would be poured under the least temperature.
    """
    check_cure(order, profile)
    build = Builder(order, profile, figures, arrival_min, helpers)
    lines = {line.what: line for line in labour(order.job, order.plan, figures, order.plastic_keytops)}
    surveyed = survey_tasks(build, lines)
    off = off_tasks(build, surveyed)
    ready = off + masking_task(build, lines, off)
    shone = shine_tasks(build, off)
    panels_done = bench_tasks(build, lines, ready, off)
    end_tasks(build, lines, surveyed, panels_done or ready, shone)
    return build.tasks(), tuple(dict.fromkeys(build.brought_in))


def check_cure(order: JobOrder, profile: Profile) -> None:
    """Refuse to pour resin in a room that is too cold."""
    cold = room_c(order.job)
    if "fill" in order.plan.kits and cold < profile.policy.cure_min_c:
        raise BadValue(
            "temperature_c", cold,
            f"no fill is poured under {profile.policy.cure_min_c:g} C; warm the room, or leave the fills out",
            f"job {order.job.title!r}, site",
        )


def room_c(job: Job) -> float:
    """Return the room's temperature; 20 C where none is given (assumed)."""
    return ROOM_C if job.site.temperature_c is None else job.site.temperature_c


def survey_tasks(build: Builder, lines: dict[str, LabourLine]) -> list[str]:
    """Add intake to test spot, with the rest after intake; return what the work waits for."""
    if build.order.surveyed:
        return []
    intake = [build.add("intake and photos", lines["intake and photos"].minutes + lines["photos"].minutes,
                        lines["intake and photos"].role, "intake")]
    rested = waits(intake, hours=build.figures.rest_h)
    clean = [allowance(build, lines, "clean and de-wax", "prepare", rested)]
    found = [allowance(build, lines, name, "prepare", waits(clean))
             for name in ("identify finish", "survey", "reading") if name in lines]
    if "test spot" not in lines:
        return found
    return [allowance(build, lines, "test spot", "prepare", waits(found))]


def allowance(build: Builder, lines: dict[str, LabourLine], name: str, phase: str, after: Sequence[After]) -> str:
    """Add one allowance as a task."""
    return build.add(name, lines[name].minutes, lines[name].role, phase, after)


def off_tasks(build: Builder, surveyed: list[str]) -> list[str]:
    """Add hardware off, covered and turned; covering waits for what is off."""
    work = hardware_work(build.order.job, build.figures, build.order.plastic_keytops)
    off = [build.add(w.what, w.person_minutes / w.people, "finisher", "prepare", waits(surveyed), w.people)
           for w in work if w.does == "off"]
    more = [build.add(w.what, w.person_minutes / w.people, "finisher", "prepare", waits(off or surveyed), w.people)
            for w in work if w.does in ("cover", "turn")]
    return off + more or list(surveyed)


def masking_task(build: Builder, lines: dict[str, LabourLine], off: list[str]) -> list[str]:
    """Add masking, where there is any."""
    return [allowance(build, lines, "masking", "prepare", waits(off))] if "masking" in lines else []


def shine_tasks(build: Builder, off: list[str]) -> list[str]:
    """Add polishing at the wheel and cleaning of hardware, any time between off and on."""
    work = hardware_work(build.order.job, build.figures, build.order.plastic_keytops)
    return [build.add(w.what, w.person_minutes / w.people, "finisher", "prepare", waits(off), w.people,
                      tool="wheel" if w.wheel else "")
            for w in work if w.does in ("polish", "keytops", "clean", "wash")]


def bench_tasks(build: Builder, lines: dict[str, LabourLine], ready: list[str], off: list[str]) -> list[str]:
    """Add fills, spots, sanding, wash-down and compounds; return what the final look waits for."""
    plan, lead = build.plan, leading_role(build.plan)
    local, first = local_tasks(build, ready, off, lead)
    sheets = [name for name in plan.set_up_steps if build.profile.step(name).is_sheet]
    dust = step_tasks(build, sheets, "sand", ready, local, first, lead)
    dusty = [name for names in local.values() for name in names] + dust
    signed = sign_task(build, lines, "sand")
    before = dusty + signed or ready
    if "wash-down between dust and buffing" in lines:
        before = [allowance(build, lines, "wash-down between dust and buffing", "wash", waits(before))]
    compounds = [name for name in plan.set_up_steps if name not in sheets]
    buffed = step_tasks(build, compounds, "buff", before, local, first, lead)
    if not buffed:
        return before if dusty else []
    return buffed + sign_task(build, lines, "buff")


def local_tasks(
    build: Builder, ready: list[str], off: list[str], lead: str
) -> tuple[dict[str, list[str]], dict[str, list[After]]]:
    """Add spots and fills; return by panel the local sanding, and what the panel's own steps wait for."""
    plan, policy = build.plan, build.profile.policy
    temperature = room_c(build.order.job)
    kits = {}
    if "fill" in plan.kits:
        kits["fill"] = build.add("set up for fills", policy.fill_kit_min, lead, "fill", waits(off))
    if "spot" in plan.kits:
        kits["spot"] = build.add("set up for spots", policy.spot_kit_min, lead, "sand", waits(ready))
    local: dict[str, list[str]] = {}
    first: dict[str, list[After]] = {}
    for panel in plan.panels:
        names: list[str] = []
        fills, spots = repair_minutes(panel, "fill"), repair_minutes(panel, "spot")
        if fills > 0:
            share = build.figures.pour_share
            pour = build.add(f"{panel.name}: fills poured", fills * share, panel.worker, "fill", waits([kits["fill"]]))
            cut = cure_hours(policy.cure_cut_h, temperature, policy)
            finish = cure_hours(policy.cure_finish_h, temperature, policy)
            rest = fills * (1.0 - share) / 2.0
            rough = build.add(f"{panel.name}: fills cut", rest, panel.worker, "sand", waits([pour], hours=cut))
            names += [rough, build.add(f"{panel.name}: fills levelled", rest, panel.worker, "sand",
                                       [*waits([rough]), *waits([pour], hours=finish)])]
        if spots > 0:
            names.append(build.add(f"{panel.name}: spots", spots, panel.worker, "sand", waits([kits["spot"]])))
        if names:
            local[panel.name] = names
        first[panel.name] = waits(names)
    return local, first


def repair_minutes(panel: PanelPlan, repair: str) -> float:
    """Return the minutes of one kind of repair on a panel."""
    return math.fsum(d.minutes for zone in panel.zones for d in zone.defects if d.repair == repair)


def step_tasks(
    build: Builder, names: Sequence[str], phase: str, before: list[str], local: dict[str, list[str]],
    first: dict[str, list[After]], lead: str,
) -> list[str]:
    """Add steps grade by grade: set up once, then every panel that takes it; return the last tasks of each.

    The next grade is set up when every panel is through with this one: a step is set up once a job.
    """
    done: list[str] = []
    before = list(before)
    for name in names:
        step_of = [(panel, step) for panel in build.plan.panels for step in panel.steps if step.step == name]
        change = build.add(f"set up {name}", build.profile.step(name).change_min, lead, phase, waits(before))
        before = [
            build.add(f"{panel.name}: {name}", step.minutes + step.look_minutes, panel.worker, phase,
                      waits([change]) + first[panel.name], dose=step_dose(build.profile, step),
                      tool="wheel" if any(zone.way == "wheel" for zone in step.zones) else "")
            for panel, step in step_of
        ]
        done += before
    return done


def sign_task(build: Builder, lines: dict[str, LabourLine], phase: str) -> list[str]:
    """Add the finisher's supervision of one phase: it is signed before the next begins."""
    supervision = lines.get("supervision")
    if supervision is None:
        return []
    bench = {p: math.fsum(d.minutes for d in build.drafts if d.task.phase == p and d.task.needs[0] == "trainee")
             for p in ("sand", "buff")}
    whole = math.fsum(trainee_minutes(panel) for panel in build.plan.panels)
    mine = [d.task.id for d in build.drafts if d.task.phase == phase and d.task.needs[0] == "trainee"]
    if not mine or whole <= 0:
        return []
    share = bench[phase] / supervised_minutes(lines)
    return [build.add(f"looked over and signed, {PHASES[phase]}", supervision.minutes * share, "finisher", phase,
                      waits(mine))]


def trainee_minutes(panel: PanelPlan) -> float:
    """Return the minutes of a panel that a trainee works."""
    return panel.minutes if panel.worker == "trainee" else 0.0


def supervised_minutes(lines: dict[str, LabourLine]) -> float:
    """Return all minutes of a trainee in a labour table."""
    return math.fsum(line.by_role().get("trainee", 0.0) for line in lines.values())


def end_tasks(
    build: Builder, lines: dict[str, LabourLine], surveyed: list[str], panels_done: list[str], shone: list[str]
) -> None:
    """Add tidying, the cold look after a night, residue, refitting, inspection, office and hand-over."""
    cold: list[str] = []
    if "next-day cold check" in lines:
        cold = [allowance(build, lines, "next-day cold check", "look", waits(panels_done, overnight=True))]
    residue = [allowance(build, lines, "residue out of seams", "look", waits(cold or panels_done))]
    tidy = [allowance(build, lines, "tidy", "look", waits(panels_done))]
    work = hardware_work(build.order.job, build.figures, build.order.plastic_keytops)
    refit = [build.add(w.what, w.person_minutes / w.people, "finisher", "refit", waits(residue, shone), w.people)
             for w in work if w.does == "refit"]
    office = [allowance(build, lines, "office", "hand over", waits(surveyed))]
    rest = rest_of_supervision(build, lines, surveyed)
    final = [allowance(build, lines, "final inspection", "hand over",
                       waits(residue, tidy, refit, [] if refit else shone, rest))]
    allowance(build, lines, "hand-over", "hand over", waits(final, office))


def rest_of_supervision(build: Builder, lines: dict[str, LabourLine], surveyed: list[str]) -> list[str]:
    """Add what is left of the supervision, for a trainee's other work."""
    if "supervision" not in lines:
        return []
    given = math.fsum(d.minutes for d in build.drafts if d.task.what.startswith("looked over and signed"))
    left = lines["supervision"].minutes - given
    return [build.add("supervision", left, "finisher", "look", waits(surveyed))] if left > 0.5 else []
