"""The cheapest purchase as a mixed-integer program: one option a joint, whole packs, few kinds of box."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from time import monotonic
from typing import Any

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import LongholdError
from longhold.choose.apart import Kind, Way, kinds_of, spread, that_share_items
from longhold.choose.purchase import WHOLE, Box, Candidate, Purchase, Taken, cost_of

__all__ = ["MOST_SECONDS", "NotSolvedError", "cheapest"]

_PROOF = 1e-6
_OUT_OF_TIME = 1  # status of scipy's milp
_SHORTEST = 1e-3  # seconds; what is small is proved even then
MOST_SECONDS = 60.0


class NotSolvedError(LongholdError):
    """The solver gave no answer that its own bound proves; never taken as one."""


@dataclass(frozen=True)
class _Terms:
    """What every part of a purchase is counted by."""

    boxes: Mapping[str, Box]
    spare: float
    each_item: float

    def cost(self, groups: Sequence[Sequence[Candidate]], chosen: Sequence[int]) -> float:
        return cost_of(groups, chosen, self.boxes, spare=self.spare, each_item=self.each_item)[0]

    def by_the_piece(self, one: Taken) -> float:
        box = self.boxes[one.item]
        return one.later + (1.0 + self.spare) * one.pieces * box.price / box.pack


@dataclass
class _Rows:
    """Unknowns and conditions of a programme as they are put down."""

    costs: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    entries: list[tuple[int, int, float]] = field(default_factory=list)
    least: list[float] = field(default_factory=list)
    greatest: list[float] = field(default_factory=list)

    def unknown(self, cost: float, most: float) -> int:
        self.costs.append(cost)
        self.most.append(most)
        return len(self.costs) - 1

    def condition(self, terms: Sequence[tuple[int, float]], least: float, greatest: float = np.inf) -> None:
        self.entries += [(len(self.least), column, value) for column, value in terms]
        self.least.append(least)
        self.greatest.append(greatest)


@dataclass(frozen=True)
class _Unknowns:
    """Where a programme holds how many groups of each kind go which way, and take what for which part."""

    rows: _Rows
    ways: tuple[tuple[int, ...], ...]
    taken: tuple[tuple[tuple[Mapping[Taken, int], ...], ...], ...]


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
    each item used; solved by HiGHS to a relative gap of 0. Groups with the same options are counted, not told
    apart; the items for a part are chosen apart from what they promise; and groups that share no item with
    the others are a programme of their own.

    Parameters
    ----------
    groups : options of each group of joints alike, at least one each
    boxes, spare, each_item : as in ``cost_of``
    seconds : after which the solver stops; the smaller programmes leave to the larger what they do not need

    Raises
    ------
    NotSolvedError : where the solver fails, or its answer does not stand when it is counted afresh
    """
    end = monotonic() + seconds
    terms = _Terms(boxes, spare, each_item)
    chosen = [0] * len(groups)
    bound = 0.0
    sets = that_share_items(kinds_of(groups)) if groups else ()
    for number, kinds in enumerate(sets):
        share = max((end - monotonic()) / (len(sets) - number), _SHORTEST)
        picked, least = _solved(groups, kinds, terms, share)
        bound += least
        for group, option in picked.items():
            chosen[group] = option
    counted, packs = cost_of(groups, chosen, boxes, spare=spare, each_item=each_item)
    return Purchase(tuple(chosen), packs, counted, min(bound, counted))


def _solved(
    groups: Sequence[Sequence[Candidate]], kinds: Sequence[Kind], terms: _Terms, seconds: float
) -> tuple[dict[int, int], float]:
    """The option of each group of some kinds, and a bound below the cost of any others."""
    put = _programme(kinds, terms)
    found = _run(put.rows, seconds)
    if not found.success and found.status != _OUT_OF_TIME:
        raise NotSolvedError(f"the purchase was not solved: {found.message}")
    if found.x is None:
        picked = {group: _alone(groups[group], terms) for kind in kinds for group in kind.groups}
    else:
        picked = dict(_picked(kinds, put, np.rint(found.x).astype(int)))
    cost = terms.cost([groups[group] for group in picked], list(picked.values()))
    bound = _bound(found.mip_dual_bound, kinds, terms)
    if cost < bound - _PROOF * max(1.0, abs(bound)):
        raise NotSolvedError(f"the solver's bound of {bound:.6g} lies above a purchase of {cost:.6g}")
    return picked, min(bound, cost)


def _programme(kinds: Sequence[Kind], terms: _Terms) -> _Unknowns:
    rows = _Rows()
    needs: dict[str, list[tuple[int, float]]] = {}
    most: dict[str, float] = {}
    users: dict[str, list[tuple[int, list[int]]]] = {}
    ways, taken = [], []
    for kind in kinds:
        number = len(kind.groups)
        of_kind: dict[str, dict[int, list[int]]] = {}
        ways.append(tuple(rows.unknown(way.later, number) for way in kind.ways))
        rows.condition([(column, 1.0) for column in ways[-1]], number, number)
        of_ways = []
        for way, goes in zip(kind.ways, ways[-1], strict=True):
            of_parts = []
            for place, part in enumerate(way.parts):
                columns = {one: rows.unknown(one.later, number) for one in part}
                rows.condition([(goes, -1.0), *((column, 1.0) for column in columns.values())], 0.0, 0.0)
                for one, column in columns.items():
                    needs.setdefault(one.item, []).append((column, (1.0 + terms.spare) * one.pieces))
                    of_kind.setdefault(one.item, {}).setdefault(place, []).append(column)
                of_parts.append(columns)
            of_ways.append(tuple(of_parts))
        taken.append(tuple(of_ways))
        for item, places in of_kind.items():
            users.setdefault(item, []).extend((number, columns) for columns in places.values())
            most[item] = most.get(item, 0.0) + number * _most_pieces(kind.ways, item)
    for item, need in needs.items():
        _buy(rows, terms, item, need, most[item], users[item])
    return _Unknowns(rows, tuple(ways), tuple(taken))


def _buy(
    rows: _Rows,
    terms: _Terms,
    item: str,
    need: Sequence[tuple[int, float]],
    most: float,
    users: Sequence[tuple[int, Sequence[int]]],
) -> None:
    """Whole packs of an item hold what is taken of it, are no fewer than are sold at once, and make it used.

    One row for each kind and part that may take it leaves the solver far less to search than one in all.
    """
    box = terms.boxes[item]
    packs = rows.unknown(box.price, box.packs_for((1.0 + terms.spare) * most))
    used = rows.unknown(terms.each_item, 1.0)
    rows.condition([(packs, float(box.pack)), *((column, -pieces) for column, pieces in need)], 0.0)
    rows.condition([(packs, 1.0), (used, -float(box.least))], 0.0)
    for number, columns in users:
        rows.condition([(used, float(number)), *((column, -1.0) for column in columns)], 0.0)


def _most_pieces(ways: Sequence[Way], item: str) -> int:
    return max(
        sum(max((one.pieces for one in part if one.item == item), default=0) for part in way.parts)
        for way in ways
    )


def _run(rows: _Rows, seconds: float) -> Any:
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    row, column, value = zip(*rows.entries, strict=True)
    matrix = csr_array((value, (row, column)), shape=(len(rows.least), len(rows.costs)))
    return milp(
        np.array(rows.costs),
        integrality=np.ones(len(rows.costs)),
        bounds=Bounds(0.0, np.array(rows.most)),
        constraints=LinearConstraint(matrix, np.array(rows.least), np.array(rows.greatest)),
        options={"mip_rel_gap": 0.0, "time_limit": seconds},
    )


def _picked(kinds: Sequence[Kind], put: _Unknowns, values: NDArray[np.int_]) -> Iterator[tuple[int, int]]:
    for kind, ways, taken in zip(kinds, put.ways, put.taken, strict=True):
        counts = [
            [{one: int(values[column]) for one, column in part.items()} for part in way] for way in taken
        ]
        yield from spread(kind, [int(values[column]) for column in ways], counts)


def _alone(group: Sequence[Candidate], terms: _Terms) -> int:
    """What a group would take if it were the only one."""
    return min(range(len(group)), key=lambda index: terms.cost([group], [index]))


def _bound(solver: float | None, kinds: Sequence[Kind], terms: _Terms) -> float:
    """The greater of two bounds: the solver's, and the cost if pieces could be bought one by one."""

    def by_the_piece(way: Way) -> float:
        return way.later + sum(min(map(terms.by_the_piece, part)) for part in way.parts)

    items = {item for kind in kinds for item in kind.items}
    rounding = WHOLE * sum(terms.boxes[item].price for item in items)
    pieces = sum(len(kind.groups) * min(map(by_the_piece, kind.ways)) for kind in kinds) - rounding
    return max(float(solver), pieces) if solver is not None and np.isfinite(solver) else pieces
