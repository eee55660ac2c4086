"""Signing for a stop caution: a finisher with a PIN, as at the bench; a name alone only where no PIN was ever set."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from finishplan import wording
from finishplan.bench.new_line import CannotSign
from finishplan.errors import BadValue
from finishplan.records.bench_work import Outcome
from finishplan.records.pins import put_signing
from finishplan.records.signatures import put_signature
from finishplan.records.signers import SIGNS, guarded, left_words, vouchers
from finishplan.records.store import Store
from finishplan.safety.cautions import Caution
from finishplan.safety.sign_off import STOP, SignOff, ground_of
from finishplan.shop.shop_file import Person

GROUND = "ground"


def sign_stop(
    store: Store, job_id: str, people: Sequence[Person], caution: Caution, who: str, reason: str, pin: str,
    at: datetime,
) -> Outcome:
    """Keep a signature for a stop, with the ground it rests on; the outcome tells a wrong PIN, which is logged.

    ``who`` is one of the shop's finishers with a PIN. Where no PIN was ever set, ``who`` may be any name but that of
    one of the shop's who is no finisher. Raises CannotSign for who may not sign, and BadValue for a signature that
    says too little.
    """
    with_pin = guarded(store)
    name = signer_of(people, vouchers(store, people) if with_pin else None, who.strip(), caution.id)
    revision = store.open(job_id).revision
    one = SignOff(caution.id, name, at.date().isoformat(), reason.strip(), revision, ground_of(caution))
    with store.writing() as connection:  # the attempt and the signature: both are kept, or neither
        if with_pin:
            signing = put_signing(connection, people, name, pin, at, f"stop {caution.id}")
            if not signing.signed:
                return Outcome(False, words=signing.words)
        put_signature(connection, job_id, STOP, one.caution_id, one.name, one.reason, one.revision, at,
                      {GROUND: one.ground})
    return Outcome(True)


def signer_of(people: Sequence[Person], able: Sequence[str] | None, who: str, caution_id: str) -> str:
    """Return who signs as the store names them; raises CannotSign for who may not, BadValue for nobody.

    ``able`` are those who have a PIN to sign with; None where a name is enough.

    >>> signer_of([Person(id="F1"), Person(id="T1", role="trainee")], ["F1"], "f1", "E1")
    'F1'
    """
    if not who:
        raise BadValue("name", who, "write who signs", f"sign-off of {caution_id}")
    found = next((one for one in people if who.casefold() in (one.id.casefold(), one.name.casefold())), None)
    if found is not None and found.role != SIGNS:
        raise CannotSign(f"{found.id} is our {found.role}, and signs for no stop; ask a finisher to look and sign")
    name = who if found is None else found.id
    if able is not None and name not in able:
        may = f"{wording.listed(able, 'or')} may sign" if able else left_words()
        raise CannotSign(f"{name} has no PIN here, and a stop is signed for with one; {may}")
    return name
