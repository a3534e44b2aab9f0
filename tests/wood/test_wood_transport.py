from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.wood.faces import FaceExposure, face_bands, face_exposure, face_kinds
from longhold.wood.transport import (
    WoodSection,
    bound_water_diffusivity_m2_s,
    diffusivity_across_m2_s,
    liquid_diffusivity_m2_s,
    most_moisture_pct,
    section_cells_m,
    transport_band,
)


@settings(deadline=None, derandomize=True)
@given(st.floats(3.0, 27.0), st.floats(-20.0, 50.0), st.floats(0.25, 0.75))
def test_water_moves_faster_where_wetter_warmer_lighter(moisture, celsius, gravity):
    here = diffusivity_across_m2_s(moisture, celsius, gravity)
    assert here < diffusivity_across_m2_s(moisture + 1.0, celsius, gravity)
    assert here < diffusivity_across_m2_s(moisture, celsius + 1.0, gravity)
    assert here > diffusivity_across_m2_s(moisture, celsius, gravity + 0.05)
    assert here > bound_water_diffusivity_m2_s(moisture, celsius)


def test_scalar_and_array_are_equal():
    moisture, celsius = np.linspace(2.0, 60.0, 7), np.linspace(-10.0, 40.0, 7)
    for law in (bound_water_diffusivity_m2_s, lambda m, t: diffusivity_across_m2_s(m, t, 0.5)):
        many = law(moisture, celsius)
        np.testing.assert_array_equal(
            many, [float(law(m, t)) for m, t in zip(moisture, celsius, strict=True)]
        )


def test_free_water_follows_the_square_of_the_absorption_coefficient():
    one, two = (liquid_diffusivity_m2_s(a, 0.5, 80.0) for a in (0.002, 0.004))
    assert two == pytest.approx(4.0 * one)
    assert liquid_diffusivity_m2_s(0.004, 0.4, 80.0) > two


@settings(deadline=None, derandomize=True)
@given(st.floats(0.005, 0.3), st.integers(24, 120), st.floats(0.0002, 0.002))
def test_cells_fill_the_timber_alike_from_both_faces(thick, cells, first):
    widths = section_cells_m(thick, cells, first)
    assert widths.size == cells
    assert widths.sum() == pytest.approx(thick)
    np.testing.assert_allclose(widths, widths[::-1], rtol=1e-6)
    if thick / cells > first:
        assert widths[0] <= max(first * 1.001, thick * 1e-4)


def test_room_for_water():
    assert most_moisture_pct(1.5) < 2.0
    assert most_moisture_pct(0.4) > 180.0
    assert WoodSection(0.038, 0.9).filled_pct == pytest.approx(float(most_moisture_pct(0.9)))
    with pytest.raises(InputError, match="cell wall"):
        most_moisture_pct(1.6)


def test_end_grain_draws_and_passes_more():
    across, along = WoodSection(0.038, 0.5), WoodSection(0.3, 0.5, grain="along")
    assert along.absorption == transport_band("absorption_along").median > 3 * across.absorption
    assert along.bound_factor == transport_band("along_factor").median * across.bound_factor


@pytest.mark.parametrize(
    ("told", "match"),
    [
        ({"thickness_m": 0.0}, "thickness_m"),
        ({"thickness_m": float("nan")}, "thickness_m"),
        ({"specific_gravity": 1.6}, "cell wall"),
        ({"specific_gravity": -0.5}, "specific_gravity"),
        ({"A_w": -1.0}, "A_w"),
        ({"diffusion_factor": 0.0}, "diffusion_factor"),
        ({"full_pct": 25.0}, "full_pct"),
        ({"cells": 2}, "cells"),
        ({"grain": "sideways"}, "across or along"),
        ({"after_rain": 2.0}, "after_rain"),
    ],
)
def test_timbers_that_cannot_be_are_refused(told, match):
    with pytest.raises(InputError, match=match):
        WoodSection(**{"thickness_m": 0.038, "specific_gravity": 0.5, **told})


def test_kinds_of_face_carry_bands():
    assert set(face_kinds()) >= {"open_above", "open_side", "under_cover", "dry_inside", "damp_inside"}
    assert set(face_kinds()) >= {"ground_contact", "trapped", "trapped_upright", "sealed"}
    for kind in face_kinds():
        made = face_exposure(kind)
        for name, band in face_bands(kind).items():
            assert getattr(made, name) == band.median
            assert band.source
    level, upright, free = (face_exposure(k).film_m_s for k in ("trapped", "trapped_upright", "under_cover"))
    assert level < upright < free
    assert face_exposure("ground_contact").held_pct > 28.0


def test_a_coat_throttles_vapour_and_water():
    bare = face_exposure("open_above")
    coated = bare.coated()
    assert coated.film_m_s < bare.film_m_s
    assert coated.liquid_kg_m2_s_pct < bare.liquid_kg_m2_s_pct
    assert bare.coated(vapour_layer_m=0.0).film_m_s == pytest.approx(bare.film_m_s)
    assert face_exposure("sealed").coated().film_m_s == 0.0
    with pytest.raises(InputError, match="vapour_layer_m"):
        bare.coated(vapour_layer_m=-1.0)


@pytest.mark.parametrize(
    ("told", "match"),
    [
        ({"film_m_s": -0.1}, "film_m_s"),
        ({"film_m_s": float("nan")}, "film_m_s"),
        ({"temperature_c": 20.0}, "needs both"),
        ({"temperature_c": np.array([20.0, 99.0]), "relative_humidity_pct": 50.0}, "temperature_c is 99"),
    ],
)
def test_faces_that_cannot_be_are_refused(told, match):
    with pytest.raises(InputError, match=match):
        FaceExposure("mine", **told)
    with pytest.raises(InputError, match="must be one of"):
        face_exposure("moon")


def test_wood_too_dense_for_liquid_flow_is_refused():
    with pytest.raises(InputError, match=r"specific_gravity is 1\.1: leaves room for 2\d % of water"):
        WoodSection(0.038, 1.1)
