"""Seeded random jobs, valid by the file contract, that reach every rule of the choice. All are invented.

Every third job has round numbers, so that limits are met exactly (a depth that is just what a grade takes).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

SHEETS = ("P180", "P220", "P240", "P320", "P400", "P500", "P600", "P800", "P1000", "P1200", "P1500", "P2000",
          "P2500")
SHIPPED_OFF = ("P180", "P220", "P240")
COMPOUNDS = ("cutting compound", "polishing compound", "finishing compound")
METHODS = ("ultrasonic", "step at mortise", "loupe at chip", "microscope section", "estimate")
VIEWS = ("overall", "detail", "hand", "lamp", "loupe")
DEPTHS_UM = {
    "swirls": (0.2, 3), "dull_area": (0.5, 8), "fine_scratch": (0.8, 9), "scratch": (5, 90), "etch": (1, 30),
    "orange_peel": (3, 35), "ripple": (3, 70), "sunken_fill": (15, 200), "nick": (30, 400),
    "chip": (100, 800), "dent": (40, 700), "tape_mark": (0.2, 3), "sanding_marks": (0.8, 12),
    "pinholes": (5, 80),
    "edge_chip": (100, 900), "impact_star": (20, 400), "heat_ripple": (5, 60), "grain_print": (3, 30),
    "joint_line": (10, 80), "overspray": (0.8, 20), "solvent_bite": (1, 40),
}
WITHOUT_DEPTH = (
    "crack", "sand_through", "fade", "polish_build_up", "compound_residue", "old_soft_repair",
    "corner_missing", "screw_swelling", "yellowing", "decal_wear")
COMMON = ("swirls", "dull_area", "fine_scratch", "fine_scratch", "scratch", "scratch", "scratch", "etch",
          "ripple", "sanding_marks", "nick")
Case = tuple[dict[str, Any], dict[str, Any]]


@dataclass
class Dice:
    """A generator with the throws used here."""

    rng: np.random.Generator
    round_numbers: bool = False

    def chance(self, share: float) -> bool:
        return bool(self.rng.random() < share)

    def between(self, low: float, high: float) -> float:
        return self.maybe_round(float(self.rng.uniform(low, high)))

    def log_between(self, low: float, high: float) -> float:
        return self.maybe_round(float(np.exp(self.rng.uniform(np.log(low), np.log(high)))))

    def maybe_round(self, value: float) -> float:
        return float(f"{value:.1g}" if value < 1 else f"{value:.2g}") if self.round_numbers else value

    def whole(self, low: int, high: int) -> int:
        return int(self.rng.integers(low, high + 1))

    def one(self, choices: Any) -> Any:
        return choices[int(self.rng.integers(len(choices)))]

    def some(self, choices: Any, count: int) -> list[Any]:
        return [choices[k] for k in sorted(self.rng.choice(len(choices), size=count, replace=False))]


def random_case(seed: int) -> Case:
    """A job of one to four panels and the shop it is planned in."""
    dice = Dice(np.random.default_rng([20, seed]), seed % 3 == 2)
    sheets = random_sheets(dice, SHEETS[dice.whole(0, 7):], least_share=0.6)
    shop = random_shop(dice, sheets)
    return random_job(dice, sheets, panels=dice.whole(1, 4), zones=3, entries=4), shop


def spotty_case(seed: int) -> Case:
    """A job of large faces, thick film and many short scratches, where spots compete for a zone's few places."""
    dice = Dice(np.random.default_rng([33, seed]), seed % 3 == 2)
    sheets = random_sheets(dice, SHEETS[dice.whole(3, 7):], least_share=0.6)
    shop = random_shop(dice, sheets)
    shop["policy"].update(spot_max_per_m2=dice.between(1, 6), spot_min=dice.between(1, 15),
                          feather_power_per_m=dice.between(0.05, 1), spot_kit_min=dice.between(0, 20))
    job = random_job(dice, sheets, panels=dice.whole(1, 2), zones=2, entries=1)
    for panel in job["panels"]:
        panel.pop("target", None)
        zone = panel["zones"][0]
        film = dice.between(260, 480)
        zone.update(kind="field", area_m2=dice.log_between(0.5, 3), defects=[
            {"kind": dice.one(("scratch", "fine_scratch", "etch")), "count": dice.whole(1, 3),
             "depth_um": dice.log_between(4, 45), "length_mm": dice.log_between(3, 60),
             "at": {"x": dice.between(0.002, 1), "y": dice.between(0.002, 1)}} for _ in range(dice.whole(2, 5))])
        zone["readings"] = [{"um": film * dice.between(0.9, 1.1), "method": "ultrasonic"} for _ in range(4)]
    job.pop("test_spot", None)
    return job, shop


def tiny_case(seed: int) -> Case:
    """A job small enough to list every plan: one panel of one or two zones, or two panels of one zone."""
    dice = Dice(np.random.default_rng([7, seed]), seed % 3 == 2)
    sheets = random_sheets(dice, SHEETS[dice.whole(4, 10):], least_share=0.4)[-5:]
    shop = random_shop(dice, sheets)
    panels, zones = dice.one(((1, 1), (1, 2), (1, 2), (2, 1)))
    return random_job(dice, sheets, panels=panels, zones=zones, entries=2), shop


def random_sheets(dice: Dice, span: tuple[str, ...], least_share: float) -> list[str]:
    """Some of a span of sheets: mostly enough to reach the compounds, now and then with a break in it."""
    share = dice.between(least_share, 1.1)
    # the last sheets before the compounds are seldom missing, else few jobs could sand at all
    picked = [name for name in span if dice.chance(share) or (name in SHEETS[-3:] and dice.chance(0.7))]
    return picked or [span[-1]]


def random_shop(dice: Dice, sheets: list[str]) -> dict[str, Any]:
    """A shop that has only some of the sheets in its plans, and often figures and a policy of its own."""
    steps: list[dict[str, Any]] = []
    policy = random_policy(dice, sheets)
    for name in (*SHEETS, *COMPOUNDS):
        change: dict[str, Any] = {"step": name}
        if name in sheets and name in SHIPPED_OFF:
            change["in_default_plan"] = True
        if name in SHEETS and name not in sheets and name not in SHIPPED_OFF:
            if dice.chance(0.5):
                change["in_default_plan"] = False
            else:
                policy["barred_steps"].append(name)
        if dice.chance(0.15):
            change["change_min"] = dice.between(0, 25)
        if dice.chance(0.1):
            change["removal_rate_cm3_per_min"] = dice.log_between(0.05, 2)
        if name in SHEETS and dice.chance(0.1):
            change["max_level_um"] = dice.log_between(3, 80)
        if len(change) > 1:
            steps.append(change)
    tools: list[dict[str, Any]] = []
    if dice.chance(0.2):
        tools.append({"way": dice.one(("hand", "hand block", "machine")), "for": "sheet",
                      "speed_factor": dice.between(0.2, 1.3)})
    if dice.chance(0.2):
        tools.append({"way": dice.one(("hand", "rotary", "random orbit", "wheel")), "for": "compound",
                      "speed_factor": dice.between(0.2, 1.3), "max_level_cutting_um": dice.between(1.5, 9),
                      "max_level_polishing_um": dice.between(0.6, 2.5)})
    elif dice.chance(0.2):
        tools.append({"way": dice.one(("rotary", "wheel")), "for": "compound",
                      "cutting_coarsest_before": dice.one(("P800", "P1000", "P1200", "P2000"))})
    shop: dict[str, Any] = {"format": "finishplan-shop", "version": 1, "steps": steps, "policy": policy}
    return {**shop, "tools": tools} if tools else shop


def random_policy(dice: Dice, sheets: list[str]) -> dict[str, Any]:
    """Mostly the shipped policy, with a few figures changed."""
    odds = 0.12
    policy: dict[str, Any] = {"barred_steps": []}
    for name, low, high in (
            ("clearing", 1.3, 2.6), ("max_step_ratio", 1.4, 2.6), ("overcut", 0.05, 0.4),
            ("edge_overcut_factor", 1.0, 2.0), ("confidence", 0.8, 0.94), ("coverage", 0.8, 0.94),
            ("prior_worth", 0.5, 9), ("prior_share", 0.03, 0.2), ("film_weight", 0.1, 6),
            ("soften_share", 0.3, 0.9), ("spot_max_share", 0.05, 0.4), ("spot_max_per_m2", 1, 9),
            ("spot_kit_min", 0, 60), ("fill_kit_min", 0, 80), ("spot_min", 1, 30), ("fill_min", 3, 40),
            ("first_cut_compound_um", 0.1, 0.55), ("feather_slope_mrad", 0.3, 2),
            ("feather_power_per_m", 0.02, 0.4), ("local_hand_factor", 0.2, 0.6), ("trainee_factor", 0.4, 0.9),
            ("position_upright_factor", 0.5, 1),
            ("depth_quantile", 0.6, 0.95), ("look_min", 0.2, 5), ("look_min_per_m2", 0.5, 6),
            ("default_film_um", 150, 500), ("edge_film_share", 0.3, 0.9), ("fill_opened_over_um", 20, 90)):
        if dice.chance(odds):
            policy[name] = dice.between(low, high)
    # cheap last resorts make the choice between them and the work a close one
    if dice.chance(0.2):
        policy["refer_price"] = dice.log_between(20, 3000)
    if dice.chance(0.3):
        policy["untouched_price"] = dice.log_between(5, 500)
    if dice.chance(0.3):
        policy["blend_steps"] = dice.one((1, 3, 4))
    if dice.chance(0.1):
        policy["spot_ladder"] = dice.some(SHEETS[6:], 2)
    if dice.chance(0.1):
        policy["fill_ladder"] = dice.some(SHEETS[4:], 3)
    if dice.chance(0.06):
        policy["barred_steps"].append(dice.one(COMPOUNDS[:2]))
    if dice.chance(0.06):
        policy["prior_worth"] = 0.0
    if dice.chance(0.1):
        places = ("field", "curve", "edge", "corner")
        policy["keep"] = {build: {place: dice.between(20, 140) for place in places}
                          for build in ("pigmented through", "clear or unknown")}
    return policy


def random_job(dice: Dice, sheets: list[str], panels: int, zones: int, entries: int) -> dict[str, Any]:
    """A valid job dict."""
    lean = dice.chance(0.3)
    crew = {"worker": "trainee" if not lean and dice.chance(0.25) else "finisher",
            "first_cut": "lean" if lean else "levels", "favour": dice.one(("quick", "balanced", "keep film"))}
    job: dict[str, Any] = {
        "format": "finishplan-job", "version": 1, "title": "random job (invented for testing)",
        "finish_id": {"result": "polyester"}, "crew": crew,
        "panels": [random_panel(dice, f"panel {number}", sheets, zones, entries, lean)
                   for number in range(panels)]}
    if dice.chance(0.8):
        job["build"] = dice.one(("pigmented through", "pigmented through", "pigmented through",
                                 "clear over colour", "clear over veneer", "unknown"))
    if dice.chance(0.5):
        job["seen_from"] = dice.one(VIEWS)
    guessed = [(panel["name"], zone["name"], index) for panel in job["panels"] for zone in panel["zones"]
               for index, defect in enumerate(zone["defects"])
               if defect["kind"] in DEPTHS_UM and not isinstance(defect.get("depth_um"), float)]
    if guessed and dice.chance(0.25):
        job["test_spot"] = random_test_spot(dice, *dice.one(guessed), sheets)
    return job


def random_test_spot(dice: Dice, panel: str, zone: str, defect: int, sheets: list[str]) -> dict[str, Any]:
    """A trial on one defect of unsure depth, gentlest step first, with or without readings."""
    steps = [{"step": name, "minutes": dice.log_between(0.03, 1.5), "cleared": False}
             for name in reversed(dice.some(sheets, min(len(sheets), dice.whole(1, 3))))]
    steps[-1]["cleared"] = dice.chance(0.7)
    spot: dict[str, Any] = {"panel": panel, "zone": zone, "defect": defect, "steps": steps}
    if dice.chance(0.5):
        spot["before"] = [dice.between(380, 400) for _ in range(3)]
        spot["after"] = [dice.between(340, 379) for _ in range(3)]
    return spot


def random_panel(dice: Dice, name: str, sheets: list[str], zones: int, entries: int,
                 lean: bool) -> dict[str, Any]:
    """One panel with its zones."""
    panel: dict[str, Any] = {"name": name}
    if dice.chance(0.5):
        panel["face"] = dice.one(("flat", "flat", "curved", "moulded"))
    if dice.chance(0.4):
        panel["position"] = dice.one(("horizontal", "upright"))
    panel["off"] = dice.chance(0.4)
    if dice.chance(0.3):
        panel["sheets_by"] = dice.one(("machine", "hand block", "hand"))
    if dice.chance(0.4):
        ways = ("rotary", "random orbit", "hand", "wheel")
        panel["compounds_by"] = dice.one(ways if panel["off"] else ways[:3])
    if dice.chance(0.5):
        panel["size_m"] = {"width": dice.between(0.3, 1.6), "height": dice.between(0.1, 1.4)}
    if dice.chance(0.15):
        panel["target"] = {"finish": "satin", "last_sheet": dice.one(sheets)}
    if dice.chance(0.3):
        panel["exposure"] = dice.one(("seen", "half seen", "hidden"))
    if dice.chance(0.3):
        panel["seen_from"] = dice.one(VIEWS)
    if not lean and dice.chance(0.2):
        panel["worker"] = dice.one(("finisher", "trainee"))
    panel["zones"] = [random_zone(dice, f"zone {number}", first=number == 0, sheets=sheets, entries=entries)
                      for number in range(dice.whole(1, zones))]
    return panel


def random_zone(dice: Dice, name: str, first: bool, sheets: list[str], entries: int) -> dict[str, Any]:
    """One zone: mostly a field first and edges after it."""
    kind = "field" if dice.chance(0.85 if first else 0.25) else dice.one(("edge", "corner", "curve"))
    area = dice.log_between(0.1, 2.0) if kind == "field" else dice.log_between(0.01, 0.2)
    zone: dict[str, Any] = {"name": name, "kind": kind, "area_m2": area}
    if dice.chance(0.4):
        zone["sheets_allowed"] = dice.chance(0.6)
    # thin film makes the limits bind; none read falls back on estimates
    film = dice.between(220, 480) if dice.chance(0.75) else dice.log_between(90, 250)
    if dice.chance(0.9):
        zone["readings"] = [{"um": film * dice.between(0.9, 1.1), "method": dice.one(METHODS)
                             if dice.chance(0.15) else "ultrasonic"} for _ in range(dice.whole(1, 8))]
    elif dice.chance(0.6):
        zone["film_estimate_um"] = film
    if dice.chance(0.15):
        zone["previous_step"] = dice.one((*sheets, *sheets, *SHEETS, *COMPOUNDS))
    zone["defects"] = [random_defect(dice) for _ in range(dice.whole(0, entries if kind == "field" else 2))]
    return zone


def random_defect(dice: Dice) -> dict[str, Any]:
    """One entry of damage."""
    kind = dice.one(COMMON if dice.chance(0.7) else tuple(DEPTHS_UM))
    if dice.chance(0.05):
        kind = dice.one(WITHOUT_DEPTH)
    if dice.chance(0.02):
        kind = dice.one(("lifted_film", "blister"))
    defect: dict[str, Any] = {"kind": kind, "note": "invented for testing"}
    if dice.chance(0.3):
        defect["count"] = dice.whole(1, 4)
    if dice.chance(0.5):
        defect["length_mm"] = dice.log_between(3, 200)
    if dice.chance(0.4):
        defect["width_mm"] = dice.between(0.1, 2)
    if kind in DEPTHS_UM and dice.chance(0.8):
        low, high = DEPTHS_UM[kind]
        high = max(1.5 * low, high * dice.between(0.2, 1))
        if dice.chance(0.5):
            defect["depth_um"] = dice.log_between(low, high)
        else:
            points = sorted(dice.log_between(low, high) for _ in range(3))
            defect["depth_um"] = dict(zip(("low", "likely", "high"), points, strict=True))
    if dice.chance(0.5):
        defect["seen_in"] = dice.one(("overall", *VIEWS))
    if dice.chance(0.3):
        defect["wish"] = dice.one(("remove", "soften", "soften", "leave"))
    if dice.chance(0.6):
        defect["at"] = {"x": dice.between(0.002, 1), "y": dice.between(0.002, 1) ** 2}
    return defect
