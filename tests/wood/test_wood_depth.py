from longhold.base.marks import Mark
from longhold.wood.depth import depth_facts


def test_facts_are_verified_ranges():
    assert {fact.mark for fact in depth_facts().values()} == {Mark.VERIFIED}
    for fact in depth_facts().values():
        assert 0.0 <= fact.least_mm < fact.most_mm
