import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.model.sizes import read_part_size
from longhold.strength import sheet
from longhold.strength.steel_rows import answer_steel_row

T0, LOSS = st.floats(0.4, 6.0), st.floats(0.0, 8000.0)
MODES = [
    "gross_yield",
    "net_section",
    "bearing",
    "pull_over",
    "pull_out",
    "edge_tear_out",
    "tilting",
    "seat_bending",
    "plate_buckling",
]


@given(T0, LOSS, LOSS)
@settings(deadline=None)
def test_thickness_left_never_goes_below_zero(t0, one, other):
    left = float(sheet.thickness_left_mm(t0, one, other))
    assert 0.0 <= left <= t0
    assert left == pytest.approx(max(t0 - (one + other) / 1000.0, 0.0), abs=1e-12)


@pytest.mark.parametrize("mode", MODES)
@given(T0, LOSS, st.floats(0.0, 500.0))
@settings(deadline=None)
def test_ratio_falls_from_one_to_zero(mode, t0, loss, more):
    before, after = sheet.sheet_strength_ratio(t0, np.array([loss, loss + more]), mode)
    assert 0.0 <= after <= before <= 1.0
    assert float(sheet.sheet_strength_ratio(t0, 0.0, mode)) == 1.0
    assert float(sheet.sheet_strength_ratio(t0, loss, mode)) == before


def test_each_exponent_bounds_its_own_formula():
    t = np.linspace(0.3, 1.44, 40)
    t0, loss = 1.44, (1.44 - t) * 1000.0

    def share(force):
        values = force(t)
        return values / values[-1]

    for mode, force in {
        "tilting": lambda t: sheet.screw_shear_n(t, t, 4.8, 360.0, 360.0),
        "pull_out": lambda t: sheet.pull_out_n(t, 4.8, 360.0),
        "pull_over": lambda t: sheet.pull_over_n(t, 12.0, 360.0),
        "edge_tear_out": lambda t: sheet.edge_tear_out_n(t, 10.0, 360.0),
        "net_section": lambda t: sheet.net_section_n(27.0 * t, 310.0),
    }.items():
        assert share(force) == pytest.approx(sheet.sheet_strength_ratio(t0, loss, mode), rel=1e-9), mode


def test_bolts_lose_more_than_in_proportion_where_the_coefficient_falls():
    t = np.linspace(1.2, 0.55, 20)
    share = sheet.bolt_bearing_n(t, 12.0, 360.0) / sheet.bolt_bearing_n(1.2, 12.0, 360.0)
    assert np.all(share[1:] < t[1:] / 1.2)
    assert np.all(share >= (t / 1.2) ** 2.25)


def test_unknown_mode_gives_ordered_bounds():
    left = sheet.sheet_strength_left(1.44, np.array([0.0, 100.0, 500.0, 1440.0, 9000.0]))
    assert np.all(left.lowest <= left.cautious)
    assert np.all(left.cautious <= left.expected)
    assert left.expected[0] == 1.0
    assert left.lowest[-1] == 0.0


def test_screw_shear_joins_its_two_rules():
    t1, d, fu = 1.0, 4.8, 360.0
    bearing = 2.7 * t1 * d * fu
    assert float(sheet.screw_shear_n(t1, 2.5, d, fu, fu)) == pytest.approx(bearing)
    assert float(sheet.screw_shear_n(t1, 4.0, d, fu, fu)) == pytest.approx(bearing)
    middle = float(sheet.screw_shear_n(t1, 1.75, d, fu, fu))
    tilting = min(4.2 * np.sqrt(1.75**3 * d) * fu, bearing)
    assert middle == pytest.approx((tilting + bearing) / 2.0)


@given(st.floats(0.0, 3.0), st.floats(0.0, 3.0), st.floats(0.0, 0.5))
@settings(deadline=None)
def test_screw_shear_never_rises_as_the_pointside_sheet_thins(t1, t2, less):
    thick, thin = sheet.screw_shear_n(t1, np.array([t2, max(t2 - less, 0.0)]), 4.8, 360.0, 310.0)
    assert 0.0 <= thin <= thick + 1e-9


def test_bolt_bearing_over_its_three_ranges():
    assert float(sheet.bolt_bearing_n(2.0, 12.0, 360.0)) == pytest.approx(3.0 * 12 * 2 * 360)
    assert float(sheet.bolt_bearing_n(0.5, 12.0, 360.0)) == pytest.approx(1.8 * 12 * 0.5 * 360)
    assert float(sheet.bolt_bearing_n(2.0, 12.0, 360.0, washers=False)) == pytest.approx(
        0.75 * 3.0 * 12 * 2 * 360
    )
    t = np.linspace(0.0, 3.0, 200)
    assert np.all(np.diff(sheet.bolt_bearing_n(t, 12.0, 360.0)) > 0.0)


def test_washers_wider_than_three_quarters_of_an_inch_count_no_more():
    assert float(sheet.pull_over_n(1.0, 30.0, 360.0)) == float(sheet.pull_over_n(1.0, 19.05, 360.0))


@pytest.mark.parametrize(("mil", "minimum_in"), [(33, 0.0329), (54, 0.0538), (118, 0.1180)])
def test_five_per_cent_is_the_delivered_minimum(mil, minimum_in):
    t0 = read_part_size("hanger", f"{mil} mil").thickness_mm
    left_in = (t0 - float(sheet.delivered_loss_limit_um(t0)) / 1000.0) / 25.4
    assert left_in == pytest.approx(minimum_in, abs=0.00006)


def test_omega_turns_nominal_into_allowable():
    assert [sheet.omega(name) for name in ("gross_yield", "net_section", "screw_shear", "bolt_bearing")] == [
        1.67,
        2.0,
        3.0,
        2.5,
    ]


@pytest.mark.parametrize(
    "row",
    [
        {},
        {"case": "No. 10 screw, two sheets", "quantity": "Pns", "unit": "lb"},
        {"case": "No. 11 screw, two sheets t 0.05 in, Fu 45000", "quantity": "Pns", "unit": "lb"},
        {"case": "No. 10 screw t 0.05 in, Fu 45000", "quantity": "Pns", "unit": "lb"},
        {"case": "pull-through dw 14 t 1.0 fu 360 static", "quantity": "Fp,Rd", "unit": "lb"},
        {"case": "something else", "quantity": "W", "unit": "lb"},
    ],
)
def test_cases_that_cannot_be_read_are_not_answered(row):
    assert answer_steel_row(row) is None
