"""A structure back to keys and values as a person writes them: only what was said, quantities with units."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel

from longhold.base.quantities import System, write_quantity
from longhold.intake.sheet_fields import FieldKind, field_kind
from longhold.model.structure import Structure

__all__ = ["described", "told_by_a_default"]


def described(structure: Structure) -> dict[str, Any]:
    """Keys and values that load as the same structure, in the units that it asks for.

    What nobody said stays unsaid, so that it is listed as an assumption again.
    """
    return _record(structure, structure.units)


def _record(record: BaseModel, system: System) -> dict[str, Any]:
    fields = type(record).model_fields
    said = {name: getattr(record, name) for name in fields if name in record.model_fields_set}
    found = {
        name: _value(value, field_kind(fields[name]), system)
        for name, value in said.items()
        if value is not None
    }
    return {name: value for name, value in found.items() if value != {} or fields[name].default is None}


def _value(value: Any, what: FieldKind, system: System) -> Any:
    if isinstance(value, BaseModel):
        return _record(value, system) or told_by_a_default(type(value))
    if isinstance(value, list):
        return [_value(one, what, system) for one in value]
    if isinstance(value, Mapping):
        return {name: _value(one, what, system) for name, one in value.items()}
    return write_quantity(value, what.dimension, system) if what.dimension else value


def told_by_a_default(record: type[BaseModel]) -> dict[str, Any]:
    """A record of which nothing was said but that it is there, by one of its defaults."""
    for name, field in record.model_fields.items():
        default = None if field.is_required() else field.default
        if isinstance(default, bool | int | float | str) and default != "":
            return {name: default}
    return {}
