"""A quote on two pages: options and price, then scope, film, exclusions, clauses and acceptance.

Many panels are put in fewer words, very many in an annex that the second page names. All numbers and words are those of
the text and the files: rows come from the office, only the setting is here.
"""

from __future__ import annotations

from dataclasses import dataclass

from finishplan.bench.columns import fitted
from finishplan.office.options import FilmOf
from finishplan.office.quote import Quote, date_words
from finishplan.office.quote_text import counted_rows, kind_line, mark, short_rows, sum_rows, table_rows
from finishplan.office.quote_words import services_words
from finishplan.paper import pdf
from finishplan.paper.pdf_blocks import Block, Document, Section
from finishplan.wording import DASH, counted, film_words, removal_words, sentence

LAYOUT = "quote.typ"
FOOT = 40
"""Columns for each name in the foot of a page; in full they stand on the first."""
NO_FILM = "No film is taken."
FILM_COLUMNS = ("Film in um: now about, what we count on, what this work takes about, at spots and fills up to; times: "
                "how many such services were in it / are in it after ({most}+: {most} or more).")
RUN_COLUMNS = "In brackets: film now about, and what we count on, um."
SHORT_HEADS = ["", "now", "count on", "takes", "at spots", "times"]
COUNTED = " Damage is added up over all panels; what is done on each panel of it stands there."
"""Said where the options are put in sums."""
LOUD_ROW, LOUD_SUM = "price", "Total"
"""The row of the options, and of the sums, that is read first."""
FRAMED = ("sand_through", "local_law")
"""Clauses that stand in a frame of their own, law of the place with them."""


def quote_document(quote: Quote) -> Document:
    """Return the two pages of a quote."""
    foot = " · ".join(fitted(part, FOOT) for part in (quote.shop_name, number_words(quote), quote.title) if part)
    return Document(f"{sentence_word(quote.kind)}: {quote.title}", quote.revision, (
        Section("quote", foot, (ways(first_page(quote, table_rows(quote)), first_page(quote, short_rows(quote)),
                                     first_page(quote, counted_rows(quote), COUNTED)),)),
        Section("quote", foot, (ways(*(second_page(quote, set_as) for set_as in (
            in_full(quote), gathered(quote), run_in(quote, film_run(quote)), run_in(quote, film_blocks(quote)),
            annexed(quote)))),))))


def ways(*found: list[Block]) -> Block:
    """Return one page set in several ways: the first that fits is printed.

    The last may have an annex, which goes over as many pages as it takes. Where none fits, the first way does.
    """
    return {"is": "ways", "ways": [list(way) for way in found]}


def quote_pdf(quote: Quote, paper: str = "A4") -> bytes:
    """Return a quote as PDF, the same bytes for the same quote. Raises UnknownName for the paper and PaperError."""
    return pdf.pdf_of(quote_document(quote), paper, LAYOUT)


def quote_pictures(quote: Quote, paper: str = "A4") -> tuple[str, ...]:
    """Return the pages of a quote as SVG text, as they are printed; raises as ``quote_pdf``."""
    return pdf.pages_svg(quote_document(quote), paper, LAYOUT)


def sentence_word(word: str) -> str:
    """Return a word with a large first letter.

    >>> sentence_word("estimate")
    'Estimate'
    """
    return word[:1].upper() + word[1:]


def number_words(quote: Quote) -> str:
    """Return kind, number and revision, as far as there are any."""
    number = f"no. {quote.number}" if quote.number else "draft"
    revision = f", revision {quote.revision}" if quote.revision > 1 else ""
    return f"{sentence_word(quote.kind)} {number}{revision}"


def first_page(quote: Quote, rows: list[tuple[str, list[str]]], note: str = "") -> list[Block]:
    """Return who, what, for whom and when; the options side by side; the price of the chosen one.

    ``rows`` are those of the table of options; ``note`` says how they are put.
    """
    shop = " · ".join(part for part in (quote.shop_name, quote.shop_place) if part) or "Our shop"
    about = quote.title if not quote.instrument else f"{quote.title} ({quote.instrument})"
    facts = [("For", quote.customer), ("Work", about), ("Day", date_words(quote.day, quote.locale)),
             ("Stands until", date_words(quote.valid_until, quote.locale))]
    blocks: list[Block] = [
        {"is": "masthead", "shop": shop, "number": number_words(quote), "kind": sentence_word(quote.kind),
         "facts": [list(fact) for fact in facts if fact[1]]},
        text(kind_line(quote)), heading("Three ways to do it"),
        {"is": "options", "header": ["", *(mark(quote, option) for option in quote.options)], "loud": LOUD_ROW,
         "rows": [[name, *cells] for name, cells in rows]},
        text(f"* This option is written out: its price below, its scope overleaf.{note}"),
    ]
    if quote.main.totals is not None:
        blocks.append({"is": "sums", "header": [f"Price of: {quote.chosen}", quote.currency], "loud": LOUD_SUM,
                       "rows": [list(row) for row in sum_rows(quote.main.totals, quote)]})
    return blocks


@dataclass(frozen=True)
class SetAs:
    """How scope and film of the panels are set on the second page, and what goes into an annex."""

    scope: list[Block]
    film: list[Block]
    annex: list[Block]


def second_page(quote: Quote, set_as: SetAs) -> list[Block]:
    """Return scope by panel, film, exclusions, clauses, terms, and where the customer signs."""
    framed = [[clause.heading, clause.text] for clause in quote.texts if clause.id in FRAMED]
    rest = [clause for clause in quote.texts if clause.use in ("clause", "warranty", "terms") and
            clause.id not in FRAMED]
    accepted = next(clause for clause in quote.texts if clause.use == "acceptance")
    return [
        heading(f"Scope of: {quote.chosen}"), *set_as.scope,
        *(text(clause.text) for clause in quote.texts if clause.use == "scope"),
        heading("Film"), *set_as.film,
        *(text(clause.text) for clause in quote.texts if clause.use == "film"),
        heading("Not in the price"), text("; ".join(quote.exclusions) + "."),
        {"is": "framed", "rows": framed},
        heading("Terms"), *({"is": "clause", "label": c.heading, "text": c.text} for c in rest),
        {"is": "accept", "text": accepted.text, "fields": ["Place, date", "Name, signature"],
         "boxes": [option.name for option in quote.options if option.totals is not None]},
        *([{"is": "annex", "blocks": set_as.annex}] if set_as.annex else []),
    ]


def in_full(quote: Quote) -> SetAs:
    """Return a line a panel, and a sentence a film."""
    said = [sentence(statement.text) for statement in quote.film] or [NO_FILM]
    return SetAs([{"is": "pairs", "rows": [[line.panel, line.text] for line in quote.scope]}], [items(said)], [])


def gathered(quote: Quote) -> SetAs:
    """Return panels of the same scope in one line, and the films as a table."""
    texts = dict.fromkeys(line.text for line in quote.scope)
    rows = [["; ".join(line.panel for line in quote.scope if line.text == said), said] for said in texts]
    return SetAs([{"is": "pairs", "rows": rows}], [film_table(quote)] if quote.film else [text(NO_FILM)], [])


def run_in(quote: Quote, film: list[Block]) -> SetAs:
    """Return a paragraph a way of working, its panels in it, and the films set as ``film``."""
    texts = dict.fromkeys(line.text for line in quote.scope)
    found: dict[str, list[list[str]]] = {}
    for said in texts:
        work, _, rest = said.partition("; ")
        found.setdefault(work, []).append(["; ".join(line.panel for line in quote.scope if line.text == said), rest])
    return SetAs([{"is": "run", "label": sentence(work)[:-1], "rows": rows} for work, rows in found.items()], film, [])


def annexed(quote: Quote) -> SetAs:
    """Return that scope and film by panel stand in an annex, and the annex."""
    whole = in_full(quote).scope
    return SetAs(
        [text(f"{sentence(counted(len(quote.scope), 'panel'))[:-1]}: what is done on each of them stands in the annex "
              "after this page, which belongs to this offer.")],
        [text("The film of every panel, before and after, stands in the annex too.")],
        [heading(f"Annex to this offer. Scope of: {quote.chosen}"), *whole, heading("Film"), *film_blocks(quote)])


def film_run(quote: Quote) -> list[Block]:
    """Return the films gathered by what is taken: each panel with its film now, and what we count on."""
    most = quote.main.option.profile.policy.services_most
    found: dict[str, list[list[str]]] = {}
    for film in (statement.film for statement in quote.film):
        name, now, counted_on, takes, local = film_cells(film)
        said = f"Takes about {takes} um" + (f", at spots and fills up to {local}" if film.local_um > 0 else "")
        if film.services_before is not None and film.services_after is not None:
            said += (f"; such services: {services_words(film.services_before, most)} in it, "
                     f"{services_words(film.services_after, most)} after")
        found.setdefault(said, []).append([name, f"{now}, {counted_on}"])
    runs: list[Block] = [{"is": "run", "label": said, "rows": rows} for said, rows in found.items()]
    return [text(RUN_COLUMNS), *runs] if runs else [text(NO_FILM)]


def film_blocks(quote: Quote) -> list[Block]:
    """Return the films as a table of two panels a line, and what its columns say; for very many panels."""
    most = quote.main.option.profile.policy.services_most
    if not quote.film:
        return [text(NO_FILM)]
    rows = []
    for film in (statement.film for statement in quote.film):
        services = "/".join(DASH if count is None else services_figure(count, most)
                            for count in (film.services_before, film.services_after))
        rows.append([*film_cells(film), services])
    return [text(FILM_COLUMNS.format(most=most)),
            {"is": "film", "rows": rows, "abreast": 2, "header": SHORT_HEADS}]


def film_table(quote: Quote) -> Block:
    """Return the film statements as a table: a line a panel, those of the same figures in one."""
    most = quote.main.option.profile.policy.services_most
    lines: dict[tuple[str, ...], list[str]] = {}
    for film in (statement.film for statement in quote.film):
        services = [DASH if count is None else services_words(count, most)
                    for count in (film.services_before, film.services_after)]
        name, *figures = film_cells(film)
        lines.setdefault((*figures, *services), []).append(name)
    return {"is": "film", "rows": [["; ".join(names), *figures] for figures, names in lines.items()], "abreast": 1,
            "header": ["film, um", "now about", "we count on", "this work takes about", "at spots, fills up to",
                       "such services in it", "after"]}


def film_cells(film: FilmOf) -> list[str]:
    """Return one panel's film: now, counted on, taken, and taken at spots and fills."""
    return [film.panel, film_words(film.now_um), film_words(film.counted_um), removal_words(film.taken_um),
            removal_words(film.local_um) if film.local_um > 0 else DASH]


def services_figure(count: int, most: int) -> str:
    """Return a number of services as a figure.

    >>> services_figure(0, 3), services_figure(3, 3)
    ('0', '3+')
    """
    return f"{count}+" if count >= most else str(max(0, count))


def heading(words: str) -> Block:
    """Return a heading."""
    return {"is": "heading", "text": words}


def text(words: str) -> Block:
    """Return a paragraph."""
    return {"is": "text", "text": words}


def items(words: list[str]) -> Block:
    """Return a list."""
    return {"is": "items", "items": words}
