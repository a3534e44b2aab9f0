"""What was assumed, called as the page calls it."""

from __future__ import annotations

from collections.abc import Callable

from longhold.model.structure import Structure
from longhold.web.assumed import field_words


def test_what_stands_for_no_one_field_is_named_by_its_joint_and_part(
    small_structure: Callable[..., Structure],
) -> None:
    words = field_words(small_structure())
    assert words("joints.open_to_rain.p.width") == "open_to_rain, part p, width"
    assert words("joints.open_to_rain.p, edges") == "open_to_rain, p: edges"
    assert words("site.shore") == "site: shore"
    assert words("label Z275") == "label Z275"
