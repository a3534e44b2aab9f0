"""The way a face lies and the air of a room, as the forecast uses them."""

from __future__ import annotations

import re
from typing import get_args

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.air.climates import station
from longhold.air.faces import shelter_cautions, span_factor
from longhold.air.site_air import air_load
from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.trace import Trace
from longhold.forecast.causes import Causes, MiddleCauses
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.indoors import indoor_climate
from longhold.forecast.placed import indoor_um, note_facing, outdoor_um
from longhold.model.facing import FaceKind, Facing
from longhold.model.surroundings import places
from longhold.wood.moisture import steady_moisture

OPEN, COVER = places()["open_to_rain"], places()["under_cover"]
KINDS = get_args(FaceKind)


def exposure(distance_m=50.0, causes=None):
    load, _ = air_load(distance_m, "surf", "rural")
    return SiteExposure(causes or Causes(1, 400), station("Wilmington NC"), load, distance_m)


def rates(site, *faces, place=OPEN):
    return np.asarray(site.air_law("zinc", place, faces=faces).first_year_um)


def test_a_face_lies_between_washed_and_sheltered_in_every_draw():
    site = exposure()
    assert (rates(site, "sky_facing") <= rates(site, "wall")).all()
    assert (rates(site, "wall") <= rates(site, "underside")).all()
    assert (rates(site, "underside") == rates(site, "open", place=COVER)).all()
    assert (rates(site, "sky_facing") == site.open_air_um("zinc")).all()


def test_each_way_to_lie_is_kept_apart_and_computed_once():
    site = exposure()
    assert rates(site, "wall") is rates(site, "wall")
    assert np.median(rates(site, "wall")) != np.median(rates(site, "underside"))


@settings(deadline=None)
@given(
    faces=st.lists(st.sampled_from(KINDS), min_size=1, max_size=3),
    near=st.floats(0.0, 1e5),
    far=st.floats(0.0, 1e5),
    place=st.sampled_from([OPEN, COVER]),
)
def test_no_draw_rises_with_distance_where_the_open_air_is_the_same(faces, near, far, place):
    near, far = sorted((near, far))
    open_air, causes = np.full(50, 2.0), Causes(3, 50)
    one, other = (outdoor_um(open_air, place, faces, metres, causes) for metres in (near, far))
    assert (one >= other - 1e-12).all()
    assert (other >= 2.0).all()


@pytest.mark.parametrize("faces", [("wall",), ("wall", "underside"), ("wind_sheltered_underside",)])
def test_half_of_the_draws_lie_on_either_side_of_the_factor_that_is_shown(faces):
    factor = span_factor(OPEN, faces, 50.0)
    drawn = outdoor_um(np.ones(4000), OPEN, faces, 50.0, Causes(1, 4000))
    assert np.mean(drawn < factor.median) == pytest.approx(0.5, abs=0.03)
    assert factor.low <= drawn.min()
    assert drawn.max() <= factor.high
    trace = Trace("face")
    shown = outdoor_um(np.ones(1), OPEN, faces, 50.0, MiddleCauses(), trace)
    (step,) = trace.root.steps()
    assert shown[0] == pytest.approx(factor.median)
    assert step.inputs["k"] == f"{factor.median:.3g} ({factor.low:.3g} to {factor.high:.3g})"
    assert (step.source, step.mark) == ("own", Mark.OWN)


def test_how_a_face_lies_and_what_is_published_of_it_is_recorded():
    trace = Trace("face")
    note_facing(OPEN, Facing(("underside",), "as stated", given=True), trace)
    first, *published = trace.root.steps()
    assert (first.value, first.source, first.note) == ("facing down", "user", "as stated")
    assert [(one.what, one.source, one.mark) for one in published] == [
        (one.words, one.source, one.mark) for one in shelter_cautions(OPEN, "underside")
    ]


def test_a_washed_face_has_nothing_published_to_be_watched():
    trace = Trace("face")
    note_facing(OPEN, Facing(("sky_facing",), "usual", given=False), trace)
    (only,) = trace.root.steps()
    assert (only.source, only.mark) == ("own", Mark.OWN)


@pytest.mark.parametrize("name", ["dry_inside", "damp_inside"])
def test_metal_and_wood_of_a_room_are_given_the_same_air(name):
    air, place = indoor_climate(places()[name]), places()[name]
    states = steady_moisture(station("Wilmington NC"), place)
    assert air.temperature_c == pytest.approx(float((states.temperature_c * states.share_of_year).sum()))
    span = re.search(r"at ([\d.]+) to ([\d.]+) % humidity", states.how)
    assert span is not None
    assert float(span[1]) < air.relative_humidity_pct < float(span[2])
    trace = Trace("room")
    indoor_um("zinc", place, MiddleCauses(), trace)
    (step,) = trace.root.steps()
    assert step.inputs["RH"] == f"{air.relative_humidity_pct:.3g} %"
    assert f"at {air.relative_humidity_pct:g} % humidity" in step.what
    category = {"dry_inside": "C1", "damp_inside": "C2"}[name]
    assert f"category {category} " in step.what


def test_a_place_outdoors_has_no_indoor_climate():
    with pytest.raises(InputError, match="no indoor climate"):
        indoor_climate(OPEN)
