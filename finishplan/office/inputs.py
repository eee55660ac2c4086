"""What is chosen for the quote of one job: the option written out, the first day of work, terms of its own.

They stand in the job file under ``quote`` and go over the shop's terms. An edit of them is a job in, a job out.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Annotated, Any

from finishplan.errors import BadValue
from finishplan.models import Record, Text, one_of
from finishplan.office.options import OPTIONS
from finishplan.office.quote_money import checked_locale, minor_digits
from finishplan.office.terms import QuoteTerms, read_model, read_terms
from finishplan.shop.profile import Profile
from finishplan.survey.edits import Edit, EditClash

COST = "cost_per_h."
"""How the names of the costs of an hour begin, role by role."""
USUAL = "repair what shows"
"""The option that is written out where none is chosen."""
WORDS = {
    "option": "option", "start": "first day of work", "taxes": "taxes", "locale": "way of writing",
    "sand_through_text": "text on thin film", "warranty_text": "warranty", "payment_text": "payment",
    "shop_text": "our own terms",
}
"""Inputs whose name would not read well in a line of the history."""


class JobQuote(Record):
    """What a job file says of its quote; terms that are absent are the shop's."""

    option: Annotated[str, one_of(OPTIONS)] = USUAL
    start: Text | None = None
    terms: dict[str, Any] = {}


def read_inputs(raw: Mapping[str, Any]) -> JobQuote:
    """Return the inputs in ``raw``; raises a FinishplanError for an unknown option or key, or a bad day."""
    found = read_model(JobQuote, raw, "quote")
    start_of(found)
    return found


def start_of(inputs: JobQuote) -> date | None:
    """Return the first day of work, None where none is chosen. Raises BadValue for what is no day."""
    if inputs.start is None or not inputs.start.strip():
        return None
    try:
        return date.fromisoformat(inputs.start.strip())
    except ValueError:
        raise BadValue("start", inputs.start, "write the day as 2026-05-31, or leave it out", "quote") from None


def own_terms(profile: Profile, inputs: JobQuote) -> QuoteTerms:
    """Return the terms of a job's quote: its own over the shop's. Raises what ``read_terms`` raises."""
    return read_terms(laid_over(profile.file.quote, inputs.terms), profile.file)


def laid_over(under: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    """Return one set of terms over another; the cost of an hour goes role by role."""
    found = {**under, **over}
    costs = [part["cost_per_h"] for part in (under, over) if isinstance(part.get("cost_per_h"), Mapping)]
    if len(costs) > 1:
        found["cost_per_h"] = {**costs[0], **costs[1]}
    return found


def values_of(body: Mapping[str, Any], profile: Profile) -> dict[str, Any]:
    """Return every input as it stands for a job: option, first day, and each term in plain data."""
    inputs = read_inputs(body.get("quote") or {})
    terms = own_terms(profile, inputs).model_dump(mode="json")
    costs = {f"{COST}{role}": cost for role, cost in terms.pop("cost_per_h").items()}
    return {"option": inputs.option, "start": inputs.start or "", **terms, **costs}


def change_inputs(body: Mapping[str, Any], was: Mapping[str, Any], new: Mapping[str, Any], profile: Profile) -> Edit:
    """Return the job with inputs of its quote changed; what says what the shop says is not kept.

    ``was`` are the inputs as they were read (empty: changed whatever stands). Raises EditClash where another
    changed the same since, and a FinishplanError for terms that cannot be used.
    """
    stands = values_of(body, profile)
    wanted = {name: value for name, value in new.items() if not was or value != was.get(name)}
    clash = [name for name, value in wanted.items() if was and stands[name] not in (was.get(name), value)]
    if clash:
        raise EditClash(f"{word(clash[0])} was changed by somebody else since; it is {stands[clash[0]]} now")
    held = dict(body.get("quote") or {})
    shop = values_of({**body, "quote": {}}, profile)
    terms = dict(held.get("terms") or {})
    for name, value in wanted.items():
        if name in ("option", "start"):
            held[name] = value or None
        elif name.startswith(COST):
            costs = {**(terms.get("cost_per_h") or {}), name.removeprefix(COST): value}
            terms["cost_per_h"] = {role: cost for role, cost in costs.items() if cost != shop[COST + role]}
        elif value == shop[name]:
            terms.pop(name, None)
        else:
            terms[name] = value
    terms = {name: value for name, value in terms.items() if value != {}}
    kept = {name: value for name, value in {**held, "terms": terms}.items() if value not in (None, {})}
    checked(kept, profile)
    return Edit({**body, "quote": kept}, f"quote: {', '.join(map(word, wanted))} changed")


def checked(raw: Mapping[str, Any], profile: Profile) -> None:
    """Refuse inputs that no quote could be made of, currency and place of writing included."""
    check_terms(own_terms(profile, read_inputs(raw)))


def check_terms(terms: QuoteTerms) -> None:
    """Refuse terms with a currency or a place of writing that does not exist."""
    checked_locale(terms.locale)
    if terms.currency is not None:
        minor_digits(terms.currency)


def word(name: str) -> str:
    """Return how an input is called in a line of the history."""
    if name.startswith(COST):
        return f"cost of an hour of a {name.removeprefix(COST)}"
    return WORDS.get(name, name.removesuffix("_percent").replace("_", " "))
