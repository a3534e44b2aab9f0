import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.strength import nds_factors as factors


@pytest.mark.parametrize(
    ("duration", "value"),
    [
        ("permanent", 0.9),
        ("ten_years", 1.0),
        ("two_months", 1.15),
        ("seven_days", 1.25),
        ("ten_minutes", 1.6),
    ],
)
def test_load_duration(duration, value):
    assert factors.load_duration_factor(duration) == value


@pytest.mark.parametrize("duration", ["impact", "a while"])
def test_durations_that_do_not_serve_are_refused(duration):
    with pytest.raises(InputError):
        factors.load_duration_factor(duration)


@pytest.mark.parametrize(
    ("made", "service", "diameter", "free", "value"),
    [
        (False, False, 0.5, False, 1.0),
        (True, False, 0.5, False, 0.4),
        (True, False, 0.5, True, 1.0),
        (True, False, 0.148, False, 1.0),
        (True, True, 0.148, True, 0.7),
        (False, True, 0.5, False, 0.7),
    ],
)
def test_wet_service_lateral(made, service, diameter, free, value):
    got = factors.wet_service_factor_lateral(
        wet_when_made=made, wet_in_service=service, diameter_in=diameter, unrestrained=free
    )
    assert got == value


@pytest.mark.parametrize(
    ("fastener", "made", "service", "value"),
    [
        ("lag_screw", False, True, 0.7),
        ("wood_screw", True, False, 1.0),
        ("nail", False, True, 0.25),
        ("nail", True, True, 1.0),
        ("stainless_nail", True, False, 0.25),
        ("ring_shank_nail", True, False, 1.0),
    ],
)
def test_wet_service_withdrawal(fastener, made, service, value):
    got = factors.wet_service_factor_withdrawal(fastener, wet_when_made=made, wet_in_service=service)
    assert got == value


def test_wet_service_withdrawal_of_bolts_is_refused():
    with pytest.raises(InputError, match="lag_screw, wood_screw"):
        factors.wet_service_factor_withdrawal("bolt", wet_when_made=False, wet_in_service=False)


@pytest.mark.parametrize(
    ("fahrenheit", "wet", "value"),
    [
        (70.0, True, 1.0),
        (100.0, False, 1.0),
        (101.0, False, 0.8),
        (125.0, True, 0.7),
        (140.0, False, 0.7),
        (150.0, True, 0.5),
    ],
)
def test_temperature(fahrenheit, wet, value):
    assert factors.temperature_factor(fahrenheit, wet=wet) == value


def test_temperatures_beyond_the_table_are_refused():
    with pytest.raises(InputError, match="150 F"):
        factors.temperature_factor(151.0, wet=False)


def test_end_grain_and_small_factors():
    assert factors.end_grain_factor("nail", "lateral") == 0.67
    assert factors.end_grain_factor("lag_screw", "withdrawal") == 0.75
    assert factors.diaphragm_factor() == 1.1
    assert (factors.toe_nail_factor("lateral"), factors.toe_nail_factor("withdrawal")) == (0.83, 0.67)
    with pytest.raises(InputError, match="end grain"):
        factors.end_grain_factor("nail", "withdrawal")


AREAS = st.floats(1e5, 1e9)


@given(st.integers(2, 20), st.floats(0.25, 1.0), st.floats(1.0, 12.0), AREAS, AREAS, st.booleans())
@settings(deadline=None)
def test_group_action_is_a_share_that_falls_with_count(n, diameter, spacing, main, side, metal):
    def at(count):
        return factors.group_action_factor(
            count=count,
            diameter_in=diameter,
            spacing_in=spacing,
            main_stiffness_lb=main,
            side_stiffness_lb=side,
            metal_side=metal,
        )

    assert at(1) == pytest.approx(1.0, rel=1e-6)
    assert 0.0 < at(n + 1) <= at(n) * (1.0 + 1e-6) <= 1.0 + 2e-6
