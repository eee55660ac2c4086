"""The plan as plain text, 80 columns: one screenful of words first, then the tables."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable

from finishplan import wording
from finishplan.paper.lines import first_line, material_words, tightest
from finishplan.paper.plan_terms import IN_A_STEP, ROUNDED
from finishplan.paper.risk_words import basis_words, risk_line, spread_words
from finishplan.paper.why_words import change_words, close_words, limit_words
from finishplan.planning.next_reading import reading_words
from finishplan.planning.result import DefectPlan, PanelPlan, Plan, ZonePlan
from finishplan.planning.risk_result import Levels
from finishplan.where_typed import for_files
from finishplan.workup import Answer

WIDTH = 80


def plan_text(answer: Answer) -> str:
    """Return the whole answer as text of at most 80 columns."""
    parts = [
        *summary(answer),
        "",
        *heading("Sequences, with minutes under each step"),
        *sequences(answer.plan),
        "",
        *heading("Film, um"),
        *film_table(answer.plan),
        "",
        *heading("Defects: what is done, and why"),
        *defect_lines(answer.plan),
        "",
        *heading("Why this and not that"),
        *why_lines(answer),
        "",
        *heading("Materials, to tick off before the start"),
        *material_lines(answer),
        "",
        *heading("Minutes of the whole job"),
        *labour_lines(answer),
        "",
        *heading("How sure, by simulation"),
        *risk_lines(answer),
        "",
        *heading("Cautions, worst first"),
        *caution_lines(answer),
        "",
    ]
    return "\n".join(line.rstrip() for line in parts) + "\n"


def wrapped(text: str, indent: str = "", first: str | None = None) -> list[str]:
    """Return ``text`` in lines of at most 80 columns."""
    return textwrap.wrap(text, WIDTH, initial_indent=indent if first is None else first, subsequent_indent=indent) or [
        ""
    ]


def heading(text: str) -> list[str]:
    """Return a heading and the line under it."""
    return [text, "-" * len(text)]


def summary(answer: Answer) -> list[str]:
    """Return the first screenful: title, verdict sentence, a line a panel, what to settle, notes."""
    plan = answer.plan
    lines = [
        *wrapped(plan.title),
        *wrapped(first_line(answer.plan, answer.labour_minutes)),
        *wrapped(how_it_was_chosen(answer)),
        "",
    ]
    for panel in plan.panels:
        mark = wording.mark_of(worst(panel), any(z.last_service for z in panel.zones))
        lines += wrapped(panel_line(panel), "  ", f"{mark.glyph} ")
    lines.append("")
    for note in answer.notes:
        lines += wrapped(note, "  ", "- ")
    if plan.if_echo is not None:
        lines += wrapped(echo_words(plan, plan.if_echo), "  ", "- ")
    return lines


def worst(panel: PanelPlan) -> str:
    """Return the verdict of a panel that has to be settled first."""
    return wording.worst_verdict(zone.verdict for zone in panel.zones)


def how_it_was_chosen(answer: Answer) -> str:
    """Return favour, first cut, and the minutes at the panels in one sentence."""
    plan = answer.plan
    return (
        f"At the panels: {wording.minutes_words(plan.minutes)}; the rest is allowances. Favour {plan.favour}, first "
        f"cut {plan.first_cut}. Most rates are assumed until the shop's own log replaces them."
    )


def panel_line(panel: PanelPlan) -> str:
    """Return one panel's plan in one line, with what has to be settled first."""
    sheets = [s.step for s in panel.steps if s.is_sheet]
    compounds = [s.step for s in panel.steps if not s.is_sheet]
    tight = tightest(panel)
    edges = edge_words(panel)
    line = wording.panel_words(
        panel.name,
        sheets,
        compounds,
        panel.minutes,
        tight.removal_um if tight else 0.0,
        tight.spare_um if tight else 0.0,
        edges,
        tight.name if tight and len(panel.zones) > 1 else "",
    )
    stopped = [f"{zone.name}: {zone.verdict}, {zone.reasons[0]}" for zone in panel.zones if zone.verdict != "go"]
    fits = [f for zone in panel.zones for f in zone.would_fit]
    if stopped:
        line += ". " + "; ".join(stopped)
    if fits:
        line += ". Would fit: " + "; ".join(fits)
    return wording.sentence(line)


def edge_words(panel: PanelPlan) -> str:
    """Return how edges, corners and curves differ from the face, in a few words."""
    faces = [z for z in panel.zones if z.kind == "field" and z.starts_at]
    narrow = [z for z in panel.zones if z.kind != "field" and z.starts_at]
    if not faces or not narrow or all(z.starts_at == faces[0].starts_at for z in narrow):
        return ""
    starts = wording.listed(dict.fromkeys(wording.step_short(z.starts_at or "") for z in narrow))
    return f"{wording.listed(z.name for z in narrow)} from {starts} on"


def echo_words(plan: Plan, echo: Plan) -> str:
    """Return what changes if the suspect readings are surface echoes."""
    changed = []
    for before, after in zip(plan.panels, echo.panels, strict=True):
        for was, now in zip(before.zones, after.zones, strict=True):
            if was.suspect_readings:
                steps = ", ".join(wording.step_short(s) for s in after.sequence) or "nothing"
                changed.append(f"{before.name}, {was.name} would be {now.verdict} ({steps})")
    minutes = wording.minutes_words(echo.minutes)
    return f"If the suspect reading is an echo: {'; '.join(changed)}; {minutes} at the panels."


def sequences(plan: Plan) -> list[str]:
    """Return each panel's sequence with minutes under each step."""
    lines = []
    for panel in plan.panels:
        if not panel.steps:
            lines += wrapped(f"{panel.name}: nothing to sand or buff", "  ")
            continue
        lines += wrapped(f"{panel.name} ({panel.worker}, {tools(panel)})", "  ")
        names = [wording.step_short(s.step) for s in panel.steps]
        minutes = [wording.minutes_words(s.whole_minutes) for s in panel.steps]
        lines += columns(names, minutes)
    set_up = wording.minutes_words(plan.set_up_minutes)
    kits = f", {wording.listed(plan.kits)} kit" if plan.kits else ""
    if plan.set_up_steps or plan.kits:
        lines += wrapped(f"Set up once for the job: {wording.listed(plan.set_up_steps)}{kits}: {set_up}.")
    return [*lines, *wrapped(f"{IN_A_STEP} {ROUNDED}")]


def tools(panel: PanelPlan) -> str:
    """Return the tools a panel is worked with, as its own zones use them."""
    ways = dict.fromkeys(z.way for s in panel.steps for z in s.zones)
    return wording.listed(ways)


def columns(tops: list[str], bottoms: list[str]) -> list[str]:
    """Return two rows of cells set under each other, broken where 80 columns are full."""
    lines, top, bottom = [], "   ", "   "
    for a, b in zip(tops, bottoms, strict=True):
        width = max(len(a), len(b)) + 2
        if len(top) + width > WIDTH:
            lines += [top, bottom]
            top, bottom = "   ", "   "
        top, bottom = top + a.ljust(width), bottom + b.ljust(width)
    return [*lines, top, bottom]


def film_table(plan: Plan) -> list[str]:
    """Return the film of every zone: mean, counted, to leave, to spend, taken, left, verdict."""
    lines = [f"{'zone':<27}{'mean':>5}{'count':>6}{'leave':>6}{'spend':>6}{'take':>6}{'after':>6}  verdict"]
    for panel in plan.panels:
        for zone in panel.zones:
            lines.append(film_row(panel, zone))
    lines += wrapped(
        "count: film we count on; leave: at least; after: what we then count on, with overcut; * guessed film"
    )
    return lines


def film_row(panel: PanelPlan, zone: ZonePlan) -> str:
    """Return one zone's row."""
    name = f"{panel.name}, {zone.name}"
    name = name if len(name) <= 26 else name[:23] + "..."
    guessed = "" if zone.film_from == "readings" else "*"
    mark = wording.mark_of(zone.verdict, zone.last_service)
    return (
        f"{name:<27}{wording.film_words(zone.film_mean_um) + guessed:>5}{wording.film_words(zone.film_low_um):>6}"
        f"{wording.least_words(zone.keep_um):>6}{wording.film_words(max(0.0, zone.spare_um)):>6}"
        f"{wording.removal_words(zone.removal_um):>6}{wording.film_words(max(0.0, zone.film_left_um)):>6}  {mark.word}"
    )


def defect_lines(plan: Plan) -> list[str]:
    """Return what is done with each defect and why."""
    lines = []
    for panel in plan.panels:
        for zone in panel.zones:
            for defect in zone.defects:
                lines += wrapped(f"{panel.name}, {zone.name}: {defect_line(defect)}", "  ")
    return lines or ["none"]


def defect_line(defect: DefectPlan) -> str:
    """Return one entry in words: name, depth, what is done, why."""
    name = "scratches of the last step" if defect.index is None else wording.defect_words(defect.kind, defect.count)
    source = wording.DEPTH_FROM.get(defect.depth_from, defect.depth_from)
    deep = defect.planning_depth_um
    depth = "" if deep is None else f", {wording.removal_words(deep)} um ({source})"
    local = f" ({', '.join(defect.local_steps)} by hand there)" if defect.local_steps else ""
    return f"{name}{depth}: {defect.repair}{local}; {defect.why}"


def why_lines(answer: Answer) -> list[str]:
    """Return limits, runners-up, close calls, what asking less would buy, and film against time."""
    plan = answer.plan
    lines = []
    for panel in plan.panels:
        lines += wrapped(f"{panel.name}: limited by {panel.limited_by}", "    ", "  ")
        for runner in panel.runners_up:
            price = price_words(runner.minutes, f"{wording.signed(runner.film_um, 1)} um", runner.refers)
            lines += wrapped(f"{runner.instead}: {price}", "      ", "    ")
        for call in panel.close_calls:
            lines += wrapped(f"close call, {close_words(call)}", "      ", "    ")
    for said in limit_words(plan.two_limits):
        lines += wrapped(said, "    ", "  ")
    for less in plan.asking_less:
        price = price_words(-less.minutes, volume_words(-less.film_um_m2), -less.refers)
        lines += wrapped(f"asking less, {less.what}: {less.wish}: {price}", "    ", "  ")
    for other in (answer.beside_optimum, answer.before_test_spot):
        if other is not None:
            price = price_words(other.minutes, volume_words(other.film_um_m2), other.refers)
            lines += wrapped(f"this plan against {other.what}: {price}", "    ", "  ")
    if answer.spot_change is not None:
        for said in change_words(answer.spot_change):
            lines += wrapped(f"test spot: {said}", "    ", "  ")
    return lines + curve_lines(plan)


def volume_words(film_cm3: float) -> str:
    """Return a difference of film taken over the whole job; 1 um over 1 m2 is 1 cm3."""
    return f"{wording.signed(film_cm3, 1)} cm3"


def price_words(minutes: float, film: str, refers: int) -> str:
    """Return a difference of two plans in words."""
    words = f"{wording.signed_minutes(minutes)}, {film} of film"
    if refers:
        words += f", {wording.number_words(abs(refers))} {'more' if refers > 0 else 'fewer'} not dealt with"
    return words


def curve_lines(plan: Plan) -> list[str]:
    """Return film against time; one point is said as one."""
    points = plan.film_against_time
    if len(points) == 1:
        return wrapped(
            "film against time: one plan is best in both; quick, balanced and keep film are the same", "    ", "  "
        )
    lines = ["  film against time:"] if points else []
    for point in points:
        name = point.name or "between the favours"
        lines.append(f"    {wording.minutes_words(point.minutes):>9}  {point.film_um_m2:>7.1f} cm3 of film  {name}")
    return lines


def material_lines(answer: Answer) -> list[str]:
    """Return the tick list."""
    lines = [text for line in answer.materials for text in wrapped(for_files(material_words(line)), "      ", "  [ ] ")]
    return lines or ["nothing"]


def labour_lines(answer: Answer) -> list[str]:
    """Return the labour table with its sum."""
    lines = [f"  {line.what:<40}{line.minutes:>8.0f} min   {line.kind}" for line in answer.labour]
    total = f"{answer.labour_minutes:.0f}"
    return [*lines, f"  {'in all':<40}{total:>8} min   {wording.minutes_words(answer.labour_minutes)}"]


def risk_lines(answer: Answer) -> list[str]:
    """Return the chances of the plan, its minutes and cost, and the reading to take next."""
    risk = answer.risk
    if risk is None:
        return ["not asked for"]
    lines = wrapped(risk_line(risk), "    ", "  ")
    for zone in risk.zones:
        if zone.worked:
            under, through = (spread_words(found, risk.draws) for found in (zone.under_keep, zone.sand_through))
            said = f"{zone.panel}, {zone.zone}: under the film to leave {under}, through {through}"
            lines += wrapped(said, "      ", "    ")
    lines += wrapped(f"hours: {levels_words(risk.minutes, wording.minutes_words)}", "    ", "  ")
    if risk.cost is not None:
        lines += wrapped(f"labour cost: {levels_words(risk.cost, lambda cost: f'{cost:.0f}')}", "    ", "  ")
    for reading in risk.next_readings[:1]:
        lines += wrapped(reading_words(reading), "    ", "  ")
    return lines + wrapped(basis_words(risk), "    ", "  ")


def levels_words(levels: Levels, shown: Callable[[float], str]) -> str:
    """Return what 1 in 2, 4 in 5 and 9 in 10 jobs stay under."""
    return (
        f"1 in 2 jobs stay under {shown(levels.one_in_two)}, 4 in 5 under {shown(levels.four_in_five)}, "
        f"9 in 10 under {shown(levels.nine_in_ten)}"
    )


def caution_lines(answer: Answer) -> list[str]:
    """Return the cautions with their severity."""
    lines: list[str] = []
    for caution in answer.cautions:
        lines += wrapped(f"{caution.text}", "         ", f"{caution.severity.upper():<9}")
    return lines


def check_text(findings: Iterable[str], next_reading: str | None) -> str:
    """Return what ``check`` says: what is missing or odd, and the reading to take next."""
    found = list(findings)
    lines = [
        "The file can be read."
        if not found
        else f"The file can be read; {wording.counted(len(found), 'thing')} to look at:"
    ]
    for finding in found:
        lines += wrapped(finding, "  ", "- ")
    if next_reading:
        lines += wrapped(next_reading)
    return "\n".join(lines) + "\n"
