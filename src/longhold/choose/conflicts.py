"""Why no purchase meets what is asked: demands that cannot stand together, none of them too many."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from longhold.choose.options import DEMANDS, JointGroup

__all__ = ["Conflict", "conflict"]


@dataclass(frozen=True)
class Conflict:
    """What is in the way at one group of joints.

    Attributes
    ----------
    group : the joints
    demands : names of demands that no option meets together; without any one of them some option would do.
        Empty where no offer fits a part at all, or none lasts as long as is asked besides
    """

    group: JointGroup
    demands: tuple[str, ...]


def conflict(group: JointGroup, broken: Sequence[frozenset[str]]) -> Conflict:
    """An irreducible set of demands that no option for some joints satisfies.

    Parameters
    ----------
    group : the joints
    broken : demands that each option for them breaks

    The set is empty where options satisfy all of them, and where no offer fits in kind and size.
    """
    if not broken or _some_meets(broken, tuple(DEMANDS)):
        return Conflict(group, ())
    return Conflict(group, _irreducible(broken))


def _irreducible(broken: Sequence[frozenset[str]]) -> tuple[str, ...]:
    """Demands are taken away one by one while no option meets the rest."""
    kept = tuple(DEMANDS)
    for demand in DEMANDS:
        rest = tuple(one for one in kept if one != demand)
        if not _some_meets(broken, rest):
            kept = rest
    return kept


def _some_meets(broken: Sequence[frozenset[str]], asked: Sequence[str]) -> bool:
    return any(not one.intersection(asked) for one in broken)
