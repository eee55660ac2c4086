"""What an inspection found so far, kept with the job as soon as it is typed; signed, it is a signature of its own."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from finishplan.bench.inspection import Found, read_found, typed_found
from finishplan.errors import BadValue
from finishplan.records.photos import photos_of
from finishplan.records.signatures import Signature, sign, signatures_of
from finishplan.screens.parts import kept

INSPECTION = "inspection"
Typed = dict[str, dict[str, Any]]
"""What is typed so far, field by field, by panel."""


def typed(job_id: str) -> Typed:
    """Return what is typed so far of a job's panels."""
    held = kept.store().setting(_key(job_id))
    return dict(json.loads(held)) if held else {}


def keep(job_id: str, panel: str, field: str, value: Any) -> None:
    """Keep one field of one panel; raises a FinishplanError for what cannot be."""
    held = typed(job_id)
    mine = {**held.get(panel, {}), field: value}
    typed_found(panel, mine)
    kept.store().remember(_key(job_id), json.dumps({**held, panel: mine}, sort_keys=True))


def _key(job_id: str) -> str:
    return f"inspection of {job_id}"


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


def sign_panel(job_id: str, panel: str, who: str) -> None:
    """Sign the finding of a panel as it is typed now; raises a FinishplanError where nothing is read or rated."""
    found = typed_found(panel, typed(job_id).get(panel, {}))
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
