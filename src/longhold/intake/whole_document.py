"""A structure file as one document that stands for itself: nothing in it is read from another file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from longhold.intake.load import load_given
from longhold.intake.own_rules import with_own_rules
from longhold.intake.site_weather import with_weather_file

__all__ = ["whole_document"]


def whole_document(path: str | Path) -> dict[str, Any]:
    """Keys and values of a structure file, with what its weather file and its rule pack say in their place.

    Raises
    ------
    InputError : as of ``load``
    """
    folder = Path(path).parent
    given = load_given(path)
    return {
        **given,
        "site": with_weather_file(given["site"], folder, "site"),
        "code": with_own_rules(given["code"], folder, "code"),
    }
