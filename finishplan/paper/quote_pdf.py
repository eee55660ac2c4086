"""A quote on two pages: options and price, then scope, film, exclusions, clauses and acceptance.

All numbers and words are those of the text and the files: rows come from the office, only the setting is here.
"""

from __future__ import annotations

from finishplan.office.quote import Quote, date_words
from finishplan.office.quote_text import kind_line, mark, short_rows, sum_rows, table_rows
from finishplan.office.quote_words import services_words
from finishplan.paper import pdf
from finishplan.paper.pdf_blocks import Block, Document, Section
from finishplan.wording import DASH, film_words, removal_words, sentence

LAYOUT = "quote.typ"
LOUD_ROW, LOUD_SUM = "price", "Total"
"""The row of the options, and of the sums, that is read first."""
FRAMED = ("sand_through", "local_law")
"""Clauses that stand in a frame of their own, law of the place with them."""


def quote_document(quote: Quote) -> Document:
    """Return the two pages of a quote."""
    foot = " · ".join(part for part in (quote.shop_name, number_words(quote), quote.title) if part)
    return Document(f"{sentence_word(quote.kind)}: {quote.title}", quote.revision, (
        Section("quote", foot, (ways(first_page(quote), first_page(quote, short=True)),)),
        Section("quote", foot, (ways(second_page(quote), second_page(quote, short=True)),))))


def ways(*found: list[Block]) -> Block:
    """Return one page set in several ways: the first that fits is printed, else the last over several pages."""
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


def first_page(quote: Quote, short: bool = False) -> list[Block]:
    """Return who, what, for whom and when; the options side by side; the price of the chosen one.

    ``short`` says the same of many panels in fewer words.
    """
    shop = " · ".join(part for part in (quote.shop_name, quote.shop_place) if part) or "Our shop"
    about = quote.title if not quote.instrument else f"{quote.title} ({quote.instrument})"
    facts = [("For", quote.customer), ("Work", about), ("Day", date_words(quote.day, quote.locale)),
             ("Stands until", date_words(quote.valid_until, quote.locale))]
    rows = short_rows(quote) if short else table_rows(quote)
    blocks: list[Block] = [
        {"is": "masthead", "shop": shop, "number": number_words(quote), "kind": sentence_word(quote.kind),
         "facts": [list(fact) for fact in facts if fact[1]]},
        text(kind_line(quote)), heading("Three ways to do it"),
        {"is": "options", "header": ["", *(mark(quote, option) for option in quote.options)], "loud": LOUD_ROW,
         "rows": [[name, *cells] for name, cells in rows]},
        text("* This option is written out: its price below, its scope overleaf."),
    ]
    if quote.main.totals is not None:
        blocks.append({"is": "sums", "header": [f"Price of: {quote.chosen}", quote.currency], "loud": LOUD_SUM,
                       "rows": [list(row) for row in sum_rows(quote.main.totals, quote)]})
    return blocks


def second_page(quote: Quote, short: bool = False) -> list[Block]:
    """Return scope by panel, film, exclusions, clauses, terms, and where the customer signs; ``short`` as before."""
    framed = [[clause.heading, clause.text] for clause in quote.texts if clause.id in FRAMED]
    rest = [clause for clause in quote.texts if clause.use in ("clause", "warranty", "terms") and
            clause.id not in FRAMED]
    accepted = next(clause for clause in quote.texts if clause.use == "acceptance")
    said = [sentence(statement.text) for statement in quote.film] or ["No film is taken."]
    return [
        heading(f"Scope of: {quote.chosen}"),
        {"is": "pairs", "rows": gathered(quote) if short else [[line.panel, line.text] for line in quote.scope]},
        *(text(clause.text) for clause in quote.texts if clause.use == "scope"),
        heading("Film"), film_table(quote) if short and quote.film else items(said),
        *(text(clause.text) for clause in quote.texts if clause.use == "film"),
        heading("Not in the price"), text("; ".join(quote.exclusions) + "."),
        {"is": "framed", "rows": framed},
        heading("Terms"), *({"is": "clause", "label": c.heading, "text": c.text} for c in rest),
        {"is": "accept", "text": accepted.text, "fields": ["Place, date", "Name, signature"],
         "boxes": [option.name for option in quote.options if option.totals is not None]},
    ]


def gathered(quote: Quote) -> list[list[str]]:
    """Return the scope with panels of the same scope in one row."""
    texts = dict.fromkeys(line.text for line in quote.scope)
    return [["; ".join(line.panel for line in quote.scope if line.text == said), said] for said in texts]


def film_table(quote: Quote) -> Block:
    """Return the film statements as a table: a line a panel."""
    most = quote.main.option.profile.policy.services_most
    rows = []
    for film in (statement.film for statement in quote.film):
        services = [DASH if count is None else services_words(count, most)
                    for count in (film.services_before, film.services_after)]
        rows.append([film.panel, film_words(film.now_um), film_words(film.counted_um), removal_words(film.taken_um),
                     removal_words(film.local_um) if film.local_um > 0 else DASH, *services])
    return {"is": "film", "rows": rows, "header": [
        "film, um", "now about", "we count on", "this work takes about", "at spots, fills up to",
        "such services in it", "after"]}


def heading(words: str) -> Block:
    """Return a heading."""
    return {"is": "heading", "text": words}


def text(words: str) -> Block:
    """Return a paragraph."""
    return {"is": "text", "text": words}


def items(words: list[str]) -> Block:
    """Return a list."""
    return {"is": "items", "items": words}
