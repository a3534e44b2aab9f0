"""The designations that the tables hold: coats, standards, and which class a size selects."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from longhold.base.marks import Mark, weakest
from longhold.base.recent import once
from longhold.base.tables import load_csv, number, optional_number
from longhold.labels.bands import ANY, Band, parse_band
from longhold.model.protection import Layer, LayerKind, Process, Protection

__all__ = [
    "Coat",
    "Standard",
    "Step",
    "by_size",
    "changed_since",
    "coats",
    "coats_of",
    "iso4042_um",
    "protection_of",
    "standards",
    "unknown_coat",
]

Counted = Literal["both", "one"]


@dataclass(frozen=True)
class Coat:
    """One row of a standard's table of coats.

    Attributes
    ----------
    designation : our way of writing it
    standard, edition : code of the standard and edition of the figures
    token : the class within the standard, as written
    item, band : kind and size of part that the row is for; blank where it is for any
    product_form, as_written, basis : in words
    counted : whether the written figure is the total of both faces or of one face
    kind, process, nominal_g_m2 ... : as in ``model.protection.Layer``
    """

    designation: str
    standard: str
    edition: str
    token: str
    item: str
    band: Band
    product_form: str
    kind: LayerKind
    process: Process
    counted: Counted
    as_written: str
    basis: str
    nominal_g_m2: float | None
    nominal_um: float | None
    least_g_m2: float | None
    least_um: float | None
    density_g_cm3: float | None
    source: str
    mark: Mark


@dataclass(frozen=True)
class Standard:
    """A standard that labels name.

    Attributes
    ----------
    key : normal spelling of its number, such as ``a653`` or ``n1461``
    code : under which the tables of coats know it
    name : as printed
    role : coating, stainless, weathering, or other (a standard of shape, strength or test)
    process : how its coats are put on; blank where it says nothing of it
    counted : both, one, or blank
    """

    key: str
    code: str
    name: str
    role: str
    process: str
    counted: str
    source: str
    mark: Mark


@dataclass(frozen=True)
class Step:
    """One line of a standard's choice of class by kind and size of part."""

    standard: str
    edition: str
    item: str
    band: Band
    length: Band
    token: str
    source: str
    mark: Mark


_COAT_COLUMNS: dict[str, Any] = {
    "designation": str,
    "standard": str,
    "edition": str,
    "token": str,
    "item": str,
    "band": parse_band,
    "product_form": str,
    "kind": str,
    "process": str,
    "counted": str,
    "as_written": str,
    "basis": str,
    "nominal_g_m2": optional_number,
    "nominal_um": optional_number,
    "least_g_m2": optional_number,
    "least_um": optional_number,
    "density_g_cm3": optional_number,
}


@once
def coats() -> tuple[Coat, ...]:
    """Every coat of every table."""
    found: list[Coat] = []
    for table in ("mill_sheet", "dipped", "deposited", "wire"):
        rows = load_csv(f"labels/{table}.csv", _COAT_COLUMNS, key=("designation",))
        found.extend(Coat(**row) for row in rows)
    return tuple(found)


@once
def coats_of(standard: str) -> tuple[Coat, ...]:
    """Every coat of one standard, by its code; '' for those that no single standard owns."""
    return tuple(coat for coat in coats() if coat.standard == standard)


@once
def standards() -> Mapping[str, Standard]:
    """Every standard by its key."""
    columns = dict.fromkeys(("key", "code", "name", "role", "process", "counted"), str)
    rows = load_csv("labels/standards.csv", columns, key=("key",))
    return {row["key"]: Standard(**row) for row in rows}


@once
def printed_name(code: str) -> str:
    """How a standard is printed, from its code."""
    if code == "A653-S2":
        return "ASTM A653/A653M, supplement S2"
    return next((standard.name for standard in standards().values() if standard.code == code), code)


@once
def _steps() -> tuple[Step, ...]:
    rows = load_csv(
        "labels/by_size.csv",
        {
            "standard": str,
            "edition": str,
            "item": str,
            "band": parse_band,
            "length": parse_band,
            "token": str,
        },
        key=("standard", "edition", "item", "band", "length"),
    )
    return tuple(Step(**row) for row in rows)


def by_size(
    standard: str, items: Iterable[str], size: Band = ANY, length: Band = ANY, edition: str = ""
) -> tuple[Step, ...]:
    """Which lines of a standard's choice may hold for a part.

    Parameters
    ----------
    standard : code, A123 or A153
    items : the standard's own categories that the part may fall under; none means any
    size : thickness or diameter [mm]; length : length [mm]
    edition : of the standard, as named on the label; blank for the newest held

    >>> [step.token for step in by_size("A153", ["fastener"], parse_band("12 mm"))]
    ['class C']
    """
    wanted = set(items)
    found = [
        step
        for step in _steps()
        if step.standard == standard
        and (not wanted or step.item in wanted)
        and step.band.meets(size)
        and step.length.meets(length)
    ]
    before = [step for step in found if step.edition.startswith("before")]
    now = [step for step in found if not step.edition.startswith("before")]
    if not before or not _is_before(edition, before[0].edition):
        return tuple(now)
    replaced = {(step.item, step.band) for step in before}
    return tuple([step for step in now if (step.item, step.band) not in replaced] + before)


def changed_since(standard: str, items: Iterable[str], size: Band) -> bool:
    """Whether an older edition asks for another class of such a part."""
    wanted = set(items)
    return any(
        step.standard == standard
        and step.edition.startswith("before")
        and (not wanted or step.item in wanted)
        and step.band.meets(size)
        for step in _steps()
    )


def _is_before(edition: str, rule: str) -> bool:
    """Whether an edition named on a label, such as 17 or 2017, is older than the rule's year."""
    digits = "".join(letter for letter in edition[:4] if letter.isdigit())
    if not digits:
        return False
    year = int(digits) if len(digits) == 4 else 2000 + int(digits[:2])
    year -= 100 if year > 2050 else 0
    return year < 2000 + int(rule.split()[-1])


@once
def _iso4042() -> Mapping[int, float]:
    return {
        row["digit"]: row["um"] for row in load_csv("labels/iso4042_codes.csv", {"digit": int, "um": number})
    }


def iso4042_um(code: str) -> float | None:
    """Thickness [um] meant by a letter code of ISO 4042:1999 such as A2K (A is zinc)."""
    return _iso4042().get(int(code[1]))


def protection_of(coat: Coat, *, step: Step | None = None) -> Protection:
    """What a coat promises for every face; ``step`` is the line of the size table that led to it."""
    layer = Layer(
        kind=coat.kind,
        process=coat.process,
        nominal_g_m2=coat.nominal_g_m2,
        least_g_m2=coat.least_g_m2,
        nominal_um=coat.nominal_um,
        least_um=coat.least_um,
        density_g_cm3=coat.density_g_cm3,
        source=coat.source,
        mark=coat.mark,
    )
    return Protection(
        designation=coat.designation,
        base_metal="carbon_steel",
        layers=(layer,),
        standard=printed_name(coat.standard),
        edition=coat.edition,
        product_form=coat.product_form,
        basis=coat.basis,
        source=step.source if step else coat.source,
        mark=weakest([coat.mark, step.mark]) if step else coat.mark,
    )


def unknown_coat(
    designation: str,
    process: Process,
    *,
    kind: LayerKind = "zinc",
    standard: str = "",
    product_form: str = "",
) -> Protection:
    """Zinc whose amount nothing on the label tells."""
    layer = Layer(kind, process, None, None, None, None, None, "label-itself", Mark.VERIFIED)
    return Protection(
        designation=designation,
        base_metal="carbon_steel",
        layers=(layer,),
        standard=printed_name(standard) if standard else "",
        product_form=product_form,
        basis="no amount is told",
        source="label-itself",
        mark=Mark.VERIFIED,
    )
