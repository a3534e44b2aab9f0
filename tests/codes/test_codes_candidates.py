from __future__ import annotations

import pytest

from longhold.base.errors import TableError
from longhold.codes import candidates
from longhold.codes.candidates import list_candidates


def test_a_finish_takes_the_place_of_the_old_one_whole() -> None:
    copper = next(candidate for candidate in list_candidates("us") if candidate.words == "copper")
    before = {"item": "nail", "finish": "hot_dip_zinc", "a153_class": "D", "zinc_least_um": 36.0}
    after = copper.in_place_of(before)
    assert after["finish"] == "copper"
    assert "a153_class" not in after
    assert "zinc_least_um" not in after
    assert after["item"] == "nail"


def test_advice_on_another_finish_is_dropped_but_no_advice_stays_none() -> None:
    copper = list_candidates("us")[-1]
    assert "maker_advice" not in copper.in_place_of({"maker_advice": "accepts"})
    assert copper.in_place_of({"maker_advice": "none"})["maker_advice"] == "none"


def test_no_list_no_finishes() -> None:
    assert list_candidates("") == ()
    with pytest.raises(TableError, match="no list"):
        list_candidates("mars")


def test_a_finish_may_only_carry_finish_facts() -> None:
    with pytest.raises(TableError):
        candidates._finish({"words": "a nail", "facts": {"item": "nail"}})
    with pytest.raises(TableError):
        candidates._finish({"words": "gold", "facts": {"finish": "gold"}})
