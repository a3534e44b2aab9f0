"""Which structures first: a row for each, ranked as the owner asks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from longhold.base.marks import Mark, weakest
from longhold.portfolio.joints import Totals
from longhold.portfolio.line import Portfolio
from longhold.portfolio.mapping import MARKS

__all__ = ["RANKINGS", "RANKING_WORDS", "Ranking", "StructureRow", "ranked", "weakest_of"]

Ranking = Literal["chance", "consequence", "date"]
RANKINGS: tuple[Ranking, ...] = ("chance", "consequence", "date")
RANKING_WORDS = {
    "chance": "by the chance that a joint's end comes before the design life",
    "consequence": "by how many structural joints are expected to end before the design life",
    "date": "by the year from which a joint is less sure than asked",
}


@dataclass(frozen=True)
class StructureRow:
    """One structure in one row.

    Attributes
    ----------
    rank : from 1 on
    structure, source, site : as described
    latitude, longitude : of its site, None where not stated
    joints, fails, refer, holds, not_assessed : joints, by what they come to
    falls_below : chance that its least sure joint ends before the design life; None where none is known
    expected_ends, expected_structural : joints expected to end before the design life, and structural ones
    worst_joint : the least sure joint
    below_after_years : age from which a joint is less sure than asked; None where none ever is or is known
    below_in_year : the same as a calendar year, where the year of building is stated
    life_years : least middle life of its joints
    pits_not_computed : joints whose chance leaves out pits of accepted stainless of too low a class
    rests_on : weakest mark that its joints rest on; empty where none was assessed
    """

    rank: int
    structure: str
    source: str
    site: str
    latitude: float | None
    longitude: float | None
    joints: int
    fails: int
    refer: int
    holds: int
    not_assessed: int
    falls_below: float | None
    expected_ends: float
    expected_structural: float
    worst_joint: str
    below_after_years: float | None
    below_in_year: int | None
    life_years: float | None
    pits_not_computed: int
    rests_on: str

    @property
    def left_out(self) -> str:
        """What its chances leave out, behind one of them; empty where that is nothing."""
        many = self.pits_not_computed
        return f", pits not computed for {many:,} of its joints" if many else ""


def ranked(portfolio: Portfolio, totals: Totals, by: Ranking) -> list[StructureRow]:
    """Every structure that was assessed, what is to be looked at first on top."""
    gathered = portfolio.gathered
    falls = np.nan_to_num(1.0 - totals.chance, nan=-1.0)
    after = np.nan_to_num(totals.below_years, nan=np.inf)
    built = np.array([np.nan if one.built_year is None else one.built_year for one in gathered.structures])
    # structures whose year of building is not stated come after those of the same age that have one
    year = np.where(np.isnan(built), 3000.0, built) + after
    keys = {
        "chance": (-totals.ended, -falls),
        "consequence": (-falls, -totals.ended_structural),
        "date": (-falls, year),
    }[by]
    # what was not assessed has no rank among what was, and stands last
    order = np.lexsort((*keys, totals.not_assessed == totals.joints))
    return [_row(rank, int(at), portfolio, totals) for rank, at in enumerate(order, start=1)]


def weakest_of(rows: Sequence[StructureRow]) -> Mark | None:
    """Weakest mark that any structure rests on; None where none was assessed."""
    marks = [Mark(row.rests_on) for row in rows if row.rests_on]
    return weakest(marks) if marks else None


def _row(rank: int, at: int, portfolio: Portfolio, totals: Totals) -> StructureRow:
    gathered = portfolio.gathered
    line = gathered.structures[at]
    site = gathered.sites[line.site]
    worst = int(totals.worst_joint[at])
    after = _known(totals.below_years[at])
    return StructureRow(
        rank=rank,
        structure=line.name,
        source=line.source,
        site=site.name,
        latitude=site.latitude,
        longitude=site.longitude,
        joints=int(totals.joints[at]),
        fails=int(totals.fails[at]),
        refer=int(totals.refer[at]),
        holds=int(totals.holds[at]),
        not_assessed=int(totals.not_assessed[at]),
        falls_below=None if np.isnan(totals.chance[at]) else float(1.0 - totals.chance[at]),
        expected_ends=float(totals.ended[at]),
        expected_structural=float(totals.ended_structural[at]),
        worst_joint="" if worst < 0 else gathered.joint_ids[worst],
        below_after_years=after,
        below_in_year=None if after is None or line.built_year is None else line.built_year + int(after),
        life_years=_known(totals.life_years[at]),
        pits_not_computed=int(totals.pits_left_out[at]),
        rests_on=MARKS[totals.mark[at]],
    )


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
