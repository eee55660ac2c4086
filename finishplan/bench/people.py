"""Who signs: PINs kept as hashes, few attempts, every attempt told, and no signature by a trainee.

State goes in and comes out; the clock and the salt are handed in. A PIN is short: what keeps it is that few
attempts are allowed and that its hash never leaves the store.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError, VerifyMismatchError

from finishplan.errors import BadValue, FinishplanError, UnknownName
from finishplan.shop.shop_file import Person

PIN_LEAST, PIN_MOST = 4, 12
"""Digits of a PIN."""
MOST_WRONG = 5
"""Wrong PINs in a row before the name is locked (assumed)."""
LOCK_MIN = 5.0
"""Minutes of the first lock; each further wrong PIN after it doubles it (assumed)."""
LOCK_MOST_MIN = 24.0 * 60.0
SALT_BYTES = 16
HASHER = PasswordHasher()
"""argon2id with the low-memory figures of RFC 9106: 3 passes, 64 MiB, 4 lanes."""

TRIED = {
    "right": "the PIN was right",
    "wrong": "the PIN was wrong",
    "locked": "the name was locked, the PIN was not looked at",
    "no PIN": "no PIN was set",
}
"""What came of an attempt."""


class NoSuchPin(FinishplanError):
    """A PIN that cannot be set."""


@dataclass(frozen=True)
class PinState:
    """What the store keeps of one person's PIN; never exported."""

    person: str
    pin_hash: str | None = None
    wrong: int = 0
    """Wrong attempts in a row."""
    locked_until: datetime | None = None


@dataclass(frozen=True)
class Attempt:
    """One attempt, for the store's log: who, when, and what came of it; never the PIN."""

    person: str
    at: datetime
    tried: str


@dataclass(frozen=True)
class Tried:
    """What an attempt leaves: the state to keep, the line to log, and what to say."""

    state: PinState
    attempt: Attempt
    words: str

    @property
    def right(self) -> bool:
        """Whether the PIN was right."""
        return self.attempt.tried == "right"


@dataclass(frozen=True)
class Signing:
    """What came of signing: the attempt, where a PIN was looked at, and whether it is signed."""

    signed: bool
    state: PinState
    attempt: Attempt | None
    words: str


def check_pin(pin: str) -> str:
    """Return a PIN that may be set; raises NoSuchPin for another. No message repeats what was typed."""
    if not (pin.isascii() and pin.isdigit() and PIN_LEAST <= len(pin) <= PIN_MOST):
        raise NoSuchPin(f"a PIN is {PIN_LEAST} to {PIN_MOST} digits, 0 to 9; type another")
    steps = {(int(b) - int(a)) % 10 for a, b in pairwise(pin)}
    if len(steps) == 1 and steps & {0, 1, 9}:
        raise NoSuchPin("a PIN of one digit over and over, or of digits in a row, is guessed first; type another")
    return pin


def set_pin(person: str, pin: str, salt: bytes, hasher: PasswordHasher = HASHER) -> PinState:
    """Return a person's state with a new PIN, all locks lifted.

    ``salt`` is 16 random bytes, new for every PIN. Raises NoSuchPin, and BadValue for a salt of another length.
    """
    if len(salt) != SALT_BYTES:
        raise BadValue("salt", f"{len(salt)} bytes", f"hand in {SALT_BYTES} random bytes")
    return PinState(person, hasher.hash(check_pin(pin), salt=salt))


def is_right(pin_hash: str, pin: str, hasher: PasswordHasher = HASHER) -> bool:
    """Tell whether a PIN fits its hash; a damaged hash fits none."""
    try:
        return hasher.verify(pin_hash, pin)
    except (VerifyMismatchError, VerificationError, InvalidHashError):
        return False


def try_pin(state: PinState, pin: str, now: datetime, hasher: PasswordHasher = HASHER) -> Tried:
    """Return what one attempt leaves.

    While a name is locked no PIN is looked at, right or wrong. The fifth wrong PIN in a row locks for five
    minutes; from then on each wrong one locks for twice as long, up to a day. A right one starts afresh.
    """
    if state.pin_hash is None:
        words = f"{state.person} has no PIN yet; set one on the Shop page"
        return Tried(state, Attempt(state.person, now, "no PIN"), words)
    if state.locked_until is not None and now < state.locked_until:
        return Tried(state, Attempt(state.person, now, "locked"), locked_words(state, now))
    if is_right(state.pin_hash, pin, hasher):
        fresh = replace(state, wrong=0, locked_until=None)
        return Tried(fresh, Attempt(state.person, now, "right"), "")
    wrong = state.wrong + 1
    until = now + timedelta(minutes=lock_min(wrong)) if wrong >= MOST_WRONG else None
    after = replace(state, wrong=wrong, locked_until=until)
    if until is not None:
        return Tried(after, Attempt(state.person, now, "wrong"), f"wrong PIN; {locked_words(after, now)}")
    left = MOST_WRONG - wrong
    more = "one more wrong one locks the name" if left == 1 else f"{left} more wrong ones lock the name"
    return Tried(after, Attempt(state.person, now, "wrong"), f"wrong PIN; {more}")


def lock_min(wrong: int) -> float:
    """Return how long a name is locked after so many wrong PINs in a row [min].

    >>> lock_min(5), lock_min(6), lock_min(30)
    (5.0, 10.0, 1440.0)
    """
    return min(LOCK_MOST_MIN, LOCK_MIN * 2.0 ** min(wrong - MOST_WRONG, 20))


def locked_words(state: PinState, now: datetime) -> str:
    """Return how long a name is still locked."""
    assert state.locked_until is not None
    minutes = max(1, -int(-(state.locked_until - now).total_seconds() // 60))
    wait = f"{minutes} min" if minutes < 90 else f"{-(-minutes // 60)} h"
    return f"{state.person} is locked for {wait} more; somebody else may sign"


def person_of(people: Sequence[Person], who: str) -> Person:
    """Return one of the shop's people by id, else by a name that only one of them has; raises UnknownName."""
    named = [p for p in people if p.id == who] or [p for p in people if p.name == who]
    if len(named) != 1:
        raise UnknownName("person", who, [p.id for p in people], "people of the shop")
    return named[0]


def role_words(who: str, role: str) -> str:
    """Return who somebody is, and that role as the subject of what follows.

    >>> role_words("T1", "trainee"), role_words("O1", "owner")
    ('T1 is a trainee, and a trainee', 'O1 is an owner, and an owner')
    """
    one = f"{'an' if role[0] in 'aeiou' else 'a'} {role}"
    return f"{who} is {one}, and {one}"


def sign(
    people: Sequence[Person], who: str, state: PinState, pin: str, now: datetime, hasher: PasswordHasher = HASHER
) -> Signing:
    """Return what comes of signing a hold point, or a new plan, with a PIN.

    A trainee cannot sign: their PIN is not even looked at. Raises UnknownName for nobody of the shop, and
    BadValue for a state of somebody else.
    """
    person = person_of(people, who)
    if state.person != person.id:
        raise BadValue("PIN", state.person, f"hand in what is kept of {person.id}", "signing")
    if person.role != "finisher":
        words = f"{role_words(person.id, person.role)} cannot sign; ask a finisher to look and sign"
        return Signing(False, state, None, words)
    tried = try_pin(state, pin, now, hasher)
    return Signing(tried.right, tried.state, tried.attempt, tried.words)
