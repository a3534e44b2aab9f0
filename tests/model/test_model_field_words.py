"""Names of fields in words: every default that can stand in for a field is told without its short name."""

import pytest

from longhold.model.field_words import field_words
from longhold.model.layout import Layout
from longhold.model.parts import Part
from longhold.model.site import Air, Site
from longhold.model.structure import Joint, Structure

OWNERS = {
    Structure: "",
    Site: "site.",
    Air: "site.air.",
    Joint: "joints.J1.",
    Layout: "joints.J1.layout.",
    Part: "joints.J1.nail.",
}


@pytest.mark.parametrize("model", OWNERS)
def test_no_short_name_of_a_field_is_left_in_its_words(model):
    for name in model.model_fields:
        told = field_words(f"{OWNERS[model]}{name}")
        assert "_" not in told
        assert "." not in told
        assert "J1" not in told
        assert told.startswith("nail: ") == (model is Part)


@pytest.mark.parametrize(
    ("where", "told"),
    [
        ("site.air", "what stands near the site"),
        ("joints.J1.layout, distances", "rows and distances of fasteners, distances"),
        ("joints.J1.lag", "lag"),
        ("joints.J1.base, tensile strength", "base: tensile strength"),
        ("joints.J1.nail.head_diameter, in the sheet", "nail: head diameter, in the sheet"),
        ("timbers.post.use_category", "post: use category of its treatment"),
    ],
)
def test_words_of_what_is_assumed_beside_the_fields(where, told):
    assert field_words(where) == told
