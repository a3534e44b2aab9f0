import numpy as np
import pytest

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.wood.preservatives import (
    copper_kg_m3,
    find_preservative,
    preservative_table,
    reference_copper_kg_m3,
    treatment_family,
)
from longhold.wood.treatments import treatment_bands


@pytest.mark.parametrize(
    ("text", "abbreviation", "family"),
    [
        ("CCA", "CCA-C", "CCA"),
        ("acq d", "ACQ-D", "ACQ"),
        ("CA-B", "CA-B", "copper azole"),
        ("MCA", "MCA", "micronized"),
        ("Micronized Copper Azole", "MCA", "micronized"),
        ("MCQ", "micronized copper quat", "micronized"),
        ("SBX", "SBX/DOT", "borate"),
        ("borate", "SBX/DOT", "borate"),
        ("ACZA", "ACZA", "ACZA"),
        ("creosote", "CR", "oil"),
        ("CuN-W", "CuN-W", "ACQ"),
        ("EL2", "EL2", "organic"),
        ("FRT", "FRT", "FRT"),
        ("None", "none", "none"),
        ("untreated", "none", "none"),
    ],
)
def test_spellings(text, abbreviation, family):
    found = find_preservative(text)
    assert (found.abbreviation, found.family, found.assumptions) == (abbreviation, family, ())
    assert treatment_family(text) == family


@pytest.mark.parametrize(("text", "read"), [("ACQ", "ACQ-D"), ("CA", "CA-C"), ("CuAz", "CA-C")])
def test_a_name_without_its_type_is_read_with_an_assumption(text, read):
    found = find_preservative(text)
    assert found.abbreviation == read
    assert len(found.assumptions) == 1
    assert read in found.assumptions[0]


@pytest.mark.parametrize(("text", "near"), [("ACQ-E", "ACQ-D"), ("CCA-B", "CCA"), ("azole", "copper azole")])
def test_an_unknown_name_is_refused_with_the_nearest(text, near):
    with pytest.raises(InputError) as caught:
        find_preservative(text, where="timbers.joist.preservative")
    (problem,) = caught.value.problems
    assert problem.where == "timbers.joist.preservative"
    assert near in problem.do


def test_a_name_near_nothing_is_refused_with_a_few_and_where_all_stand():
    with pytest.raises(InputError, match=r"Known are CCA-C, .* and more; longhold schema"):
        find_preservative("zzz")
    with pytest.raises(InputError, match="Known are"):
        find_preservative("")


def test_every_preservative_is_found_by_its_own_names_and_has_a_family_with_a_multiplier():
    for abbreviation, record in preservative_table().items():
        assert find_preservative(abbreviation).abbreviation == abbreviation
        assert find_preservative(record.name).abbreviation == abbreviation
        assert record.family in treatment_bands()
        assert record.contains_copper == (record.copper_fraction > 0) == bool(record.retentions)


def test_copper_by_retention_and_by_use_category():
    cca = find_preservative("CCA")
    assert float(copper_kg_m3(cca, use_category="UC3B")) == float(copper_kg_m3(cca, retention_kg_m3=4.0))
    drawn = copper_kg_m3(cca, retention_kg_m3=np.array([4.0, 6.4]))
    assert drawn.tolist() == [float(copper_kg_m3(cca, retention_kg_m3=r)) for r in (4.0, 6.4)]
    assert float(copper_kg_m3(find_preservative("SBX"), use_category="UC2")) == 0.0


@pytest.mark.parametrize(
    ("name", "given"),
    [
        ("CCA", {}),
        ("CCA", {"retention_kg_m3": 4.0, "use_category": "UC3B"}),
        ("CCA", {"retention_kg_m3": -1.0}),
        ("CCA", {"retention_kg_m3": float("nan")}),
        ("CCA", {"use_category": "UC5A"}),
        ("CCA", {"use_category": "H4"}),
        ("CX-A", {"use_category": "UC4A"}),
    ],
)
def test_copper_that_cannot_be_told_is_refused(name, given):
    with pytest.raises(InputError):
        copper_kg_m3(find_preservative(name), **given)


def test_a_stand_in_for_a_use_category_is_said_and_marked_own():
    acq = find_preservative("ACQ-D")
    indoor, listed = acq.retention("UC1"), acq.retention("UC3B")
    assert indoor.kg_m3 == listed.kg_m3
    assert (indoor.mark, listed.mark) == (Mark.OWN, Mark.VERIFIED)
    assert indoor.words


def test_the_reference_lies_between_the_two_grades():
    for record in preservative_table().values():
        reference = reference_copper_kg_m3(record)
        assert (reference is None) == (not record.contains_copper)
        if reference is not None:
            grades = [record.retentions[u].kg_m3 for u in ("UC3B", "UC4A") if u in record.retentions]
            assert min(grades) <= reference / record.copper_fraction * (1 + 1e-12)
            assert reference / record.copper_fraction <= max(grades) * (1 + 1e-12)
