"""The words of a quote: scope by panel, what stays visible, film statements, and the shop's standing texts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from finishplan import reference
from finishplan.office.options import FATES, FilmOf, Option, Outcome, shown_plan
from finishplan.office.terms import QuoteTerms
from finishplan.planning.result import PanelPlan
from finishplan.survey.choices import VIEWS
from finishplan.survey.job import Job
from finishplan.wording import (
    STOPS,
    chance_words,
    counted,
    defect_words,
    film_words,
    listed,
    removal_words,
    sentence,
    worst_verdict,
)

TEXT_USES = {
    "kind": "estimate or quotation, and why",
    "scope": "how the result is judged",
    "exclusion": "what is not in the price",
    "film": "what the film figures mean",
    "clause": "sand-through, and local law",
    "warranty": "warranty and care",
    "terms": "validity, deposit, storage, changes",
    "acceptance": "signature",
}
"""What a standing text is for."""

VIEW_WORDS = {
    "overall": "2 to 3 m, the whole piece",
    "detail": "about 1 m",
    "hand": "arm's length",
    "lamp": "a low lamp",
    "loupe": "a magnifier",
}
"""Views as a customer reads them; the distances are those of the table of views."""


class Clause(NamedTuple):
    """One standing text, filled in."""

    id: str
    use: str
    heading: str
    text: str


@dataclass(frozen=True)
class Statement:
    """What is said of one panel's film."""

    film: FilmOf
    text: str


@dataclass(frozen=True)
class ScopeLine:
    """What is done on one panel."""

    panel: str
    text: str


@cache
def standing_texts() -> dict[str, Clause]:
    """Return the shipped texts by id."""
    return {row["id"]: Clause(row["id"], row["use"], row["heading"], row["text"])
            for row in reference.rows("quote_terms")}


def filled(name: str, values: Mapping[str, str] | None = None, own: str = "") -> Clause:
    """Return a standing text with its gaps filled; ``own`` is the shop's text in its place."""
    clause = standing_texts()[name]
    return clause._replace(text=own.strip() or clause.text.format(**(values or {})))


def seen_words(one: Outcome) -> str:
    """Return from where a defect that stays is seen.

    >>> seen_words(Outcome("lid", "field", "nick", "stays", "hand", False, ""))
    "from arm's length"
    """
    return "from everywhere" if one.seen_in is None else f"from {VIEW_WORDS[one.seen_in]}"


def outcome_words(outcomes: Sequence[Outcome], with_view: bool = False) -> str:
    """Return outcomes as a list by panel; empty for none."""
    parts = []
    for panel in dict.fromkeys(one.panel for one in outcomes):
        mine = [one.what + (f" ({seen_words(one)})" if with_view else "") for one in outcomes if one.panel == panel]
        parts.append(f"{panel}: {listed(dict.fromkeys(mine))}")
    return "; ".join(parts)


def words_by_view(outcomes: Sequence[Outcome]) -> str:
    """Return outcomes gathered by the place from which they are seen: shorter where many panels have the same."""
    views = dict.fromkeys(seen_words(one) for one in outcomes)
    return "; ".join(f"{view}: {outcome_words([one for one in outcomes if seen_words(one) == view])}"
                     for view in views)


def counts_words(outcomes: Sequence[Outcome]) -> str:
    """Return outcomes added up by kind over all panels; empty for none.

    >>> counts_words([Outcome(panel, "field", "nick", "goes", None, False, "", "nick", 2) for panel in ("lid", "rim")])
    '4 nicks on two panels'
    """
    kinds = dict.fromkeys(one.kind for one in outcomes)
    added = [defect_words(kind, sum(one.count for one in outcomes if one.kind == kind)) for kind in kinds]
    panels = len({one.panel for one in outcomes})
    return f"{listed(added)} on {counted(panels, 'panel')}" if added else ""


def counts_by_view(outcomes: Sequence[Outcome]) -> str:
    """Return outcomes added up by the place from which they are seen."""
    views = dict.fromkeys(seen_words(one) for one in outcomes)
    return "; ".join(f"{view}: {counts_words([one for one in outcomes if seen_words(one) == view])}" for view in views)


def film_statements(option: Option) -> tuple[Statement, ...]:
    """Return the film statement of every panel that the option works."""
    most = option.profile.policy.services_most
    return tuple(Statement(film, film_words_of(film, most)) for film in option.film if film.taken_um > 0)


def film_words_of(film: FilmOf, most: int) -> str:
    """Return one panel's film in a sentence, rounded the safe way; ``most`` is the most services ever said."""
    said = (f"{film.panel}: film now about {film_words(film.now_um)} um, we count on {film_words(film.counted_um)}; "
            f"this work takes about {removal_words(film.taken_um)}")
    if film.local_um > 0:
        said += f", where it is spotted or filled up to {removal_words(film.local_um)}"
    if film.services_before is None or film.services_after is None:
        return said
    were = "service was" if film.services_before == 1 else "services were"
    return f"{said}; {services_words(film.services_before, most)} such {were} in it, " \
           f"{services_words(film.services_after, most)} after"


def services_words(count: int, most: int) -> str:
    """Return a number of services.

    >>> services_words(0, 3), services_words(2, 3), services_words(3, 3)
    ('none', 'about 2', '3 or more')
    """
    if count <= 0:
        return "none"
    return f"about {count}" if count < most else f"{count} or more"


def scope_lines(option: Option) -> tuple[ScopeLine, ...]:
    """Return what is done on every panel of an option, and what stops it."""
    plan = shown_plan(option)
    lines = [ScopeLine(panel.name, panel_scope(panel, option.outcomes)) for panel in plan.panels]
    left_out = {one.panel for one in option.outcomes} - {panel.name for panel in plan.panels}
    return (*lines, *(ScopeLine(name, "nothing is done here") for name in sorted(left_out)))


def panel_scope(panel: PanelPlan, outcomes: Sequence[Outcome]) -> str:
    """Return what is done on one panel."""
    mine = [one for one in outcomes if one.panel == panel.name]
    parts = [work_words(panel)]
    for fate in ("goes", "softened", "cleaned", "stays"):
        what = [one.what for one in mine if one.fate == fate]
        if what:
            parts.append(f"{FATES[fate]}: {listed(dict.fromkeys(what))}")
    stop = worst_verdict(zone.verdict for zone in panel.zones)
    if stop in STOPS:
        parts.append(f"before it can start: {stop}")
    return "; ".join(parts)


def work_words(panel: PanelPlan) -> str:
    """Return how a panel is worked, without grades.

    Grades are the bench's; the customer is told sanding, buffing, spots and fills.
    """
    if not panel.sequence:
        return "not worked"
    sheets = any(step.is_sheet for step in panel.steps)
    compounds = any(not step.is_sheet for step in panel.steps)
    repairs = {d.repair for zone in panel.zones for d in zone.defects}
    finish = "satin" if panel.finish == "satin" else "full gloss"
    work = ["sanded" if sheets else "", "buffed" if compounds else ""]
    local = ["filled" if "fill" in repairs else "", "spots sanded and feathered" if "spot" in repairs else ""]
    return f"{listed([*local, *work])}, to {finish}"


def why_estimate(job: Job, option: Option) -> tuple[Clause, ...]:
    """Return why the price is an estimate; empty where it is firm."""
    reasons = []
    if job.finish_id.result != "polyester":
        reasons.append(filled("unidentified"))
    plan = shown_plan(option)
    unread = [p.name for p in plan.panels if any(z.verdict == "measure first" for z in p.zones)]
    if unread:
        reasons.append(filled("unmeasured", {"panels": listed(unread)}))
    if job.test_spot is None:
        reasons.append(Clause("no_test_spot", "kind", "No test spot", "No test spot has been made."))
    return tuple(reasons)


def kind_texts(option: Option, reasons: Sequence[Clause], terms: QuoteTerms) -> list[Clause]:
    """Return what kind of price it is, and for which panels it does not hold."""
    if any(reason.id == "no_test_spot" for reason in reasons):
        found = [filled("estimate", {"safe": share_words(terms.safe_share)})]
    else:
        found = [] if reasons else [filled("quotation")]
    found += [reason for reason in reasons if reason.id != "no_test_spot"]
    plan = shown_plan(option)
    stopped = [p.name for p in plan.panels
               if worst_verdict(z.verdict for z in p.zones) in ("not enough film", "refer")]
    if stopped:
        found.append(filled("not_done", {"panels": listed(stopped)}))
    return found


def exclusions(terms: QuoteTerms) -> tuple[str, ...]:
    """Return what is not in the price: the standing exclusions and the shop's own."""
    standing = [clause.text for clause in standing_texts().values() if clause.use == "exclusion"]
    return (*standing, *(text for text in terms.exclusions if text.strip()))


def texts_of(
    job: Job, option: Option, terms: QuoteTerms, reasons: Sequence[Clause], values: Mapping[str, str]
) -> tuple[Clause, ...]:
    """Return all standing texts of a quote in the order of the page.

    ``values`` fills validity, deposit and storage; an empty one leaves its text out. The shop's own
    sand-through, warranty and payment texts take the place of the shipped ones; local law always stays.
    """
    found = kind_texts(option, reasons, terms)
    found.append(filled("view", {"view": VIEW_WORDS.get(job.seen_from, job.seen_from)}))
    if job.view_note.strip():
        found.append(Clause("view_note", "scope", "As agreed", sentence(job.view_note)))
    if option.of_fate("softened"):
        found.append(filled("softened"))
    found += [filled("film"), filled("services", {"most": str(option.profile.policy.services_most)})]
    found += [filled("sand_through", own=terms.sand_through_text), filled("local_law")]
    found += [filled("warranty", own=terms.warranty_text), filled("care"), filled("valid", values)]
    if values.get("deposit") or terms.payment_text.strip():
        found.append(filled("deposit", values, terms.payment_text))
    if values.get("price"):
        found.append(filled("storage", values))
    found.append(filled("changes"))
    if terms.shop_text.strip():
        found.append(Clause("shop", "terms", "Our own terms", terms.shop_text.strip()))
    return (*found, filled("acceptance"))


def risk_words(option: Option) -> str:
    """Return the chance of a sand-through as it is said, or why there is none."""
    if option.sand_through is None:
        return "not worked out"
    draws = 0 if option.minute_factors is None else len(option.minute_factors)
    return chance_words(option.sand_through.chance, draws or None)


def share_words(share: float) -> str:
    """Return a share of jobs as it is said.

    >>> share_words(0.8), share_words(0.75)
    ('4 in 5', '3 in 4')
    """
    found = Fraction(share).limit_denominator(20)
    return f"{found.numerator} in {found.denominator}"


def days_words(working: int, calendar: int) -> str:
    """Return days as they are said.

    >>> days_words(5, 8)
    'five working days, ready in eight days'
    """
    return f"{counted(working, 'working day')}, ready in {counted(calendar, 'day')}"


assert set(VIEW_WORDS) == set(VIEWS), "every view has its words"
