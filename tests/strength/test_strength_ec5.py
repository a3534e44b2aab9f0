import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.sources import register
from longhold.base.trace import Trace
from longhold.strength.ec5_axial import (
    axial_bolt_n,
    axial_screw_n,
    axial_smooth_nail_n,
    axial_threaded_nail_n,
    combined_use,
    screw_withdrawal_mpa,
)
from longhold.strength.ec5_capacity import ec5_capacity_n, ec5_left, ec5_modes, ec5_ratio, rope_cap
from longhold.strength.ec5_connection import (
    Ec5Connection,
    Ec5Member,
    Ec5Plate,
    prepare_ec5,
    reaches_too_little,
)
from longhold.strength.ec5_data import embedment_drilled_mpa, embedment_mpa, mode_words, strength_class
from longhold.strength.ec5_dowel import middle_plate_modes, plate_modes, timber_modes, with_rope
from longhold.strength.ec5_explain import explain_ec5
from longhold.strength.ec5_factors import bolts_in_row, gamma_row, kmod_row, nails_in_row, splitting_n


def wood(mm, rho=350.0, angle=0.0, material="softwood"):
    return Ec5Member(mm, rho, angle, material)


CONNECTIONS = {
    "nail": Ec5Connection("nail", 3.4, wood(38), wood(71), length_mm=90.0, head_diameter_mm=8.0),
    "drilled nail": Ec5Connection(
        "nail", 5.0, wood(40, 530), wood(80, 530), length_mm=110.0, predrilled=True
    ),
    "square nail": Ec5Connection("nail", 3.4, wood(38), wood(71), length_mm=90.0, square=True),
    "ring nail": Ec5Connection(
        "nail",
        4.0,
        wood(38),
        wood(71),
        length_mm=100.0,
        fax_mpa=10.0,
        fhead_mpa=20.0,
        head_diameter_mm=9.0,
        thread_mm=40.0,
    ),
    "nail in double shear": Ec5Connection("nail", 4.0, wood(40), wood(40), length_mm=120.0, shear="double"),
    "nail in plywood": Ec5Connection("nail", 3.0, wood(18, 500, 0, "plywood"), wood(80), length_mm=70.0),
    "nail in osb": Ec5Connection("nail", 3.0, wood(15, 550, 0, "osb"), wood(80), length_mm=70.0),
    "nail through plate": Ec5Connection("nail", 4.0, Ec5Plate(3.0), wood(80), length_mm=60.0),
    "screw": Ec5Connection(
        "wood_screw",
        6.0,
        wood(30),
        wood(80),
        length_mm=100.0,
        root_diameter_mm=4.0,
        head_diameter_mm=12.0,
        fhead_mpa=10.5,
        thread_mm=55.0,
    ),
    "thick screw": Ec5Connection("lag_screw", 12.0, wood(45, 350, 90), wood(120), length_mm=140.0),
    "bolt": Ec5Connection("bolt", 12.0, wood(45, 350, 90), wood(90), washer_mm=40.0, fc90_mpa=2.5),
    "bolt in double shear": Ec5Connection("bolt", 12.0, wood(45), wood(90, 350, 45), shear="double"),
    "bolt under plate": Ec5Connection("bolt", 12.0, Ec5Plate(8.0), wood(90), fc90_mpa=2.5),
    "bolt between plates": Ec5Connection("bolt", 12.0, Ec5Plate(8.0), wood(90), shear="double", fc90_mpa=2.5),
    "bolt with middle plate": Ec5Connection("bolt", 12.0, wood(90), Ec5Plate(8.0), shear="double"),
    "dowel": Ec5Connection("dowel", 12.0, wood(60), wood(90), shear="double"),
    "staple": Ec5Connection("staple", 1.8, wood(12), wood(60), length_mm=50.0),
}
NAMES = sorted(CONNECTIONS)
HAS_PLATE = {
    name
    for name, one in CONNECTIONS.items()
    if isinstance(one.side, Ec5Plate) or isinstance(one.main, Ec5Plate)
}
LOSSES = st.floats(0.0, 8_000.0)
SLACK = 1.0 + 1e-12


@given(st.sampled_from(NAMES), LOSSES, LOSSES, st.floats(0.0, 9_000.0), st.floats(0.0, 800.0))
@settings(deadline=None, max_examples=400)
def test_strength_never_rises_with_loss(name, hinge, bearing, plate, more):
    connection = CONNECTIONS[name]
    if name not in HAS_PLATE:
        plate = 0.0
    plate_more = more if name in HAS_PLATE else 0.0
    now = float(ec5_capacity_n(connection, hinge, bearing, plate).capacity_n)
    assert np.isfinite(now)
    assert 0.0 <= now <= float(ec5_capacity_n(connection, 0.0, 0.0).capacity_n) * SLACK
    assert float(ec5_capacity_n(connection, hinge + more, bearing, plate).capacity_n) <= now * SLACK
    assert float(ec5_capacity_n(connection, hinge, bearing + more, plate).capacity_n) <= now * SLACK
    assert float(ec5_capacity_n(connection, hinge, bearing, plate + plate_more).capacity_n) <= now * SLACK


@pytest.mark.parametrize("name", NAMES)
def test_scalar_and_array_are_the_same_numbers(name):
    connection = CONNECTIONS[name]
    rng = np.random.default_rng(5)
    hinge, bearing = rng.uniform(0.0, 2500.0, (20, 3)), rng.uniform(0.0, 1500.0, (20, 3))
    plate = rng.uniform(0.0, 9000.0, (20, 1)) if name in HAS_PLATE else np.zeros((20, 1))
    whole = ec5_capacity_n(connection, hinge, bearing, plate)
    ratio = ec5_ratio(connection, hinge, bearing, plate)
    assert whole.capacity_n.shape == whole.mode.shape == ratio.shape == (20, 3)
    for i, j in np.ndindex(20, 3):
        losses = float(hinge[i, j]), float(bearing[i, j]), float(plate[i, 0])
        one = ec5_capacity_n(connection, *losses)
        assert float(one.capacity_n) == pytest.approx(float(whole.capacity_n[i, j]), rel=1e-14)
        assert str(one.mode) == whole.mode[i, j]
        assert float(ec5_ratio(connection, *losses)) == pytest.approx(float(ratio[i, j]), rel=1e-14)


@pytest.mark.parametrize("name", NAMES)
def test_new_is_the_same_as_no_loss_and_a_loss_of_the_radius_leaves_nothing(name):
    connection = CONNECTIONS[name]
    assert float(ec5_ratio(connection, 0.0, 0.0, 0.0)) == 1.0
    radius_um = prepare_ec5(connection).effective_mm * 500.0
    gone = ec5_capacity_n(connection, np.array([radius_um, 0.0, np.inf]), np.array([0.0, radius_um, np.inf]))
    assert gone.capacity_n.tolist() == [0.0, 0.0, 0.0]
    assert gone.mode.tolist() == ["none"] * 3


@pytest.mark.parametrize("name", sorted(HAS_PLATE))
def test_a_plate_that_is_gone_carries_nothing(name):
    assert float(ec5_capacity_n(CONNECTIONS[name], 0.0, 0.0, 8000.0).capacity_n) == 0.0


@given(
    st.floats(20.0, 120.0),
    st.floats(20.0, 120.0),
    st.floats(5.0, 30.0),
    st.floats(5.0, 30.0),
    st.floats(3.0, 24.0),
)
@settings(deadline=None, max_examples=200)
def test_two_planes_between_the_same_members_carry_at_least_one(t1, t2, fh1, fh2, d):
    my = 0.3 * 400.0 * d**2.6
    single = np.min(timber_modes(fh1 * d, fh2 * d, t1, t2, my).loads_n, axis=0)
    double = 2.0 * np.min(timber_modes(fh1 * d, fh2 * d, t1, t2, my, double=True).loads_n, axis=0)
    assert double >= single * (1.0 - 1e-12)
    outer = np.min(plate_modes(fh2 * d, t2, my)[0].loads_n, axis=0)
    both = 2.0 * np.min(plate_modes(fh2 * d, t2, my, plates="both")[0].loads_n, axis=0)
    assert both >= outer * (1.0 - 1e-12)


@given(
    st.floats(20.0, 120.0),
    st.floats(20.0, 120.0),
    st.floats(5.0, 30.0),
    st.floats(0.3, 3.0),
    st.floats(3.0, 24.0),
)
@settings(deadline=None, max_examples=200)
def test_all_lengths_doubled_carry_four_times_with_the_strengths_held(t1, t2, fh, beta, d):
    """With embedment and M / d^3 held, every mode goes with the square of the lengths."""
    for factor in (1.0, 2.0):
        q, my = factor * fh * d, (factor * d) ** 3 * 120.0
        t1s, t2s = factor * t1, factor * t2
        sets = (
            timber_modes(q, beta * q, t1s, t2s, my),
            timber_modes(q, beta * q, t1s, t2s, my, double=True),
            *plate_modes(q, t1s, my),
            *plate_modes(q, t1s, my, plates="both"),
            middle_plate_modes(q, t1s, my),
        )
        if factor == 1.0:
            small = sets
    for one, two in zip(small, sets, strict=True):
        np.testing.assert_allclose(two.loads_n, 4.0 * one.loads_n, rtol=1e-12)


def test_equal_members_turned_round_carry_the_same():
    forth = timber_modes(80.0, 60.0, 40.0, 70.0, 5000.0).loads_n
    back = timber_modes(60.0, 80.0, 70.0, 40.0, 5000.0).loads_n
    np.testing.assert_allclose(back, forth[[1, 0, 2, 4, 3, 5]], rtol=1e-12)


def test_the_rope_effect_stays_below_its_cap():
    nail = CONNECTIONS["nail"]
    prepared = prepare_ec5(nail)
    left = ec5_left(nail, prepared, 0.0, 0.0, 0.0)
    [modes] = ec5_modes(nail, prepared, left)
    assert rope_cap(nail) == 0.15
    capped = with_rope(modes, 1e9, rope_cap(nail))
    np.testing.assert_allclose(capped / modes.loads_n, [1.0, 1.0, 1.15, 1.15, 1.15, 1.15])
    assert rope_cap(CONNECTIONS["dowel"]) == 0.0
    assert rope_cap(dataclasses.replace(nail, rope=False)) == 0.0
    assert rope_cap(CONNECTIONS["ring nail"]) == 0.5


def test_a_thin_plate_is_no_worse_for_thinning_and_a_thick_one_is():
    loads = ec5_capacity_n(
        CONNECTIONS["nail through plate"], 0.0, 0.0, np.array([0.0, 500.0, 1000.0, 2000.0])
    )
    first, second, third, fourth = loads.capacity_n
    assert first > second > third == fourth
    assert loads.mode.tolist()[0] == "thin-b to thick-e"
    assert mode_words("thin-b to thick-e").startswith("between mode b, one hinge")


def test_a_corroded_fastener_does_not_make_its_plate_a_thick_one():
    """Plate over diameter is judged by the diameter as new."""
    thin = dataclasses.replace(CONNECTIONS["nail through plate"], side=Ec5Plate(2.0))
    assert (
        ec5_capacity_n(thin, np.array([0.0, 900.0]), np.array([0.0, 900.0])).mode.tolist() == ["thin-b"] * 2
    )


def test_embedment_by_material():
    assert embedment_drilled_mpa(12.0, 350.0) == pytest.approx(0.082 * 0.88 * 350.0)
    across = embedment_mpa("softwood", 12.0, 350.0, drilled=True, thickness_mm=45.0, angle_deg=90.0)
    assert across == pytest.approx(25.256 / 1.53)
    # hardwood crushes less across the grain than softwood of the same density
    assert embedment_mpa("hardwood", 12.0, 350.0, drilled=True, thickness_mm=45.0, angle_deg=90.0) > across
    assert embedment_mpa("osb", 3.0, 0.0, drilled=False, thickness_mm=15.0) == pytest.approx(
        65.0 * 3.0**-0.7 * 15.0**0.1
    )
    with pytest.raises(InputError, match="30 mm"):
        embedment_mpa("softwood", 31.0, 350.0, drilled=True, thickness_mm=45.0)


def test_screws_count_by_their_effective_diameter_until_they_are_thick():
    assert prepare_ec5(CONNECTIONS["screw"]).effective_mm == pytest.approx(4.4)
    assert prepare_ec5(dataclasses.replace(CONNECTIONS["screw"], effective_mm=6.0)).effective_mm == 6.0
    thin, thick = prepare_ec5(CONNECTIONS["screw"]), prepare_ec5(CONNECTIONS["thick screw"])
    assert thin.fh1_mpa == pytest.approx(0.082 * 350.0 * 4.4**-0.3)
    assert thick.fh1_mpa < thick.fh2_mpa


def test_axial_capacities_fall_with_penetration():
    def nail(point):
        return float(
            axial_smooth_nail_n(
                diameter_mm=4.0,
                nominal_mm=4.0,
                point_mm=point,
                head_side_mm=40.0,
                head_diameter_mm=9.0,
                point_density_kg_m3=350.0,
                head_density_kg_m3=350.0,
            )
        )

    assert nail(31.9) == 0.0
    assert nail(40.0) == pytest.approx(2.45 * 4.0 * 40.0 * 0.5)
    assert nail(48.0) == pytest.approx(2.45 * 4.0 * 48.0)
    held = [
        float(
            axial_threaded_nail_n(
                diameter_mm=4.0,
                nominal_mm=4.0,
                point_mm=point,
                fax_mpa=8.0,
                fhead_mpa=20.0,
                head_diameter_mm=9.0,
                drying=drying,
            )
        )
        for point, drying in ((23.0, False), (28.0, False), (40.0, False), (40.0, True))
    ]
    assert held == pytest.approx([0.0, 448.0, 1280.0, 1280.0 * 2 / 3])


def test_screws_and_bolts_along_their_axis():
    fax = screw_withdrawal_mpa(8.0, 60.0, 350.0)
    straight, leant = (
        float(axial_screw_n(diameter_mm=8.0, nominal_mm=8.0, thread_mm=60.0, fax_mpa=fax, angle_deg=angle))
        for angle in (90.0, 30.0)
    )
    assert leant == pytest.approx(straight / (1.2 * 0.75 + 0.25))
    with pytest.raises(InputError, match="6 to 12 mm"):
        screw_withdrawal_mpa(5.0, 60.0, 350.0)
    plates = axial_bolt_n(
        fu_mpa=400.0, area_mm2=84.3, diameter_mm=12.0, fc90_mpa=2.5, plate_mm=np.array([8.0, 4.0, 3.0, 1.0])
    )
    assert plates.wood_n[0] == plates.wood_n[1] > plates.wood_n[2] > plates.wood_n[3] == 0.0
    assert combined_use(0.5, 0.5, smooth_nail=True) == 1.0
    with pytest.raises(InputError, match="washer"):
        axial_bolt_n(fu_mpa=400.0, area_mm2=84.3, diameter_mm=12.0, fc90_mpa=2.5)


def test_factors_rows_and_splitting():
    assert [kmod_row(3, one)["kmod"] for one in ("permanent", "short_term")] == [0.5, 0.7]
    assert kmod_row(1, "permanent")["mark"] == Mark.VERIFIED
    assert gamma_row("connection")["gamma"] == 1.3
    assert bolts_in_row(4, 1000.0, 12.0) == 4.0
    assert bolts_in_row(4, 60.0, 12.0) < 4.0**0.9
    assert nails_in_row(4, 56.0, 4.0) == 4.0
    assert nails_in_row(4, 28.0, 4.0) == pytest.approx(4.0**0.7)
    assert nails_in_row(4, 16.0, 4.0, predrilled=True) == 2.0
    assert strength_class("c24")["mark"] == Mark.VERIFIED
    for call in (
        lambda: nails_in_row(4, 16.0, 4.0),
        lambda: kmod_row(4, "permanent"),
        lambda: kmod_row(1, "ten_years"),
        lambda: gamma_row("glue"),
        lambda: splitting_n(50.0, 200.0, 200.0),
        lambda: strength_class("C99"),
    ):
        with pytest.raises(InputError):
            call()


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"length_mm": 30.0}, "does not reach"),
        ({"length_mm": 60.0}, "asks for at least 27.2 mm"),
        ({"penetration_mm": 50.0}, "not both"),
        ({"length_mm": None}, "not both"),
        ({"diameter_mm": 0.0}, "more than zero"),
        ({"side": wood(38, -1.0)}, "more than zero"),
        ({"side": wood(38, 350, 91.0)}, "90 degrees"),
        ({"main": Ec5Plate(3.0)}, "middle of three"),
    ],
)
def test_what_is_outside_the_equations_is_refused(change, why):
    with pytest.raises(InputError, match=why):
        ec5_capacity_n(dataclasses.replace(CONNECTIONS["nail"], **change), 0.0, 0.0)


def test_losses_that_cannot_be_are_refused():
    with pytest.raises(InputError, match="zero or more"):
        ec5_capacity_n(CONNECTIONS["nail"], -1.0, 0.0)
    with pytest.raises(InputError, match="without a plate"):
        ec5_capacity_n(CONNECTIONS["nail"], 0.0, 0.0, 10.0)
    with pytest.raises(InputError, match="must pass through"):
        ec5_capacity_n(dataclasses.replace(CONNECTIONS["bolt"], length_mm=100.0), 0.0, 0.0)


def test_a_short_nail_has_a_ratio():
    short = dataclasses.replace(CONNECTIONS["nail"], length_mm=60.0)
    assert reaches_too_little(short)
    assert 0.0 < float(ec5_ratio(short, 200.0, 100.0, short_penetration="accept")) < 1.0


@pytest.mark.parametrize("name", NAMES)
def test_the_calculation_shown_is_the_one_made(name):
    connection, trace = CONNECTIONS[name], Trace("x")
    plate = 500.0 if name in HAS_PLATE else 0.0
    shown = explain_ec5(connection, 150.0, 100.0, plate, trace)
    made = ec5_capacity_n(connection, 150.0, 100.0, plate)
    assert float(shown.capacity_n) == float(made.capacity_n)
    steps = list(trace.root.steps())
    assert steps[-1].value == float(made.capacity_n)
    assert all(step.source in register() for step in steps)
    modes = [step.value for step in steps if step.what.startswith("mode ")]
    planes = (2.0 if connection.shear == "double" else 1.0) * (2.0 if connection.kind == "staple" else 1.0)
    if "through plate" not in name and "under plate" not in name and "between" not in name:
        assert min(modes) * planes == pytest.approx(float(made.capacity_n))
    assert min(modes) * planes <= float(made.capacity_n) * SLACK


def test_a_screw_without_thread_holds_nothing_along_its_axis():
    screw = CONNECTIONS["screw"]
    prepared = prepare_ec5(screw)
    # depth of thread (6 - 4) / 2 mm, worn from both flanks: gone at 500 um
    held = ec5_left(screw, prepared, 0.0, np.array([0.0, 400.0, 501.0]), 0.0).axial_n
    assert held[0] > 0.0
    assert held[1] > 0.0
    assert held[2] == 0.0


def test_a_plate_that_thins_holds_less_of_the_rope_in_a_bolt():
    bolt = CONNECTIONS["bolt under plate"]
    prepared = prepare_ec5(bolt)
    # 12 t falls below 4 d at 4 mm
    held = ec5_left(bolt, prepared, 0.0, 0.0, np.array([0.0, 4000.0, 5000.0, 7000.0])).axial_n
    assert held[0] == held[1] > held[2] > held[3] == 0.0
