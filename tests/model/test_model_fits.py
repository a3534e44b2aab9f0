"""What of a joint cannot be together is refused, with the field that says it."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from longhold.model.structure import Joint

BOLT = {"id": "b", "kind": "bolt", "size": "1/2 in x 6 in", "label": "plain steel", "count": 4}
NAIL = {"id": "n", "kind": "nail", "size": "10d common", "label": "plain steel", "count": 10}
STRAP = {"id": "s", "kind": "strap", "size": "16 ga", "label": "G90", "width": "1.25 in"}


def joint(*parts, **more):
    return Joint(id="J", name="joint", place="dry_inside", main="a", side="b", parts=list(parts), **more)


def test_a_row_holds_no_more_fasteners_than_there_are():
    with pytest.raises(ValidationError, match=r"layout\.in_row is 5, but the joint has 4 fasteners"):
        joint(BOLT, layout={"in_row": 5})
    assert joint(BOLT, layout={"in_row": 4}).layout.in_row == 4
    assert joint(BOLT, {**BOLT, "id": "c"}, layout={"in_row": 8}).layout.in_row == 8
    with pytest.raises(ValidationError, match="has 1 fastener:"):
        joint({**BOLT, "count": 1}, STRAP, layout={"in_row": 2})


def test_a_hole_lets_its_fastener_through():
    with pytest.raises(
        ValidationError, match=r"'s' has hole_diameter 3.3 mm, smaller than the 3.76 mm of 'n'"
    ):
        joint({**STRAP, "hole_diameter": "0.13 in"}, NAIL)
    assert joint({**STRAP, "hole_diameter": "0.148 in"}, NAIL)  # as wide as the nail
    assert joint({**STRAP, "hole_diameter": "0.171 in"}, NAIL, BOLT)  # the bolts pass holes of their own
