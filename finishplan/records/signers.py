"""Who may sign: whoever is to sign for the work, and every PIN of one, is vouched for by one who signs already.

The first signer is free. From the first PIN on, a finisher with a PIN says yes by it, whichever way the change
comes in: a role, somebody new, a shop file, Undo. Where nobody is left who could say yes, a command at the machine
itself names a signer. All of it stands in the shop's history.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from argon2 import PasswordHasher
from sqlalchemy import Connection, select

from finishplan.bench.people import HASHER, person_of
from finishplan.errors import FinishplanError
from finishplan.records import pins
from finishplan.records.bodies import who_line
from finishplan.records.revisions import add_revision, body_of, document_row, revision_row
from finishplan.records.schema import pin_attempt
from finishplan.records.store import SHOP_ID, Store
from finishplan.shop.shop_edits import with_value
from finishplan.shop.shop_file import Person

SIGNS = "finisher"
"""The role that signs."""
COMMAND = "finishplan passphrase --signer"
AT_MACHINE = "at the machine"
"""Who stands in the history where the command names a signer."""


class NotVouched(FinishplanError):
    """A signer, or the PIN of one, that nobody who may has said yes to."""


def guarded(store: Store) -> bool:
    """Tell whether a signer has to be vouched for: as soon as any person of the shop was ever given a PIN."""
    asked = select(pin_attempt.c.number).where(
        pin_attempt.c.tried == pins.PIN_SET, pin_attempt.c.person != pins.NOT_A_PERSON).limit(1)
    with store.reading() as connection:
        return connection.scalar(asked) is not None


def vouchers(store: Store, people: Sequence[Person]) -> tuple[str, ...]:
    """Return who can say yes: the shop's finishers with a PIN."""
    able = pins.people_with_pins(store)
    return tuple(one.id for one in people if one.role == SIGNS and one.id in able)


def finishers(body: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the people of a shop who sign, by id.

    >>> finishers({"people": [{"id": "Ana"}, {"id": "Tom", "role": "trainee"}]})
    ('Ana',)
    """
    return tuple(str(one["id"]) for one in body.get("people") or () if one.get("role", SIGNS) == SIGNS)


def changed_words(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what a change of the shop does to those who sign, one sentence each; nothing where they stay the same.

    >>> changed_words({"people": [{"id": "Ana"}]}, {"people": [{"id": "Ben"}]})
    ('Ben will sign as a finisher.', 'Ana will sign no longer.')
    """
    was, now = finishers(before), finishers(after)
    return (*(f"{name} will sign as a finisher." for name in now if name not in was),
            *(f"{name} will sign no longer." for name in was if name not in now))


def after_undo(store: Store, redo: bool = False) -> dict[str, Any] | None:
    """Return the shop as Undo, or Redo, would leave it; None where there is nothing to undo or redo."""
    with store.reading() as connection:
        doc = document_row(connection, SHOP_ID)
        head = revision_row(connection, SHOP_ID, doc.head)
        number = head.again if redo else revision_row(connection, SHOP_ID, head.shows).parent
        return None if number is None else body_of(connection, doc, number)


def vouch(
    store: Store, people: Sequence[Person], who: str, pin: str, at: datetime, what: str,
    hasher: PasswordHasher = HASHER,
) -> None:
    """Let a finisher say yes by a PIN; the attempt is counted and told. Raises NotVouched, with what to do."""
    signing = pins.sign_with_pin(store, people, who, pin, at, what, hasher)
    if not signing.signed:
        raise NotVouched(f"{who}: {signing.words}")


def give_pin(
    store: Store, people: Sequence[Person], person: str, pin: str, by: tuple[str, str] | None, who: str,
    at: datetime, hasher: PasswordHasher = HASHER,
) -> None:
    """Keep a new PIN of one who signs; ``by`` is the finisher who says yes, with their PIN: for their own, too.

    The first PIN of a shop needs nobody. ``who`` is at the tablet. Raises NotVouched, NoSuchPin, and a
    FinishplanError for somebody who does not sign.
    """
    one = person_of(people, person)
    if one.role != SIGNS:
        raise FinishplanError(f"{one.id} is our {one.role} and signs nothing: a PIN is for a finisher")
    pins.check_pin(pin)
    if guarded(store):
        if by is None:
            raise NotVouched(f"a finisher who has a PIN says yes to the PIN of {one.id}; {left_words()}")
        vouch(store, people, by[0], by[1], at, f"PIN of {one.id}", hasher)
    teller = by[0] if by else who
    pins.set_pin(store, one.id, pin, teller, at, hasher)
    with store.writing() as connection:
        put_history(connection, f"PIN of {one.id} set by {teller}", teller, at)


def name_signer(store: Store, person: str, pin: str, at: datetime, hasher: PasswordHasher = HASHER) -> None:
    """Name a finisher and set their PIN without anybody's yes: for whoever stands at the machine itself.

    It stands in the shop's history, and among the attempts. Raises NoSuchPin.
    """
    name = who_line(person)
    if name == pins.NOT_A_PERSON:
        raise FinishplanError("that is no name of a person; give the short name that a finisher signs with")
    pins.check_pin(pin)
    body = store.shop(AT_MACHINE, at).body
    if name not in finishers(body):
        place = ("people", (("id", name),), "role")
        store.change(SHOP_ID, lambda shop: with_value(shop, place, SIGNS), AT_MACHINE, at,
                     f"{name}, {SIGNS}, named at the machine itself")
    pins.set_pin(store, name, pin, AT_MACHINE, at, hasher)
    with store.writing() as connection:
        put_history(connection, f"PIN of {name} set at the machine itself", AT_MACHINE, at)


def put_history(connection: Connection, wording: str, who: str, at: datetime) -> None:
    """Tell something in the shop's history that changes none of its values; Undo passes it by."""
    doc = document_row(connection, SHOP_ID, to_write=True)
    head = revision_row(connection, SHOP_ID, doc.head)
    add_revision(connection, doc, kind="state", wording=wording, who=who_line(who), at=at, shows=head.shows,
                 again=head.again)


def left_words() -> str:
    """Return the way that is left where nobody can say yes."""
    return f"where nobody has one any more, type at the machine itself: {COMMAND} NAME"
