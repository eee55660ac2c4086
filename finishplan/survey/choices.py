"""The closed lists of a job file, each once: read by models, menus, error texts and tests."""

from __future__ import annotations

from finishplan import reference

FACES = {
    "flat": "flat: machine and rotary by default",
    "curved": "curved: hand block and rotary by default",
    "moulded": "moulded: all by hand",
}
POSITIONS = {"horizontal": "lies flat", "upright": "stands"}
ZONE_KINDS = {
    "field": "the open face",
    "edge": "the outer 15 mm",
    "corner": "where two edges meet",
    "curve": "a rounding",
}
THIN_KINDS = ("edge", "corner")
"""Zones whose film is thinner than the face's and whose keep is its own."""
NARROW_KINDS = ("edge", "corner", "curve")
"""Zones worked by hand, where sheets need leave and a stroke overcuts more."""
EXPOSURES = {
    "seen": "seen from where the customer looks",
    "half seen": "seen only with the whole piece",
    "hidden": "not seen",
}
WISHES = {
    "remove": "gone",
    "soften": "no longer catches or flashes",
    "leave": "stays, as agreed",
}
FINISHES = {
    "polyester": "shown to be polyester",
    "lacquer": "shown to be lacquer",
    "shellac": "shown to be shellac",
    "polyurethane": "shown to be polyurethane",
    "unknown": "not identified",
}
BUILDS = {
    "pigmented through": "colour all the way down",
    "clear over colour": "clear film over a colour coat",
    "clear over veneer": "clear film over wood",
    "unknown": "not known",
}
WORKERS = {"finisher": "signs for the work", "trainee": "works under a finisher"}
FIRST_CUTS = {
    "levels": "the first grade stays on until the defect is gone",
    "lean": "the finer grades take the last of it: less film, a finisher only",
}
FAVOURS = {
    "quick": "fewest minutes",
    "balanced": "minutes and film together",
    "keep film": "film first",
}
SITES = {"shop": "in our shop", "home": "at the customer's"}
TARGETS = {"gloss": "full gloss", "satin": "satin, named by its last sheet"}
SHEET_WAYS = {
    "machine": "random-orbit or film disc on a soft pad",
    "hand block": "cork, hard felt or acrylic block",
    "hand": "by hand",
}
COMPOUND_WAYS = {
    "wheel": "fixed buffing wheel, loose parts only",
    "rotary": "rotary polisher, wool then foam",
    "random orbit": "random-orbit polisher, foam",
    "hand": "by hand",
}
BRASS = {
    "solid": "may be polished",
    "plated": "clean only",
    "lacquered": "wash only",
    "unknown": "clean only",
}
VIEW_ORDER = ("overall", "detail", "hand", "lamp", "loupe")
"""From farthest to nearest: a defect is seen if its view stands at or before the panel's."""
VIEWS = {row["seen_from"]: row["meaning"] for row in reference.rows("viewing")}
METHODS = {row["method"]: row["where"] for row in reference.rows("film_methods")}
DEFECT_KINDS = {row["kind"]: row["meaning"] for row in reference.rows("defects")}
