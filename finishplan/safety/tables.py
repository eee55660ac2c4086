"""The safety tables as typed rows: substances, workplace figures, protection factors. No sums here."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from finishplan import reference
from finishplan.errors import TableError, UnknownName
from finishplan.reference import Sourced
from finishplan.safety.respirator import MASKS

FIGURES = {
    "molar_mass_g_per_mol": ("molar mass", "g/mol"),
    "liquid_sg": ("specific gravity", "g/ml"),
    "lel_percent": ("lower explosive limit", "% by volume"),
    "flash_point_c": ("flash point", "C"),
    "vapour_pressure_mmhg": ("vapour pressure", "mmHg at 20 C"),
    "idlh_ppm": ("immediately dangerous level", "ppm"),
}
"""The figures of a substance: in words, and their units."""

COLUMNS = {"flash_point_c": "flash_point_C", "vapour_pressure_mmhg": "vapour_pressure_mmHg_20C"}
"""Fields whose column in the table is written otherwise."""


ALSO_CALLED = {
    "isopropanol": "isopropyl alcohol",
    "ipa": "isopropyl alcohol",
    "propan-2-ol": "isopropyl alcohol",
    "2-propanol": "isopropyl alcohol",
    "ethyl alcohol": "ethanol",
    "propanone": "acetone",
    "mek": "methyl ethyl ketone",
    "butanone": "methyl ethyl ketone",
    "2-butanone": "methyl ethyl ketone",
    "white spirit": "mineral spirits",
    "stoddard solvent": "mineral spirits",
    "naphtha": "naphtha (VM&P)",
    "vm&p naphtha": "naphtha (VM&P)",
    "xylene": "xylenes",
    "xylol": "xylenes",
    "toluol": "toluene",
    "mekp": "methyl ethyl ketone peroxide",
    "petroleum distillates": "petroleum distillates (in compounds)",
}
"""Other names of substances in the table, in small letters (common practice). Denatured alcohol is none of
them: its data sheet says what is in it."""

TRUST = {
    "A": "the source itself, or the text of the law, was read",
    "B": "a copy, a table in somebody else's page, or an agency's page that quotes",
    "C": "from memory, or assumed",
}
"""What the trust letter beside a source says."""

NO_CARTRIDGE, NOT_SEEN = "none", "not seen"
"""Where a substance's NIOSH record lists no cartridge mask, and where it was not seen whether it does."""


@dataclass(frozen=True)
class Substance:
    """One row of the table of substances; a figure that no source gives is None."""

    name: str
    molar_mass_g_per_mol: float | None
    liquid_sg: float | None
    lel_percent: float | None
    flash_point_c: float | None
    vapour_pressure_mmhg: float | None
    idlh_ppm: float | None
    cartridges: frozenset[str]
    """Words of the NIOSH record for cartridge masks: half, full, powered; empty when none or not seen."""
    no_cartridge: bool
    """Whether the NIOSH record was seen and lists no cartridge mask."""
    no_vapour_sum: str
    """Why no vapour sum can be worked out; empty when one can."""
    source: str
    trust: str
    from_memory: frozenset[str]
    assumed: frozenset[str]
    second_hand: frozenset[str]
    """Figures of trust B in a row of trust A."""

    @property
    def cartridge_listed(self) -> bool:
        """Whether the substance's NIOSH record lists any cartridge mask at all."""
        return bool(self.cartridges)

    def figure(self, field: str) -> Sourced:
        """Return one figure with its unit, source kind and source. Raises TableError when it is blank."""
        value = getattr(self, field)
        if value is None:
            raise TableError(f"substances.csv: {self.name} has no {field}; type it in from the data sheet")
        kind = "from memory" if field in self.from_memory else "published"
        kind = "assumed" if field in self.assumed else kind
        words, unit = FIGURES[field]
        return Sourced(f"{self.name}, {words}", float(value), unit, kind, trusted(self.source, self.trust_of(field)))

    def trust_of(self, field: str) -> str:
        """Return the trust letter of one figure: C where it is from memory or assumed."""
        if field in self.from_memory | self.assumed:
            return "C"
        return "B" if field in self.second_hand else self.trust


@dataclass(frozen=True)
class WorkplaceFigure:
    """One row of the workplace table: a figure with its range, where one is printed."""

    likely: Sourced
    low: float
    high: float
    trust: str
    source: str
    """As ``likely`` has it, without the trust letter."""


@dataclass(frozen=True)
class ProtectionFactor:
    """Assigned protection factor of one kind of mask."""

    mask: str
    apf: float
    listed_as: str
    """Word by which a substance's NIOSH record lists this kind of mask."""
    trust: str
    source: str


@cache
def substances() -> dict[str, Substance]:
    """Return the table of substances by name."""
    return {row["substance"]: substance_of(row) for row in reference.rows("substances")}


def substance_of(row: dict[str, str]) -> Substance:
    """Return one row of the table as a substance; a screening figure stands in for a missing LEL."""

    def cell(field: str) -> float | None:
        return reference.number(row, COLUMNS.get(field, field))

    lel, screening = cell("lel_percent"), reference.number(row, "lel_screening_percent")
    guessed, recalled = words_of(row["fields_assumed"]), words_of(row["fields_from_memory"])
    second = words_of(row["fields_b"])
    assumed = {field for field in FIGURES if COLUMNS.get(field, field) in guessed}
    if lel is None and "lel_screening_percent" in guessed:
        assumed.add("lel_percent")
    from_memory = {field for field in FIGURES if COLUMNS.get(field, field) in recalled}
    listed = row["cartridge_listed"]
    return Substance(
        name=row["substance"],
        molar_mass_g_per_mol=cell("molar_mass_g_per_mol"),
        liquid_sg=cell("liquid_sg"),
        lel_percent=screening if lel is None else lel,
        flash_point_c=cell("flash_point_c"),
        vapour_pressure_mmhg=cell("vapour_pressure_mmhg"),
        idlh_ppm=cell("idlh_ppm"),
        cartridges=frozenset() if listed in (NO_CARTRIDGE, NOT_SEEN) else words_of(listed),
        no_cartridge=listed == NO_CARTRIDGE,
        no_vapour_sum="" if row["vapour_sum"] == "yes" else row["vapour_sum"].removeprefix("no: "),
        source=row["source"],
        trust=row["trust"],
        from_memory=frozenset(from_memory),
        assumed=frozenset(assumed),
        second_hand=frozenset(field for field in FIGURES if COLUMNS.get(field, field) in second),
    )


def trusted(source: str, trust: str) -> str:
    """Return a source with the letter that says how it was seen; SAFETY.md says what the letters mean.

    >>> trusted("2003/10/EC art. 3", "A")
    '2003/10/EC art. 3 (trust A)'
    """
    return f"{source} (trust {trust})"


def words_of(cell: str) -> frozenset[str]:
    """Return the words of a cell that lists them with semicolons."""
    return frozenset(word.strip() for word in cell.split(";") if word.strip())


def find_substance(name: str) -> Substance | None:
    """Return a substance by name, also by one of ALSO_CALLED, or None when it is not listed.

    Capitals do not matter. What is not listed needs its data sheet.

    >>> find_substance("IPA").name, find_substance("denatured alcohol")
    ('isopropyl alcohol', None)
    """
    wanted = " ".join(name.casefold().split())
    return by_small_name().get(ALSO_CALLED.get(wanted, wanted).casefold())


@cache
def by_small_name() -> dict[str, Substance]:
    """Return the table of substances by name in small letters."""
    return {name.casefold(): found for name, found in substances().items()}


@cache
def workplace(agent: str, what: str) -> WorkplaceFigure:
    """Return one figure of the workplace table. Raises TableError when the row or its number is missing."""
    for row in reference.rows("workplace"):
        if row["agent"] == agent and row["limit_or_source"] == what:
            value = reference.number(row, "value")
            if value is None:
                break
            low, high = reference.number(row, "low"), reference.number(row, "high")
            source = trusted(row["source"], row["trust"])
            sourced = Sourced(f"{agent}, {what}", value, row["unit"], row["source_kind"], source)
            low, high = (value if low is None else low), (value if high is None else high)
            return WorkplaceFigure(sourced, low, high, row["trust"], row["source"])
    raise TableError(f"workplace.csv: no figure for {agent!r}, {what!r}")


@cache
def protection_factor(mask: str) -> ProtectionFactor:
    """Return the protection factor of a mask of ``respirator.MASKS``.

    A hood counts 25: its 1,000 needs the maker's own test evidence (note 4 of the table). Raises UnknownName.
    """
    if mask not in MASKS:
        raise UnknownName("mask", mask, MASKS)
    group, facepiece, listed_as = MASKS[mask]
    for row in reference.rows("assigned_protection_factors"):
        if row["class"] == group and row["facepiece"] == facepiece:
            apf = float(row["apf"].split("/")[0])
            return ProtectionFactor(mask, apf, listed_as, row["trust"], row["source"])
    raise TableError(f"assigned_protection_factors.csv: no row for {group}, {facepiece}")
