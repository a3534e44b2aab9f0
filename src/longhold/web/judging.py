"""What keeps a structure from being assessed, all of it at once."""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import Any, NamedTuple

from longhold.assessment.prepare import prepare
from longhold.base.errors import InputError, Problem
from longhold.base.recent import Recent, once
from longhold.intake.load import structure_of
from longhold.intake.reading import parse_text
from longhold.intake.starter_file import starter
from longhold.web.editing import Given, Spot, find_spot
from longhold.web.spoken import said_of, spoken

__all__ = ["Judged", "Told", "judge"]

_MOST_ROUNDS = 5
_READ_BY_THEMSELVES = ("label", "species", "preservative")
"""Fields whose words are looked up, whatever else stands in their record."""
_SIZES: Mapping[str, str] = {
    "nail": "16d common",
    "staple": "0.0625 in x 2 in",
    "wood_screw": "#10 x 3 in",
    "lag_screw": "1/2 in x 4 in",
    "bolt": "1/2 in x 6 in",
    "dowel": "1/2 in x 6 in",
    "washer": "1/2 in",
} | dict.fromkeys(("hanger", "strap", "angle", "post_base", "plate", "nail_plate"), "16 ga")
"""A size that each kind may have."""
_kept = Recent[tuple[Problem, ...]](16)  # one page asks for the same structure several times


class Told(NamedTuple):
    """One thing to put right.

    Attributes
    ----------
    where : path of its cell
    name : the cell as the page calls it
    said : what is wrong and what to do
    """

    where: str
    name: str
    said: str


@dataclass(frozen=True)
class Judged:
    """What is wrong with a structure as it stands.

    Attributes
    ----------
    given : the structure
    problems : in the order in which they are found; none where it can be assessed
    """

    given: Mapping[str, Any]
    problems: tuple[Problem, ...]

    @property
    def told(self) -> tuple[Told, ...]:
        """Each of them for people."""
        return tuple(
            Told(
                _path(one.where).removesuffix(".parts"),
                spoken(self.given, one.where),
                said_of(self.given, one),
            )
            for one in self.problems
        )


def judge(given: Mapping[str, Any]) -> Judged:
    """What keeps a structure from being assessed: every value, name and label that cannot be used.

    Validation tells in stages. What is wrong is replaced by something that is right, and the structure looked
    at again, so that the next stage can be told too; what the replacement itself does wrong is left out.
    """
    document = json.dumps(given, default=_in_words)
    return Judged(given, _kept.get(document, lambda: _problems_of(document)))


def _in_words(value: object) -> str:
    """A date or a time of day, the only values of TOML that JSON has no word for."""
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    raise TypeError(f"a structure holds no {type(value).__name__}")


def _problems_of(document: str) -> tuple[Problem, ...]:
    given: Mapping[str, Any] = json.loads(document)
    held, found, mended = deepcopy(dict(given)), dict[tuple[str, str], Problem](), dict[str, set[str]]()
    for _ in range(_MOST_ROUNDS):
        try:
            prepare(structure_of(held))
        except InputError as error:
            fresh = [one for one in error.problems if not _is_of_our_making(_path(one.where), mended)]
            found |= {(one.where, one.allowed): one for one in fresh}
            done = [_mend(held, _path(one.where), mended) for one in error.problems]
            if not all(done):
                break
        else:
            break
    return tuple(found.values())


def _is_of_our_making(path: str, mended: Mapping[str, set[str]]) -> bool:
    """Whether a value belongs to a record of which another was replaced, and hangs on it."""
    if path.partition(".")[0] in mended.keys() & {"site", "code"}:
        return True
    record, _, field = path.rpartition(".")
    if path in mended:
        return True
    return record in mended and (field not in _READ_BY_THEMSELVES or bool(mended[record] & {"kind", field}))


def _mend(held: Given, path: str, mended: dict[str, set[str]]) -> bool:
    """Whether something usable could be put where something is wrong."""
    top = path.partition(".")[0]
    if top in ("site", "code"):
        held[top] = deepcopy(_starter()[top])
        mended.setdefault(top, set())
        return True
    spot = _spot(path)
    if spot is None:
        return False
    record = _record(held, spot.record)
    if record is None:
        return False
    if spot.field is None:
        _replace_record(held, record, spot)
        mended.setdefault(path, set())
        return bool(spot.record)
    _replace_value(held, record, spot.field.steps, spot)
    mended.setdefault(path.removesuffix(f".{spot.field.path}"), set()).add(spot.field.name)
    return True


def _replace_value(held: Given, record: Given, steps: Sequence[str], spot: Spot) -> None:
    usual = {**_usual(held, spot), **({} if spot.record else {"name": "x", "design_life": "30 years"})}
    record.pop(steps[0], None)
    if len(steps) == 1 and steps[0] in usual:
        record[steps[0]] = usual[steps[0]]


def _replace_record(held: Given, record: Given, spot: Spot) -> None:
    """Leave of a record only what is read by itself."""
    parts = (
        [one for one in record.get("parts", []) if isinstance(one, dict)]
        if spot.sheet.name == "Joints"
        else []
    )
    usual = _usual(held, spot)
    kept = {name: record[name] for name in (*_READ_BY_THEMSELVES, "kind") if name in record}
    if spot.sheet.name == "Parts" and str(record.get("kind")) in _SIZES:
        usual["size"] = _SIZES[record["kind"]]
    record.clear()
    record.update(usual | kept)
    if spot.sheet.name == "Joints":
        record["parts"] = [{"kind": "nail", **_of_part(one), "id": f"x{at}"} for at, one in enumerate(parts)]


def _of_part(part: Mapping[str, Any]) -> dict[str, Any]:
    return {name: part[name] for name in ("kind", "label", "size") if name in part}


def _usual(held: Given, spot: Spot) -> dict[str, Any]:
    """What a record must have, at its plainest."""
    timbers = held.get("timbers")
    name = f"x{spot.record[-1]}" if spot.record else ""
    first = next(iter(timbers), "") if isinstance(timbers, dict) else ""
    usual: Mapping[str, dict[str, Any]] = {
        "Joints": {"id": name, "name": "x", "place": "open_to_rain", "main": first},
        "Parts": {"id": name, "kind": "nail", "label": "HDG per ASTM A153"},
        "Timbers": {"species": "southern pine", "preservative": "none", "size": "2x8"},
        "Near": {"setting": "salted_road"},
    }
    return usual.get(spot.sheet.name, {})


def _record(held: Given, steps: Sequence[str | int]) -> Given | None:
    record: Any = held
    try:
        for step in steps:
            record = record[step]
    except (KeyError, IndexError, TypeError):
        return None
    return record if isinstance(record, dict) else None


def _spot(path: str) -> Spot | None:
    for tried in (path, re.sub(r"\[\d+\]$", "", path)):
        try:
            return find_spot(tried)
        except InputError:
            continue
    return None


def _path(where: str) -> str:
    return where.partition(" (")[0]


@once
def _starter() -> Mapping[str, Any]:
    return parse_text(starter(), "toml")
