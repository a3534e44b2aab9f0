"""Spots, paint over zinc, and what must never turn round."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.metal.film import bare_share_at, breakdown_mean, duplex_years, iron_through_film_um_yr
from longhold.metal.laws import TimeLaw
from longhold.metal.layers import FaceLayers, Spot

NEVER = float("inf")
AGES = np.array([0.0, 1.0, 5.0, 10.0, 25.0, 50.0])
SHARES = st.floats(0.0, 0.5)
YEARS = st.floats(0.0, 40.0)
FILMS = st.floats(0.0, 80.0)


def face(film=0.0, zinc=20.0, spots=(), factor=1.0, n=1):
    return FaceLayers(
        np.full(n, film),
        np.full(n, zinc),
        TimeLaw(np.full(n, 2.0), np.full(n, 0.8), 20.0),
        TimeLaw(np.full(n, 25.0), np.full(n, 0.6), 20.0),
        spots,
        factor,
    )


def linear(film=0.0, zinc=20.0, spots=(), factor=1.0):
    law = TimeLaw(np.array([2.0]), np.array([1.0]), NEVER), TimeLaw(np.array([25.0]), np.array([1.0]), NEVER)
    return FaceLayers(np.array([film]), np.array([zinc]), *law, spots, factor)


def test_by_hand_a_tenth_of_the_face_is_bare():
    layers = linear(spots=(Spot(0.1, 0.0, 0.0),))
    assert layers.protection_years.tolist() == [0.0]
    assert layers.sound_years.tolist() == [10.0]
    # 0.1 x 25 x 25 um at once, 0.9 x 25 x 15 um after the zinc
    assert layers.base_loss_um(25.0)[0, 0] == pytest.approx(0.1 * 625.0 + 0.9 * 375.0)
    assert layers.zinc_left_um(5.0)[0, 0] == pytest.approx(0.9 * 10.0)


def test_by_hand_the_worst_spot_is_not_the_mean():
    layers = linear(spots=(Spot(0.1, 0.0, 0.0), Spot(0.0, 0.0, 0.0)))
    assert layers.worst_loss_um(25.0)[0, 0] == pytest.approx(625.0)
    assert linear(spots=(Spot(0.0, 0.0, 0.0),)).worst_loss_um(25.0)[0, 0] == pytest.approx(375.0)
    assert linear(spots=(Spot(1.0, 0.0, 8.0),)).worst_loss_um(25.0)[0, 0] == pytest.approx(25.0 * 21.0)


def test_holidays_take_of_a_section_the_share_that_holes_drawn_at_random_take_of_it():
    """Line fraction equals area fraction (Delesse 1847, Rosiwal 1898), here by holes thrown on a sheet."""
    rng = np.random.default_rng(5)
    side, radius, holes = 400, 4.0, 60
    x, y = np.mgrid[0:side, 0:side]
    bare = np.zeros((side, side), bool)
    for at in rng.uniform(0.0, side, (holes, 2)):
        bare |= (x - at[0]) ** 2 + (y - at[1]) ** 2 < radius**2
    sections = np.where(bare, 625.0, 375.0).mean(axis=0)  # loss by hand, as above
    layers = linear(spots=(Spot(float(bare.mean()), 0.0, 0.0, scattered=True),))
    assert layers.worst_loss_um(25.0)[0, 0] == pytest.approx(sections.mean(), rel=1e-6)
    assert layers.worst_loss_um(25.0)[0, 0] < 0.7 * 625.0  # pinholes do not thin the sheet all across


def test_holes_that_have_run_together_thin_the_sheet_as_one_bare_face():
    layers = linear(spots=(Spot(1.0, 0.0, 0.0, scattered=True),))
    assert layers.worst_loss_um(25.0)[0, 0] == pytest.approx(625.0)


def test_a_scratch_beside_holidays_still_decides_the_section():
    spots = (Spot(0.05, 0.0, 0.0), Spot(0.01, 0.0, 0.0, scattered=True))
    assert linear(spots=spots).worst_loss_um(25.0)[0, 0] == pytest.approx(625.0)


def test_by_hand_the_whole_face_is_bare_only_where_a_spot_covers_it():
    assert linear(spots=(Spot(0.9, 0.0, 0.0),)).whole_face_years.tolist() == [10.0]
    assert linear(spots=(Spot(1.0, 0.0, 4.0),)).whole_face_years.tolist() == [2.0]


def test_by_hand_paint_over_zinc_with_a_factor():
    layers = linear(film=10.0, zinc=30.0, factor=1.4)
    assert layers.protection_years.tolist() == [pytest.approx(35.0)]
    assert layers.zinc_left_um(14.0)[0, 0] == pytest.approx(30.0)  # paint gone at 1.4 x 10
    assert layers.zinc_left_um(35.0)[0, 0] == pytest.approx(0.0, abs=1e-9)
    assert layers.base_loss_um(36.0)[0, 0] == pytest.approx(25.0)


@settings(deadline=None)
@given(SHARES, YEARS, FILMS, FILMS, FILMS)
def test_a_spot_never_lengthens_life_nor_lessens_loss(share, film, zinc, spot_film, spot_zinc):
    whole = face(film, zinc)
    hurt = replace(whole, spots=(Spot(share, min(spot_film, film), min(spot_zinc, zinc)),))
    assert hurt.protection_years[0] <= whole.protection_years[0]
    assert (hurt.base_loss_um(AGES) >= whole.base_loss_um(AGES) - 1e-9).all()
    assert (hurt.zinc_left_um(AGES) <= whole.zinc_left_um(AGES) + 1e-9).all()


@settings(deadline=None)
@given(SHARES, YEARS, FILMS, FILMS)
def test_the_worst_spot_has_lost_at_least_the_mean_and_at_least_what_a_whole_face_has(
    share, film, zinc, spot_zinc
):
    whole = face(film, zinc)
    hurt = replace(whole, spots=(Spot(share, 0.0, min(spot_zinc, zinc)),))
    assert (hurt.worst_loss_um(AGES) >= hurt.base_loss_um(AGES) - 1e-9).all()
    assert (hurt.worst_loss_um(AGES) >= whole.worst_loss_um(AGES) - 1e-9).all()


@settings(deadline=None)
@given(SHARES, SHARES, YEARS, FILMS)
def test_more_damage_never_lengthens(share, more, film, zinc):
    one = face(film, zinc, (Spot(share, 0.0, 0.0),))
    two = face(film, zinc, (Spot(share + more, 0.0, 0.0),))
    assert two.protection_years[0] <= one.protection_years[0]
    assert (two.base_loss_um(AGES) >= one.base_loss_um(AGES) - 1e-9).all()


@settings(deadline=None)
@given(YEARS, YEARS, FILMS, FILMS, SHARES)
def test_a_film_and_zinc_never_shorten(film, more_film, zinc, more_zinc, share):
    spots = (Spot(share, 0.0, 0.0),)
    thin, thick = face(film, zinc, spots), face(film + more_film, zinc + more_zinc, spots)
    assert thick.protection_years[0] >= thin.protection_years[0]
    assert thick.sound_years[0] >= thin.sound_years[0]
    assert (thick.base_loss_um(AGES) <= thin.base_loss_um(AGES) + 1e-9).all()


@settings(deadline=None)
@given(SHARES, YEARS, FILMS, st.floats(1.0, 2.3))
def test_one_draw_and_many_agree(share, film, zinc, factor):
    spots = (Spot(share, 0.0, zinc / 2.0),)
    many, one = face(film, zinc, spots, factor, n=3), face(film, zinc, spots, factor)
    assert many.base_loss_um(AGES) == pytest.approx(np.tile(one.base_loss_um(AGES), (3, 1)))
    assert many.zinc_left_um(AGES) == pytest.approx(np.tile(one.zinc_left_um(AGES), (3, 1)))
    assert many.protection_years == pytest.approx(np.repeat(one.protection_years, 3))


@settings(deadline=None)
@example(0.0, 5e-324, 1.0, 0.0)
@given(st.floats(0.0, 1.0), st.floats(0.0, 0.5), st.floats(0.1, 100.0), st.floats(0.0, 50.0))
def test_breakdown_is_a_share_that_grows(a, b, t, more):
    mean = float(breakdown_mean(a, b, t))
    assert a - 1e-9 <= mean <= 1.0 + 1e-9
    assert float(breakdown_mean(a, b, t + more)) >= mean - 1e-9
    assert breakdown_mean([a, a], b, t).tolist() == pytest.approx([mean, mean])


@pytest.mark.parametrize(
    ("function", "good"),
    [
        (breakdown_mean, (0.1, 0.1, 5.0)),
        (bare_share_at, (0.1, 0.2, 1.0, 5.0)),
        (duplex_years, (15.0, 10.0, 1.4)),
        (iron_through_film_um_yr, (100.0,)),
    ],
)
def test_films_refuse_what_is_no_number_or_negative_and_take_arrays_apart(function, good):
    assert np.isfinite(function(*good))
    for at in range(len(good)):
        for wrong in (np.nan, -1.0, [good[at], np.nan]):
            with pytest.raises(InputError):
                function(*good[:at], wrong, *good[at + 1 :])


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: breakdown_mean(1.5, 0.1, 5.0),
        lambda: breakdown_mean(0.1, 0.1, 0.0),
        lambda: bare_share_at(0.1, 0.2, 0.0, 5.0),
        lambda: bare_share_at(1.1, 0.2, 1.0, 5.0),
        lambda: duplex_years(15.0, 10.0, 0.9),
        lambda: duplex_years(15.0, 10.0, 0.0),
        lambda: iron_through_film_um_yr(0.0),
    ],
)
def test_what_films_refuse(wrong):
    with pytest.raises(InputError):
        wrong()


def test_undercut_spots_fill_the_face_and_no_more():
    assert bare_share_at(0.5, 1.0, 1.0, [0.0, 0.1, 9.0]).tolist() == [0.5, pytest.approx(0.605), 1.0]
    assert duplex_years([70.0, 15.0], 10.0, [1.5, 1.4]).tolist() == pytest.approx([120.0, 35.0])
