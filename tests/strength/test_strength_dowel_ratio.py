import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.sources import register
from longhold.base.trace import Trace
from longhold.strength.connection import DowelConnection, SteelSide, WoodMember
from longhold.strength.dowel_explain import explain
from longhold.strength.dowel_ratio import capacity_n, strength_ratio
from longhold.strength.nds_data import fe_wood_psi
from longhold.strength.nds_dowel import MODES, yield_load_lb
from longhold.strength.prepared import below_minimum_penetration, prepare

MM = 25.4
LB = 4.4482216152605


def wood(inches, g=0.50, angle=0.0):
    return WoodMember(inches * MM, g, angle)


SHEET = SteelSide(1.438, 310.0)
CONNECTIONS = {
    "nail": DowelConnection("nail", 0.148 * MM, wood(1.5), wood(3.5), length_mm=3.0 * MM),
    "nail through sheet": DowelConnection("nail", 0.148 * MM, SHEET, wood(3.5), length_mm=3.0 * MM),
    "nail in thin main": DowelConnection("nail", 0.131 * MM, wood(0.75), wood(1.0), length_mm=2.5 * MM),
    "wood screw": DowelConnection("wood_screw", 0.190 * MM, wood(1.0), wood(3.5), length_mm=3.0 * MM),
    "lag": DowelConnection("lag_screw", 0.5 * MM, wood(1.5, 0.5, 90.0), wood(5.5), length_mm=6.0 * MM),
    "bolt": DowelConnection("bolt", 0.5 * MM, wood(1.5, 0.55), wood(1.5, 0.55)),
    "bolt in plates": DowelConnection(
        "bolt", 0.75 * MM, SteelSide(6.35, 400.0, "hot_rolled"), wood(3.5), shear="double"
    ),
    "threaded bolt": DowelConnection("bolt", 0.5 * MM, wood(1.5), wood(3.5), root_diameter_mm=10.2),
    "dowel": DowelConnection("dowel", 12.0, wood(1.5), wood(3.5), shear="double"),
    "staple": DowelConnection("staple", 2.3, wood(0.5), wood(1.5), length_mm=38.0, fyb_mpa=690.0),
}
KINDS = st.sampled_from(sorted(CONNECTIONS))
LOSSES = st.floats(0.0, 12_000.0)


def test_the_facade_gives_the_printed_table():
    # Table 12N, 0.148 nail, 1.5 in side, G 0.50, p = 10 D: 118 lb. Table 12J, 1/2 lag, both across: 200 lb.
    nail = DowelConnection("nail", 0.148 * MM, wood(1.5), wood(3.5), penetration_mm=1.48 * MM)
    assert float(capacity_n(nail, 0.0, 0.0).capacity_n) / LB == pytest.approx(117.59, abs=0.005)
    lag = DowelConnection(
        "lag_screw", 12.7, wood(1.5, 0.5, 90.0), wood(6.0, 0.5, 90.0), penetration_mm=4.3125 * MM
    )
    assert float(capacity_n(lag, 0.0, 0.0).capacity_n) / LB == pytest.approx(204.14, abs=0.005)


@given(KINDS, LOSSES, LOSSES, st.floats(0.0, 2000.0), st.floats(0.0, 500.0))
@settings(deadline=None, max_examples=300)
def test_strength_never_rises_with_loss(name, hinge, bearing, plate, more):
    connection = CONNECTIONS[name]
    if not isinstance(connection.side, SteelSide):
        plate = 0.0
    plate_more = more if isinstance(connection.side, SteelSide) else 0.0
    now = float(capacity_n(connection, hinge, bearing, plate).capacity_n)
    slack = 1.0 + 1e-12
    assert np.isfinite(now)
    assert 0.0 <= now <= float(capacity_n(connection, 0.0, 0.0).capacity_n) * slack
    assert float(capacity_n(connection, hinge + more, bearing, plate).capacity_n) <= now * slack
    assert float(capacity_n(connection, hinge, bearing + more, plate).capacity_n) <= now * slack
    assert float(capacity_n(connection, hinge, bearing, plate + plate_more).capacity_n) <= now * slack
    assert 0.0 <= float(strength_ratio(connection, hinge, bearing, plate)) <= slack


@pytest.mark.parametrize("name", sorted(CONNECTIONS))
def test_scalar_and_array_are_the_same_numbers(name):
    connection = CONNECTIONS[name]
    rng = np.random.default_rng(11)
    hinge, bearing = rng.uniform(0.0, 3000.0, (50, 4)), rng.uniform(0.0, 1500.0, (50, 4))
    plate = rng.uniform(0.0, 1600.0, (50, 1)) if isinstance(connection.side, SteelSide) else np.zeros((50, 1))
    whole = capacity_n(connection, hinge, bearing, plate)
    ratio = strength_ratio(connection, hinge, bearing, plate)
    assert whole.capacity_n.shape == whole.mode.shape == ratio.shape == (50, 4)
    for i, j in np.ndindex(50, 4):
        losses = float(hinge[i, j]), float(bearing[i, j]), float(plate[i, 0])
        one = capacity_n(connection, *losses)
        assert float(one.capacity_n) == whole.capacity_n[i, j]
        assert str(one.mode) == whole.mode[i, j]
        assert float(strength_ratio(connection, *losses)) == ratio[i, j]


@pytest.mark.parametrize("name", sorted(CONNECTIONS))
def test_a_loss_of_the_radius_leaves_nothing(name):
    connection = CONNECTIONS[name]
    radius_um = prepare(connection).effective_in * MM * 1000.0 / 2.0
    gone = capacity_n(connection, np.array([radius_um, 0.0, np.inf]), np.array([0.0, radius_um, np.inf]))
    assert gone.capacity_n.tolist() == [0.0, 0.0, 0.0]
    assert gone.mode.tolist() == ["none", "none", "none"]
    assert strength_ratio(connection, radius_um, radius_um) == 0.0


def test_a_plate_that_is_gone_carries_nothing():
    gone = capacity_n(CONNECTIONS["nail through sheet"], 0.0, 0.0, np.array([1437.0, 1438.0, 2000.0]))
    assert gone.capacity_n[0] > 0.0
    assert gone.capacity_n[1:].tolist() == [0.0, 0.0]


@pytest.mark.parametrize("name", ["wood screw", "lag", "threaded bolt"])
def test_threads_start_from_the_root(name):
    prepared = prepare(CONNECTIONS[name])
    assert prepared.effective_in < prepared.nominal_in


def test_the_worked_example_in_double_shear_bears_in_what_is_left_of_the_screw():
    # No. 10 x 6 in, 3 in main, two 1.5 in sides: the tip takes half of 2 D off the last 1.5 in.
    screw = DowelConnection(
        "wood_screw", 0.190 * MM, wood(1.5, 0.55), wood(3.0, 0.55), length_mm=6.0 * MM, shear="double"
    )
    prepared = prepare(screw)
    assert (prepared.main_bearing_in, prepared.side_bearing_in) == pytest.approx((3.0, 1.31), abs=1e-6)
    exact = yield_load_lb(
        nominal_diameter_in=0.190,
        effective_diameter_in=0.152,
        main_bearing_length_in=prepared.main_bearing_in,
        side_bearing_length_in=prepared.side_bearing_in,
        fem_psi=fe_wood_psi(0.55, 0.190, rounded=False),
        fes_psi=fe_wood_psi(0.55, 0.190, rounded=False),
        fyb_psi=prepared.fyb_psi,
        shear="double",
    )
    assert float(exact.load_lb) == pytest.approx(254.96, abs=0.005)


def test_a_thin_main_member_limits_bearing_and_penetration():
    prepared = prepare(CONNECTIONS["nail in thin main"])
    assert prepared.main_bearing_in == prepared.penetration_in == 1.0


def test_length_and_penetration_say_the_same():
    by_length = CONNECTIONS["nail"]
    by_depth = dataclasses.replace(by_length, length_mm=None, penetration_mm=1.5 * MM)
    assert prepare(by_length) == prepare(by_depth)


def test_a_quarter_inch_is_a_quarter_inch_in_millimetres():
    lag = DowelConnection("lag_screw", 6.35, wood(0.5), wood(3.5), length_mm=3.0 * MM)
    assert prepare(lag).nominal_in == 0.25
    assert prepare(lag).fem_psi == 5600.0


def test_a_staple_is_two_nails():
    staple = CONNECTIONS["staple"]
    leg = dataclasses.replace(staple, kind="nail")
    two = float(capacity_n(staple, 50.0, 20.0).capacity_n)
    assert two == pytest.approx(2.0 * float(capacity_n(leg, 50.0, 20.0).capacity_n))


LEDGER = DowelConnection("lag_screw", 12.7, wood(1.5, 0.5, 90.0), wood(1.5, 0.5, 90.0), length_mm=3.0 * MM)


def test_short_penetration_is_refused_for_a_capacity_and_told():
    assert below_minimum_penetration(LEDGER)
    assert not below_minimum_penetration(CONNECTIONS["lag"])
    with pytest.raises(InputError, match=r"at least 50\.8 mm of a lag screw"):
        capacity_n(LEDGER, 0.0, 0.0)
    with pytest.raises(InputError, match="penetration"):
        strength_ratio(LEDGER, 100.0, 100.0)


def test_short_penetration_may_serve_a_ratio():
    ratio = float(strength_ratio(LEDGER, 200.0, 200.0, short_penetration="accept"))
    assert 0.9 < ratio < 1.0


@pytest.mark.parametrize(
    ("name", "changes", "where"),
    [
        ("nail", {"diameter_mm": 0.0}, "diameter"),
        ("nail", {"diameter_mm": float("nan")}, "diameter"),
        ("bolt", {"diameter_mm": 30.0}, "diameter"),
        ("nail", {"diameter_mm": 2.0}, "diameter"),
        ("nail", {"length_mm": None}, "length"),
        ("nail", {"penetration_mm": 40.0}, "length"),
        ("nail", {"length_mm": 30.0}, "length"),
        ("nail", {"main": wood(3.5, 0.95)}, "main.g"),
        ("nail", {"side": wood(1.5, 0.2)}, "side.g"),
        ("nail", {"side": wood(1.5, 0.5, 120.0)}, "side.angle"),
        ("nail", {"side": wood(0.0)}, "side.thickness"),
        ("nail through sheet", {"side": SteelSide(1.4, 0.0)}, "side.fu"),
        ("nail through sheet", {"shear": "double"}, "length"),
        ("nail", {"root_diameter_mm": 5.0}, "root_diameter"),
        ("wood screw", {"diameter_mm": 5.0}, "diameter"),
        ("staple", {"fyb_mpa": None}, "fyb"),
        ("bolt", {"penetration_mm": 40.0}, "penetration"),
        ("bolt", {"length_mm": 70.0}, "length"),
        ("nail", {"kind": "rivet"}, "kind"),
    ],
)
def test_connections_that_cannot_be_computed_say_why(name, changes, where):
    with pytest.raises(InputError) as caught:
        capacity_n(dataclasses.replace(CONNECTIONS[name], **changes), 0.0, 0.0)
    assert where in [problem.where for problem in caught.value.problems]


def test_all_problems_are_said_at_once():
    bad = dataclasses.replace(CONNECTIONS["nail"], side=wood(0.0, 0.9), length_mm=None)
    with pytest.raises(InputError) as caught:
        prepare(bad)
    assert [p.where for p in caught.value.problems] == ["side.thickness", "side.g", "length"]


@pytest.mark.parametrize(
    "losses", [(-1.0, 0.0, 0.0), (0.0, float("nan"), 0.0), (0.0, np.array([0.0, -5.0]), 0.0)]
)
def test_losses_must_be_known_and_not_negative(losses):
    with pytest.raises(InputError, match="loss_um"):
        capacity_n(CONNECTIONS["nail through sheet"], *losses)


def test_wood_loses_no_metal():
    with pytest.raises(InputError, match="wooden side"):
        capacity_n(CONNECTIONS["nail"], 0.0, 0.0, 10.0)


@pytest.mark.parametrize("name", sorted(CONNECTIONS))
def test_the_calculation_can_be_followed(name):
    trace = Trace(name)
    plate = 50.0 if isinstance(CONNECTIONS[name].side, SteelSide) else 0.0
    result = explain(CONNECTIONS[name], 100.0, 40.0, plate, trace)
    steps = {step.symbol: step for step in trace.root.steps()}
    assert float(result.capacity_n) == float(capacity_n(CONNECTIONS[name], 100.0, 40.0, plate).capacity_n)
    told = {mode: steps[f"Z_{mode}"].value for mode in MODES}
    modes = {mode: value for mode, value in told.items() if isinstance(value, float)}
    assert {told[mode] for mode in set(told) - set(modes)} <= {"not possible in double shear"}
    assert set(modes) == ({"Im", "Is", "IIIs", "IV"} if CONNECTIONS[name].shear == "double" else set(MODES))
    assert min(modes, key=modes.__getitem__) == str(result.mode)
    legs = 2 if name == "staple" else 1
    assert steps["Z"].unit == steps[f"Z_{result.mode}"].unit == "lb"
    assert steps["Z"].value == pytest.approx(min(modes.values()) * legs, rel=1e-12)
    assert steps["Z"].value * LB == pytest.approx(float(result.capacity_n), rel=1e-12)
    assert steps["Z"].mark is Mark.OWN
    assert all(step.source in register() for step in steps.values())
    assert {"lm", "ls", "Fem", "Fes", "Fyb", "d0", "d_hinge", "d_bearing", "Rd"} <= set(steps)
    assert set(steps["Rd"].inputs) == {*(f"Rd of {mode}" for mode in MODES), "angle"}


def test_nothing_left_is_explained_without_modes():
    trace = Trace("gone")
    explain(CONNECTIONS["nail"], 5000.0, 100.0, 0.0, trace)
    steps = {step.symbol: step for step in trace.root.steps()}
    assert steps["d_hinge"].value == steps["Z"].value == 0.0
    assert not any(symbol.startswith("Z_") for symbol in steps)


def test_a_short_fastener_is_flagged_in_the_trace():
    trace = Trace("ledger")
    explain(LEDGER, 0.0, 0.0, 0.0, trace, short_penetration="accept")
    assert "not as a capacity" in list(trace.root.steps())[-1].note
