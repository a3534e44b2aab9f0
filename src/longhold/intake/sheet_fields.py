"""The sheets and columns of a structure workbook, derived from the model: a new field cannot be forgotten.

What a structure has once stands on the sheet Structure, one field a row. Every list of records has a sheet of
its own, one record a row; a row names the records that it belongs to by their ids.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from longhold.base.recent import once
from longhold.model.fields import dimension_in
from longhold.model.structure import Structure

__all__ = ["CONTINUED", "FieldKind", "SheetField", "SheetPlan", "field_kind", "plan"]

MAIN_SHEET = "Structure"
CONTINUED = " ({})"
"""How a text that is too long for one cell of the sheet Structure goes on in rows below it."""

Kind = Literal["text", "choice", "number", "whole", "yes_no", "date", "quantity"]


class FieldKind(NamedTuple):
    """What one field of a model holds.

    Attributes
    ----------
    kind : of one value; None for a record
    record : the model of a nested record, or of each entry of a list or table of records
    many : whether it may be a list
    one : whether it may be a single value
    by_name : whether it is a table of records by name
    dimension : of a quantity
    choices : of a choice
    """

    kind: Kind | None
    record: type[BaseModel] | None = None
    many: bool = False
    one: bool = True
    by_name: bool = False
    dimension: str = ""
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class SheetField:
    """One column of a sheet of rows, or one row of the sheet Structure.

    Attributes
    ----------
    path : below the record, such as ``layout.in_row``; the head of the column
    model, name : the model that has the field, and its name there
    what : what it holds
    needed : whether it must be given
    """

    path: str
    model: type[BaseModel]
    name: str
    what: FieldKind
    needed: bool

    @property
    def steps(self) -> tuple[str, ...]:
        """The path step by step."""
        return tuple(self.path.split("."))

    @property
    def about(self) -> FieldInfo:
        """The field as the model has it."""
        return self.model.model_fields[self.name]


@dataclass(frozen=True)
class SheetPlan:
    """One sheet of a structure workbook.

    Attributes
    ----------
    name : of the sheet
    path : of its list or table in the structure, without indices; empty for the sheet Structure
    record : model of a row
    owners : heads of the columns that name the records that a row belongs to, outermost first
    by_name : whether its records are known by a name, in a column ``name``, which is no field of theirs
    needed : whether a structure must have a row of it
    fields : its columns
    """

    name: str
    path: tuple[str, ...]
    record: type[BaseModel]
    owners: tuple[str, ...]
    by_name: bool
    needed: bool
    fields: tuple[SheetField, ...]

    @property
    def heads(self) -> tuple[str, ...]:
        """Heads of all columns."""
        return (*self.owners, *(("name",) if self.by_name else ()), *(one.path for one in self.fields))


@once
def plan() -> tuple[SheetPlan, ...]:
    """Every sheet of a structure workbook, the sheet Structure first.

    >>> [sheet.name for sheet in plan()]
    ['Structure', 'Near', 'Timbers', 'Joints', 'Parts']
    """
    main = SheetPlan(MAIN_SHEET, (), Structure, (), False, True, tuple(_fields(Structure)))
    return main, *_sheets(Structure, (), (), True)


def _sheets(
    model: type[BaseModel], path: tuple[str, ...], owners: tuple[str, ...], needed: bool
) -> Iterator[SheetPlan]:
    for name, field in model.model_fields.items():
        what, here, must = field_kind(field), (*path, name), needed and field.is_required()
        if what.record is None:
            continue
        if what.many or what.by_name:
            fields = tuple(_fields(what.record))
            yield SheetPlan(name.capitalize(), here, what.record, owners, what.by_name, must, fields)
            yield from _sheets(what.record, here, (*owners, name.removesuffix("s")), must)
        else:
            yield from _sheets(what.record, here, owners, must)


def _fields(model: type[BaseModel], before: str = "", needed: bool = True) -> Iterator[SheetField]:
    for name, field in model.model_fields.items():
        what, path = field_kind(field), f"{before}{name}"
        must = needed and field.is_required()
        if what.record is None:
            yield SheetField(path, model, name, what, must)
        elif not (what.many or what.by_name):
            yield from _fields(what.record, f"{path}.", must)


def field_kind(field: FieldInfo) -> FieldKind:
    """What a field holds.

    Raises
    ------
    TypeError : a type that no cell holds; our fault, and found by the tests
    """
    return _kind(field.annotation, dimension_in(None, field.metadata))


def _kind(annotation: Any, measured: str = "") -> FieldKind:
    origin, args = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _kind(args[0], dimension_in(None, args[1:]) or measured)
    if origin in (Union, UnionType):
        return _joined([_kind(one, measured) for one in args if one is not NoneType])
    if origin is list:
        return _kind(args[0])._replace(many=True, one=False)
    if origin is dict:
        return _kind(args[1])._replace(by_name=True)
    if origin is Literal:
        return FieldKind("choice", choices=tuple(args))
    if measured:
        return FieldKind("quantity", dimension=measured)
    if annotation in _PLAIN:
        return FieldKind(_PLAIN[annotation])
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return FieldKind(None, record=annotation)
    raise TypeError(f"no cell holds {annotation}")


_PLAIN: dict[Any, Kind] = {
    str: "text",
    bool: "yes_no",
    int: "whole",
    float: "number",
    datetime.date: "date",
}


def _joined(branches: list[FieldKind]) -> FieldKind:
    """A value, or a list of such values."""
    first = branches[0]
    if any(one._replace(many=False, one=True) != first._replace(many=False, one=True) for one in branches):
        raise TypeError(f"no cell holds one of {branches}")
    return first._replace(many=any(one.many for one in branches), one=any(one.one for one in branches))
