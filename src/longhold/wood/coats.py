"""Coats on timber: what a sound film of paint, stain or water repellent lets through."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Parser, load_csv, number

__all__ = ["Coat", "coat_named", "coats"]


@dataclass(frozen=True)
class Coat:
    """A sound film on the face of a timber.

    Attributes
    ----------
    name : of the table
    vapour_layer_m : layer of still air that resists vapour as the coat does [m]
    liquid_kg_m2_s_pct : liquid let through from water on it [kg/(m2 s) for each % that the wood lacks]
    words : what it is, with how the figures came about
    source, mark : of the figures
    """

    name: str
    vapour_layer_m: float
    liquid_kg_m2_s_pct: float
    words: str
    source: str
    mark: Mark


def coat_named(name: str) -> Coat:
    """One coat of the table.

    Raises
    ------
    InputError : for a name that is not in it

    >>> coat_named("paint").vapour_layer_m
    1.0
    """
    if name not in coats():
        raise InputError(Problem("coat", name, f"must be one of {', '.join(coats())}."))
    return coats()[name]


@once
def coats() -> Mapping[str, Coat]:
    """Every coat by name, tightest first.

    >>> tuple(coats())
    ('paint', 'stain', 'water_repellent')
    """
    columns: dict[str, Parser] = {
        "name": str,
        "vapour_layer_m": number,
        "liquid_kg_m2_s_pct": number,
        "words": str,
    }
    rows = load_csv("wood/coats.csv", columns, key=("name",))
    return MappingProxyType({row["name"]: Coat(**row) for row in rows})
