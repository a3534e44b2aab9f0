"""The cheapest purchase as a mixed-integer program: one option a joint, whole packs, few kinds of box."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Any

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import LongholdError

__all__ = ["MOST_SECONDS", "Box", "Candidate", "NotSolvedError", "Purchase", "cheapest", "cost_of"]

_WHOLE = 1e-6  # a share of a piece that rounding leaves
_PROOF = 1e-6
_PROVED = 1e-9
_OUT_OF_TIME = 1  # status of scipy's milp
MOST_SECONDS = 60.0


class NotSolvedError(LongholdError):
    """The solver gave no answer that its own bound proves; never taken as one."""


@dataclass(frozen=True)
class Box:
    """One item that can be bought.

    Attributes
    ----------
    price : of a pack
    pack : pieces in a pack
    least : fewest packs that are sold at once
    """

    price: float
    pack: int
    least: int = 1

    def packs_for(self, pieces: float) -> int:
        """Packs that hold some pieces, no fewer than are sold at once."""
        return max(ceil(pieces / self.pack - _WHOLE), self.least)


@dataclass(frozen=True)
class Candidate:
    """One option for the joints of a group.

    Attributes
    ----------
    pieces : item -> pieces of it that all joints of the group take
    later : present value of what all joints of the group cost after they are built
    """

    pieces: Mapping[str, int]
    later: float


@dataclass(frozen=True)
class Purchase:
    """The answer of the program.

    Attributes
    ----------
    chosen : index of the option of each group
    packs : item -> packs to buy
    cost : purchase, later costs and the price of every further item, as counted afresh from the choice
    bound : no purchase can cost less than this
    """

    chosen: tuple[int, ...]
    packs: Mapping[str, int]
    cost: float
    bound: float

    @property
    def gap(self) -> float:
        """How far the cost may lie above the least possible one, as a share of it."""
        return 0.0 if self.cost == 0 else max(self.cost - self.bound, 0.0) / abs(self.cost)

    @property
    def proved(self) -> bool:
        """Whether the bound proves that no purchase costs less."""
        return self.gap <= _PROVED


def cost_of(
    groups: Sequence[Sequence[Candidate]],
    chosen: Sequence[int],
    boxes: Mapping[str, Box],
    *,
    spare: float,
    each_item: float,
) -> tuple[float, dict[str, int]]:
    """Cost of one choice, and the packs that it takes.

    Parameters
    ----------
    groups : options of each group
    chosen : index of the option of each group
    boxes : what each item costs
    spare : share of pieces that is bought on top, 0 or more
    each_item : what every item on the site costs besides its price

    >>> one = [[Candidate({"nail": 220}, 10.0)]]
    >>> cost_of(one, [0], {"nail": Box(5.0, 100)}, spare=0.0, each_item=1.0)
    (26.0, {'nail': 3})
    """
    pieces: dict[str, int] = {}
    later = 0.0
    for options, index in zip(groups, chosen, strict=True):
        later += options[index].later
        for item, count in options[index].pieces.items():
            pieces[item] = pieces.get(item, 0) + count
    packs = {item: boxes[item].packs_for((1.0 + spare) * count) for item, count in pieces.items()}
    bought = sum(boxes[item].price * count for item, count in packs.items())
    return later + bought + each_item * len(packs), packs


def cheapest(
    groups: Sequence[Sequence[Candidate]],
    boxes: Mapping[str, Box],
    *,
    spare: float,
    each_item: float,
    seconds: float = MOST_SECONDS,
) -> Purchase:
    """The choice of least present cost, proved by the solver's bound and counted afresh.

    Where time runs out, the best choice found so far, with the bound reached: see ``Purchase.proved``.

    Minimizes the later costs of the options chosen, the price of whole packs of every item, and a price on
    each item used; solved by HiGHS to a relative gap of 0.

    Parameters
    ----------
    groups : options of each group of joints alike, at least one each
    boxes, spare, each_item : as in ``cost_of``
    seconds : after which the solver stops

    Raises
    ------
    NotSolvedError : where the solver fails, or its answer does not stand when it is counted afresh
    """
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import block_array, csr_array, diags_array

    if not groups:
        return Purchase((), {}, 0.0, 0.0)
    flat = [one for group in groups for one in group]
    items = sorted({item for one in flat for item in one.pieces})
    owners = [index for index, group in enumerate(groups) for _ in group]
    one_each = csr_array((np.ones(len(flat)), (owners, np.arange(len(flat)))))
    place = {item: index for index, item in enumerate(items)}
    counts = [(place[item], column, n) for column, one in enumerate(flat) for item, n in one.pieces.items()]
    rows, columns, numbers = (np.array(one) for one in zip(*counts, strict=True))
    pieces = csr_array(((1.0 + spare) * numbers, (rows, columns)), shape=(len(items), len(flat)))
    most = np.array([_most_packs(item, groups, boxes[item], spare) for item in items], float)
    takes, used = _uses(groups, items)
    # unknowns: the options chosen, the packs of each item, whether an item is used at all
    matrix = block_array(
        [
            [one_each, None, None],
            [-pieces, diags_array([float(boxes[item].pack) for item in items]), None],
            [-takes, None, used],
            [
                None,
                diags_array(np.ones(len(items))),
                -diags_array([float(boxes[item].least) for item in items]),
            ],
        ]
    )
    free = 2 * len(items) + takes.shape[0]
    least = np.concatenate([np.ones(len(groups)), np.zeros(free)])
    greatest = np.concatenate([np.ones(len(groups)), np.full(free, np.inf)])
    cost = np.concatenate(
        [
            [one.later for one in flat],
            [boxes[item].price for item in items],
            np.full(len(items), each_item),
        ]
    )
    found = milp(
        cost,
        integrality=np.ones(len(cost)),
        bounds=Bounds(0.0, np.concatenate([np.ones(len(flat)), most, np.ones(len(items))])),
        constraints=LinearConstraint(matrix, least, greatest),
        options={"mip_rel_gap": 0.0, "time_limit": seconds},
    )
    if not found.success and found.status != _OUT_OF_TIME:
        raise NotSolvedError(f"the purchase was not solved: {found.message}")
    chosen = _each_alone(groups, boxes, spare, each_item) if found.x is None else _picked(groups, found.x)
    counted, packs = cost_of(groups, chosen, boxes, spare=spare, each_item=each_item)
    bound = _bound(found.mip_dual_bound, groups, boxes, spare)
    if counted < bound - _PROOF * max(1.0, abs(bound)):
        raise NotSolvedError(f"the solver's bound of {bound:.6g} lies above a purchase of {counted:.6g}")
    return Purchase(chosen, packs, counted, min(bound, counted))


def _uses(groups: Sequence[Sequence[Candidate]], items: Sequence[str]) -> tuple[Any, Any]:
    """Rows that hold an item as used where a group takes it: one for each group and item that may meet.

    One row for each pair, in place of one for each item, leaves the solver far less to search.
    """
    from scipy.sparse import csr_array

    place = {item: index for index, item in enumerate(items)}
    rows: dict[tuple[int, str], int] = {}
    taken = [
        (rows.setdefault((owner, item), len(rows)), column)
        for column, (owner, one) in enumerate((g, one) for g, group in enumerate(groups) for one in group)
        for item in one.pieces
    ]
    row, column = np.array(taken).T
    takes = csr_array((np.ones(len(taken)), (row, column)), shape=(len(rows), sum(map(len, groups))))
    kinds = [place[item] for _, item in rows]
    used = csr_array((np.ones(len(rows)), (np.arange(len(rows)), kinds)), shape=(len(rows), len(items)))
    return takes, used


def _each_alone(
    groups: Sequence[Sequence[Candidate]], boxes: Mapping[str, Box], spare: float, each_item: float
) -> tuple[int, ...]:
    """What each group would take if it were the only one."""

    def alone(one: Candidate) -> float:
        return cost_of([[one]], [0], boxes, spare=spare, each_item=each_item)[0]

    return tuple(min(range(len(group)), key=lambda i: alone(group[i])) for group in groups)


def _bound(
    solver: float | None, groups: Sequence[Sequence[Candidate]], boxes: Mapping[str, Box], spare: float
) -> float:
    """The greater of two bounds: the solver's, and the cost if pieces could be bought one by one."""

    def by_the_piece(one: Candidate) -> float:
        pieces = ((1.0 + spare) * n * boxes[item].price / boxes[item].pack for item, n in one.pieces.items())
        return one.later + sum(pieces)

    rounding = _WHOLE * sum(box.price for box in boxes.values())
    pieces = sum(min(map(by_the_piece, group)) for group in groups) - rounding
    return max(float(solver), pieces) if solver is not None and np.isfinite(solver) else pieces


def _picked(groups: Sequence[Sequence[Candidate]], values: NDArray[np.float64]) -> tuple[int, ...]:
    ends = np.cumsum([len(group) for group in groups])
    return tuple(
        int(np.argmax(values[end - len(group) : end])) for group, end in zip(groups, ends, strict=True)
    )


def _most_packs(item: str, groups: Sequence[Sequence[Candidate]], box: Box, spare: float) -> int:
    pieces = sum(max(one.pieces.get(item, 0) for one in group) for group in groups)
    return box.packs_for((1.0 + spare) * pieces)
