"""Plans made by hand for drawing: our own invention, not worked out by the planner."""

from __future__ import annotations

from finishplan.planning.result import DefectPlan, PanelPlan, Parts, Plan, StepPlan, StepZone, ZonePlan
from finishplan.survey.job import Panel

TAKES = {"P800": 20.0, "P1500": 8.72, "cutting compound": 5.04, "polishing compound": 1.4,
         "finishing compound": 0.5}


def defect(kind: str = "scratch", depth: float | None = 20.0, *, origin: str = "guessed from kind",
           count: int = 1, repair: str = "sand", index: int = 0) -> DefectPlan:
    return DefectPlan(index, kind, count, depth, origin, repair, "goes with the sheets", 0.0, False)


def zone(name: str = "field", *, mean: float = 400.0, low: float = 276.0, keep: float = 80.0,
         removal: float = 0.0, defects: tuple[DefectPlan, ...] = (), verdict: str = "go",
         kind: str = "field", readings: int = 3, film_from: str = "readings") -> ZonePlan:
    return ZonePlan(
        name=name, kind=kind, area_m2=1.0, verdict=verdict, last_service=False, reasons=(), readings=readings,
        film_from=film_from, film_mean_um=mean, film_low_um=low, film_perfect_um=mean, bias_um=10.0,
        keep_um=keep, spare_um=low - keep, overcut=0.15, starts_at=None, to_take_out_um=removal,
        removal_um=removal, film_left_um=low - 1.15 * removal, untouched=False, suspect_readings=(),
        would_fit=(), defects=defects, least_start_um=keep + 1.15 * removal + 10.0,
    )


def panel(*zones: ZonePlan, name: str = "main lid, top face",
          takes: dict[str, float] | None = None) -> PanelPlan:
    """A panel whose every zone takes the same steps."""
    takes = {} if takes is None else takes
    steps = tuple(
        StepPlan(step, step.startswith("P"), True, 10.0, 3.0,
                 tuple(StepZone(z.name, um, 100.0, "machine", 10.0) for z in zones), 1.0, um)
        for step, um in takes.items()
    )
    return PanelPlan(
        name=name, part=None, face="flat", position="horizontal", off=True, worker="finisher",
        sheets_by="machine", compounds_by="rotary", finish="gloss", sequence=tuple(takes), look_minutes=15.0,
        work_minutes=180.0, repair_minutes=5.0, steps=steps, zones=zones, limited_by="field, reading 2",
    )


def plan(*panels: PanelPlan) -> Plan:
    return Plan(
        title="Made by hand", favour="balanced", first_cut="levels", build="pigmented through",
        identified=True, film_weight=1.0, parts=Parts(27.0, 0.0, 15.0, 180.0, 5.0, 0.0, 0.0, 36.0),
        set_up_steps=tuple(TAKES), kits=(), panels=panels, notes=(),
    )


def lid() -> PanelPlan:
    """A lid with a bit of everything."""
    total = sum(TAKES.values())
    return panel(
        zone("field", removal=total, defects=(
            defect("scratch", 42.1, count=3), defect("dull_area", 5.0, index=1),
            defect("swirls", 1.5, index=2), defect("nick", 231.0, repair="fill", index=3),
            defect("scratch", 20.0, origin="measured", index=4),
            defect("crack", None, origin="none", index=5))),
        zone("front edge", kind="edge", mean=260.0, low=171.0, keep=60.0, removal=total, readings=1,
             verdict="measure first", defects=(defect("edge_chip", 612.0, repair="fill"),)),
        zone("back edge", kind="edge", mean=210.0, low=92.0, keep=80.0, readings=0, film_from="default",
             verdict="not enough film"),
        takes=TAKES,
    )


def surveyed_lid(**changes: object) -> Panel:
    """A lid as surveyed, with places for readings and defects."""
    raw: dict[str, object] = {
        "name": "main lid, top face", "part": "main and front lid, one face",
        "size_m": {"width": 1.45, "height": 1.40},
        "zones": [
            {"name": "field", "area_m2": 1.9,
             "readings": [{"um": 412, "spot": k + 1, "at": {"x": 0.15 + 0.2 * k, "y": 0.2 + 0.05 * k}}
                          for k in range(4)] + [{"um": 398}],
             "defects": [
                 {"kind": "scratch", "count": 3, "length_mm": 140, "at": {"x": 0.31, "y": 0.62}},
                 {"kind": "dull_area", "area_m2": 0.4, "at": {"x": 0.3, "y": 0.45}},
                 {"kind": "nick", "at": {"x": 0.8, "y": 0.1}}, {"kind": "swirls"}]},
            {"name": "front edge", "kind": "edge", "area_m2": 0.06, "defects": []}],
    }
    return Panel.model_validate({**raw, **changes})
