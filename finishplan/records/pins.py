"""PINs of the shop's people, kept as hashes; every attempt is counted and told, right or wrong."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from argon2 import PasswordHasher
from sqlalchemy import Connection, delete, func, insert, select, update

from finishplan.bench import people as pure
from finishplan.bench.people import HASHER, Attempt, PinState, Signing, Tried
from finishplan.records.bodies import plain_line, who_line
from finishplan.records.database import one_at_a_time
from finishplan.records.schema import pin as pin_table
from finishplan.records.schema import pin_attempt
from finishplan.records.store import Store
from finishplan.shop.shop_file import Person

NOT_A_PERSON = "passphrase of the shop"
"""Stands in the place of a person among the hashes and their attempts; no person may be called so."""
PIN_SET = "set"
"""Stands among the attempts where a PIN was set; the others are those of ``people.TRIED``."""


@dataclass(frozen=True)
class AttemptLine:
    """One line of the log of attempts: whose PIN, when, what came of it, for what, and who was at the tablet."""

    person: str
    number: int
    at: datetime
    tried: str
    what: str
    who: str


def check_pin(pin: str) -> None:
    """Raise NoSuchPin for a PIN that cannot be set."""
    pure.check_pin(pin)


def set_pin(
    store: Store, person: str, pin: str, who: str, at: datetime, hasher: PasswordHasher = HASHER
) -> None:
    """Keep a new PIN of a person, given by ``who``; locks are lifted. Raises NoSuchPin, and BadValue for nobody.

    Whether ``who`` may give it is asked before: ``signers.give_pin``.
    """
    name = who_line(person)
    state = pure.set_pin(name, pin, secrets.token_bytes(pure.SALT_BYTES), hasher)
    assert state.pin_hash is not None
    keep_hash(store, name, state.pin_hash, who, at)


def keep_hash(store: Store, person: str, pin_hash: str, who: str, at: datetime) -> None:
    """Keep the hash of what a person signs with, given by ``who``; locks are lifted."""
    name, by = who_line(person), who_line(who)
    with store.writing() as connection:
        one_at_a_time(connection)
        connection.execute(delete(pin_table).where(pin_table.c.person == name))
        connection.execute(insert(pin_table).values(
            person=name, pin_hash=pin_hash, wrong=0, locked_until=None, set_by=by, set_at=at))
        _tell(connection, Attempt(name, at, PIN_SET), "", by)


def try_pin(
    store: Store, person: str, pin: str, at: datetime, what: str = "", hasher: PasswordHasher = HASHER
) -> Tried:
    """Return what one attempt leaves, once it is counted and told; ``what`` says what the PIN was typed for."""
    name = who_line(person)
    with store.writing() as connection:
        one_at_a_time(connection)
        tried = pure.try_pin(_state(connection, name), pin, at, hasher)
        _keep(connection, tried.state, tried.attempt, what)
    return tried


def sign_with_pin(
    store: Store, people: Sequence[Person], who: str, pin: str, at: datetime, what: str = "",
    hasher: PasswordHasher = HASHER,
) -> Signing:
    """Return what comes of signing with a PIN; a trainee's is not looked at. Raises UnknownName for nobody.

    The signature itself is kept by ``signatures.sign``, once this says ``signed``.
    """
    with store.writing() as connection:
        return put_signing(connection, people, who, pin, at, what, hasher)


def put_signing(
    connection: Connection, people: Sequence[Person], who: str, pin: str, at: datetime, what: str = "",
    hasher: PasswordHasher = HASHER,
) -> Signing:
    """Try a PIN as ``sign_with_pin`` does, within a transaction: with all that is kept where it is right."""
    person = pure.person_of(people, who)
    one_at_a_time(connection)
    signing = pure.sign(people, person.id, _state(connection, person.id), pin, at, hasher)
    if signing.attempt is not None:
        _keep(connection, signing.state, signing.attempt, what)
    return signing


def pin_state(store: Store, person: str) -> PinState:
    """Return what is kept of a person's PIN; an empty state where none was set."""
    with store.reading() as connection:
        return _state(connection, plain_line(person, 120))


def people_with_pins(store: Store) -> frozenset[str]:
    """Return the people who have a PIN."""
    with store.reading() as connection:
        return frozenset(connection.scalars(select(pin_table.c.person).where(pin_table.c.pin_hash.is_not(None))))


def attempts(store: Store, person: str | None = None, limit: int = 100) -> tuple[AttemptLine, ...]:
    """Return the newest lines of the log of attempts, newest first, of one person or of all."""
    asked = select(pin_attempt)
    if person is not None:
        asked = asked.where(pin_attempt.c.person == person)
    order = (pin_attempt.c.at.desc(), pin_attempt.c.number.desc(), pin_attempt.c.person)
    with store.reading() as connection:
        rows = connection.execute(asked.order_by(*order).limit(limit)).all()
    return tuple(AttemptLine(row.person, row.number, row.at, row.tried, row.what, row.who) for row in rows)


def _state(connection: Connection, person: str) -> PinState:
    row = connection.execute(select(pin_table).where(pin_table.c.person == person)).one_or_none()
    return PinState(person) if row is None else PinState(person, row.pin_hash, row.wrong, row.locked_until)


def _keep(connection: Connection, state: PinState, attempt: Attempt, what: str) -> None:
    connection.execute(update(pin_table).where(pin_table.c.person == state.person).values(
        wrong=state.wrong, locked_until=state.locked_until))
    _tell(connection, attempt, what, attempt.person)


def _tell(connection: Connection, attempt: Attempt, what: str, who: str) -> None:
    last = connection.scalar(select(func.max(pin_attempt.c.number)).where(
        pin_attempt.c.person == attempt.person)) or 0
    connection.execute(insert(pin_attempt).values(
        person=attempt.person, number=last + 1, at=attempt.at, tried=attempt.tried, what=plain_line(what), who=who))
