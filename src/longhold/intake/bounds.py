"""Sizes that no part and no timber has: a nail a foot thick is a slip, whatever it is written in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from longhold.base.errors import Problem
from longhold.base.recent import once
from longhold.base.tables import load_csv, number
from longhold.model.structure import Structure

__all__ = ["absurd_sizes"]


class _Bound(NamedTuple):
    words: str
    least: float
    most: float


def absurd_sizes(structure: Structure) -> list[Problem]:
    """Measures of parts and timbers outside the bounds of ``tables/intake/bounds.csv`` (mark own)."""
    return [*_of_structure(structure), *_of_timbers(structure), *_of_parts(structure)]


def _of_structure(structure: Structure) -> Iterator[Problem]:
    yield from _outside("design_life_years", structure.design_life, "design_life", None)
    if structure.build_date is not None:
        yield from _outside("build_year", structure.build_date.year, "build_date", None)
    climate = structure.site.climate
    if climate is None:
        return
    for name, values in (
        ("temperature_c", climate.temperature),
        ("relative_humidity_pct", climate.relative_humidity_pct),
    ):
        many = values if isinstance(values, list) else [values]
        field = "temperature" if name == "temperature_c" else name
        outside = [one for value in many for one in _outside(name, value, f"site.climate.{field}", None)]
        yield from outside[:1]


def _of_timbers(structure: Structure) -> Iterator[Problem]:
    for name, timber in structure.timbers.items():
        field = "size" if timber.thickness is None else "thickness"
        where = f"timbers.{name}.{field}"
        yield from _outside("retention_kg_m3", timber.retention, f"timbers.{name}.retention", None)
        yield from _outside(
            "timber_thickness_mm", timber.thickness_mm, where, timber.size if field == "size" else None
        )


def _of_parts(structure: Structure) -> Iterator[Problem]:
    for i, joint in enumerate(structure.joints):
        for j, part in enumerate(joint.parts):
            for name in _MEASURES:
                value = getattr(part.measures, name)
                field = (
                    name.removesuffix("_mm")
                    if getattr(part, name.removesuffix("_mm")) is not None
                    else "size"
                )
                where = f"joints[{i}].parts[{j}].{field}"
                whose = f"(joint {joint.id!r}, part {part.id!r})"
                yield from _outside(name, value, where, part.size if field == "size" else None, whose)
            yield from _head(i, j, structure)


_MM_IN_AN_INCH = 25.4
_SIGNS = {
    "design_life_years": " years",
    "relative_humidity_pct": " %",
    "temperature_c": " °C",
    "retention_kg_m3": " kg/m³",
}
_MEASURES = ("diameter_mm", "length_mm", "head_diameter_mm", "thickness_mm")


def _head(i: int, j: int, structure: Structure) -> Iterator[Problem]:
    joint = structure.joints[i]
    part = joint.parts[j]
    head, shank = part.measures.head_diameter_mm, part.measures.diameter_mm
    if head is not None and shank is not None and head < shank:
        said = f"the head, {head:.3g} mm, is narrower than the shank, {shank:.3g} mm."
        yield Problem(
            f"joints[{i}].parts[{j}].head_diameter", None, said, f"(joint {joint.id!r}, part {part.id!r})"
        )


def _outside(
    name: str, value: float | None, where: str, size: str | None, whose: str = ""
) -> Iterator[Problem]:
    bound = _bounds()[name]
    if value is not None and not bound.least <= value <= bound.most:
        scale, unit = _unit(name, size)
        said = f"{bound.words} of {value / scale:.4g}{unit} is not possible;"
        said += f" it must lie between {bound.least / scale:.4g} and {bound.most / scale:.4g}{unit}."
        yield Problem(where, size, said, whose)


def _unit(name: str, size: str | None) -> tuple[float, str]:
    """Inside units in one of those shown, and its sign: of a length the one in which it was typed."""
    if not name.endswith("_mm"):
        return 1.0, _SIGNS.get(name, "")
    typed_in_mm = size is None or "mm" in size or "in" not in size.split()
    return (1.0, " mm") if typed_in_mm else (_MM_IN_AN_INCH, " in")


@once
def _bounds() -> Mapping[str, _Bound]:
    rows = load_csv(
        "intake/bounds.csv",
        {"measure": str, "words": str, "least": number, "most": number},
        key=("measure",),
    )
    return {row["measure"]: _Bound(row["words"], row["least"], row["most"]) for row in rows}
