"""Building models in IFC: opened with every fault of the file named, and written back as text."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from longhold.base.errors import InputError, Problem
from longhold.base.extras import lacking
from longhold.base.files import read_bytes

__all__ = ["OWN_NOTE", "OWN_SET", "IfcModel", "derived_guid", "is_own_set", "open_ifc", "text_of"]

OWN_SET = "Longhold_Forecast"
"""Name of the property set that holds findings."""

OWN_NOTE = "Written by Longhold: a computed forecast, not an inspection and not a certificate."
"""Description of every property set that Longhold writes, by which it is known again."""

_SCHEMAS = ("IFC4", "IFC4X3")
_MOST_BYTES = 400_000_000
_OURS = uuid.UUID("8d0f4c5e-6a53-5f0e-9d0c-2f6b7a1e4c90")
# a text ends at a single quote, but not at the one of \S\', a letter of the upper half of a code page
_TEXT = re.compile(rb"'(?:[^'\\]++|''|\\\\|\\S\\.|\\)*+'|/\*.*?\*/", re.DOTALL)
_INSTANCE = re.compile(rb"#(\d+)\s*=")
_STAMP = re.compile(r"\[\d{4}-\d\d-\d\d [\d:]+\]\s*|\[[A-Z]+\d+\]\s*")


@dataclass(frozen=True)
class IfcModel:
    """An opened model.

    Attributes
    ----------
    file : of the library that reads IFC
    name : file name, for messages
    schema : IFC4 or IFC4X3
    faults : what in the file was not understood whole; such a model can be read, not written back
    """

    file: Any
    name: str
    schema: str
    faults: tuple[str, ...]


def open_ifc(path: Path) -> IfcModel:
    """A model of schema IFC4 or IFC4.3 from a STEP file (``.ifc``).

    Raises
    ------
    InputError : another ending, not readable, empty, no IFC, cut short, of another schema, or the extra that
        reads it is missing
    """
    if path.suffix.lower() != ".ifc":
        do = "Save it as a STEP file, whose name ends in .ifc."
        raise InputError(Problem(str(path), None, "is not named as an IFC file.", do))
    raw = read_bytes(path, "an IFC model", "Export the model again.", most=_MOST_BYTES)
    plain = _TEXT.sub(b"''", raw)
    if not plain.lstrip(b"\xef\xbb\xbf \r\n\t").startswith(b"ISO-10303-21"):
        raise InputError(
            Problem(str(path), None, "is not an IFC file: it does not begin as a STEP file does.")
        )
    if not plain.rstrip(b" \r\n\t\0").endswith(b"END-ISO-10303-21;"):
        raise InputError(
            Problem(str(path), None, "is cut short: its end is missing.", "Export the model again.")
        )
    if plain.count(b"'") % 2:
        raise InputError(
            Problem(str(path), None, "has a text that is not closed.", "Export the model again.")
        )
    opened, log = _opened(path)
    if opened.schema not in _SCHEMAS:
        raise InputError(
            Problem(
                str(path),
                None,
                f"is of schema {opened.schema}, which is not read here.",
                "Export the model as IFC4 or IFC4.3.",
            )
        )
    return IfcModel(opened, path.name, opened.schema, _faults(log, plain, len(list(opened))))


def derived_guid(*ids: str) -> str:
    """A GlobalId that follows from ids alone: the same ids give the same one.

    >>> derived_guid("a", "b") == derived_guid("a", "b") != derived_guid("ab")
    True
    """
    import ifcopenshell.guid

    made: str = ifcopenshell.guid.compress(uuid.uuid5(_OURS, "\n".join(ids)).hex)
    return made


def is_own_set(definition: Any) -> bool:
    """Whether a property set of a model was written by Longhold."""
    return bool(definition.Name == OWN_SET or definition.Description == OWN_NOTE)


def text_of(model: IfcModel) -> str:
    """The model as a STEP file."""
    text: str = model.file.to_string()
    return text


def _opened(path: Path) -> tuple[Any, str]:
    if find_spec("ifcopenshell") is None:
        raise InputError(lacking(str(path), "ifc"))
    import ifcopenshell

    get_log: Callable[[], str] = ifcopenshell.get_log
    get_log()  # what an earlier file left there
    try:
        return ifcopenshell.open(str(path)), get_log()
    except ifcopenshell.SchemaError as error:
        known = "Export the model as IFC4 or IFC4.3 (IFC4X3_ADD2)."
        raise InputError(Problem(str(path), None, f"{_first_line(error)}.", known)) from None
    except (ifcopenshell.Error, OSError, RuntimeError, ValueError) as error:
        said = f"cannot be read as IFC: {_first_line(error)}."
        raise InputError(Problem(str(path), None, said, "Export the model again.")) from None


def _faults(log: str, plain: bytes, held: int) -> tuple[str, ...]:
    """What the library did not take from the text as it stands."""
    told = [_STAMP.sub("", line).strip() for line in log.splitlines()]
    told = [line.removeprefix("[error]").removeprefix("[warning]").strip() for line in told if line]
    written = len(set(_INSTANCE.findall(plain)))
    if written != held:
        told.append(f"{written:,} entities are written in the file, {held:,} could be read")
    return tuple(dict.fromkeys(told))


def _first_line(error: Exception) -> str:
    return (str(error).splitlines() or ["not told why"])[0].rstrip(".")
