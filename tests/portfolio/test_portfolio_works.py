"""Classes cut into pieces: all that is wanted is in one of them, and no timber in two."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from longhold.portfolio.works import _sharing_no_timber


@given(st.lists(st.frozensets(st.sampled_from("abcdefgh"), max_size=3), min_size=1, max_size=12))
def test_pieces_hold_every_kind_once_and_no_timber_twice(timbers):
    pieces = _sharing_no_timber(range(len(timbers)), timbers)
    assert sorted(kind for piece in pieces for kind in piece) == [*range(len(timbers))]
    simulated = [frozenset().union(*(timbers[kind] for kind in piece)) for piece in pieces]
    assert sum(map(len, simulated)) == len(frozenset().union(*timbers))
