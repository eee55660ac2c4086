"""A quote on two pages: options and price, then scope, film, exclusions, clauses and acceptance.

All numbers and words are those of the text and the files: rows come from the office, only the setting is here.
"""

from __future__ import annotations

from finishplan.office.quote import Quote, date_words
from finishplan.office.quote_text import kind_line, mark, sum_rows, table_rows
from finishplan.paper import pdf
from finishplan.paper.pdf_blocks import Block, Document, Section
from finishplan.wording import sentence

LAYOUT = "quote.typ"
LOUD_ROW, LOUD_SUM = "price", "Total"
"""The row of the options, and of the sums, that is read first."""
FRAMED = ("sand_through", "local_law")
"""Clauses that stand in a frame of their own, law of the place with them."""


def quote_document(quote: Quote) -> Document:
    """Return the two pages of a quote."""
    foot = " · ".join(part for part in (quote.shop_name, number_words(quote), quote.title) if part)
    return Document(f"{sentence_word(quote.kind)}: {quote.title}", quote.revision, (
        Section("quote", foot, tuple(first_page(quote))), Section("quote", foot, tuple(second_page(quote)))))


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


def first_page(quote: Quote) -> list[Block]:
    """Return who, what, for whom and when; the options side by side; the price of the chosen one."""
    shop = " · ".join(part for part in (quote.shop_name, quote.shop_place) if part) or "Our shop"
    about = quote.title if not quote.instrument else f"{quote.title} ({quote.instrument})"
    facts = [("For", quote.customer), ("Work", about), ("Day", date_words(quote.day, quote.locale)),
             ("Stands until", date_words(quote.valid_until, quote.locale))]
    blocks: list[Block] = [
        {"is": "masthead", "shop": shop, "number": number_words(quote), "kind": sentence_word(quote.kind),
         "facts": [list(fact) for fact in facts if fact[1]]},
        text(kind_line(quote)), heading("Three ways to do it"),
        {"is": "options", "header": ["", *(mark(quote, option) for option in quote.options)], "loud": LOUD_ROW,
         "rows": [[name, *cells] for name, cells in table_rows(quote)]},
        text("* This option is written out: its price below, its scope overleaf."),
    ]
    if quote.main.totals is not None:
        blocks.append({"is": "sums", "header": [f"Price of: {quote.chosen}", quote.currency], "loud": LOUD_SUM,
                       "rows": [list(row) for row in sum_rows(quote.main.totals, quote)]})
    return blocks


def second_page(quote: Quote) -> list[Block]:
    """Return scope by panel, film, exclusions, clauses, terms, and where the customer signs."""
    framed = [[clause.heading, clause.text] for clause in quote.texts if clause.id in FRAMED]
    rest = [clause for clause in quote.texts if clause.use in ("clause", "warranty", "terms") and
            clause.id not in FRAMED]
    accepted = next(clause for clause in quote.texts if clause.use == "acceptance")
    return [
        heading(f"Scope of: {quote.chosen}"),
        {"is": "pairs", "rows": [[line.panel, line.text] for line in quote.scope]},
        *(text(clause.text) for clause in quote.texts if clause.use == "scope"),
        heading("Film"),
        items([sentence(statement.text) for statement in quote.film] or ["No film is taken."]),
        *(text(clause.text) for clause in quote.texts if clause.use == "film"),
        heading("Not in the price"), text("; ".join(quote.exclusions) + "."),
        {"is": "framed", "rows": framed},
        heading("Terms"), *({"is": "clause", "label": c.heading, "text": c.text} for c in rest),
        {"is": "accept", "text": accepted.text, "fields": ["Place, date", "Name, signature"],
         "boxes": [option.name for option in quote.options if option.totals is not None]},
    ]


def heading(words: str) -> Block:
    """Return a heading."""
    return {"is": "heading", "text": words}


def text(words: str) -> Block:
    """Return a paragraph."""
    return {"is": "text", "text": words}


def items(words: list[str]) -> Block:
    """Return a list."""
    return {"is": "items", "items": words}
