"""Ways of reading suppliers' lists, as TOML files: where the user says, or in a folder of settings."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from longhold.base.errors import InputError, Problem
from longhold.base.files import read_file
from longhold.intake.problems import problems_of
from longhold.intake.reading import parse_text
from longhold.intake.toml_text import toml_text
from longhold.model.offer_list import ListColumns

__all__ = ["columns_text", "load_columns", "remembered_lists", "settings_folder", "where_remembered"]


def settings_folder() -> Path | None:
    """Where settings are kept: LONGHOLD_CONFIG if set (None where it is ``off``), else the user's own."""
    asked = os.environ.get("LONGHOLD_CONFIG", "")
    if asked.lower() == "off":
        return None
    if asked:
        return Path(asked)
    home = os.environ.get("XDG_CONFIG_HOME", "")
    try:
        return (Path(home) if home else Path.home() / ".config") / "longhold"
    except RuntimeError:  # a user without a home
        return None


def where_remembered(name: str) -> Path:
    """The file that remembers a list.

    Raises
    ------
    InputError : nothing is to be remembered, or there is no home
    """
    folder = settings_folder()
    if folder is None:
        said = "there is no folder of settings to remember it in."
        raise InputError(Problem("--remember", None, said, "Use --save FILE.toml, or set LONGHOLD_CONFIG."))
    short = re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:60] or "list"
    return folder / "lists" / f"{short}.toml"


def remembered_lists() -> list[tuple[str, ListColumns]]:
    """Every remembered way of reading a list, with its file.

    Raises
    ------
    InputError : a file of them that cannot be used
    """
    folder = settings_folder()
    if folder is None:
        return []
    return [(str(file), load_columns(file)) for file in sorted((folder / "lists").glob("*.toml"))]


def load_columns(path: Path) -> ListColumns:
    """A way of reading a list from its TOML file.

    Raises
    ------
    InputError : every fault of the file
    """
    text = read_file(path, "the columns of a list", "'longhold offers LIST --save FILE' writes one.")
    try:
        given = parse_text(text, "toml")
        try:
            return ListColumns.model_validate(given)
        except ValidationError as error:
            raise InputError(*problems_of(error, ListColumns, given)) from None
    except InputError as error:
        raise error.in_file(str(path)) from None


def columns_text(how: ListColumns) -> str:
    """A way of reading a list as TOML, with a line that says what it is."""
    said: dict[str, Any] = how.model_dump(exclude_defaults=True)
    return _ABOUT + toml_text(said)


_ABOUT = """\
# How one supplier's list is read. Written by 'longhold offers'; change it as you like.
# [columns]: our name of a column = its head there. [fixed]: what holds for every line.
# [kinds]: a word of theirs = our kind of part. A list with these heads is known again.
"""
