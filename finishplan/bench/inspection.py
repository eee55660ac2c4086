"""Inspection before hand-over: what was agreed of each panel, what was found, and whether it is accepted.

Gloss is compared with the untouched neighbour at the angle that tells glossy faces apart; ripple, which
gloss does not see, by the image of a straight grid in the face.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import Field, ValidationError

from finishplan import reference, wording
from finishplan.bench.places import Mark, marks_of
from finishplan.errors import BadValue, UnknownName
from finishplan.models import Flag, Name, Record, Text, say_first
from finishplan.planning.gloss import gloss_ceiling_gu
from finishplan.planning.result import PanelPlan, Plan
from finishplan.survey.job import Job, Panel

ACCEPT_GU = 5.0
"""Largest difference from the untouched neighbour that is accepted, in GU (assumed)."""
OVER_AT_60_GU = 70.0
"""Where 60 degrees reads over this, 20 degrees is read. Source: ASTM D523."""
ANGLES_DEG = {20.0: "for high gloss", 60.0: "for any gloss, up to 70 GU"}
"""Angles of the gloss gauge in degrees."""
LOW_RATING = 2
"""An image rating up to this is looked at by finisher and customer together (assumed)."""
SLACK = 1e-9

IMAGE_RATINGS = {
    1: "the grid cannot be made out",
    2: "lines broken or swimming",
    3: "lines whole, waves seen at once",
    4: "lines nearly straight, waves seen when looked for",
    5: "straight as in a mirror",
}
"""Image of a straight grid in the face. The words are ours (assumed): a rating 1 to 5 is what EN 17214, procedure B,
is reported to ask; its own scale was not seen."""

STATES = {
    "not inspected": "something has not been read or rated yet",
    "read again": "a reading cannot stand as it is",
    "not accepted": "the gloss does not match its neighbour",
    "finisher decides": "it matches in gloss; something else asks for a second look",
    "accepted": "as agreed",
}
"""What an inspection says of a panel, worst first."""

LEFT = {
    "leave": "stays as it is",
    "refer": "not dealt with",
    "clean": "cleaned off only",
}
"""Repairs that leave an entry where it is, in words."""


class GlossPair(Record):
    """Gloss of the face and of its untouched neighbour, in GU, read at the same angle."""

    angle_deg: Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0, lt=90)]
    face_gu: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=200)]
    neighbour_gu: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=200)]


class Found(Record):
    """What the inspection of one panel found; None where it has not been looked at yet."""

    panel: Name
    gloss: GlossPair | None = None
    image_rating: Annotated[int, Field(strict=True, ge=1, le=5)] | None = None
    leftovers_as_agreed: Flag | None = None
    photos_after: tuple[Text, ...] = ()
    note: Text = ""
    signed: Text = ""


@dataclass(frozen=True)
class Agreed:
    """What a panel is measured by: distance and light, gloss asked for, and what stays by agreement."""

    panel: str
    seen_from: str
    distance_m: float
    light: str
    worked: bool
    target_gu: float | None
    leftovers: tuple[str, ...]
    photos_before: tuple[str, ...]


@dataclass(frozen=True)
class Inspected:
    """The verdict on one panel, with what is to be said of it."""

    panel: str
    state: str
    messages: tuple[str, ...]


def read_found(raw: Any) -> Found:
    """Return the finding in ``raw``, plain data; raises a FinishplanError for what does not fit."""
    try:
        found = Found.model_validate(raw)
    except ValidationError as error:
        raise say_first(error, raw, Found) from None
    check_angle(found)
    return found


def typed_found(panel: str, typed: Mapping[str, Any]) -> Found:
    """Return the finding of what is typed so far, field by field; gloss only once both readings are there.

    ``typed`` holds any of angle_deg, face_gu, neighbour_gu, image_rating, leftovers_as_agreed, photos_after and
    note. Raises a FinishplanError for what cannot be.
    """
    pair = {name: typed.get(name) for name in GlossPair.model_fields}
    whole = all(value is not None for value in pair.values())
    rest = {name: typed[name] for name in ("image_rating", "leftovers_as_agreed", "photos_after", "note")
            if typed.get(name) is not None}
    if "photos_after" in rest:
        rest["photos_after"] = tuple(rest["photos_after"])
    return read_found({"panel": panel, "gloss": pair if whole else None, **rest})


def check_angle(found: Found) -> None:
    """Refuse an angle that gloss is not compared at. Raises BadValue."""
    if found.gloss is not None and found.gloss.angle_deg not in ANGLES_DEG:
        raise BadValue("angle_deg", found.gloss.angle_deg, "read gloss at 20 or at 60 degrees", found.panel)


def agreed(job: Job, plan: Plan) -> tuple[Agreed, ...]:
    """Return what was agreed of every panel, in the order of the job."""
    return tuple(agreed_of(job, panel, of) for panel, of in zip(job.panels, plan.panels, strict=True))


def agreed_of(job: Job, panel: Panel, plan: PanelPlan) -> Agreed:
    """Return what was agreed of one panel."""
    view = panel.seen_from or job.seen_from
    row = next(row for row in reference.rows("viewing") if row["seen_from"] == view)
    photos = dict.fromkeys(photo for zone in panel.zones for defect in zone.defects for photo in defect.photos)
    marks = marks_of(panel, plan)
    left = [left_words(mark) for mark in marks if stays(mark)] if plan.all_go else [untouched(mark) for mark in marks]
    return Agreed(
        panel.name, view, float(row["distance_m"]), row["meaning"], plan.all_go and bool(plan.steps),
        panel.target.gloss_gu, tuple(left), tuple(photos),
    )


def stays(mark: Mark) -> bool:
    """Tell whether something of an entry is still there afterwards."""
    return mark.repair in LEFT or mark.asked == "soften"


def left_words(mark: Mark) -> str:
    """Return one entry that stays, with why."""
    why = LEFT.get(mark.repair, "softened, not gone")
    return f"{mark.letter}: {mark.words}, {mark.zone}: {why}"


def untouched(mark: Mark) -> str:
    """Return one entry of a panel that may not be worked."""
    return f"{mark.letter}: {mark.words}, {mark.zone}: not worked on"


def angle_for(gloss_at_60_gu: float) -> float:
    """Return the angle in degrees at which gloss is compared: 20 where 60 reads over 70 GU (ASTM D523).

    >>> angle_for(70.0), angle_for(70.1)
    (60.0, 20.0)
    """
    return 20.0 if gloss_at_60_gu > OVER_AT_60_GU + SLACK else 60.0


def inspect(found: Found | None, of: Agreed) -> Inspected:
    """Return the verdict on one panel.

    Gloss is accepted at ``ACCEPT_GU`` or less from the neighbour. Raises BadValue for an angle that is not read.
    """
    if found is None:
        return Inspected(of.panel, "not inspected", ("nothing has been read or rated yet",))
    check_angle(found)
    wanted = {"gloss": found.gloss, "image rating": found.image_rating}
    missing = [name for name, value in wanted.items() if value is None]
    if found.gloss is None:
        return Inspected(of.panel, "not inspected", (f"{wording.listed(missing)} not read yet",))
    again = read_again(found.gloss)
    if again:
        return Inspected(of.panel, "read again", again)
    said, state = [gloss_words(found.gloss)], "accepted"
    if abs(difference_gu(found.gloss)) > ACCEPT_GU + SLACK:
        state = "not accepted"
    looks = second_looks(found, of)
    if missing and state == "accepted":
        state, said = "not inspected", [*said, "image rating not read yet"]
    elif looks and state == "accepted":
        state = "finisher decides"
    return Inspected(of.panel, state, (*said, *looks))


def difference_gu(pair: GlossPair) -> float:
    """Return how much glossier the face is than its neighbour, in GU."""
    return pair.face_gu - pair.neighbour_gu


def gloss_words(pair: GlossPair) -> str:
    """Return the comparison in a sentence."""
    by = difference_gu(pair)
    if abs(by) < 0.05:
        beside = "the same as its neighbour"
    else:
        beside = f"{abs(by):.1f} GU {'over' if by > 0 else 'under'} its neighbour"
    return (f"{pair.face_gu:.1f} GU at {pair.angle_deg:.0f} degrees, {beside}; {ACCEPT_GU:.0f} or less is accepted")


def read_again(pair: GlossPair) -> tuple[str, ...]:
    """Return why a pair of readings cannot stand, or nothing."""
    most = max(pair.face_gu, pair.neighbour_gu)
    ceiling = gloss_ceiling_gu(angle_deg=pair.angle_deg)
    if most > ceiling + SLACK:
        return (f"{most:.1f} GU at {pair.angle_deg:.0f} degrees is more than polyester can read ({ceiling:.1f}): "
                "wipe the gauge and its tile, set it on the tile, read again",)
    if pair.angle_deg == 60.0 and angle_for(most) != 60.0:
        return (f"{most:.1f} GU at 60 degrees is over {OVER_AT_60_GU:.0f}, where faces look alike to it: "
                "read both at 20 degrees",)
    return ()


def second_looks(found: Found, of: Agreed) -> tuple[str, ...]:
    """Return what asks for a second look beside the gloss."""
    said = []
    if found.image_rating is not None and found.image_rating <= LOW_RATING:
        said.append(f"image rating {found.image_rating}, {IMAGE_RATINGS[found.image_rating]}: gloss does not see "
                    "ripple, look at it together")
    if found.leftovers_as_agreed is False:
        said.append("what stays is not as agreed: settle it with the customer")
    if of.target_gu is not None and found.gloss is not None and found.gloss.face_gu < of.target_gu - ACCEPT_GU - SLACK:
        said.append(f"{of.target_gu:.0f} GU were asked for")
    return tuple(said)


def inspect_all(job: Job, plan: Plan, found: Iterable[Found]) -> tuple[Inspected, ...]:
    """Return the verdicts on all panels; raises UnknownName for a finding on a panel that the job has not."""
    by_panel = found_by_panel(job, found)
    return tuple(inspect(by_panel.get(of.panel), of) for of in agreed(job, plan))


def found_by_panel(job: Job, found: Iterable[Found]) -> dict[str, Found]:
    """Return findings by panel, the last of each; raises UnknownName for a panel that the job has not."""
    by_panel = {one.panel: one for one in found}
    names = [panel.name for panel in job.panels]
    for name in by_panel:
        if name not in names:
            raise UnknownName("panel", name, names)
    return by_panel
