"""The designations that are tried in a part's place, and how many designations rest on which mark."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.tables import load_csv
from longhold.labels.alloys import Alloy, alloy_named, alloys
from longhold.labels.catalogue import coats
from longhold.labels.read import read_label
from longhold.model.parts import Part
from longhold.model.protection import Protection

__all__ = ["Tried", "count_designations", "designations_for_part"]

_THREADED = {"bolt", "lag_screw"}


@dataclass(frozen=True)
class Tried:
    """One designation as it reads on a part of this kind and size.

    Attributes
    ----------
    words : as written, with the class that the size selects
    protection : what it promises
    rank : larger for more protective: bare steel, a film on it, zinc by its expected thickness, copper
        alloys, stainless by its pitting resistance number
    """

    words: str
    protection: Protection
    rank: tuple[int, float]


def designations_for_part(part: Part, own: Protection | None = None) -> tuple[Tried, ...]:
    """Every designation of the list that fits a part, least protective first.

    Parameters
    ----------
    own : what the part has now, which is tried too where the list does not hold it

    >>> bolt = Part(id="b", kind="bolt", size="1/2 in x 6 in", label="ASTM A153")
    >>> tried = designations_for_part(bolt)
    >>> tried[0].words, tried[-1].words
    ('plain steel', 'stainless 2507')
    """
    found = list(_each(part))
    if own is not None and all(one.protection.designation != own.designation for one in found):
        found.append(Tried(own.designation, own, _rank(own)))
    return tuple(sorted(found, key=lambda one: one.rank))


def count_designations() -> Mapping[Mark, int]:
    """How many designations of coats and alloys rest on each mark, strongest mark first."""
    counted = Counter(coat.mark for coat in coats()) + Counter(alloy.mark for alloy in alloys())
    return {mark: counted[mark] for mark in Mark if counted[mark]}


def _each(part: Part) -> Iterator[Tried]:
    size = part.measures
    for row in load_csv("codes/designations.csv", {"label": str, "form": str}, key=("label",)):
        if row["form"] not in _forms(part):
            continue
        try:
            read = read_label(
                row["label"], item=part.kind, thickness_mm=size.thickness_mm, diameter_mm=size.diameter_mm
            )
        except InputError:
            continue  # this standard has nothing for a part of this kind or size
        protection = read.readings[0].protection
        yield Tried(protection.designation, protection, _rank(protection))


def _forms(part: Part) -> set[str]:
    sheet = not part.is_fastener and part.kind != "washer"
    return {"both", "sheet"} if sheet else {"both", "fastener"} | _thread(part)


def _thread(part: Part) -> set[str]:
    return {"threaded"} if part.kind in _THREADED else set()


def _rank(protection: Protection) -> tuple[int, float]:
    if protection.base_metal == "stainless":
        alloy = alloy_named(protection.grade)
        return 4, 0.0 if alloy is None else _pitting(alloy)
    if protection.base_metal not in ("carbon_steel", "weathering_steel"):
        return 3, 0.0
    coat = next((layer for layer in protection.layers if layer.kind != "organic"), None)
    if coat is None:
        return (1 if protection.layers else 0), 0.0
    return 2, coat.nominal_um or coat.least_um or 0.0


def _pitting(alloy: Alloy) -> float:
    """Pitting resistance number of a grade, or the least of the grades that resist alike."""
    if alloy.pren is not None:
        return alloy.pren
    return min((one.pren for one in alloys() if one.family == alloy.family and one.pren), default=0.0)
