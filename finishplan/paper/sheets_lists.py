"""Lists and records on paper: materials to tick off, the film record card, the hand-over with its care page."""

from __future__ import annotations

from collections.abc import Mapping

from finishplan import wording
from finishplan.bench.columns import fitted
from finishplan.bench.places import Mark, marks_of
from finishplan.bench.sheet_rules import all_rules
from finishplan.paper import pdf_blocks as make
from finishplan.paper.lines import packs_words, panel_verdict
from finishplan.paper.pdf_blocks import Block, Cell, Section, head_name
from finishplan.paper.sheets_marks import times_words
from finishplan.planning.result import PanelPlan, ZonePlan
from finishplan.planning.risk_result import ZoneRisk
from finishplan.survey.job import Job, Service
from finishplan.workup import Answer

ReadAfter = Mapping[tuple[str, str], float]
"""Mean film in um as read after the work, by panel and zone."""

NAME = 40
"""Columns for a name in a table."""
NEXT_SERVICES = 4
"""Lines left on the record card for what comes later."""
DONE = {
    "sand": "sanded out with the whole face, polished",
    "buff": "polished out with the whole face",
    "spot": "sanded out just there, polished",
    "fill": "filled with resin, levelled, polished",
}
"""Repairs as the customer hears of them."""
NOT_DONE = {
    "leave": "left as it is, as agreed or not seen",
    "refer": "not dealt with",
    "clean": "cleaned off, nothing else",
}


def materials_section(answer: Answer) -> Section:
    """Return the materials of a job as a tick list."""
    rows: list[list[Cell]] = [
        [make.TICK, make.bold(line.item), amount_words(line.quantity, line.unit),
         packs_words(line.packs), line.note, make.BLANK]
        for line in answer.materials
    ]
    lines = ["To tick off before the start. Packs are whole packs for the whole job; a dash: no pack size is known."]
    blocks = [make.title(f"Materials: {answer.job.title}", *lines),
              make.sign(("date", 1), ("put together by", 2)),
              make.table(("", "What", "How much", "Packs", "Note", "Left over"), (0, 1.4, 0.8, 0, 1.6, 0.7), rows)
              if rows else make.text("Nothing is used up.")]
    return Section("Materials", head_name(answer.job.title), tuple(blocks))


def amount_words(quantity: float | None, unit: str) -> str:
    """Return a quantity with its unit, one of it in the singular.

    >>> amount_words(1.0, "sheets"), amount_words(4.0, "sheets"), amount_words(112.0, "g")
    ('1 sheet', '4 sheets', '112 g')
    """
    words = wording.quantity_words(quantity)
    return f"{words} {unit.removesuffix('s') if words == '1' else unit}"


def card_section(answer: Answer, after: ReadAfter | None = None) -> Section:
    """Return the film record as a card that stays in the instrument."""
    blocks = [
        make.title("Film record", *instrument_lines(answer.job),
                   "Keep this card in the instrument. Whoever works on the finish reads it first and adds a line."),
        make.heading("This service, film in um"), film_table(answer, after),
        make.text("Counted on: what we take the thin places to have. Left: what we then count on. Services: how many "
                  "like this one the film may hold, from simulation, three at most; not a promise."),
    ]
    if answer.job.services:
        blocks += [make.heading("Earlier services"), services_table(answer.job.services)]
    rows = [[make.BLANK] * 4 for _ in range(NEXT_SERVICES)]
    blocks += [make.heading("Later services"),
               make.table(("Date", "What was done, and where", "Film read after, um", "By"), (0.8, 2.4, 1.4, 1), rows)]
    return Section("Film record", head_name(answer.job.title), tuple(blocks))


def instrument_lines(job: Job) -> list[str]:
    """Return instrument, finish and build in words."""
    made = " ".join(word for word in (job.instrument.kind or "", str(job.instrument.year or "")) if word)
    number = f"number {job.instrument.id}" if job.instrument.id else "number ____________"
    how = f" ({job.finish_id.how})" if job.finish_id.how else ""
    build = "build not known" if job.build == "unknown" else job.build
    over = "; once coated over" if job.instrument.overcoated else ""
    return [wording.sentence(", ".join(word for word in (made, number) if word)),
            wording.sentence(f"finish: {job.finish_id.result}{how}, {build}{over}")]


def film_table(answer: Answer, after: ReadAfter | None) -> Block:
    """Return the film of every zone: before, taken, left, read afterwards."""
    risks = {(z.panel, z.zone): z for z in answer.risk.zones} if answer.risk else {}
    rows = []
    for panel in answer.plan.panels:
        for at, zone in enumerate(panel.zones):
            rows.append([make.bold(fitted(panel.name, NAME)) if at == 0 else "",
                         *zone_cells(zone, risks.get((panel.name, zone.name)), (after or {}).get(
                             (panel.name, zone.name)))])
    return make.table(("Panel", "Zone", "Film", "Counted on", "Takes", "Left", "Read after", "Services"),
                      (1.5, 1.1, 1.3, 0, 0, 0, 0.8, 0), rows)


def zone_cells(zone: ZonePlan, risk: ZoneRisk | None, read_um: float | None) -> list[Cell]:
    """Return one zone's film in cells, with where the figure comes from."""
    film = f"{wording.film_words(zone.film_mean_um)} {wording.film_from_words(zone.film_from, zone.readings)}"
    taken = wording.removal_words(zone.removal_um) if zone.removal_um > 0 else "nothing"
    read: Cell = make.BLANK if read_um is None else make.bold(wording.film_words(read_um))
    return [fitted(zone.name, NAME), film, wording.film_words(zone.film_low_um), taken,
            wording.film_words(max(0.0, zone.film_left_um)), read, services_words(risk)]


def services_words(risk: ZoneRisk | None) -> str:
    """Return how many services like this one the film holds afterwards."""
    if risk is None or risk.services is None:
        return wording.DASH
    low, high = risk.services.after
    return str(low) if low == high else f"{low} to {high}"


def services_table(services: tuple[Service, ...]) -> Block:
    """Return the earlier services as the film record has them."""
    rows: list[list[Cell]] = []
    for service in services:
        zones = [f"{fitted(z.panel, NAME)}, {fitted(z.zone, NAME)}: "
                 + ", ".join(words for words in (
                     f"took {wording.removal_words(z.removal_um)}" if z.removal_um is not None else "",
                     f"left {wording.film_words(z.film_um)}" if z.film_um is not None else "") if words)
                 for z in service.zones]
        rows.append([service.date or wording.DASH, service.what, "; ".join(zones) or wording.DASH, service.by])
    return make.table(("Date", "What", "Film, um", "By"), (0.7, 1.5, 2, 0.8), rows)


def hand_over_section(answer: Answer, after: ReadAfter | None = None) -> Section:
    """Return the customer's page: done, not done, film taken and left, care."""
    customer = f"For {answer.job.customer}." if answer.job.customer else ""
    blocks = [
        make.title(f"Hand-over: {answer.job.title}", customer, *instrument_lines(answer.job)),
        make.heading("What was done, and what was not"), *done_blocks(answer),
        make.room("Otherwise than written above:", 16),
        make.heading("Film, um"), film_table(answer, after),
        make.text("Film that is taken does not come back. Left: what we count on afterwards at the thin places. "
                  "Services: how many like this one the film may hold, from simulation, three at most; not a promise."),
        *care_blocks(filled=any(is_filled(panel) for panel in answer.plan.panels)),
        make.sign(("handed over by", 1), ("date", 0.6)), make.sign(("received by", 1), ("date", 0.6)),
    ]
    return Section("Hand-over", head_name(answer.job.title), tuple(blocks))


def done_blocks(answer: Answer) -> list[Block]:
    """Return what was done with every entry of damage, panel by panel."""
    rows = []
    for panel, planned in zip(answer.job.panels, answer.plan.panels, strict=True):
        verdict = panel_verdict(planned)
        if verdict != "go":
            why = next((z.reasons[0] for z in planned.zones if z.verdict != "go" and z.reasons), "")
            rows.append([make.bold(fitted(panel.name, NAME)), "nothing",
                         f"all of it: {verdict}{f', {why}' if why else ''}"])
            continue
        marks = marks_of(panel, planned)
        done = [f"{mark.words}: {done_words(mark)}" for mark in marks if mark.repair in DONE]
        left = [f"{mark.words}: {NOT_DONE[mark.repair]}" for mark in marks if mark.repair in NOT_DONE]
        whole = "no damage entered, polished with the rest" if planned.steps and not marks else ""
        rows.append([make.bold(fitted(panel.name, NAME)), times_words(done) or whole or "nothing",
                     times_words(left) or wording.DASH])
    return [make.table(("Panel", "Done", "Not done"), (1, 1.6, 1.4), rows)]


def done_words(mark: Mark) -> str:
    """Return what was done with an entry, softened where no more was asked."""
    return f"softened, not gone ({DONE[mark.repair]})" if mark.asked == "soften" else DONE[mark.repair]


def is_filled(panel: PanelPlan) -> bool:
    """Tell whether a panel that is worked gets a fill."""
    return panel.all_go and any(d.repair == "fill" for zone in panel.zones for d in zone.defects)


def care_blocks(filled: bool) -> list[Block]:
    """Return how the finish is cared for; fresh fills only where there are any."""
    lines = [text for key, text in all_rules()["care"].items() if filled or key != "fill_rest"]
    return [make.heading("Care"), make.items(lines)]
