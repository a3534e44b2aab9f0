"""What is built is whole: the archive of the source, the wheel where it is new, the container's recipe."""

from __future__ import annotations

import json
import os
import re
import runpy
import shlex
import subprocess
import sys
import tarfile
import tomllib
import venv
from importlib import metadata
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
STRUCTURE = """
name = "strap"
design_life = "50 years"
[code]
pack = "us_irc"
edition = "2021"
[site]
name = "inland"
distance_to_salt_water = "100 miles"
[site.climate]
station = "Wilmington NC"
[timbers.joist]
species = "southern pine"
preservative = "none"
size = "2x8"
[[joints]]
id = "J1"
name = "strap"
place = "damp_inside"
main = "joist"
parts = [{ id = "strap", kind = "strap", size = "16 ga", label = "G185" }]
"""
LACKING = {
    "xlsx": ["new", "deck.xlsx"],
    "store": ["saved"],
    "web": ["serve"],
    "photo": ["label", "--photo", "label.jpg"],
    "ifc": ["draft", "model.ifc", "out.toml"],
    "portfolio": ["portfolio", "."],
    "pdf": ["sample", "--standard", "A123", "--lot", "800", "--least", "75 um", "--report", "lot.pdf"],
}
"""Commands that need an extra, by its name."""


def linked_core(folder: Path) -> Path:
    """A folder with the packages of the core alone, as they are installed here."""
    folder.mkdir()
    brought = runpy.run_path(str(ROOT / "tools" / "licences.py"))["needed_by"]()
    for name in (one for one, by in brought.items() if by == ["core"]):
        found = metadata.distribution(name)
        for top in {file.parts[0] for file in found.files or ()} - {"..", "__pycache__"}:
            if not (folder / top).exists():
                (folder / top).symlink_to(str(found.locate_file(top)))
    return folder


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the archive of the source, unpacked in ``source``, and the wheel made from it alone."""
    folder = tmp_path_factory.mktemp("built")

    def build(kind: str, where: Path) -> None:
        words = [sys.executable, "-m", "hatchling", "build", "-t", kind, "-d", str(folder)]
        subprocess.run(words, cwd=where, check=True, capture_output=True, timeout=120)

    build("sdist", ROOT)
    with tarfile.open(next(folder.glob("*.tar.gz"))) as archive:
        archive.extractall(folder / "unpacked", filter="data")
    (source,) = (folder / "unpacked").iterdir()
    source.rename(folder / "source")
    build("wheel", folder / "source")
    return folder


@pytest.mark.slow
def test_the_archive_of_the_source_has_what_the_repository_has(built):
    tracked = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split("\0")
    there = {str(one.relative_to(built / "source")) for one in (built / "source").rglob("*") if one.is_file()}
    left_out = {one for one in tracked if one} - there
    assert {one for one in left_out if not one.startswith(".ci/")} <= {".gitignore"}


@pytest.mark.slow
def test_the_wheel_assesses_with_the_core_alone_and_says_which_extra_a_command_needs(built, tmp_path):
    here = tmp_path / "venv"
    venv.create(here, with_pip=False)
    python = here / "bin" / "python"
    packages = next(here.glob("lib/python*/site-packages"))
    wheel = str(next(built.glob("*.whl")))
    install = ["install", "--quiet", "--no-index", "--no-deps", "--no-compile", wheel]
    subprocess.run(
        [sys.executable, "-m", "pip", "--python", str(python), *install], check=True, capture_output=True
    )
    (packages / "core.pth").write_text(f"{linked_core(tmp_path / 'core')}\n", encoding="utf-8")
    (tmp_path / "deck.toml").write_text(STRUCTURE, encoding="utf-8")
    (tmp_path / "label.jpg").write_bytes((ROOT / "demo" / "label.jpg").read_bytes())
    (tmp_path / "model.ifc").write_bytes((ROOT / "demo" / "deck_frame.ifc").read_bytes())
    kept = ("PYTHONPATH", "LONGHOLD_STORE")
    plain = {name: value for name, value in os.environ.items() if name not in kept}
    done = subprocess.run(
        [here / "bin" / "longhold", "assess", "deck.toml", "--draws", "200", "--report", "deck.html"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=120,
        env=plain,
    )
    assert done.returncode in (0, 1), done.stderr
    assert "strap" in done.stdout
    assert (tmp_path / "deck.html").stat().st_size > 50_000
    script = """
        import contextlib, io, json, sys
        import longhold
        from longhold.cli.main import run
        told = {}
        for extra, words in json.loads(sys.argv[1]).items():
            said = io.StringIO()
            with contextlib.redirect_stderr(said), contextlib.redirect_stdout(io.StringIO()):
                code = run(words)
            told[extra] = [code, said.getvalue()]
        print(json.dumps([longhold.__file__, told]))
    """
    lines = "\n".join(line[8:] for line in script.splitlines())
    asked = [str(python), "-c", lines, json.dumps(LACKING)]
    done = subprocess.run(asked, cwd=tmp_path, capture_output=True, text=True, timeout=120, env=plain)
    assert done.returncode == 0, done.stderr
    where, told = json.loads(done.stdout)
    assert Path(where).is_relative_to(here)
    for extra, (code, said) in told.items():
        assert code == 2, (extra, said)
        assert f"pip install 'longhold[{extra}]'" in said, extra


RECIPE = (ROOT / "Containerfile").read_text(encoding="utf-8").replace("\\\n", " ")
STEPS = [line.split(maxsplit=1) for line in RECIPE.splitlines() if line.strip() and not line.startswith("#")]


def test_everything_that_the_container_copies_is_there():
    stages = {words.split(" AS ")[1] for step, words in STEPS if step == "FROM" and " AS " in words}
    copied = 0
    for words in (shlex.split(words) for step, words in STEPS if step == "COPY"):
        if words[0].startswith("--from="):
            assert words[0].removeprefix("--from=") in stages
            continue
        for source in words[:-1]:
            assert (ROOT / source).exists(), source
            copied += 1
    assert copied > 5


def test_the_container_comes_from_one_image_and_runs_without_rights():
    images = {words.split()[0] for step, words in STEPS if step == "FROM"}
    assert images == {"python:3.12-slim"}
    last = max(at for at, (step, _) in enumerate(STEPS) if step == "FROM")
    (user,) = (words for step, words in STEPS[last:] if step == "USER")
    assert int(user) > 0
    assert f"--uid {user} " in RECIPE
    assert not re.search(r"https?://|--index-url|--trusted-host", RECIPE)


def test_the_container_installs_extras_that_there_are():
    with (ROOT / "pyproject.toml").open("rb") as file:
        extras = tomllib.load(file)["project"]["optional-dependencies"]
    (asked,) = re.findall(r"'\.\[([a-z,]+)\]'", RECIPE)
    assert set(asked.split(",")) <= set(extras)


def test_the_versions_that_the_container_takes_are_those_of_the_lock():
    (told,) = re.findall(r"RUN (sed .*) requirements\.lock > versions\.txt", RECIPE)
    done = subprocess.run(
        [*shlex.split(told), str(ROOT / "requirements.lock")], capture_output=True, text=True, check=True
    )
    lines = done.stdout.splitlines()
    text = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    assert len(lines) == sum("==" in line and not line.startswith(" ") for line in text.splitlines())
    assert not any("\\" in line or "--hash" in line for line in lines)


def test_the_core_stays_light():
    """Pure Python besides numbers, text and models: an extra brings whatever is heavier."""
    with (ROOT / "pyproject.toml").open("rb") as file:
        core = tomllib.load(file)["project"]["dependencies"]
    names = {re.split("[<>=]", one)[0] for one in core}
    assert names == {"cachetools", "jinja2", "lark", "numpy", "pint", "pydantic", "rich", "scipy", "typer"}
