"""Which metals may meet in one joint: the same-metal rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import load_csv
from longhold.model.protection import Protection, metal_family

__all__ = ["Couple", "mixed_couples"]


@dataclass(frozen=True)
class Couple:
    """Two parts of different metal families in one joint.

    Attributes
    ----------
    first, second : ids of the parts
    suffers : id of the part that gives way, the less noble of the two
    reason : why it is flagged, for people
    source, mark : of the rule
    """

    first: str
    second: str
    suffers: str
    reason: str
    source: str
    mark: Mark


def mixed_couples(parts: Sequence[tuple[str, Protection, bool]]) -> tuple[Couple, ...]:
    """Every pair of parts whose metals belong to different families.

    Parameters
    ----------
    parts : (id, protection, is_fastener) for each part of the joint

    Returns
    -------
    one Couple for each mixed pair, in the order of the parts; empty where all belong together
    """
    found = []
    for index, (first, first_protection, first_fastens) in enumerate(parts):
        for second, second_protection, second_fastens in parts[index + 1 :]:
            families = metal_family(first_protection), metal_family(second_protection)
            if families[0] == families[1]:
                continue
            rule = _pair(*families)
            suffers, spared = (first, second) if rule["suffers"] == families[0] else (second, first)
            fastens = {first: first_fastens, second: second_fastens}
            small_anode = fastens[suffers] and not fastens[spared]
            reason = rule["reason"] + (f" {rule['small_anode']}" if small_anode else "")
            found.append(Couple(first, second, suffers, reason, rule["source"], rule["mark"]))
    return tuple(found)


def _pair(one: str, other: str) -> Any:
    return _rules()[frozenset((one, other))]


@once
def _rules() -> dict[frozenset[str], Any]:
    rows = load_csv(
        "metal/couples.csv",
        {"family": str, "other": str, "suffers": str, "reason": str, "small_anode": str},
        key=("family", "other"),
    )
    return {frozenset((row["family"], row["other"])): row for row in rows}
