"""What a visit looks at that no forecast uses, but safety asks for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Parser, load_csv
from longhold.model.structure import Joint

__all__ = ["SafetyCheck", "safety_checks"]


@dataclass(frozen=True)
class SafetyCheck:
    """One thing to look at.

    Attributes
    ----------
    check : short name
    applies : to all joints, where decay is flagged, or to bolts
    measured : as what it is written into the table of readings
    words, tool : what to do, and with what
    mark : of the rule
    """

    check: str
    applies: str
    measured: str
    words: str
    tool: str
    source: str
    mark: Mark


def safety_checks(joint: Joint, *, decay: bool) -> tuple[SafetyCheck, ...]:
    """The checks that apply to a joint.

    Parameters
    ----------
    decay : whether decay is flagged there

    >>> from longhold.inspect.visit_checks import _checks
    >>> sorted({one.applies for one in _checks()})
    ['all', 'bolts', 'decay']
    """
    bolted = any(part.kind == "bolt" for part in joint.parts)
    applies: Mapping[str, bool] = {"all": True, "decay": decay, "bolts": bolted}
    return tuple(one for one in _checks() if applies[one.applies])


@once
def _checks() -> tuple[SafetyCheck, ...]:
    columns: dict[str, Parser] = dict.fromkeys(("check", "applies", "measured", "words", "tool"), str)
    return tuple(SafetyCheck(**row) for row in load_csv("inspect/checks.csv", columns, key=("check",)))
