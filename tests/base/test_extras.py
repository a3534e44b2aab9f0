"""A missing library is told in one wording, by the name of an extra that the package has."""

import tomllib
from pathlib import Path
from typing import get_args

import pytest

from longhold.base.extras import Extra, lacking

ROOT = Path(__file__).resolve().parents[2]


def test_the_extras_are_those_of_the_package():
    with (ROOT / "pyproject.toml").open("rb") as file:
        found = tomllib.load(file)["project"]["optional-dependencies"]
    assert set(get_args(Extra)) == set(found) - {"dev", "ocr"}  # ocr is another name of photo


@pytest.mark.parametrize("extra", get_args(Extra))
def test_what_is_missing_is_named_with_the_command_that_installs_it(extra):
    said = str(lacking("here", extra))
    assert (
        said == f"here: needs the extra {extra}, which is not installed. Run: pip install 'longhold[{extra}]'"
    )


def test_no_other_place_has_words_of_its_own_for_it():
    others = [
        file.name
        for file in (ROOT / "src").rglob("*.py")
        if "pip install 'longhold" in file.read_text(encoding="utf-8") and file.name != "extras.py"
    ]
    assert others == []
