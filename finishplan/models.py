"""The edge of the house: the base of all file models, and one clear line for what does not fit them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Annotated, Any, get_args

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints, ValidationError, field_validator
from pydantic_core import ErrorDetails, PydanticCustomError

from finishplan.errors import BadValue, FinishplanError, UnknownKey, UnknownName, as_filed, shown

SMALLEST, LARGEST = 1e-6, 1e9
"""No measure of this trade, in the units of the files, lies outside these; sums stay finite inside them."""


TURNED = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
"""Letters that turn the reading direction round: with them a sheet could read otherwise than its file."""


def control_letters(text: str, but: str = "") -> bool:
    """Tell whether ``text`` holds letters that steer a terminal, break or turn a line, other than those in ``but``."""
    return any((ord(c) < 32 or 127 <= ord(c) < 160 or c in "\u2028\u2029" + TURNED) and c not in but for c in text)


def leaves(value: object) -> Iterator[object]:
    """Yield the text and numbers inside plain data; models inside look after their own."""
    if isinstance(value, Mapping):
        value = (*value, *value.values())
    if isinstance(value, (list, tuple)):
        for part in value:
            yield from leaves(part)
    else:
        yield value


def one_row(text: str) -> str:
    """Let through only text that stands in one row."""
    if control_letters(text):
        raise PydanticCustomError("letters", "control characters")
    return text


Text = Annotated[str, Field(max_length=4000)]
CurrencyCode = Annotated[str, StringConstraints(strip_whitespace=True, to_upper=True, min_length=3, max_length=3)]
"""Letters of a currency, small ones made large."""
Name = Annotated[str, Field(min_length=1, max_length=200), AfterValidator(one_row)]
Title = Annotated[str, Field(min_length=1, max_length=300), AfterValidator(one_row)]
Flag = Annotated[bool, Field(strict=True)]
Count = Annotated[int, Field(strict=True, ge=1, le=1000)]
Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Positive = Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0)]
NotNegative = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0)]
Share = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0, le=1)]


class Record(BaseModel):
    """Base of all file models: frozen, and no keys beyond those declared."""

    model_config = ConfigDict(extra="forbid", frozen=True, str_strip_whitespace=True)

    @field_validator("*")
    @classmethod
    def measurable(cls, value: Any) -> Any:
        """Refuse numbers that no measure gives and letters that no paper shows, wherever they stand."""
        for part in leaves(value):
            if isinstance(part, float) and part and not SMALLEST <= abs(part) <= LARGEST:
                raise PydanticCustomError("measure", "beyond all measure", {"value": part})
            if isinstance(part, str) and control_letters(part, but="\t\n\r"):
                raise PydanticCustomError("letters", "control characters")
        return value


def one_of(choices: Iterable[str]) -> AfterValidator:
    """Return a validator that lets through only the names in ``choices``."""
    names = tuple(choices)

    def check(value: str) -> str:
        if value not in names:
            raise PydanticCustomError("choice", "not a choice", {"choices": names})
        return value

    return AfterValidator(check)


REMEDIES = {
    "um": "give film in um, over 0 and up to 5000",
    "area_m2": "give an area in m2, over 0 and up to 50",
    "film_estimate_um": "give film in um, over 0 and up to 5000",
    "depth_um": "give one depth in um, or low, likely and high, over 0 and up to 5000",
    "count": "give a whole number from 1 to 1000",
    "panels": "a job needs at least one panel, and at most 200",
    "zones": "a panel needs at least one zone, and at most 40",
    "year": "give a whole year from 1700 to 2100",
    "x": "give a share of the drawing's width, 0 to 1",
    "y": "give a share of the drawing's height, 0 to 1",
}
"""What to do, by field, where the limits alone would not say it."""

PLACES = {
    "panels": "panel",
    "zones": "zone",
    "readings": "reading",
    "defects": "defect",
    "steps": "step",
    "tools": "tool",
    "people": "person",
    "solvents": "solvent",
    "hardware": "hardware task",
    "services": "service",
    "before": "reading before",
    "after": "reading after",
    "taxes": "tax",
    "groups": "group",
}
"""How an entry of each list is called in a message."""

SAID = {
    "depth_order": "{low}, {likely}, {high} does not rise; low must be at or under likely, and likely at or under high",
    "satin_sheet": 'finish is satin without its last sheet; add "last_sheet": "P1000", or ask for gloss',
    "gloss_sheet": "last_sheet is {sheet}, and a gloss finish has none; drop it, or ask for satin",
    "twins": "people: the id {id} stands twice; give each their own id",
}
"""Messages of the models' own checks, by type."""

OWN_REMEDIES = {
    "measure": f"no measure is that small or large; give one from {SMALLEST:f} to {LARGEST:.0f}",
    "letters": "it holds a control character, which no paper shows; type it again",
    "string_unicode": "it holds half a character; type it again",
}
"""What to do about findings that no limit of the field explains."""


def where_text(loc: tuple[int | str, ...], raw: Any) -> str:
    """Return a place as a person reads it: entries by their name, else counted from 1."""
    words: list[str] = []
    here, of_list = raw, ""
    for part in loc:
        here = step_into(here, part)
        if isinstance(part, int):
            name = here.get("name") or here.get("step") if isinstance(here, Mapping) else None
            entry = PLACES.get(of_list, of_list)
            words.append(f"{entry} {name[:60]!r}" if isinstance(name, str) and name else f"{entry} {part + 1}")
        elif part in PLACES:
            of_list = part
        elif here is not None or part in ("number", "range"):
            if part not in ("number", "range"):
                words.append(str(part))
        else:
            words.append(str(part))
    return ", ".join(words)


def step_into(here: Any, part: int | str) -> Any:
    """Return the entry ``part`` of ``here``, ``here`` itself for a union's tag, or None."""
    if part in ("number", "range"):
        return here
    try:
        return here[part]
    except (KeyError, IndexError, TypeError):
        return None


def say_first(error: ValidationError, raw: Any, model: type[BaseModel]) -> FinishplanError:
    """Return the first finding of ``error`` as a typed error of one line."""
    found = error.errors(include_url=False)
    first = next((e for e in found if e["type"] == "extra_forbidden"), found[0])
    loc = tuple(first["loc"])
    if first["type"] == "extra_forbidden":
        return UnknownKey(str(loc[-1]), known_keys(model, loc[:-1]), where_text(loc[:-1], raw))
    if first["type"] == "invalid_key":
        return BadValue("a key", loc[-1], "keys are text in quotes", where_text(loc[:-1], raw))
    named = [part for part in loc if isinstance(part, str) and part not in ("number", "range")]
    field = named[-1] if named else "a key"
    place = where_text(loc[: _last_name(loc)], raw)
    if loc and isinstance(loc[-1], int):
        place, _, field = where_text(loc, raw).rpartition(", ")
    return one_line(first, field, place, raw, loc)


def one_line(first: ErrorDetails, field: str, place: str, raw: Any, loc: tuple[int | str, ...]) -> FinishplanError:
    """Return the error for one finding that is not an unknown key."""
    kind, ctx, value = first["type"], first.get("ctx", {}), as_filed(first["input"])
    if kind == "choice":
        return UnknownName(field, ctx.get("value", value), ctx["choices"], place)
    if kind == "missing":
        return FinishplanError(f"{place + ': ' if place else ''}{field} is missing; add {field!r}")
    if kind in SAID:
        place = where_text(loc, raw)
        said = SAID[kind].format(**{name: shown(as_filed(part)) for name, part in ctx.items()})
        return FinishplanError(f"{place}: {said}" if place else said)
    if kind in OWN_REMEDIES:
        return BadValue(field, ctx.get("value", value), OWN_REMEDIES[kind], place)
    return BadValue(field, value, REMEDIES.get(field, remedy_for(kind, ctx)), place)


def _last_name(loc: tuple[int | str, ...]) -> int:
    named = [i for i, part in enumerate(loc) if isinstance(part, str) and part not in ("number", "range")]
    return named[-1] if named else 0


def remedy_for(kind: str, ctx: Mapping[str, Any]) -> str:
    """Return what to do about a pydantic finding of type ``kind`` with limits ``ctx``."""
    limits: dict[str, Callable[[], str]] = {
        "greater_than": lambda: f"give a number over {ctx['gt']:g}",
        "greater_than_equal": lambda: f"give a number of {ctx['ge']:g} or more",
        "less_than_equal": lambda: f"give a number up to {ctx['le']:.12g}",
        "less_than": lambda: f"give a number under {ctx['lt']:g}",
        "finite_number": lambda: "give a finite number",
        "string_too_short": lambda: f"letters: give at least {ctx['min_length']}",
        "string_too_long": lambda: f"letters: give at most {ctx['max_length']}",
        "too_short": lambda: f"give at least {ctx['min_length']}",
        "too_long": lambda: f"give at most {ctx['max_length']}",
        "string_type": lambda: "give text in quotes",
        "bool_type": lambda: "give true or false",
        "int_type": lambda: "give a whole number",
        "int_from_float": lambda: "give a whole number",
        "float_type": lambda: "give a number without quotes",
        "tuple_type": lambda: "give a list in [ ]",
        "model_type": lambda: "give an object in { }",
        "dict_type": lambda: "give an object in { }",
    }
    return limits.get(kind, lambda: "see the job file by example in README.md")()


def known_keys(model: type[BaseModel], loc: tuple[int | str, ...]) -> list[str]:
    """Return the keys that the model at ``loc`` inside ``model`` has."""
    here: type[BaseModel] = model
    for part in loc:
        named = {field.alias or name: field for name, field in here.model_fields.items()}
        inner = inner_model(named[part].annotation) if isinstance(part, str) and part in named else None
        here = inner or here
    return [field.alias or name for name, field in here.model_fields.items()]


def inner_model(annotation: Any) -> type[BaseModel] | None:
    """Return the first model class inside a type annotation, or None."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for part in get_args(annotation):
        found = inner_model(part)
        if found:
            return found
    return None
