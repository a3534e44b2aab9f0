"""The life file of a structure from what was handed in, wherever that is kept."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from longhold.assessment.line import assess
from longhold.base.errors import InputError
from longhold.care.lessons import lesson_of
from longhold.documents.exchange import described
from longhold.documents.life_file import HandedIn, LifeFile, Photograph
from longhold.intake.photo_facts import photo_facts
from longhold.intake.toml_text import toml_text
from longhold.model.reading import Reading, picture_name
from longhold.model.structure import Structure

__all__ = ["LifeInputs", "life_file", "photograph_as_kept", "photograph_of"]


@dataclass
class LifeInputs:
    """What a life file is made of, as it was handed in.

    Attributes
    ----------
    readings : of all tables, read, each once
    tables, deliveries, decisions : files as they came
    taken_back : readings that no longer count, in words
    """

    readings: Sequence[Reading] = ()
    tables: list[HandedIn] = field(default_factory=list)
    deliveries: list[HandedIn] = field(default_factory=list)
    decisions: list[HandedIn] = field(default_factory=list)
    photographs: list[Photograph] = field(default_factory=list)
    taken_back: Sequence[str] = ()


def life_file(
    structure: Structure,
    found: LifeInputs,
    as_of: datetime.date,
    *,
    draws: int = 2000,
    seed: int = 1,
    progress: Callable[[int, int], None] | None = None,
) -> LifeFile:
    """The life file, with a forecast that has learned from the readings.

    Raises
    ------
    InputError : a structure that cannot be assessed, readings that do not fit it
    """
    read = found.readings
    learned = lesson_of(structure, read, draws=draws, seed=seed).learned if read else None
    answer = assess(structure, draws=draws, seed=seed, learned=learned, progress=progress)
    return LifeFile(
        structure,
        toml_text(described(structure)),
        answer,
        read,
        found.tables,
        found.deliveries,
        found.decisions,
        found.photographs,
        _missing(read, found.photographs),
        as_of,
        found.taken_back,
    )


def _missing(readings: Sequence[Reading], photographs: Sequence[Photograph]) -> tuple[str, ...]:
    """Photographs that readings name and nobody handed in, each with where and when it was taken."""
    there = {"", *(picture_name(one.file.name) for one in photographs)}
    of: dict[str, list[str]] = {}
    for one in readings:
        if (name := picture_name(one.photograph)) not in there:
            of.setdefault(name, []).append(_place(one))
    return tuple(f"{name} (of {'; '.join(dict.fromkeys(said))})" for name, said in sorted(of.items()))


def _place(one: Reading) -> str:
    where = " ".join(word for word in (one.joint, one.piece, one.part, one.face.replace("_", " ")) if word)
    return f"{where or 'the air of the site'}, {one.date}"


def photograph_of(file: HandedIn) -> Photograph:
    """A photograph with what the camera wrote into it.

    Raises
    ------
    InputError : it cannot be read
    """
    return Photograph(file, *photo_facts(file.name, file.content))


def photograph_as_kept(file: HandedIn) -> Photograph:
    """The same of one that was taken in already: what it says of itself may be unreadable."""
    try:
        return photograph_of(file)
    except InputError:
        return Photograph(file)
