"""How a film's life is drawn, and where paint over zinc counts for more than the sum of both."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from longhold.base.marks import Mark
from longhold.forecast.causes import Causes
from longhold.forecast.coats import CoatFacts, film_years, with_spots
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.face import FaceCase
from longhold.forecast.faces import faces_of
from longhold.forecast.wood_rate import TimberFacts
from longhold.metal.laws import TimeLaw
from longhold.metal.layers import FaceLayers
from longhold.model.protection import Layer, Protection
from longhold.model.surroundings import AirLoad, Climate, Estimate, places
from longhold.wood.treatments import treatment

ZINC = Layer("zinc", "mill_dip", 137.0, 97.0, 19.2, 13.7, 7.14, "own", Mark.OWN)
FILM = Layer("organic", "painted", None, None, 100.0, None, None, "own", Mark.OWN)
CAUSES = Causes(1, 4000)


def case(kind="angle", face="outer", layers=(ZINC, FILM), **says):
    timber = TimberFacts("t", treatment("none", "southern pine"), (), 38.1, 0.55)
    which = next(one for one in faces_of(kind) if one.face == face)
    protection = Protection("painted", "carbon_steel", layers=layers)
    place = places()["under_cover"]
    return FaceCase(which, protection, place, timber, "above", False, "J1", topcoat_years=20.0, **says)


@pytest.mark.parametrize("shape", [0.8, 2.0, 5.0])
def test_a_film_of_a_stated_shape_fails_as_that_weibull_law_about_its_middle(shape):
    drawn = film_years(case(coat=CoatFacts(shape=shape)), CAUSES)
    law = stats.weibull_min(shape, scale=20.0 / np.log(2.0) ** (1.0 / shape))
    assert law.median() == pytest.approx(20.0)
    assert stats.kstest(drawn, law.cdf).pvalue > 0.001
    other = stats.weibull_min(1.5 * shape, scale=20.0 / np.log(2.0) ** (1.0 / (1.5 * shape)))
    assert stats.kstest(drawn, other.cdf).pvalue < 1e-6


def test_a_film_of_no_stated_shape_fails_as_a_lognormal_law_about_its_middle():
    drawn = np.log(film_years(case(), CAUSES))
    assert np.median(drawn) == pytest.approx(np.log(20.0), abs=0.05)
    assert stats.kstest((drawn - drawn.mean()) / drawn.std(), "norm").pvalue > 0.001


def exposure():
    sulphur, salt = (Estimate(value, 0.3, "given", "own", Mark.OWN) for value in (1.0, 60.0))
    climate = Climate((17.0,) * 12, (75.0,) * 12, (90.0,) * 12, (9.0,) * 12, "given", "own", Mark.OWN)
    return SiteExposure(CAUSES, climate, AirLoad(salt, sulphur), 100.0)


def factor(one):
    law = TimeLaw(1.0, 0.8, 20.0)
    return np.asarray(with_spots(one, FaceLayers(20.0, 19.2, law, law), exposure()).duplex_factor)


def test_paint_over_zinc_counts_for_more_than_the_sum_only_where_its_conditions_hold():
    asked = CoatFacts(repainted=True)
    kept = case(coat=asked)
    assert np.all(factor(kept) > 1.0)
    for without in (
        case(),  # nobody repaints
        case(coat=asked, layers=(FILM,)),  # paint on bare steel
        case(coat=asked, layers=(ZINC,)),  # zinc without paint
        case(coat=asked, topcoat_damaged=True),
        case(coat=replace(asked, damage=("scratched_face",))),
        replace(kept, driven=True),
        case(coat=asked, face="contact"),  # against timber
    ):
        assert np.all(factor(without) == 1.0)
