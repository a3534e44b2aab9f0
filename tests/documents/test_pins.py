"""Labels over a section: no leader through a word, no word beyond the paper."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.documents.pins import crossings, placed

WIDE = 360.0
WORDS = st.sampled_from(["bolt 1/2 in x 6 in", "strap 16 ga", "lag screw 3/8 in x 3 in", "nail 16d common"])


def test_two_long_labels_that_face_each_other_do_not_cross():
    """Left and right of the middle, each label runs over the other's leader on the usual side."""
    found = placed([(150.0, 90.0, "bolt 1/2 in x 6 in"), (230.0, 90.0, "lag screw 1/2 in x 4 in")], WIDE)
    assert crossings(found) == 0
    assert {pin.words for pin in found} == {"bolt 1/2 in x 6 in", "lag screw 1/2 in x 4 in"}


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.floats(20.0, 340.0), WORDS), min_size=1, max_size=4, unique_by=lambda one: one[0])
)
def test_words_stay_on_the_paper_and_rows_are_each_used_once(pins):
    found = placed([(x, 90.0, words) for x, words in pins], WIDE)
    assert sorted(pin.row for pin in found) == list(range(len(pins)))
    assert all(pin.span[0] >= -60.0 and pin.span[1] <= WIDE + 60.0 for pin in found)
