"""The inspection form: per panel what was agreed, what is read and rated, what stays, photos, signature."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from finishplan import wording
from finishplan.bench.columns import fitted
from finishplan.bench.inspection import (
    ACCEPT_GU,
    ANGLES_DEG,
    IMAGE_RATINGS,
    OVER_AT_60_GU,
    Agreed,
    Found,
    Inspected,
    agreed,
    difference_gu,
    found_by_panel,
    inspect,
)
from finishplan.paper import pdf_blocks as make
from finishplan.paper.pdf_blocks import Block, Cell, Section, head_name
from finishplan.planning.gloss import gloss_ceiling_gu
from finishplan.workup import Answer

PHOTO_NAME = 60
"""Columns for the name of a photo."""
MOST_LEFT = 12
"""Leftovers with which the form of a panel still stays on one page."""
MOST_PHOTOS = 12
"""Photos named on one panel; more are counted."""


def inspection_section(
    answer: Answer, found: Sequence[Found] = (), photo_names: Mapping[str, str] | None = None
) -> Section:
    """Return the inspection form, filled in as far as ``found`` goes; raises UnknownName for a strange panel.

    ``photo_names`` are the names of photos that the job lists by their fingerprint.
    """
    by_panel = found_by_panel(answer.job, found)
    blocks = [
        make.title(f"Inspection: {answer.job.title}",
                   "Cold, clean, at the agreed distance and light, part beside part. Whoever looks writes first and "
                   "talks then."),
        make.sign(("date", 1), ("finisher", 1.5), ("customer", 1.5)),
        make.heading("How it is judged"), make.items(rules()),
    ]
    for of in agreed(answer.job, answer.plan):
        form = panel_blocks(of, by_panel.get(of.panel), photo_names or {})
        blocks += [make.group(form)] if len(of.leftovers) <= MOST_LEFT else form
    blocks += [make.heading("Accepted as it stands, with what is written above"),
               make.sign(("finisher", 1), ("date", 0.5)), make.sign(("customer", 1), ("date", 0.5))]
    return Section("Inspection", head_name(answer.job.title), tuple(blocks))


def rules() -> list[str]:
    """Return how gloss and image are judged."""
    ceilings = wording.listed(f"{gloss_ceiling_gu(angle_deg=a):.1f} at {a:.0f} degrees" for a in ANGLES_DEG)
    ratings = "; ".join(f"{number} {words}" for number, words in IMAGE_RATINGS.items())
    return [
        f"Gloss: this part beside its untouched neighbour, {ACCEPT_GU:.0f} GU or less apart is accepted. Where 60 "
        f"degrees reads over {OVER_AT_60_GU:.0f}, read both at 20 degrees (ASTM D523).",
        f"Polyester reads at most {ceilings} GU (ISO 2813); a higher reading is the gauge: set it on its tile.",
        f"Image of a straight grid, held up before the face: {ratings}.",
        "Gloss does not see ripple, the grid does not see haze: both are read.",
    ]


def panel_blocks(of: Agreed, found: Found | None, names: Mapping[str, str]) -> list[Block]:
    """Return the form of one panel."""
    asked = f"; {of.target_gu:.0f} GU asked for" if of.target_gu is not None else ""
    blocks = [make.heading(of.panel),
              make.text(f"Agreed: {of.seen_from}, from {of.distance_m:g} m: {of.light}{asked}.")]
    if of.leftovers:
        blocks += [make.text("Stays by agreement, or is not dealt with:"), make.items(of.leftovers)]
    else:
        blocks.append(make.text("Nothing is agreed to stay."))
    if not of.worked and found is None:
        blocks.append(make.text("Not worked on: looked at only for what the work beside it left there."))
    before, after = ([names.get(photo, photo) for photo in photos]
                     for photos in (of.photos_before, found.photos_after if found else ()))
    blocks += [figures_table(found), photo_table(before, after)]
    if found is not None:
        blocks += verdict_blocks(inspect(found, of), found)
        if found.signed:
            return [*blocks, make.text(f"Signed: {found.signed}.")]
    return [*blocks, make.accept_line()]


def figures_table(found: Found | None) -> Block:
    """Return gloss and image rating, read or to be read."""
    if found is None or found.gloss is None:
        gloss: list[Cell] = ["20 / 60", make.BLANK, make.BLANK, make.BLANK]
    else:
        pair = found.gloss
        gloss = [f"{pair.angle_deg:.0f}", f"{pair.face_gu:.1f}", f"{pair.neighbour_gu:.1f}",
                 wording.signed(difference_gu(pair), 1)]
    rating: Cell = "1 / 2 / 3 / 4 / 5" if found is None or found.image_rating is None else str(found.image_rating)
    return make.table(("Angle, degrees", "This part, GU", "Neighbour, GU", "Difference, GU", "Image rating"),
                      (1, 1, 1, 1, 1.2), [[*gloss, rating]])


def photo_table(before: Sequence[str], after: Sequence[str]) -> Block:
    """Return the photos by name; room to write where there are none."""
    return make.table(("Photos before", "Photos after"), (1, 1), [[photos_cell(before), photos_cell(after)]])


def photos_cell(photos: Sequence[str]) -> Cell:
    """Return photos by name, those beyond the first dozen counted."""
    if not photos:
        return make.BLANK
    more = f", and {len(photos) - MOST_PHOTOS} more" if len(photos) > MOST_PHOTOS else ""
    return ", ".join(fitted(name, PHOTO_NAME) for name in photos[:MOST_PHOTOS]) + more


def verdict_blocks(verdict: Inspected, found: Found) -> list[Block]:
    """Return the verdict in words."""
    blocks = [make.strong(f"{verdict.state.upper()}: {'; '.join(verdict.messages)}.")]
    return [*blocks, make.text(f"Note: {found.note}")] if found.note else blocks
