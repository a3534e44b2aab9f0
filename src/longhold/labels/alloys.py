"""Bare alloys: their names in every system, their family, and the pitting resistance number."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number, optional_number
from longhold.labels.limits import limit
from longhold.model.protection import BaseMetal, Protection

__all__ = ["Alloy", "alloy_named", "alloys", "pitting_number", "protection_of_alloy", "unknown_stainless"]


@dataclass(frozen=True)
class Alloy:
    """A metal that protects itself.

    Attributes
    ----------
    grade : its name in one spelling; blank for metals without a grade here
    base_metal, family : family is shared by grades that resist alike, such as ``304 family``
    standard, form : standard that names it; what it is, in words
    pren : pitting resistance number of its typical (for A2 and A4: least) composition; None if not held
    order : place in the table, least resistant first
    """

    grade: str
    base_metal: BaseMetal
    family: str
    standard: str
    form: str
    pren: float | None
    order: int
    source: str
    mark: Mark

    @property
    def designation(self) -> str:
        """Our way of writing it."""
        metal = self.base_metal.replace("_", " ")
        return f"{metal} {self.grade}" if self.grade else metal

    @property
    def is_of_bolts(self) -> bool:
        """Whether the standard that names it is one of bolts, which says nothing of sheet, wire or bar."""
        return self.standard.startswith("ASTM F593")


def pitting_number(cr_pct: float, mo_pct: float = 0.0, n_pct: float = 0.0, w_pct: float = 0.0) -> float:
    """Pitting resistance number of a stainless steel: PREN = Cr + 3.3 Mo + 1.65 W + 16 N.

    Parameters
    ----------
    cr_pct, mo_pct, n_pct, w_pct : mass per cent [%]; 0 to 100. For ferritic grades leave nitrogen out;
        martensitic and precipitation-hardening grades have no such number

    Returns
    -------
    float : a rank for sea water and chloride, no rate; a difference of one or two means nothing

    Raises
    ------
    InputError : for a percentage outside 0 to 100

    Notes
    -----
    Source: pren-table.

    >>> round(pitting_number(22, 3.1, 0.17), 1)
    35.0
    """
    for name, value in {"Cr": cr_pct, "Mo": mo_pct, "N": n_pct, "W": w_pct}.items():
        if not 0.0 <= value <= 100.0:
            raise InputError(Problem(name, value, "must be a mass per cent between 0 and 100."))
    mo, w, n = (limit("pitting_number", name) for name in ("mo", "w", "n"))
    return cr_pct + mo * mo_pct + w * w_pct + n * n_pct


@once
def published_numbers() -> Mapping[str, Row]:
    """Pitting resistance numbers as printed, by grade, with the composition they were made from."""
    columns: dict[str, Parser] = {
        "grade": str,
        "cr_pct": optional_number,
        "mo_pct": optional_number,
        "n_pct": optional_number,
        "pren": number,
    }
    rows = load_csv("labels/pren.csv", columns, key=("grade",))
    return {row["grade"]: row for row in rows}


@once
def _rows() -> tuple[Row, ...]:
    columns = ("grade", "base_metal", "family", "standard", "form", "aliases")
    return load_csv("labels/alloys.csv", dict.fromkeys(columns, str), key=("grade", "base_metal"))


@once
def alloys() -> tuple[Alloy, ...]:
    """Every alloy, least resistant first."""
    numbers = {grade: float(row["pren"]) for grade, row in published_numbers().items()}
    return tuple(
        Alloy(
            grade=row["grade"],
            base_metal=row["base_metal"],
            family=row["family"],
            standard=row["standard"],
            form=row["form"],
            pren=numbers.get(row["grade"]),
            order=order,
            source=row["source"],
            mark=row["mark"],
        )
        for order, row in enumerate(_rows())
    )


@once
def _names() -> Mapping[str, Alloy]:
    names: dict[str, Alloy] = {}
    for row, alloy in zip(_rows(), alloys(), strict=True):
        own = [row["grade"]] if row["grade"] else [row["base_metal"]]
        for name in own + [alias for alias in row["aliases"].split(";") if alias]:
            names[name.lower().replace(" ", "")] = alloy
    return names


def alloy_named(name: str) -> Alloy | None:
    """The alloy of that name in any system: 304, S30400, 1.4301, A2, silicon_bronze; None if there is none.

    >>> alloy_named("S31600").grade
    '316'
    """
    return _names().get(name.lower().replace(" ", ""))


def protection_of_alloy(alloy: Alloy) -> Protection:
    """A part made of the alloy, without any layer.

    A standard of bolts is not its own: a grade that bolts have too may be sheet, wire or bar.
    """
    return Protection(
        designation=alloy.designation,
        base_metal=alloy.base_metal,
        grade=alloy.grade,
        standard="" if alloy.is_of_bolts else alloy.standard,
        product_form=alloy.form,
        basis="no coat: the section itself is the metal",
        source=alloy.source,
        mark=alloy.mark,
    )


def unknown_stainless() -> Protection:
    """Stainless steel whose grade nothing on the label tells."""
    return Protection(
        designation="stainless, grade not stated",
        base_metal="stainless",
        product_form="stainless steel of a grade that is not stated",
        basis="no coat: the section itself is the metal",
        source="label-itself",
        mark=Mark.VERIFIED,
    )
