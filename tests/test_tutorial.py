"""The tutorial's commands say what the page shows; commands and options on every page exist."""

from __future__ import annotations

import itertools
import re
import shlex
import shutil
from pathlib import Path
from typing import Any, NamedTuple, cast

import pytest
from typer.main import get_command

from longhold.cli.main import app, run

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "docs"
TUTORIAL = DOCS / "tutorial.md"
NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?")
LEFT_OUT = "..."
# files that the tutorial says to copy
BROUGHT = (
    *("demo/offers.csv", "demo/costs.toml"),
    *(f"docs/tutorial/{name}" for name in ("came.csv", "stair.toml", "visit.csv")),
)


class Shown(NamedTuple):
    """One command of a page, and the lines that it is shown to say."""

    command: str
    lines: list[str]


def shown(page: Path) -> list[Shown]:
    found: list[Shown] = []
    for block in re.findall(r"```console\n(.*?)```", page.read_text(encoding="utf-8"), flags=re.DOTALL):
        for line in block.splitlines():
            if line.startswith("$ "):
                found.append(Shown(line[2:], []))
            elif found:
                found[-1].lines.append(line.rstrip())
    return found


def agrees(wanted: str, said: str) -> bool:
    """Words alike, and each number within one unit of the last digit that is shown."""
    if NUMBER.split(wanted) != NUMBER.split(said):
        return False
    for one, other in zip(NUMBER.findall(wanted), NUMBER.findall(said), strict=True):
        step = 10.0 ** -len(one.partition(".")[2])
        if abs(float(one.replace(",", "")) - float(other.replace(",", ""))) > 1.000001 * step:
            return False
    return True


def missing(wanted: list[str], said: list[str]) -> str:
    """The first shown line that was not said where the page has it; empty where all were.

    Lines follow each other without a gap, save where the page leaves some out.
    """
    at, gap = 0, False
    for line in wanted:
        if line == LEFT_OUT:
            gap = True
            continue
        places = range(at, len(said)) if gap else range(at, min(at + 1, len(said)))
        found = next((place for place in places if agrees(line, said[place])), None)
        if found is None:
            return line
        at, gap = found + 1, False
    return "" if gap or at == len(said) else f"nothing after {wanted[-1:]}: {said[at]}"


@pytest.mark.parametrize(
    ("wanted", "said", "fault"),
    [
        (["a", "..."], ["a", "b"], ""),
        (["a"], ["a", "b"], "nothing after ['a']: b"),
        (["a", "c"], ["a", "b", "c"], "c"),
        (["a", "...", "c"], ["a", "b", "c"], ""),
        (["87 in 100"], ["88 in 100"], ""),
        (["87 in 100"], ["89 in 100"], "87 in 100"),
        (["1,271.5 USD"], ["1,271.4 EUR"], "1,271.5 USD"),
    ],
)
def test_a_line_that_is_not_said_is_found(wanted, said, fault):
    assert missing(wanted, said) == fault


@pytest.mark.slow
def test_the_tutorial_says_what_its_commands_say(tmp_path, monkeypatch, capsys):
    for name in BROUGHT:
        shutil.copy(ROOT / name, tmp_path)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    steps = shown(TUTORIAL)
    asked = {shlex.split(step.command)[1] for step in steps}
    assert {"new", "assess", "label", "allowed", "choose", "receive", "plan", "readings", "decide"} <= asked
    for step in steps:
        words = shlex.split(step.command)
        said = done(words, capsys)
        fault = missing(step.lines, said) if step.lines else ""
        assert not fault, f"{step.command}\nshown: {fault}\nsaid:\n" + "\n".join(said)


def done(words: list[str], capsys: pytest.CaptureFixture[str]) -> list[str]:
    """Lines that a command says, blank ones left out at the ends."""
    if words[0] == "mkdir":
        Path(words[1]).mkdir()
        return []
    if words[0] == "ls":
        return sorted(file.name for file in Path(words[1]).iterdir())
    assert words[0] == "longhold", words
    assert run(words[1:]) in (0, 1)
    return [line.rstrip() for line in capsys.readouterr().out.strip().splitlines()]


def options(command: Any) -> set[str]:
    return {"--help", *itertools.chain(*(parameter.opts for parameter in command.params))}


def asked_on(page: Path) -> list[str]:
    """Every command on a page, in blocks of a terminal and in indented ones."""
    text = page.read_text(encoding="utf-8")
    return re.findall(r"^(?:\$ |    )?(longhold [a-z].*?)(?:\s{2,}#.*)?$", text, flags=re.MULTILINE)


def test_commands_and_options_on_every_page_exist():
    commands = cast("Any", get_command(app)).commands
    lines = [(page.name, line) for page in sorted(DOCS.rglob("*.md")) for line in asked_on(page)]
    assert len(lines) > 50
    for page, line in lines:
        words = shlex.split(line.partition(" > ")[0])
        command = commands[words[1]]
        if words[1] in ("codes", "account"):
            command = command.commands[words[2]]
        named = {word.partition("=")[0] for word in words if word.startswith("--")}
        assert named <= options(command), f"{page}: {line}"
