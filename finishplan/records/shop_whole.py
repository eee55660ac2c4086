"""A shop seen whole: what each room reads from its file, as figures to set, and a check that asks them all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from finishplan import reference
from finishplan.bench.step_texts import shipped_words
from finishplan.errors import FinishplanError
from finishplan.office.home import HomeRules, read_home
from finishplan.office.inputs import check_terms
from finishplan.office.labour import LABOUR_ROLES
from finishplan.office.terms import (
    OWN_MINUTES,
    CostPerHour,
    OfficeFigures,
    QuoteTerms,
    read_figures,
    read_terms,
    shipped_minutes,
)
from finishplan.office.working_time import read_week
from finishplan.safety.day_air import FROM_SHOP, named_mask
from finishplan.safety.limits import LIMIT_UNITS
from finishplan.safety.place import law_of
from finishplan.safety.respirator import MASKS
from finishplan.safety.tables import substances
from finishplan.shop import figures
from finishplan.shop.figure_kinds import ShopFigure, model_figures
from finishplan.shop.profile import Profile, apply_shop, default_profile
from finishplan.survey.choices import SHEET_WAYS

GEAR = {"lamp": "A lamp is used to cure fills"}
"""Things of the shop that a caution looks for, beside the respirator."""
TICKS = {
    "exposure_measured": "The exposure was measured",
    "no_spraying": "Nothing is sprayed, no isocyanate",
    "oxygen_sure": "There is oxygen enough for sure",
    "cartridge_life_known": "How long the cartridge lasts is known",
    "fit_tested": "The wearer is fit-tested", "clean_shaven": "The wearer is clean-shaven",
}
"""What only a shop can say before a number is said of a mask; the rest is read from the job and the tables."""
LIMIT_WORDS = {"twa": "Mean over 8 hours", "short_term": "Mean over 15 minutes", "ceiling": "Never above"}
"""A limit typed in by the shop: its figures."""
TEXTS = ("direction", "done_when", "stop_if")
"""What the trainee reads of a step; what is shipped of it stands in a table of its own."""
QUOTE_WORDS = {
    "currency": "Currency, where the shop's is not meant", "locale": "Numbers and dates as in (language code)",
    "discount_percent": "Discount, %", "discount_reason": "Why a discount", "prices_include_tax": "Prices hold the tax",
    "taxes": "Taxes, one a line: VAT 19, or VAT 7: materials", "deposit_percent": "Deposit, %",
    "minimum_charge": "Least charge", "travel": "Travel, a visit", "storage_per_day": "Storage, a day",
    "storage_free_days": "Days stored free", "movers": "Movers", "tuning": "Tuning after a move",
    "exclusions": "Not in the price, one a line", "sand_through_text": "If the film is sanded through",
    "warranty_text": "Warranty", "payment_text": "Payment", "shop_text": "What else stands on a quote",
}
"""Fields of a quote's terms whose name alone would not read well."""


def check_shop(raw: Any) -> Profile:
    """Return the shop in ``raw`` as a profile, read by all that reads a shop; raises a FinishplanError of one line.

    A shop that is kept but for one odd limit would stop every page that looks at limits: so nothing is kept
    before each reader has seen it.
    """
    profile = apply_shop(default_profile(), raw)
    law_of(profile.file)
    named_mask(profile.file.equipment.get("respirator"))
    check_terms(read_terms(profile.file.quote, profile.file))
    read_figures(profile.file.office)
    read_home(profile.file.home, profile)
    read_week(profile.file.hours)
    return profile


def normal(body: Mapping[str, Any]) -> dict[str, Any]:
    """Return a shop with its respirator as an object, where the file gives the mask alone.

    >>> normal({"equipment": {"respirator": "half mask"}})
    {'equipment': {'respirator': {'mask': 'half mask'}}}
    """
    gear = body.get("equipment")
    mask = gear.get("respirator") if isinstance(gear, Mapping) else None
    if not isinstance(gear, Mapping) or not isinstance(mask, str):
        return dict(body)
    return {**body, "equipment": {**gear, "respirator": {"mask": mask.strip().lower()}}}


def step_figures(used: Profile, name: str) -> list[ShopFigure]:
    """Return what a shop can set of a step, the words that the trainee reads of it among them."""
    found, shipped = [], default_profile().with_steps([name]).step(name)
    for one in figures.step_figures(used, name):
        field = str(one.path[-1])
        if field in TEXTS:
            words, kind, lines = shipped_words(shipped, field)
            one = replace(one, shipped=words, kind=kind, lines=lines)
        found.append(one)
    return found


def quote_figures(used: Profile) -> list[ShopFigure]:
    """Return the terms of a quote."""
    terms = read_terms(used.file.quote)
    found = model_figures(QuoteTerms, ("quote",), terms, QUOTE_WORDS, {"taxes": "taxes", "exclusions": "lines"})
    kept = [one for one in found if one.path[-1] != "cost_per_h"]
    return kept + model_figures(CostPerHour, ("quote", "cost_per_h"), terms.cost_per_h,
                                {role: f"An hour of a {role} costs us" for role in LABOUR_ROLES})


def office_figures(used: Profile) -> list[ShopFigure]:
    """Return the figures of labour and days."""
    found = model_figures(OfficeFigures, ("office",), read_figures(used.file.office))
    return [one for one in found if one.path[-1] not in OWN_MINUTES]


MINUTES_GROUPS = {
    "Allowances": "allowance_min", "Hardware": "hardware_min", "Hardware, only cleaned": "hardware_clean_min",
}
"""Groups of minutes that a shop may give by name."""


def minutes_figures(used: Profile, group: str) -> list[ShopFigure]:
    """Return the minutes of a group, each with what is shipped; an allowance says what it is counted by."""
    field, own = MINUTES_GROUPS[group], read_figures(used.file.office)
    per = {row["what"]: f"min a {row['per']}" for row in reference.rows("allowances")}
    return [
        ShopFigure(("office", field, name), name[:1].upper() + name[1:], shipped, own.minutes_of(field, name)[0],
                   per.get(name, "min of all people"), kind, "number")
        for name, (shipped, kind) in shipped_minutes(field).items()
    ]


def home_figures(used: Profile) -> list[ShopFigure]:
    """Return what a visit at the customer's allows."""
    sheets = {step.name: "" for step in used.steps if step.is_sheet}
    return model_figures(HomeRules, ("home",), read_home(used.file.home, used),
                         choices={"coarsest_sheet": sheets, "sheets_by": SHEET_WAYS})


def gear_figures(used: Profile) -> list[ShopFigure]:
    """Return what the cautions ask of the shop's gear."""
    gear = used.file.equipment
    mask = gear.get("respirator")
    held: Mapping[str, Any] = mask if isinstance(mask, Mapping) else {"mask": mask}
    at = ("equipment", "respirator")
    return [
        *(ShopFigure(("equipment", name), words, None, gear.get(name), sort="flag", ours=True)
          for name, words in GEAR.items()),
        ShopFigure((*at, "mask"), "Respirator", None, held.get("mask"), sort="choice", choices=dict.fromkeys(MASKS, ""),
                   ours=True),
        ShopFigure((*at, "cartridge_limit_ppm"), "Most its cartridge is for, by its maker", None,
                   held.get("cartridge_limit_ppm"), "ppm", sort="number", ours=True),
        *(ShopFigure((*at, fact), TICKS[fact], None, held.get(fact), sort="flag", ours=True) for fact in FROM_SHOP),
    ]


def limit_figures(used: Profile, name: str) -> list[ShopFigure]:
    """Return what can be set of a limit that the shop typed in."""
    entry = used.file.local_limits[name]
    held: Mapping[str, Any] = entry if isinstance(entry, Mapping) else {}
    at = ("local_limits", name)
    found = [ShopFigure((*at, key), words, None, held.get(key), str(held.get("unit", "")), sort="number", ours=True)
             for key, words in LIMIT_WORDS.items()]
    units = LIMIT_UNITS if name in substances() else {"mg/m3": LIMIT_UNITS["mg/m3"]}
    found.append(ShopFigure((*at, "unit"), "Unit", None, held.get("unit"), sort="choice", choices=units, ours=True,
                            needed=True))
    return [*found, ShopFigure((*at, "source"), "Where it is from", None, held.get("source"), ours=True)]


def new_limit(kind: str, value: float | None, unit: str) -> dict[str, Any]:
    """Return a limit as the shop file holds it; raises FinishplanError without a value."""
    if value is None:
        raise FinishplanError("the limit has no value; type one")
    return {kind: float(value), "unit": unit}


def limit_line(name: str, entry: Any) -> str:
    """Return a limit that the shop typed in, as one line."""
    if not isinstance(entry, Mapping):
        return f"{name}: {entry}"
    figures = [f"{LIMIT_WORDS[key].lower()} {entry[key]:g}" for key in LIMIT_WORDS if entry.get(key) is not None]
    source = f" ({entry['source']})" if entry.get("source") else ""
    return f"{name}: {', '.join(figures)} {entry.get('unit', '')}{source}"


def own_name(name: str, taken: list[str]) -> str:
    """Return a name that can stand among others; raises a FinishplanError where it is empty or taken."""
    plain = name.strip()
    if not plain:
        raise FinishplanError("the name is empty; type one")
    if plain in taken:
        raise FinishplanError(f"{plain} stands there already; change it where it stands")
    return plain
