import pytest

from longhold.wood.named import named_in
from longhold.wood.preservatives import preservatives_in
from longhold.wood.species import species_in


def test_whole_words_only_and_the_longest_first():
    names = ("CA", "CA-B", "ACQ", "copper azole", "copper azole B")
    assert named_in("CA-B or ACQ", names) == ("CA-B", "ACQ")
    assert named_in("Copper azole B, then copper  azole", names) == ("copper azole B", "copper azole")
    assert named_in("ACQ-treated", names) == ("ACQ",)
    for text in ("ca", "CA-D", "CAX", "", "untreated"):
        assert named_in(text, names) == ()


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("CCA or ACZA Douglas-fir", ["CCA-C", "ACZA"]),
        ("micronised Cu", ["MCA"]),
        ("ACA", ["ACZA"]),
        ("oil-borne copper naphthenate", ["CuN"]),
        ("untreated", ["none"]),
        ("a deck in California", []),
    ],
)
def test_preservatives_in_a_text(text, found):
    assert [one.abbreviation for one in preservatives_in(text)] == found


def test_species_in_a_text():
    assert [one.name for one in species_in("CCA radiata pine and SYP")] == [
        "radiata pine",
        "southern pine (loblolly)",
    ]
    assert species_in("any wood") == ()
