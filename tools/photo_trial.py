"""Counts how many drawn labels are read right from their pictures, and prints the tables of docs/photo.md.

Run from the repository: .venv/bin/python tools/photo_trial.py [set ...]

A picture is *right* when the label grammar makes the same of the words read on it as of the true words,
part by part: standard, designation, mass and grade of every reading, with nothing corrected by a person.
It is *exact* when the words themselves agree, blanks and upper case aside.
"""

from __future__ import annotations

import runpy
import sys
import time
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from longhold.base.errors import InputError
from longhold.intake.photo import PhotoText, read_photo
from longhold.labels import LabelError, read_parts

LABELS = runpy.run_path(str(Path(__file__).with_name("photo_labels.py")))


@dataclass(frozen=True)
class Outcome:
    """What became of one picture.

    Attributes
    ----------
    drawn : what was drawn
    read : what was read; None where the picture was refused
    right, exact : as said above
    right_code : whether its code was read; None where it has none
    seconds : of the clock
    """

    drawn: Any
    read: PhotoText | None
    right: bool
    exact: bool
    right_code: bool | None
    seconds: float


def meaning(words: str) -> tuple:
    """Standard, designation, mass and grade of every reading of every part."""
    try:
        parts = read_parts(words)
    except LabelError:
        return ("unreadable",)
    return tuple(
        (
            reading.protection.standard,
            reading.protection.designation,
            reading.coat.nominal_g_m2 if reading.coat else None,
            reading.protection.grade,
        )
        for part in parts
        if part.told is not None
        for reading in part.told.readings
    )


def _flat(words: str) -> str:
    return "".join(words.split()).upper().replace("×", "X")


def outcome(drawn: Any) -> Outcome:
    """Draw one label, read its picture and compare."""
    data = LABELS["encoded"](LABELS["photograph"](drawn))
    start = time.perf_counter()
    try:
        read = read_photo(data)
    except InputError:
        return Outcome(drawn, None, False, False, False if drawn.code else None, time.perf_counter() - start)
    taken = time.perf_counter() - start
    true = meaning(drawn.meant or drawn.text)
    return Outcome(
        drawn,
        read,
        true != ("unreadable",) and meaning(read.label_words) == true,
        _flat(read.text) == _flat("".join(drawn.words)),
        any(code.content == drawn.code for code in read.codes) if drawn.code else None,
        taken,
    )


def codes_read(one: Outcome) -> set[str]:
    """Contents of the codes that were read on one picture."""
    return {code.content for code in one.read.codes} if one.read else set()


@cache
def outcomes(name: str) -> list[Outcome]:
    """Every picture of a set."""
    return [outcome(drawn) for drawn in LABELS["SETS"][name]]


def row(name: str, found: list[Outcome]) -> str:
    """A line of the table of counts."""
    codes = [one.right_code for one in found if one.right_code is not None]
    right, exact = sum(one.right for one in found), sum(one.exact for one in found)
    share = f"{100 * right / len(found):.0f} %"
    return f"| {name} | {len(found)} | {right} ({share}) | {exact} | {sum(codes)} of {len(codes)} |"


def wrong_lines(found: list[Outcome]) -> Iterable[str]:
    """A line for each picture that was not read right."""
    for one in found:
        if not one.right:
            read = " / ".join(one.read.rows) if one.read else "refused"
            slips = ", ".join(f"{p.written} -> {p.meant}" for p in one.read.proposals) if one.read else ""
            traits = ", ".join(one.drawn.traits)
            yield f"| {one.drawn.name} | {traits} | {' / '.join(one.drawn.words)} | {read} | {slips or '-'} |"


def main(names: list[str]) -> None:
    """Print the tables."""
    told = []
    print("| pictures | number | read right | exact text | codes read |\n|---|---|---|---|---|")
    for name in names or ["clean", "hard", "held out, clean", "held out, hard"]:
        found = outcomes(name)
        print(row(name, found), flush=True)
        told += list(wrong_lines(found))
        print(f"{sum(one.seconds for one in found) / len(found):.1f} s each", file=sys.stderr)
    print("\n| wrong | traits | true words | as read | proposed |\n|---|---|---|---|---|")
    print("\n".join(told))


if __name__ == "__main__":
    main(sys.argv[1:])
