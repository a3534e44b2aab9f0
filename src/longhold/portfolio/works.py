"""What is to be drawn, in pieces that workers take one after the other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from longhold.base.tables import load_toml
from longhold.forecast.wood_runs import TimberKind
from longhold.portfolio.classes import SiteClasses
from longhold.portfolio.drawing import ClassWork
from longhold.portfolio.gathering import Gathered

__all__ = ["works"]


def works(
    gathered: Gathered, classes: SiteClasses, timbers: Sequence[frozenset[TimberKind]]
) -> Iterator[ClassWork]:
    """What is to be drawn for each class: the kinds of every site that a rung stands for.

    Where there are few classes, each is cut into pieces that share no simulated timber, so that no worker
    stands idle while another draws the last class. How it is cut hangs on the portfolio alone: a run that was
    stopped finds its pieces again with any number of workers.

    Parameters
    ----------
    timbers : that are simulated for each kind of joint
    """
    by_rung = _wanted(gathered, classes)
    by_class: dict[int, list[int]] = {}
    for rung in by_rung:
        by_class.setdefault(int(classes.rung_class[rung]), []).append(rung)
    are_few = len(by_class) <= int(load_toml("assessment/portfolio.toml")["pieces"]["few_classes"])
    for number, rungs in by_class.items():
        kinds = sorted({kind for rung in rungs for kind in by_rung[rung]})
        pieces = _sharing_no_timber(kinds, timbers) if are_few else [kinds]
        for piece, some in enumerate(pieces):
            wanted = {rung: frozenset(by_rung[rung]).intersection(some) for rung in rungs}
            yield ClassWork(
                number,
                piece,
                gathered.sites[classes.weather_of[number]],
                tuple((rung, gathered.sites[classes.rungs[rung]]) for rung in rungs if wanted[rung]),
                tuple((kind, gathered.kinds[kind]) for kind in some),
                wanted,
                len(frozenset().union(*(timbers[kind] for kind in some))),
            )


def _wanted(gathered: Gathered, classes: SiteClasses) -> dict[int, list[int]]:
    """Kinds that are asked for on each rung."""
    pairs = np.unique(np.column_stack([gathered.site, gathered.kind]), axis=0)
    stand_ins, counts = classes.stand_ins[pairs[:, 0]], classes.share[pairs[:, 0]] > 0.0
    kinds = np.broadcast_to(pairs[:, 1:], stand_ins.shape)
    found: dict[int, list[int]] = {}
    for rung, kind in np.unique(np.column_stack([stand_ins[counts], kinds[counts]]), axis=0).tolist():
        found.setdefault(rung, []).append(kind)
    return found


def _sharing_no_timber(kinds: Sequence[int], timbers: Sequence[frozenset[TimberKind]]) -> list[list[int]]:
    """Kinds in groups of which no two have a simulated timber in common; those without any are one group."""
    groups: list[tuple[frozenset[TimberKind], list[int]]] = []
    for kind in kinds:
        own = timbers[kind]
        joined = [one for one in groups if one[0] & own or not (one[0] or own)]
        groups = [one for one in groups if one not in joined]
        members = sorted([kind, *(other for _, some in joined for other in some)])
        groups.append((own.union(*(some for some, _ in joined)), members))
    return sorted(members for _, members in groups)
