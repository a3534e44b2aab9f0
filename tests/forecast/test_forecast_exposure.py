"""One site's exposures: orders that must hold in every draw or in the middle."""

from __future__ import annotations

import numpy as np
import pytest

from longhold.air.climates import station
from longhold.air.site_air import air_load
from longhold.base.marks import Mark
from longhold.base.trace import Trace
from longhold.forecast.causes import Causes, MiddleCauses
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.face import FaceCase, face_layers
from longhold.forecast.faces import faces_of
from longhold.forecast.wood_rate import TimberFacts, WoodContact
from longhold.model.protection import Layer, Protection
from longhold.model.surroundings import places
from longhold.wood.treatments import treatment

OPEN, COVER, DRY = (places()[name] for name in ("open_to_rain", "under_cover", "dry_inside"))
AGES, YEARS = np.linspace(0.0, 100.0, 21), 100.0


def exposure(distance_m=50.0, town="Wilmington NC", causes=None):
    load, _ = air_load(distance_m, "surf", "rural")
    return SiteExposure(causes or Causes(1, 800), station(town), load, distance_m)


def timber(preservative="ACQ-D", use_category="UC4A"):
    found = treatment(preservative, "southern pine", use_category=use_category)
    return TimberFacts(preservative, found, (), 38.1, 0.55)


def met(place=OPEN, facts=None, *, trapped=True, rain_from="above"):
    return WoodContact(place, facts or timber(), trapped, rain_from, "shank")


def zinc(um, kind="zinc", process="mill_dip"):
    return Layer(kind, process, um * 7.14, um * 5.0, um, 0.7 * um, 7.14, "own", Mark.OWN)


def face(name="contact", kind="hanger"):
    return next(one for one in faces_of(kind) if one.face == name)


def case(protection, place=OPEN, facts=None, which=None, driven=False):
    return FaceCase(which or face(), protection, place, facts or timber(), "above", driven, "J1")


def test_the_shore_is_worse_than_inland_in_every_draw():
    near, far = exposure(50.0), exposure(500_000.0)
    assert (near.open_air_um("zinc") > far.open_air_um("zinc")).all()


def test_shelter_near_salt_is_worse_and_a_dry_room_far_milder():
    site = exposure()
    rates = [np.median(site.air_law("zinc", place).first_year_um) for place in (DRY, OPEN, COVER)]
    assert rates == sorted(rates)
    assert rates[0] < 0.1 * rates[1]


@pytest.mark.parametrize(("milder", "worse"), [("none", "CCA-C"), ("CCA-C", "MCA"), ("MCA", "ACQ-D")])
def test_more_corrosive_treatment_takes_more(milder, worse):
    site = exposure()
    rates = [
        np.median(
            site.wood_law("zinc", met(facts=timber(name, None if name == "none" else "UC4A"))).first_year_um
        )
        for name in (milder, worse)
    ]
    assert rates[0] < rates[1]


def test_dry_inside_nearly_nothing_happens_in_treated_wood():
    wet, dry = (exposure().wood_law("zinc", met(place)).first_year_um for place in (OPEN, DRY))
    assert np.median(dry) < 0.02 * np.median(wet)


def test_more_zinc_never_shortens_protection_in_any_draw():
    site = exposure()
    thin, thick = (
        face_layers(case(Protection("same batch", "carbon_steel", layers=(zinc(um),))), site, YEARS)
        for um in (19.2, 39.5)
    )
    assert (thick.protection_years >= thin.protection_years).all()
    assert (thick.base_loss_um(AGES) <= thin.base_loss_um(AGES) + 1e-9).all()


def test_a_film_on_a_driven_part_has_no_life_and_on_a_formed_part_it_has():
    film = Layer("organic", "painted", None, None, 12.0, None, None, "own", Mark.OWN)
    coated = Protection("film over zinc", "carbon_steel", layers=(film, zinc(5.0)))
    site = exposure()
    driven = face_layers(case(coated, which=face("joint_line", "nail"), driven=True), site, YEARS)
    formed = face_layers(case(coated), site, YEARS)
    assert (np.asarray(driven.film_years) == 0.0).all()
    assert np.median(formed.film_years) > 1.0


def test_the_same_exposure_is_computed_once():
    site = exposure()
    assert site.open_air_um("zinc") is site.open_air_um("zinc")
    one = site.wood_law("zinc", met())
    again = site.wood_law("zinc", met())
    assert one.first_year_um is again.first_year_um


def test_the_recorded_calculation_is_the_middle_of_the_draws():
    trace = Trace("middle")
    middle = exposure(causes=MiddleCauses())
    layers = face_layers(case(Protection("G90", "carbon_steel", layers=(zinc(19.2),))), middle, YEARS, trace)
    drawn = face_layers(case(Protection("G90", "carbon_steel", layers=(zinc(19.2),))), exposure(), YEARS)
    assert list(trace.root.steps())
    for law in ("zinc_law", "base_law"):
        recorded = float(np.asarray(getattr(layers, law).first_year_um)[0])
        assert recorded == pytest.approx(np.median(getattr(drawn, law).first_year_um), rel=0.5)


def test_an_upright_face_under_cover_and_a_dry_room_are_milder_than_a_level_face_in_rain():
    site = exposure()
    rates = [
        np.median(site.wood_law("zinc", met(place, trapped=False, rain_from=way)).first_year_um)
        for place, way in ((DRY, "side"), (COVER, "side"), (OPEN, "side"), (OPEN, "above"))
    ]
    assert rates == sorted(rates)


def test_a_trapped_face_is_worse_than_a_free_one():
    site = exposure()
    free, trapped = (
        np.median(site.wood_law("zinc", met(trapped=held)).first_year_um) for held in (False, True)
    )
    assert free < trapped
