"""Every joint's answer in Parquet, in parts of whole sites, and what each structure comes to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.ends import pits_left_out_words
from longhold.portfolio.gathering import NotAssessed
from longhold.portfolio.keeping import Folder, arrow
from longhold.portfolio.line import Portfolio
from longhold.portfolio.mapping import MARKS, OUTCOMES, Found, found_for

if TYPE_CHECKING:
    import pyarrow as pa

__all__ = ["Totals", "each_part", "totals_of", "with_faults_told", "write_parts"]

Array = NDArray[np.float64]
_JOINTS_A_PART = 20_000


@dataclass(frozen=True)
class Part:
    """The joints of some whole sites.

    Attributes
    ----------
    first_site, last_site : numbers
    joints : numbers of the joints
    pair : of each joint, its place in ``found``
    kind : of each pair
    found : what each pair of site and kind comes to
    """

    first_site: int
    last_site: int
    joints: NDArray[np.intp]
    pair: NDArray[np.intp]
    kind: NDArray[np.int32]
    found: Found

    @property
    def name(self) -> str:
        """File of the part, in a folder named after its sites."""
        return f"joints/sites={self.first_site:06d}-{self.last_site:06d}/part.parquet"


@dataclass(frozen=True)
class Totals:
    """What the structures of a portfolio come to, each array of shape (structures,).

    Attributes
    ----------
    joints, fails, refer, holds, not_assessed : joints of each structure, by what they come to
    ended : expected joints whose end comes before the design life
    ended_structural : of them those whose role is structural
    chance : least chance of its joints of reaching the design life [-]; NaN where none is known
    below_years : least age at which a joint's chance falls below the one asked for; NaN likewise
    life_years : least middle life of its joints [years]
    renewals : expected in each year after building, shape (structures, years)
    worst_joint : number of the joint with that chance, -1 for none
    mark : place in ``MARKS`` of the weakest mark that its joints rest on
    pits_left_out : joints whose chance leaves out the pits of accepted stainless of too low a class
    """

    joints: Array
    fails: Array
    refer: Array
    holds: Array
    not_assessed: Array
    ended: Array
    ended_structural: Array
    chance: Array
    below_years: Array
    life_years: Array
    renewals: Array
    worst_joint: NDArray[np.intp]
    mark: NDArray[np.int8]
    pits_left_out: Array


def each_part(portfolio: Portfolio) -> Iterator[Part]:
    """The joints in parts of whole sites, mapped to what was drawn: one part at a time in memory."""
    gathered = portfolio.gathered
    site, kind = gathered.site, gathered.kind
    target = np.array([one.target_chance for one in gathered.kinds])
    order = np.argsort(site, kind="stable")
    begins = np.searchsorted(site[order], np.arange(len(gathered.sites) + 1))
    first = 0
    while first < len(gathered.sites):
        last = max(int(np.searchsorted(begins, begins[first] + _JOINTS_A_PART, side="right")) - 1, first + 1)
        joints = order[begins[first] : begins[last]]
        pairs, place = np.unique(np.column_stack([site[joints], kind[joints]]), axis=0, return_inverse=True)
        found = found_for(pairs[:, 0], pairs[:, 1], target[pairs[:, 1]], portfolio.classes, portfolio.drawn)
        yield Part(first, last - 1, joints, place.ravel(), pairs[:, 1], found)
        first = last


def with_faults_told(portfolio: Portfolio) -> Portfolio:
    """The same with structures told of which a joint could not be drawn, though their others were."""
    gathered = portfolio.gathered
    told: dict[int, str] = {}
    for part in each_part(portfolio):
        for place in np.flatnonzero(part.found.fault[part.pair] != "").tolist():
            joint = int(part.joints[place])
            said = f"joint {gathered.joint_ids[joint]} alone: {part.found.fault[part.pair[place]]}"
            told.setdefault(int(gathered.structure[joint]), said)
    if not told:
        return portfolio
    lines = (NotAssessed(gathered.structures[at].source, told[at]) for at in sorted(told))
    return replace(portfolio, gathered=replace(gathered, not_assessed=(*gathered.not_assessed, *lines)))


def write_parts(portfolio: Portfolio, folder: Folder) -> list[str]:
    """Write every part that is not there yet; their names."""
    names = []
    for part in each_part(portfolio):
        if folder.read_table(part.name) is None:
            folder.write_table(part.name, _table(part, portfolio))
        names.append(part.name)
    return names


def _table(part: Part, portfolio: Portfolio) -> pa.Table:
    pyarrow = arrow()
    gathered, found, drawn = portfolio.gathered, part.found, portfolio.drawn
    structure = gathered.structure[part.joints]
    names = pyarrow.array([line.name for line in gathered.structures])
    sources = pyarrow.array([line.source for line in gathered.structures])
    sites = pyarrow.array([one.name for one in gathered.sites])
    columns = {
        "structure": names.take(pyarrow.array(structure)),
        "source": sources.take(pyarrow.array(structure)),
        "site": sites.take(pyarrow.array(gathered.site[part.joints])),
        "joint": pyarrow.array([gathered.joint_ids[one] for one in part.joints.tolist()]),
        "quantity": gathered.quantity[part.joints],
        "outcome": pyarrow.array(OUTCOMES).take(pyarrow.array(found.outcome[part.pair])),
        "decides": _words(drawn.decides[found.nearest], part),
        "life_p10": found.life[part.pair, 0],
        "life_p50": found.life[part.pair, 1],
        "life_p90": found.life[part.pair, 2],
        "chance": found.chance[part.pair],
        "below_asked_after_years": found.below_years[part.pair],
    }
    for name in ("protection", "strength"):
        ages = getattr(found, name)
        for at, share in enumerate(("p10", "p50", "p90")):
            columns[f"{name}_{share}"] = ages[part.pair, at]
        columns[f"{name}_chance"] = getattr(found, f"{name}_chance")[part.pair]
    columns["code"] = _words(drawn.code[found.nearest], part)
    columns["refer"] = _words(drawn.refer[found.nearest], part)
    columns["left_out"] = _words(_left_out(_pits_left_out(part, portfolio)), part)
    columns["rests_on"] = pyarrow.array(MARKS).take(pyarrow.array(found.mark[part.pair]))
    columns["fault"] = _words(found.fault, part)
    return pyarrow.table(columns)


def _pits_left_out(part: Part, portfolio: Portfolio) -> NDArray[np.bool_]:
    """Of each pair, whether it has a chance and pits of accepted stainless are not in it."""
    found = part.found
    return np.asarray(portfolio.drawn.leaves_pits_out[found.nearest] & ~np.isnan(found.chance))


def _left_out(pits: NDArray[np.bool_]) -> NDArray[np.object_]:
    """What the chances leave out; empty where nothing."""
    return np.array([pits_left_out_words(bool(one)).removeprefix(", ") for one in pits], dtype=object)


def _words(words: NDArray[np.object_], part: Part) -> pa.Array:
    pyarrow = arrow()
    return pyarrow.array(words.tolist(), pyarrow.string()).take(pyarrow.array(part.pair))


def totals_of(portfolio: Portfolio) -> Totals:
    """What each structure comes to."""
    gathered = portfolio.gathered
    count = len(gathered.structures)
    totals = Totals(
        joints=np.zeros(count),
        fails=np.zeros(count),
        refer=np.zeros(count),
        holds=np.zeros(count),
        not_assessed=np.zeros(count),
        ended=np.zeros(count),
        ended_structural=np.zeros(count),
        chance=np.full(count, np.nan),
        below_years=np.full(count, np.nan),
        life_years=np.full(count, np.nan),
        renewals=np.zeros((count, portfolio.drawn.renewals.shape[1])),
        worst_joint=np.full(count, -1, dtype=np.intp),
        mark=np.zeros(count, dtype=np.int8),
        pits_left_out=np.zeros(count),
    )
    structural = np.array([one.joints[0].role == "structural" for one in gathered.kinds])
    for part in each_part(portfolio):
        pits = _pits_left_out(part, portfolio)[part.pair]
        structure, quantity = gathered.structure[part.joints], gathered.quantity[part.joints]
        np.add.at(totals.pits_left_out, structure, quantity * pits)
        _add(totals, part, structure, quantity, structural)
    return totals


def _add(
    totals: Totals,
    part: Part,
    structure: NDArray[np.int32],
    quantity: NDArray[np.int64],
    structural: NDArray[np.bool_],
) -> None:
    found, pair = part.found, part.pair
    outcome = found.outcome[pair]
    np.add.at(totals.joints, structure, quantity)
    counts = (totals.fails, totals.refer, totals.holds, totals.not_assessed)
    for place, total in enumerate(counts):
        np.add.at(total, structure, quantity * (outcome == place))
    chance = found.chance[pair]
    ended = np.nan_to_num((1.0 - chance) * quantity)
    np.add.at(totals.ended, structure, ended)
    np.add.at(totals.ended_structural, structure, ended * structural[part.kind[pair]])
    np.fmin.at(totals.below_years, structure, found.below_years[pair])
    np.fmin.at(totals.life_years, structure, found.life[pair, 1])
    np.fmin.at(totals.chance, structure, chance)
    # the last one written of equal chances is the first joint of the structure
    worst = np.flatnonzero(chance == totals.chance[structure])[::-1]
    totals.worst_joint[structure[worst]] = part.joints[worst]
    np.maximum.at(totals.mark, structure, found.mark[pair])
    np.add.at(totals.renewals, structure, found.renewals[pair] * quantity[:, None])
