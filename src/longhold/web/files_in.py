"""A structure from a file that was sent to the page."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Mapping
from pathlib import Path, PurePath
from typing import Any

from longhold.base.errors import InputError, Problem
from longhold.intake.convert import FORMS
from longhold.intake.ifc_draft import draft_from_ifc
from longhold.intake.load import load_given
from longhold.intake.reading import parse_text
from longhold.intake.workbook import macro_words

__all__ = ["plain", "read_structure"]


def read_structure(name: str, raw: bytes) -> tuple[dict[str, Any], str]:
    """A structure from the bytes of a file, and a note on where it came from.

    Raises
    ------
    InputError : a kind that is not read, or something in it that cannot be used
    """
    ending = PurePath(name).suffix.lower()
    if ending not in (*FORMS, ".ifc"):
        do = "Send a structure as TOML, JSON or XLSX, or a building model as IFC."
        raise InputError(Problem("file", name, "is none of the kinds that are read.", do))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"sent{ending}"
        path.write_bytes(raw)
        try:
            if ending == ".ifc":
                return plain(parse_text(draft_from_ifc(path).text, "toml")), f"drafted from {name}"
            given = plain(load_given(path))
        except InputError as error:
            raise InputError(*(_said_of(one, str(path), name) for one in error.problems)) from None
    macros = macro_words(name, raw)
    return given, f"brought in from {name}{f'. {macros}' if macros else ''}"


def _said_of(problem: Problem, path: str, name: str) -> Problem:
    value = name if problem.value == path else problem.value
    return Problem(problem.where.replace(path, name), value, problem.allowed, problem.do)


def plain(given: Mapping[str, Any]) -> dict[str, Any]:
    """As JSON holds it: a date as text."""
    plain: dict[str, Any] = json.loads(json.dumps(given, default=str))
    return plain
