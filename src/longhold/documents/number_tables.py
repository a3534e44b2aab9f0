"""Tables of the numbers behind a chart, in the units of the structure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from longhold.documents.charts import Setting, capped, curve_rows
from longhold.documents.figures import film, film_cell, film_units
from longhold.documents.words import upper_first

if TYPE_CHECKING:
    from longhold.assessment.findings import FaceFinding
    from longhold.base.quantities import System
    from longhold.forecast.summary import Curve

__all__ = ["NumberTable", "face_tables", "film_rows", "film_unit_words", "strength_table"]


@dataclass(frozen=True)
class NumberTable:
    """Numbers behind a chart: age, then the early, middle and late value as shown."""

    title: str
    unit: str
    rows: tuple[tuple[float, str, str, str], ...]
    note: str = ""


def face_tables(
    face: FaceFinding, metal: str, setting: Setting, solid: float | None
) -> Iterator[NumberTable]:
    """Zinc left and metal lost of one face; never more lost than there is, which the note then tells.

    Parameters
    ----------
    face : the face
    metal : the base metal as people call it
    setting : design life and units
    solid : metal under the face until there is none [um]; None where it is not known
    """
    units = film_unit_words(setting.system)
    if face.zinc_left is not None:
        rows = film_rows(face.zinc_left, setting.design_life, setting.system)
        yield NumberTable("Zinc left", units, rows)
    lost, note = face.base_loss, ""
    if solid is not None and max(lost.p90) >= solid:
        lost, note = capped(lost, solid), f"all there is: {film(solid, setting.system)}"
    rows = film_rows(lost, setting.design_life, setting.system)
    yield NumberTable(f"{upper_first(metal)} lost", units, rows, note)


def film_unit_words(system: System) -> str:
    """Units at the head of a column of thin layers or losses, as ``film_cell`` writes them.

    >>> film_unit_words("us"), film_unit_words("si")
    ('mil (µm)', 'µm')
    """
    first, *others = (unit for unit, _ in film_units(system))
    return f"{first} ({others[0]})" if others else first


def film_rows(curve: Curve, always: float, system: System) -> tuple[tuple[float, str, str, str], ...]:
    """Rows of a curve in µm for a table of numbers, the age ``always`` among them."""
    return tuple(
        (age, film_cell(low, system, 3), film_cell(middle, system, 3), film_cell(high, system, 3))
        for age, low, middle, high in curve_rows(curve, always)
    )


def strength_table(curve: Curve, setting: Setting) -> NumberTable:
    """Strength left in per cent of new."""
    rows = tuple(
        (age, f"{100 * low:.1f} %", f"{100 * middle:.1f} %", f"{100 * high:.1f} %")
        for age, low, middle, high in curve_rows(curve, setting.design_life)
    )
    return NumberTable("Strength left", "per cent of new", rows)
