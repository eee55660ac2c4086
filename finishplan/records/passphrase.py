"""The shop's passphrase: who opens the screens from another machine types it; kept as a hash, attempts limited."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta

from argon2 import PasswordHasher

from finishplan.bench.people import HASHER
from finishplan.errors import FinishplanError
from finishplan.records import pins
from finishplan.records.store import Store

NAME = pins.NOT_A_PERSON
LEAST, MOST = 10, 200
"""Letters of a passphrase."""
IDLE = timedelta(hours=12)
"""After so long without a touch the passphrase is asked for again (assumed)."""
LEAST_DIFFERENT = 5
"""How many different letters it has at least."""


class NoSuchPassphrase(FinishplanError):
    """A passphrase that cannot be set."""


@dataclass(frozen=True)
class Entry:
    """What came of one attempt: whether it was right, and else what to say."""

    right: bool
    words: str


def check(phrase: str) -> str:
    """Return a passphrase that may be set; raises NoSuchPassphrase for another. No message repeats what was typed."""
    if not LEAST <= len(phrase) <= MOST:
        raise NoSuchPassphrase(f"a passphrase has {LEAST} to {MOST} letters; a few plain words do; type another")
    if len(set(phrase.casefold())) < LEAST_DIFFERENT:
        raise NoSuchPassphrase(f"a passphrase has {LEAST_DIFFERENT} different letters at least; type another")
    return phrase


def set_passphrase(store: Store, phrase: str, who: str, at: datetime, hasher: PasswordHasher = HASHER) -> None:
    """Keep a new passphrase; locks are lifted, and whoever is in has to type the new one."""
    pins.keep_hash(store, NAME, hasher.hash(check(phrase)), who, at)


def is_set(store: Store) -> bool:
    """Tell whether the shop has a passphrase."""
    return pins.pin_state(store, NAME).pin_hash is not None


def mark(store: Store) -> str:
    """Return a mark of the passphrase that stands, empty without one: another passphrase has another mark."""
    kept = pins.pin_state(store, NAME).pin_hash
    return hashlib.sha256(kept.encode()).hexdigest() if kept else ""


def still_in(store: Store, touched: datetime, by: str, now: datetime) -> bool:
    """Tell whether who was let in still is: touched not too long ago, and let in by the passphrase that stands."""
    standing = mark(store)
    return now - touched < IDLE and bool(standing) and by == standing


def try_passphrase(store: Store, phrase: str, at: datetime, hasher: PasswordHasher = HASHER) -> Entry:
    """Return what comes of one attempt, once it is counted; the fifth wrong one in a row locks all out for a while."""
    tried = pins.try_pin(store, NAME, phrase[:MOST], at, "to come in", hasher)
    if tried.right:
        return Entry(True, "")
    locked = tried.state.locked_until
    if locked is not None and at < locked:
        minutes = max(1, -int(-(locked - at).total_seconds() // 60))
        return Entry(False, f"Too many wrong passphrases. Nobody comes in from here for {minutes} min; "
                            "at the machine itself the screens stay open.")
    return Entry(False, "That is not the shop's passphrase.")
