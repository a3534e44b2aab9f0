"""The page of licences names everything that the lock does, and says what the packages themselves say."""

from __future__ import annotations

import runpy
from importlib import metadata
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
TOOL = runpy.run_path(str(ROOT / "tools" / "licences.py"))


def rows():
    lines = (ROOT / "docs" / "licences.md").read_text(encoding="utf-8").splitlines()
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if line.startswith("| ")]
    return cells[1:]


def test_every_locked_package_stands_on_the_page_with_its_version():
    written = [(name, version) for name, version, _, _ in rows()]
    assert written == TOOL["locked"]()
    text = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    assert len(written) == sum("==" in line and not line.startswith(" ") for line in text.splitlines()) > 100


def test_the_licences_are_those_that_the_packages_name():
    compared = 0
    for name, version, told, _ in rows():
        assert told
        try:
            installed = metadata.version(name)
        except metadata.PackageNotFoundError:
            continue
        if installed == version:
            assert told.removesuffix(" *") == TOOL["licence"](name), name
            compared += 1
    assert compared > 100


def test_the_core_is_what_the_project_says():
    core = {name for name, _, _, brought in rows() if brought == "core"}
    assert {"numpy", "scipy", "pydantic", "pint", "typer", "jinja2", "lark", "rich"} <= core
    assert not core & {"pandas", "sqlalchemy", "fastapi", "ifcopenshell", "onnxruntime", "dask", "openpyxl"}
