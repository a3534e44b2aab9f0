"""Paint, damage, cut edges, stainless and contacts of parts, from the structure's words to the answer."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from longhold.assessment.findings import JointFinding
from longhold.assessment.line import assess
from longhold.base.errors import InputError
from longhold.model.structure import Structure


def _structure(*parts: dict[str, Any], site: dict[str, Any] | None = None, **joint: Any) -> Structure:
    return Structure.model_validate(
        {
            "name": "one joint",
            "design_life": "50 years",
            "code": {"pack": "us_irc", "edition": "2021"},
            "site": {
                "name": "somewhere",
                "distance_to_salt_water": "100 miles",
                "climate": {"station": "Wilmington NC"},
                **(site or {}),
            },
            "timbers": {"joist": {"species": "southern pine", "preservative": "none", "size": "2x8"}}
            | joint.pop("timbers", {}),
            "joints": [
                {
                    "id": "J",
                    "name": "one",
                    "place": "under_cover",
                    "main": "joist",
                    "role": "structural",
                    "parts": list(parts),
                    **joint,
                }
            ],
        }
    )


def _found(*parts: dict[str, Any], **joint: Any) -> JointFinding:
    return assess(_structure(*parts, **joint), draws=200).findings[0]


def _strap(**more: Any) -> dict[str, Any]:
    return {"id": "p", "kind": "strap", "size": "16 ga", "label": "G60", **more}


def _nail(**more: Any) -> dict[str, Any]:
    return {"id": "n", "kind": "nail", "size": "16d common", "label": "ASTM A153 Class D", **more}


def _outer(**more: Any) -> Any:
    return _found(_strap(**more)).parts[0].faces[0]


PAINT = {"topcoat": "120 um"}


def test_paint_lasts_by_its_durability_range() -> None:
    lives = [_outer(**PAINT, topcoat_durability=one).film_years.p50 for one in ("L", "M", "H", "VH")]
    assert lives == sorted(lives)
    assert 7.0 < lives[1] < 15.0 < lives[2] < 25.0


def test_holidays_end_protection_as_if_unpainted_but_cost_less_metal() -> None:
    bare, holed = _outer(), _outer(**PAINT, topcoat_durability="H", topcoat_bare_pct=1.0)
    assert holed.protection_years.p50 == pytest.approx(bare.protection_years.p50)
    assert holed.base_loss_um.p50 <= bare.base_loss_um.p50


def test_the_factor_for_paint_over_zinc_is_only_given_when_asked_for() -> None:
    plain, asked = (_outer(**PAINT, topcoat_durability="H", topcoat_repainted=one) for one in (False, True))
    factor = asked.protection_years.p50 / plain.protection_years.p50
    assert 1.3 < factor < 1.8


@pytest.mark.parametrize(
    ("told", "why"),
    [
        ({"topcoat": "20 um"}, "ordinary thickness"),
        ({**PAINT, "topcoat_damaged": True}, "cut or scraped"),
        ({**PAINT, "damage": ["scratched_face"]}, "cut or scraped"),
        ({**PAINT, "label": "plain steel"}, "no zinc"),
    ],
)
def test_that_factor_is_refused_where_it_does_not_hold(told: dict[str, Any], why: str) -> None:
    with pytest.raises(InputError, match=why):
        _found(_strap(**told, topcoat_repainted=True))


def test_it_is_refused_on_a_driven_part() -> None:
    with pytest.raises(InputError, match="driven"):
        _found(_strap(), _nail(**PAINT, topcoat_repainted=True))


def test_life_and_durability_are_not_both_given() -> None:
    with pytest.raises(InputError, match="Leave one of them out"):
        _found(_strap(**PAINT, topcoat_life="5 years", topcoat_durability="M"))


def test_damage_of_another_kind_of_part_is_refused_with_the_list() -> None:
    with pytest.raises(ValidationError, match="it can have nicked_head, scraped_shank, cut_end"):
        _structure(_nail(damage=["field_cut"]))
    with pytest.raises(ValidationError, match="nicked_head"):
        _structure(_nail(damage=["hit"]))


def test_a_nicked_head_does_not_govern_the_strength_and_a_scraped_shank_may() -> None:
    joint: dict[str, Any] = {"place": "open_to_rain"}
    parts = [
        _found(_strap(), _nail(damage=[name]), **joint).parts[1] for name in ("nicked_head", "scraped_shank")
    ]
    head, shank = (part.damage[0] for part in parts)
    assert (head.feeds_strength, head.governs_strength) == (False, False)
    assert shank.feeds_strength
    assert parts[1].strength is not None
    assert parts[0].strength is not None
    assert parts[1].strength.ratio.p50 <= parts[0].strength.ratio.p50


def _tearing(**more: Any) -> dict[str, Any]:
    """A strap that tears across its holes before its nails tilt."""
    return _strap(width="1.25 in", hole_diameter="0.5 in", yield_strength="50 ksi", **more)


def test_a_scratch_to_bare_steel_counts_at_its_worst_spot_and_governs() -> None:
    """A scratch of 5 % of the face was averaged over it, and then said not to govern."""
    joint: dict[str, Any] = {"place": "open_to_rain"}
    nails = _nail(count=40)
    scratched = _found(_tearing(label="G185", damage=["scratched_face"]), nails, **joint).parts[0]
    ground = _found(_tearing(label="G185", damage=["ground_bare"]), nails, **joint).parts[0]
    whole = _found(_tearing(label="G185"), nails, **joint).parts[0]
    assert scratched.damage[0].governs_strength
    assert "it governs the strength" in scratched.damage[0].words
    assert "of steel is gone there by the design life" in scratched.damage[0].words
    left = [one.strength.ratio.p10 for one in (ground, scratched, whole) if one.strength]
    assert left[0] <= left[1] < left[2]


def test_a_nail_bears_in_a_scratched_sheet_as_at_its_worst_spot() -> None:
    """A hole may lie in the scratch: 5 % of a face must not be averaged away there."""
    found = {
        name: _found(
            _tearing(label="G185", damage=damage), _nail(label="316 stainless"), place="open_to_rain"
        )
        for name, damage in {"scratched": ["scratched_face"], "ground": ["ground_bare"], "whole": []}.items()
    }
    left = {name: one.parts[1].strength.ratio.p10 for name, one in found.items() if one.parts[1].strength}
    assert left["ground"] <= left["scratched"] < left["whole"] - 0.1


def test_what_governs_is_not_told_where_it_was_not_computed() -> None:
    told = _found(_strap(damage=["drilled_hole"])).parts[0].damage[0]
    assert "not computed without width and holes" in told.words
    assert "does not govern" not in told.words
    shaped = _found(_tearing(label="ASTM A123 grade 85", damage=["drilled_hole"]), _nail(count=40)).parts[0]
    assert shaped.damage[0].feeds_strength
    assert "govern" in shaped.damage[0].words


def test_damage_that_was_computed_together_is_told_so() -> None:
    both = _tearing(label="G185", damage=["scratched_face", "scraped_contact"])
    told = _found(both, _nail(count=40), place="open_to_rain").parts[0].damage
    assert all("with the other damage it governs" in one.words for one in told)


def test_a_nick_on_a_head_counts_where_the_load_pulls_at_it() -> None:
    timbers = {"board": {"species": "southern pine", "preservative": "none", "size": "5/4x6"}}
    nail = _nail(size="10d common", damage=["nicked_head"])
    across, pulled = (
        _found(nail, timbers=timbers, side="board", place="open_to_rain", demand="50 lb", **load).parts[0]
        for load in ({}, {"demand_withdrawal": "50 lb"})
    )
    assert not across.damage[0].feeds_strength
    assert "does not count" in across.damage[0].words
    assert pulled.damage[0].feeds_strength


def test_a_nick_on_a_head_is_not_praised_where_the_head_is_taken_as_new() -> None:
    """By EN 1995-1-1 the rope effect of a nail rests on its head, whose loss is not in it."""
    timbers = {
        "joist": {"species": "Norway spruce", "preservative": "none", "thickness": "71 mm"},
        "board": {"species": "Norway spruce", "preservative": "none", "thickness": "38 mm"},
    }
    nail = _nail(size="3.4 mm x 90 mm", head_diameter="8 mm", label="EN ISO 1461", damage=["nicked_head"])
    structure = _structure(nail, timbers=timbers, side="board").model_copy(
        update={"strength_standard": "en1995"}
    )
    told = assess(structure, draws=200).findings[0].parts[0].damage[0]
    assert "not computed: the hold of its head is taken as new" in told.words


def test_edges_cut_on_site_end_the_protection_of_the_part() -> None:
    dipped = "ASTM A123 grade 85"
    whole, cut, repaired = (
        _found(_strap(label=dipped, damage=damage)).parts[0]
        for damage in ([], ["field_cut"], ["field_cut", "zinc_painted"])
    )
    years = [one.protection_years.p50 for one in (cut, repaired, whole) if one.protection_years]
    assert 0.0 == years[0] < years[1] < years[2]
    assert cut.edge is not None
    assert cut.edge.ends_protection
    assert "they end the protection of the part" in cut.edge.words
    face = [one.faces[0].protection_years for one in (repaired, whole)]
    assert face[0] == face[1]  # the repair is at the edge, not on the face


def test_edges_as_sold_are_listed_as_not_ending_the_protection() -> None:
    found = _found(_strap())
    assert any(one.where == "joints.J.p, edges" for one in found.assumptions)


def test_an_edge_is_served_by_the_zinc_of_one_face_over_its_whole_thickness() -> None:
    """What lies against timber serves nothing: the served edge is gone sooner by 1 + t / w, not t / 2 w."""
    shore = {"distance_to_salt_water": "200 ft"}
    part = _found(_strap(), site=shore).parts[0]
    assert part.edge is not None
    assert part.edge.served_chance > 0.5
    assert "the zinc of one face reaches across it" in part.edge.words


def test_a_repair_puts_back_less_than_was_there() -> None:
    dipped = "ASTM A123 grade 85"
    whole, repaired, bare = (
        _outer(label=dipped, damage=damage)
        for damage in ([], ["ground_bare", "zinc_painted"], ["ground_bare"])
    )
    assert bare.protection_years.p50 == 0.0
    assert 0.0 < repaired.protection_years.p50 < whole.protection_years.p50


def test_edges_of_mill_sheet_are_told_and_do_not_end_its_protection() -> None:
    part = _found(_strap()).parts[0]
    assert part.edge is not None
    assert part.protection_years is not None
    assert part.edge.thickness_mm > part.edge.reach_mm.p50  # rain: zinc reaches less than 16 gauge
    assert part.edge.protection_years.p50 == 0.0 < part.protection_years.p50


def test_edges_of_what_is_dipped_after_making_are_coated_until_it_is_cut() -> None:
    dipped = "ASTM A123 grade 85"
    assert _found(_strap(label=dipped)).parts[0].edge is None
    assert _found(_strap(label=dipped, damage=["field_cut"])).parts[0].edge is not None


def test_near_the_sea_zinc_reaches_farther_across_an_edge() -> None:
    inland = _found(_strap()).parts[0].edge
    shore = _found(_strap(), site={"distance_to_salt_water": "200 ft"}).parts[0].edge
    assert inland is not None
    assert shore is not None
    assert shore.reach_mm.p50 > 2.0 * inland.reach_mm.p50


def test_zinc_alloys_last_longer_in_air_and_say_why() -> None:
    zinc, alloy = _outer(label="Z275"), _outer(label="ZM275")
    assert alloy.zinc_rate_um_yr.p50 < 0.7 * zinc.zinc_rate_um_yr.p50
    assert any("twelve sites" in step.what for step in alloy.calculation.steps())


@pytest.mark.parametrize(
    ("distance", "place", "factors", "asked"),
    [
        ("100 m", "open_to_rain", "F1 -15, F2 0, F3 0, sum -15", "IV"),
        ("600 m", "open_to_rain", "F1 -7, F2 0, F3 0, sum -7", "III"),
        ("100 m", "under_cover", "F1 -15, F2 0, F3 -7, sum -22", "V"),
    ],
)
def test_the_class_of_en_1993_1_4(distance: str, place: str, factors: str, asked: str) -> None:
    strap = _strap(label="316 stainless", **({"faces": "sky_facing"} if place == "open_to_rain" else {}))
    found = _found(strap, site={"distance_to_salt_water": distance}, place=place).parts[0].stainless
    assert found is not None
    assert (found.factors, found.class_asked, found.class_has) == (factors, asked, "III")
    assert found.pren == 24.1


def test_a_pool_hall_is_a_stop_with_the_grades() -> None:
    found = _found(_strap(label="316 stainless"), place="pool_hall")
    assert found.outcome == "refer"
    assert found.parts[0].stainless is not None
    assert found.parts[0].stainless.stops
    assert "1.4529 or 1.4547 or 1.4565" in found.parts[0].refer[0]


@pytest.mark.parametrize(
    ("label", "contact", "words"),
    [
        ("G90", "concrete", "more than 4 um a year"),
        ("aluminium 6061", "mortar", "bitumen"),
        ("copper", "fertiliser", "severely attacks"),
        ("316 stainless", "pool_chemicals", "specialist"),
        ("G90", "deicing_salt", "salted_road"),
    ],
)
def test_contacts_that_are_not_computed_say_why_and_what_to_do(label: str, contact: str, words: str) -> None:
    part = _found(_strap(label=label, contact=contact)).parts[0]
    assert part.faces == ()
    assert words in part.refer[0]


def test_soil_takes_zinc_and_steel_faster_than_air() -> None:
    air, soil = _outer(), _outer(contact="soil")
    assert soil.protection_years.p50 < air.protection_years.p50
    assert soil.base_loss_um.p50 > 500.0
    assert "outer face, against soil, goes first" in _found(_strap(contact="soil")).why


def test_aluminium_in_timber_with_copper_is_left_to_a_person() -> None:
    timbers = {"joist": {"species": "southern pine", "preservative": "ACQ-D", "size": "2x8"}}
    part = _found(_strap(label="aluminium 6061"), timbers=timbers).parts[0]
    assert part.faces == ()
    assert "copper" in part.refer[0]


def test_contact_words_have_a_list() -> None:
    with pytest.raises(ValidationError, match="'soil', 'concrete', 'mortar'"):
        _structure(_strap(contact="sand"))
