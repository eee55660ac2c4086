"""The card of the film record that stays in the instrument: as data, and as plain text of 80 columns."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from finishplan import wording
from finishplan.bench.columns import WIDTH, padded, wrapped
from finishplan.bench.record import NOT_A_PROMISE, FilmRecord, ZoneRecord
from finishplan.survey.job import Instrument, Job, Service

RULE = "-" * WIDTH
BY_PLAN = "*"
"""Marks what nobody read."""


@dataclass(frozen=True)
class CardRow:
    """One zone: film now, what this service took, services left; as words, rounded the safe way."""

    panel: str
    zone: str
    film: str
    taken: str
    services: str


@dataclass(frozen=True)
class Card:
    """The card."""

    title: str
    instrument: str
    finish: str
    day: str
    by: str
    what: str
    rows: tuple[CardRow, ...]
    earlier: tuple[str, ...]
    """Earlier services, one line each, the latest first."""
    notes: tuple[str, ...]


def card_of(job: Job, record: FilmRecord) -> Card:
    """Return the card of a service; ``job`` holds the services before it."""
    notes = [
        "Film in um (1 um = 0.001 mm), the mean of a zone, rounded down; taken is rounded up.",
        f"Services left: how many like this one the film still holds; {NOT_A_PROMISE}. Read the film before any.",
    ]
    if any(zone.film_um is None or (zone.removal_um > 0 and not zone.removal_read) for zone in record.zones):
        notes.append(f"{BY_PLAN} by the plan or a guess: nobody has read it since.")
    return Card(
        job.title, instrument_words(job.instrument), f"{job.finish_id.result}, {job.build}", record.day.isoformat(),
        record.by or wording.missing("nobody is named"), record.what or "nothing was worked",
        tuple(row_of(zone) for zone in record.zones), tuple(service_words(s) for s in reversed(job.services)),
        tuple(notes),
    )


def instrument_words(instrument: Instrument) -> str:
    """Return the instrument as the card names it."""
    parts = [instrument.kind or "instrument", str(instrument.year) if instrument.year else "",
             f"no. {instrument.id}" if instrument.id else ""]
    return ", ".join(part for part in parts if part)


def row_of(zone: ZoneRecord) -> CardRow:
    """Return one zone's row."""
    film = wording.film_words(zone.known_um) + ("" if zone.film_um is not None else BY_PLAN)
    taken = wording.removal_words(zone.removal_um) + (BY_PLAN if zone.removal_um > 0 and not zone.removal_read else "")
    return CardRow(zone.panel, zone.zone, film, taken, services_words(zone))


def services_words(zone: ZoneRecord) -> str:
    """Return the services left as a range.

    >>> services_words(ZoneRecord("lid", "field", 300.0, 300.0, 3, 40.0, True, (1, 3)))
    '1 to 3'
    """
    if zone.services is None:
        return wording.missing("none done") if zone.removal_um <= 0 else wording.missing("not drawn")
    low, high = zone.services
    return f"{low}" if low == high else f"{low} to {high}"


def service_words(service: Service) -> str:
    """Return an earlier service in one line."""
    taken = [zone.removal_um for zone in service.zones if zone.removal_um]
    most = f"; most taken {wording.removal_words(max(taken))} um" if taken else ""
    by = f", by {service.by}" if service.by else ""
    return f"{service.date or wording.missing('no date')}{by}: {service.what or 'not said what'}{most}"


def card_text(card: Card) -> str:
    """Return the card as plain text, no line over 80 columns."""
    lines = ["FILM RECORD - keep this card in the instrument", RULE]
    for name, words in (("Job", card.title), ("Instrument", card.instrument), ("Finish", card.finish),
                        ("Service", f"{card.day}, by {card.by}"), ("Done", card.what)):
        lines += wrapped(words, WIDTH, f"{name + ':':<12}")
    lines += [RULE, table_line("Panel", "Zone", "Film now", "Taken", "Services left"), RULE]
    lines += [table_line(r.panel, r.zone, r.film, r.taken, r.services) for r in card.rows]
    lines += [RULE, *blocks(card.notes)]
    if card.earlier:
        lines += [RULE, "Earlier services", *blocks(card.earlier)]
    return "\n".join(lines) + "\n"


def table_line(panel: str, zone: str, film: str, taken: str, services: str) -> str:
    """Return one row of the table in its columns."""
    return (f"{padded(panel, 26)} {padded(zone, 18)} {padded(film, 9)} {padded(taken, 8)} {padded(services, 15)}"
            ).rstrip()


def blocks(texts: Iterable[str]) -> list[str]:
    """Return texts as wrapped lines, each led by a dash."""
    return [line for text in texts for line in wrapped(text, WIDTH, "- ")]
