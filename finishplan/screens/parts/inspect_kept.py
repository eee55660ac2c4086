"""What an inspection found so far: kept with the job as soon as it is typed; signed, it is a signature of its own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from finishplan.bench.inspection import Found, read_found, typed_found
from finishplan.errors import BadValue, FinishplanError
from finishplan.records.inspections import FIELDS, Held, contested, inspected, type_in, values_of
from finishplan.records.photos import photos_of
from finishplan.records.signatures import Signature, sign, signatures_of
from finishplan.screens.parts import kept

INSPECTION = "inspection"
Fields = Mapping[str, Held]
"""What is typed of one panel, by field."""


def typed(job_id: str) -> dict[str, dict[str, Any]]:
    """Return the values that stand so far, field by field, by panel."""
    return {panel: values_of(fields) for panel, fields in inspected(kept.store(), job_id).items()}


def keep(job_id: str, panel: str, field: str, value: Any, read: int = 0) -> Held:
    """Keep one field of one panel and return how it stands; ``read`` is the entry that the box showed.

    Raises a FinishplanError for what cannot be.
    """
    return type_in(kept.store(), job_id, panel, field, value, read, kept.who(), kept.now())


def signed(job_id: str) -> dict[str, Signature]:
    """Return the last signed inspection of each panel."""
    return {one.what: one for one in signatures_of(kept.store(), job_id, INSPECTION)}


def changed_since(one: Signature | None, found: Found) -> bool:
    """Tell whether something else is typed now than was signed."""
    return one is not None and read_body(one) != found


def read_body(one: Signature) -> Found:
    """Return the finding that was signed."""
    body = {**one.body, "photos_after": tuple(one.body.get("photos_after", ()))}
    return read_found(body)


def sign_panel(job_id: str, panel: str, who: str, seen: Found | None = None) -> None:
    """Sign the finding of a panel; ``seen`` is what the page showed to whoever signs.

    Raises a FinishplanError where nothing is read or rated, where two people differ, and where somebody typed
    something else meanwhile.
    """
    fields = inspected(kept.store(), job_id).get(panel, {})
    found = typed_found(panel, values_of(fields))
    open_fields = [FIELDS[name] for name in contested(fields)]
    if open_fields:
        raise FinishplanError(f"{panel}: two people typed different things for {', '.join(open_fields)}; choose first")
    if seen is not None and seen != found:
        raise FinishplanError(f"{panel}: somebody typed here meanwhile; look at it as it stands now, then sign")
    if found.gloss is None and found.image_rating is None:
        raise BadValue("inspection", "nothing", "read gloss or rate the image first", panel)
    revision, at = kept.store().open(job_id).revision, kept.now()
    sign(kept.store(), job_id, INSPECTION, panel, who, "inspected", revision, at, found.model_dump(mode="json"))


def findings(job_id: str) -> tuple[Found, ...]:
    """Return the findings of all panels as they are printed: signed ones with their signature."""
    names, last = typed(job_id), signed(job_id)
    return tuple(with_signature(typed_found(panel, fields), last.get(panel)) for panel, fields in names.items())


def with_signature(found: Found, one: Signature | None) -> Found:
    """Return a finding with who signed it and when; without where something else was signed."""
    if one is None or changed_since(one, found):
        return found
    return found.model_copy(update={"signed": f"{one.who}, {one.at.date().isoformat()}, revision {one.revision}"})


def photo_names(job_id: str) -> Mapping[str, str]:
    """Return the names of a job's photos by fingerprint."""
    return {row.digest: row.name for row in photos_of(kept.store(), job_id)}
