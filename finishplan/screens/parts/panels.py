"""One panel on the screen: may it start, its zones, its steps, its film cut open, its defects."""

from __future__ import annotations

from html import escape

from finishplan import wording
from finishplan.paper import lines, plan_terms, why_words
from finishplan.paper.panel import panel_drawing, panel_words
from finishplan.paper.section import film_section, section_words
from finishplan.paper.theme import SCREEN
from finishplan.planning.result import PanelPlan, StepPlan, ZonePlan
from finishplan.screens.parts.markup import h, items, mark, p, picture, put, table
from finishplan.survey.job import Panel

OWN_TIME = "A dash under own time: it goes with the zone's own steps, or nothing is done."


def place_of(number: int) -> str:
    """Return the name of a panel's place on the page."""
    return f"panel-{number}"


def head(panel: PanelPlan, number: int) -> None:
    """Write the panel's name and whether it may be started; ``number`` is its place among the panels."""
    shown = wording.mark_of(lines.panel_verdict(panel), lines.last_service(panel))
    start = f'<p class="go">{mark(shown)}<strong>{escape(lines.start_words(panel))}</strong></p>'
    put("fp-panel", h(2, panel.name, place_of(number)), start, p(lines.panel_setting(panel), "quiet"))


def zones(panel: PanelPlan) -> None:
    """Write every zone's verdict as word, shape and fill, with its reasons and what would fit."""
    put("fp-zones", items(_zone(zone) for zone in panel.zones))


def _zone(zone: ZonePlan) -> str:
    shown = wording.mark_of(zone.verdict, zone.last_service)
    reasons = [p(wording.sentence(reason)) for reason in zone.reasons]
    fits = f"Would fit: {wording.listed(zone.would_fit, 'or')}." if zone.would_fit else ""
    return (f"<li>{mark(shown)}<div><strong>{escape(zone.name)}</strong>{p(shown.word)}</div>"
            f"<div>{''.join(reasons)}{p(fits)}</div></li>")


def steps(panel: PanelPlan) -> None:
    """Write the sequence, coarse to fine, with the minutes under each step."""
    if panel.steps:
        looks = f"{plan_terms.IN_A_STEP} In all they are {wording.minutes_words(panel.look_minutes)}."
        put("fp-steps", h(3, "Sequence"), items((_step(step) for step in panel.steps), "ol"),
            p(looks, "quiet small"))


def _step(step: StepPlan) -> str:
    kind = "sheet" if step.is_sheet else "compound"
    return (f'<li class="{kind}">{p(wording.step_short(step.step), "name")}'
            f'{p(wording.minutes_words(step.whole_minutes), "min")}'
            f'{p(lines.ways_words(step), "small")}'
            f'{p("takes " + lines.taken_words(step), "small quiet")}</li>')


def section(panel: PanelPlan, axis_um: float) -> None:
    """Write the film of every zone, cut open and to scale."""
    put("fp-figure", h(3, "Film, cut open"), picture(film_section(panel, axis_um, SCREEN), section_words(panel)))


def drawing(surveyed: Panel, panel: PanelPlan) -> None:
    """Write the panel drawn to scale, where the survey gives places or a size."""
    if lines.worth_drawing(surveyed):
        sheets = [step.step for step in panel.steps if step.is_sheet]
        drawn = panel_drawing(surveyed, sheets, SCREEN)
        put("fp-figure", h(3, "Where it is"), picture(drawn, panel_words(surveyed, sheets)))


def words(panel: PanelPlan) -> list[str]:
    """Return the words of a panel in which terms may stand that a beginner asks about."""
    rows = [cell for row in lines.defect_rows(panel) for cell in row]
    reasons = [reason for zone in panel.zones for reason in zone.reasons]
    close = [] if panel.close_calls or not panel.sequence else [why_words.NO_CLOSE_CALL]
    return [lines.start_words(panel), *reasons, *rows, *close]


def defects(panel: PanelPlan) -> None:
    """Write what is done with each defect, and why."""
    heads = ("zone", "defect", "depth, um", "what is done", "own time", "why")
    rows = lines.defect_rows(panel)
    if rows:
        put("fp-defects", h(3, "What is done with each defect"), table(OWN_TIME, heads, rows, numbers=(4,)))
    else:
        put("fp-defects", p("No defect is entered here.", "quiet"))
