import pytest

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.wood.species import find_species, species_table


@pytest.mark.parametrize(
    ("text", "name", "gravity"),
    [
        ("southern pine", "southern pine (loblolly)", 0.55),
        ("SYP", "southern pine (loblolly)", 0.55),
        ("Southern Yellow Pine", "southern pine (loblolly)", 0.55),
        ("DF-L", "Douglas-fir (coast)", 0.50),
        ("douglas fir larch", "Douglas-fir (coast)", 0.50),
        ("SPF", "white spruce (SPF)", 0.42),
        ("Hem-Fir", "western hemlock (hem-fir)", 0.43),
        ("western red cedar", "western red cedar", 0.36),
        ("Pinus radiata", "radiata pine", None),
        ("beech, steamed", "beech, steamed", None),
        ("European larch", "European larch", None),
        ("Lärche", "European larch", None),
        ("Larix sibirica", "Siberian larch", None),
        ("Western larch", "western larch", 0.50),
        ("Scotch pine", "Scots pine", None),
        ("European redwood", "Scots pine", None),
        ("redwood", "redwood (old growth)", 0.44),
        ("European whitewood", "Norway spruce", None),
    ],
)
def test_names(text, name, gravity):
    found = find_species(text)
    assert (found.name, found.gravity_design) == (name, gravity)


@pytest.mark.parametrize(
    ("text", "near"),
    [("spruce", "white spruce"), ("cedar", "western red cedar"), ("sothern pine", "southern pine")],
)
def test_an_unknown_or_loose_name_is_refused_with_the_nearest(text, near):
    with pytest.raises(InputError) as caught:
        find_species(text, where="timbers.deck.species")
    assert near in caught.value.problems[0].do
    assert "timbers.deck.species" in str(caught.value)


def test_a_name_near_nothing_is_refused_with_a_few_and_where_all_stand():
    with pytest.raises(InputError, match=r"Known are western red cedar, .* and more; longhold schema"):
        find_species("zzz")


def test_every_species_is_found_by_its_own_name_and_is_sound():
    for name, record in species_table().items():
        assert find_species(name) is record
        gravities = [record.gravity_green, record.gravity_12_pct, record.gravity_design]
        known = [g for g in gravities if g is not None]
        assert all(0.2 < g < 1.0 for g in known)
        assert record.ph_least is None or record.ph_least <= record.ph_most
        assert (record.acid_band is None) == (record.acidity == "")


def test_a_word_of_ours_weakens_the_mark():
    assert find_species("SPF").weakest_mark is Mark.OWN
    assert find_species("eucalypts").weakest_mark is Mark.VERIFIED


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [("Scots pine", 475, 555), ("European larch", 550, 665), ("Siberian larch", 535, 670)],
)
def test_densities_lie_within_those_measured_on_mature_trees(name, least, most):
    """Karlman, Moerling and Martinsson 2005, abstract: ranges of means over mature trees [kg/m3].

    The abstract tells no moisture; X-ray densitometry is of air-dry wood, so 12 % is taken.
    """
    assert least <= 1120 * find_species(name).gravity_12_pct <= most
