"""The front page of a job's bench sheets: what is the same for every panel, in full."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from finishplan import wording
from finishplan.bench.sheet import Sheet
from finishplan.bench.step_texts import text_of
from finishplan.paper import pdf_blocks as make
from finishplan.paper.pdf_blocks import Block, Section, head_name
from finishplan.paper.sheets_work import HOW_NAMES, REPAIR, STOP_HEAD

LOCAL_NAMES = {
    "fill": {"fill_prepare": "prepare", "fill_dam": "dam", "fill_pour": "pour", "fill_second_pour": "second pour",
             "fill_first": "first sheet", "fill_next": "next sheets"},
    "spot": {"spot_ring": "ring", "spot_first": "first sheet", "spot_next": "next sheets"},
}
"""What is done for each kind of local work, in order, by the key of its text."""
STOPS = "STOP at any of these four: tool down, fetch the finisher"


def common_lines(sheets: Iterable[Sheet]) -> frozenset[str]:
    """Return what must not be done on any panel that is worked: the front page says it once for all."""
    each = [set(sheet.not_here) for sheet in sheets if sheet.state == "go"]
    return frozenset(set.intersection(*each)) if each else frozenset()


def front_section(sheets: Sequence[Sheet]) -> Section | None:
    """Return the front page of the panels that are worked, or None where none is."""
    going = [sheet for sheet in sheets if sheet.state == "go"]
    if not going:
        return None
    common = common_lines(going)
    not_any = [line for line in going[0].not_here if line in common]
    always = list(dict.fromkeys(line for sheet in going for line in sheet.always))
    blocks = [
        make.head_line("Read this before any part", [f"For all panels of the job: {going[0].title}."],
                       (("date", 1.0), ("read by", 1.3), ("finisher", 1.3))),
        make.stops(STOPS, going[0].stops),
        make.two_lists(("Not on any part", not_any), ("In every step", always)),
        make.heading("How each step is done (at every HOLD work waits for the finisher's signature)"),
        how_table(going),
        *local_tables(going),
        *caution_blocks(going),
    ]
    return Section("Front page", head_name(going[0].title), tuple(blocks))


def how_table(sheets: Sequence[Sheet]) -> Block:
    """Return how each kind of step is done, in the order in which the kinds are listed."""
    ways = {row.key: row.how for sheet in sheets for row in sheet.rows}
    return make.table(("Step", "How"), (0, 1), [[make.bold(HOW_NAMES[key]), ways[key]] for key in HOW_NAMES
                                                if key in ways])


def local_tables(sheets: Sequence[Sheet]) -> list[Block]:
    """Return how fills and spots are done, each thing to do once."""
    done = {row.text.how for sheet in sheets for work in sheet.local for row in work.rows}
    blocks = []
    for repair, (_, name) in REPAIR.items():
        rows = []
        for key, label in LOCAL_NAMES[repair].items():
            text = text_of("local", key)
            if text.how in done:
                rows.append([make.bold(label), text.how, wording.sentence(text.done_when),
                             wording.sentence(text.stop_if)])
        if rows:
            blocks += [make.heading(f"How a {name.lower()} is done"),
                       make.table(("", "How", "Done when you see", STOP_HEAD), (0, 1.9, 1, 1), rows)]
    return blocks


def caution_blocks(sheets: Sequence[Sheet]) -> list[Block]:
    """Return every caution that concerns a panel of the job in full, worst first."""
    full = {caution.id: caution for sheet in sheets for caution in sheet.cautions}
    order = sorted(full.values(), key=lambda caution: caution.severity != "stop")
    found = [{"id": c.id, "severity": c.severity.upper(), "text": c.text} for c in order]
    return [make.heading("Cautions"), make.strong("Data sheets, local rules and qualified people come first."),
            make.cautions(found)] if found else []
