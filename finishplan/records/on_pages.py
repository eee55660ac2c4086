"""What an error says, in the words of the pages: the label over a box in place of the key in a file.

Errors name keys, for those who write files. On a page the same key stands as a label, and the group it is in as a page.
What stands in quotes was typed by somebody or is literally so in a file: it stays.
"""

from __future__ import annotations

import re
from functools import cache

from finishplan.office.home import HomeRules
from finishplan.office.terms import OfficeFigures, QuoteTerms
from finishplan.records.shop_whole import GEAR, MINUTES_GROUPS, QUOTE_WORDS, TICKS
from finishplan.shop.figure_kinds import ShopFigure, model_figures
from finishplan.shop.figures import SHOP_WORDS, STEP_WORDS, TOOL_WORDS
from finishplan.shop.policy import Policy
from finishplan.shop.profile import default_profile
from finishplan.survey.defects import KINDS
from finishplan.where_typed import LIMITS, PLACE, ROOM, STEPS, TOOL

JOB_BOXES = {
    "view_note": "Note on how it is seen", "finish_id": "The finish is", "seen_from": "Looked at from",
    "lead_test": "Test for lead: who tested what, and the result", "room_m3": "Room, m3",
    "air_changes_per_h": "Air changes an hour", "temperature_c": "Room temperature, C",
    "humidity_percent": "Humidity, %", "first_cut": "The first cut", "styrene_percent": "Styrene in it, %",
    "gel_min": "It gels in, min", "catalyst_percent": "Catalyst, % by mass", "size_m": "Width and height, m",
    "sheets_by": "Sheets by", "compounds_by": "Compounds by", "last_sheet": "Finish asked for",
    "gloss_gu": "Gloss to reach, GU at 20 degrees", "area_m2": "Area, m2",
    "film_estimate_um": "Film without a reading, um",
    "previous_step": "Last step done when work was broken off", "sheets_allowed": "Sheets may be used on it",
    "length_mm": "Length, mm", "width_mm": "Width, mm", "depth_um": "Depth, um: one measured, or low likely high",
    "seen_in": "Shows from (none: from everywhere)", "missing_ml": "Missing, ml", "test_spot": "Test spot",
    "removal_um": "Took, um", "film_um": "Left, um", "um": "Film, um", "ml": "How much of it, ml", "year": "Year",
}
"""The label on a page for each key of a job file whose name is no plain word; a test finds them on the pages."""
GROUPS = {
    "site": ROOM, "instrument": ROOM, "crew": ROOM, "finish_id": "Survey page, The finish is",
    "test_spot": "Survey page, Test spot", "policy": "Shop page, Policy", "office": "Shop page, Quote and Minutes",
    "quote": "terms of the quote", "home": "Shop page, Visits", "prices": "Shop page, Prices",
    "local_limits": LIMITS, "equipment": LIMITS, "learned_rates": "Shop page, Rates learned", "hours": PLACE,
    "people": "Shop page, People",
}
"""The page for each group of a file that a message may begin with."""
STARTS = {"step '": STEPS, "tool ": TOOL, "person ": "Shop page, People"}
"""The same for an entry of a list that a message may begin with."""
PHRASES = (
    (" is null;", " is empty;"),
    ("give a number without quotes", "give a number"),
    ("give text in quotes", "type some words"),
    ("give true or false", "choose yes or no"),
    ('set "off": true', "tick 'It comes off the instrument'"),
    ('add "last_sheet": "P1000", or ask for gloss', "name the sheet it ends with, or ask for gloss"),
    ("in the shop file (in_default_plan false, or policy barred_steps)", f"({STEPS})"),
    ("rate_per_h of ", "the cost of an hour of "),
    ("with the person or as cost_per_h in the terms", "Shop page, People, or Shop page, Quote"),
)
"""What a message says to those who write files, and what it says on a page."""
QUOTED = re.compile(r"""('(?:[^'\\]|\\.)*'|"(?:[^"\\]|\\.)*")""")
KEY = re.compile(r"\b[a-z][a-z0-9]*(?:_[a-z0-9]+)+\b")
BARE = re.compile(r"(?:(?<=: )|^)([a-z]+)(?= (?:is|are) )")
BEGINS = re.compile(rf"(?:^|: )(?P<group>(?:{'|'.join(GROUPS)})(?=[:,] )|{'|'.join(STARTS)})")
FROM_TABLE = re.compile(r"(?:^|: )row \d+[:,]")
LISTED_STEP = re.compile(r'put \{"step": "([^"]*)"\} among the steps of its shop file')


def on_page(text: str) -> str:
    """Return what an error says with labels and pages in place of keys; rows of a table keep their columns' names.

    >>> on_page("site: room_m3 is -3; give a number over 0")
    "Survey page, Instrument, place and people: 'Room, m3' is -3; give a number over 0"
    >>> on_page("policy: leave_for_next_um is -4; give a number of 0 or more")
    "Shop page, Policy: 'Film to leave for another service, um' is -4; give a number of 0 or more"
    """
    if FROM_TABLE.search(text):
        return text
    for said, instead in PHRASES:
        text = text.replace(said, instead)
    text = LISTED_STEP.sub(rf"add \1 ({STEPS})", text.partition("; known keys: ")[0])
    begins = BEGINS.search(text)
    group = begins["group"] if begins else ""
    labels = {**JOB_BOXES, **shop_boxes().get("", {}), **shop_boxes().get(group, {})}
    if begins:
        instead = GROUPS.get(group) or f"{STARTS[group]}, {group}"
        text = f"{text[:begins.start('group')]}{instead}{text[begins.end():]}"
    pieces = QUOTED.split(text)
    pieces[::2] = [_labelled(piece, labels) for piece in pieces[::2]]
    return "".join(pieces)


def _labelled(text: str, labels: dict[str, str]) -> str:
    def label(found: re.Match[str]) -> str:
        key = found[0]
        if key in KINDS:
            return key.replace("_", " ")
        return f"'{labels[key]}'" if key in labels else key

    return BARE.sub(label, KEY.sub(label, text))


@cache
def shop_boxes() -> dict[str, dict[str, str]]:
    """Return the labels of a shop's boxes by group and key, as its page has them."""
    used = default_profile()

    def titles(figures: list[ShopFigure]) -> dict[str, str]:
        return {str(figure.path[-1]): figure.title for figure in figures}

    def with_units(words: dict[str, tuple[str, str]]) -> dict[str, str]:
        return {key: f"{label}, {unit}" if unit else label for key, (label, unit) in words.items()}

    policy = titles(model_figures(Policy, ("policy",), used.policy)) | {"keep": "Must stay"}
    quote = titles(model_figures(QuoteTerms, ("quote",), QuoteTerms(), QUOTE_WORDS))
    office = titles(model_figures(OfficeFigures, ("office",), OfficeFigures()))
    own = {"prices": {"pack": "A pack holds", "price": "It costs"}, "people": {"rate_per_h": "An hour costs us"},
           "person ": {"rate_per_h": "An hour costs us"}, "equipment": {**GEAR, **TICKS}}
    minutes = {key: group for group, key in MINUTES_GROUPS.items()}
    home = titles(model_figures(HomeRules, ("home",), HomeRules()))
    return own | {
        "policy": policy, "quote": quote | {"cost_per_h": "An hour costs us", "margin_percent": "Margin, %"},
        "office": office | minutes, "home": home,
        "step '": with_units(STEP_WORDS), "tool ": with_units(TOOL_WORDS),
        "": {key: label for key, label in SHOP_WORDS.items() if "_" in key},
    }
