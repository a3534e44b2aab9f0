"""A structure file in another form: TOML, JSON or a workbook, saying the same."""

from __future__ import annotations

import datetime
import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from longhold.base.errors import InputError, Problem
from longhold.intake.described import told_by_a_default
from longhold.intake.load import load_given
from longhold.intake.sheet_fields import field_kind
from longhold.intake.sheet_writing import structure_workbook
from longhold.intake.toml_text import toml_text
from longhold.model.structure import Structure

__all__ = ["FORMS", "check_form", "converted", "written"]

FORMS = (".toml", ".json", ".xlsx")
"""Endings of the forms that a structure file is written in."""


def check_form(target: Path, option: str = "TARGET") -> None:
    """Refuse a target whose ending names no form.

    Parameters
    ----------
    option : what names the target

    Raises
    ------
    InputError : naming the endings that do
    """
    if target.suffix.lower() not in FORMS:
        raise InputError(Problem(option, str(target), f"its name must end in {', '.join(FORMS)}."))


def converted(path: Path, target: Path) -> str | bytes:
    """What to write into ``target`` so that it loads as the structure in ``path``.

    Quantities stay as they were written; files that the structure names are named from the target's folder.

    Raises
    ------
    InputError : the structure is not valid, or says what the form of the target cannot hold
    """
    check_form(target)
    return written(_seen_from(load_given(path), path.parent, target.parent), target)


def written(document: Mapping[str, Any], target: Path) -> str | bytes:
    """What to write into ``target`` so that it loads as the structure that a document describes.

    Raises
    ------
    InputError : the document says what the form of the target cannot hold
    """
    check_form(target)
    given = _with_tables(Structure, document)
    if target.suffix.lower() == ".xlsx":
        return structure_workbook(given, "a4" if given.get("units") == "si" else "letter")
    if target.suffix.lower() == ".toml":
        return toml_text(given)
    return json.dumps(given, indent=2, ensure_ascii=False, default=datetime.date.isoformat) + "\n"


def _seen_from(given: dict[str, Any], folder: Path, target: Path) -> dict[str, Any]:
    if folder.resolve() == target.resolve():
        return given
    site, code = given["site"], given["code"]
    climate = site.get("climate") or {}
    if "file" in climate:
        site = {**site, "climate": {**climate, "file": _named(climate["file"], folder, target)}}
    if str(code.get("pack", "")).casefold().endswith(".toml") and not code.get("rules"):
        code = {**code, "pack": _named(code["pack"], folder, target)}
    return {**given, "site": site, "code": code}


def _named(name: str, folder: Path, target: Path) -> str:
    if Path(name).is_absolute():
        return name
    try:
        return Path(os.path.relpath(folder / name, target)).as_posix()
    except ValueError:  # another drive
        return str((folder / name).resolve())


def _with_tables(model: type[BaseModel], given: Mapping[str, Any]) -> dict[str, Any]:
    """The same without empty values; a table of which only its being there is said gets a default."""
    found = {}
    for name, value in given.items():
        if value is None:
            continue
        record = field_kind(model.model_fields[name]).record
        if record is None:
            found[name] = value
        elif isinstance(value, list):
            found[name] = [_with_tables(record, one) for one in value]
        elif field_kind(model.model_fields[name]).by_name:
            found[name] = {key: _with_tables(record, one) for key, one in value.items()}
        else:
            found[name] = _with_tables(record, value) or told_by_a_default(record)
    return found
