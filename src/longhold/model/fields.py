"""Field types that people fill in: quantities with units, and a base for frozen models."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Annotated, Any, get_args, get_origin

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PlainSerializer, WithJsonSchema

from longhold.base.quantities import DIMENSIONS, parse_quantity, plain_digits

__all__ = [
    "Concentration",
    "Deposition",
    "Distance",
    "Elevation",
    "Film",
    "Force",
    "Length",
    "Measured",
    "Record",
    "Retention",
    "Stress",
    "Temperature",
    "Years",
    "assumed",
    "dimension_in",
    "dimension_of",
]


class Record(BaseModel):
    """A frozen record that refuses unknown fields, lax types and numbers that are not finite."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


def assumed(default: Any, because: str, **kwargs: Any) -> Any:
    """A field whose default is an assumption: listed in the result wherever the user did not set it."""
    return Field(default=default, json_schema_extra={"assumed_because": because}, **kwargs)


@dataclass(frozen=True)
class Measured:
    """Marks a field that holds a quantity, for those who walk over the fields of a record.

    Attributes
    ----------
    dimension : a key of ``DIMENSIONS``
    """

    dimension: str


def _quantity(dimension: str, positive: bool = True) -> Any:
    rule = DIMENSIONS[dimension]

    def read(value: Any) -> float:
        if isinstance(value, _Inside):
            return float(value)
        return parse_quantity(value, dimension, positive=positive)

    return (
        Measured(dimension),
        BeforeValidator(read),
        PlainSerializer(partial(_written, unit=rule.inside.replace("**", "")), return_type=str),
        WithJsonSchema(
            {
                "type": "string",
                "description": f"number with unit, such as {rule.examples}",
                "examples": json.loads(f"[{rule.examples}]"),
            }
        ),
    )


def dimension_of(record: Record, name: str) -> str:
    """Dimension of a field that holds a quantity, or a list of them; empty for any other field or no value.

    >>> from longhold.model.site import Nearby
    >>> near = Nearby(setting="salted_road", distance="20 m")
    >>> dimension_of(near, "distance"), dimension_of(near, "setting")
    ('distance_m', '')
    """
    value = getattr(record, name)
    if isinstance(value, list):
        value = value[0] if value else None
    field = type(record).model_fields[name]
    return dimension_in(field.annotation, field.metadata) if isinstance(value, float) else ""


def dimension_in(annotation: Any, metadata: Sequence[Any] = ()) -> str:
    """Dimension that a type of a field is marked with, its own or that of what it holds; empty for none.

    >>> dimension_in(list[Length] | Length | None), dimension_in(float)
    ('length_mm', '')
    """
    own = (one.dimension for one in metadata if isinstance(one, Measured))
    if get_origin(annotation) is Annotated:
        annotation, *marks = get_args(annotation)
        return dimension_in(annotation, marks)
    held = (dimension_in(one) for one in get_args(annotation))
    return next(filter(None, (*own, *held)), "")


class _Inside(float):
    """A number already in the inside unit."""


def _written(value: float | None, unit: str) -> str | None:
    return None if value is None else f"{plain_digits(value)} {unit}"


Length = Annotated[float, *_quantity("length_mm")]
Film = Annotated[float, *_quantity("film_um")]
Distance = Annotated[float, *_quantity("distance_m", positive=False)]
Elevation = Annotated[float, *_quantity("elevation_m", positive=False)]
Retention = Annotated[float, *_quantity("retention_kg_m3")]
Force = Annotated[float, *_quantity("force_n")]
Stress = Annotated[float, *_quantity("stress_mpa")]
Years = Annotated[float, *_quantity("time_years")]
Temperature = Annotated[float, *_quantity("temperature_c", positive=False)]
Deposition = Annotated[float, *_quantity("deposition_mg_m2_d", positive=False)]
Concentration = Annotated[float, *_quantity("concentration_ug_m3", positive=False)]
