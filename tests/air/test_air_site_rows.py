"""Rows of measured sites: what they say is read, what they lack is said, nothing is guessed in silence."""

from __future__ import annotations

import pytest

from longhold.air.salt import chloride_from_distance
from longhold.air.site_rows import fitted_sites, measured_losses_um, own_inputs, site_position
from longhold.base.errors import InputError

ROW = {
    "T_C": "7.1",
    "RH_pct": "79",
    "Pd_SO2_mg_m2_d": "6.9",
    "SO2_ug_m3": "",
    "Sd_Cl_mg_m2_d": "20",
    "dist_sea_km": "",
}


def test_a_complete_row_assumes_nothing():
    inputs = own_inputs(ROW)
    assert (inputs.temperature_c, inputs.relative_humidity_pct) == (7.1, 79.0)
    assert (inputs.sulphur_dioxide_mg_m2_d, inputs.chloride_mg_m2_d) == (6.9, 20.0)
    assert inputs.assumed == ()


def test_concentration_stands_in_for_deposition():
    inputs = own_inputs({**ROW, "Pd_SO2_mg_m2_d": "", "SO2_ug_m3": "10"})
    assert inputs.sulphur_dioxide_mg_m2_d == pytest.approx(8.0)
    assert inputs.assumed == ()


def test_chloride_comes_by_the_rows_distance_then_by_the_shores_then_as_1():
    unmeasured = {**ROW, "Sd_Cl_mg_m2_d": ""}
    by_row = own_inputs({**unmeasured, "dist_sea_km": "2"}, shore_distance_m=10.0)
    assert by_row.chloride_mg_m2_d == chloride_from_distance(2000.0).median
    assert by_row.chloride_sd_ln > 0.9
    assert own_inputs(unmeasured, shore_distance_m=500.0).chloride_mg_m2_d == pytest.approx(
        chloride_from_distance(500.0).median
    )
    last = own_inputs(unmeasured)
    assert (last.chloride_mg_m2_d, last.chloride_sd_ln) == (1.0, 0.0)
    assert all(len(one.assumed) == 1 for one in (by_row, last))


def test_a_chloride_of_nought_stands_and_is_said():
    inputs = own_inputs({**ROW, "Sd_Cl_mg_m2_d": "0.0"})
    assert inputs.chloride_mg_m2_d == 0.0
    assert "hardly a measurement" in inputs.assumed[0]


@pytest.mark.parametrize("missing", ["T_C", "RH_pct", "Pd_SO2_mg_m2_d"])
def test_climate_and_sulphur_are_never_guessed(missing):
    with pytest.raises(InputError, match="none is guessed"):
        own_inputs({**ROW, missing: ""})


@pytest.mark.parametrize(
    ("column", "value", "said"),
    [
        ("RH_pct", "104", "between 0 and 100"),
        ("T_C", "warm", "must be a number"),
        ("T_C", "nan", "between -90 and 60"),
        ("Sd_Cl_mg_m2_d", "-3", "below zero"),
    ],
)
def test_impossible_cells_are_refused(column, value, said):
    with pytest.raises(InputError, match=said):
        own_inputs({**ROW, column: value})


def test_positions_need_both_numbers_and_the_earth():
    assert site_position({"lat": "60", "lon": "5"}) == (60.0, 5.0)
    assert site_position({"lat": "60", "lon": ""}) is None
    assert site_position({}) is None
    with pytest.raises(InputError, match="between -90 and 90"):
        site_position({"lat": "95", "lon": "5"})


def test_losses_are_read_by_metal_and_aluminium_by_its_unit():
    row = {"steel_um_y1": "12.8", "zinc_um_y1": "", "aluminium": "0.27", "aluminium_unit": "g/m2/yr"}
    assert measured_losses_um(row) == pytest.approx({"carbon_steel": 12.8, "aluminium": 0.1})
    assert measured_losses_um({"aluminium": "0.27", "aluminium_unit": "um/yr"}) == {"aluminium": 0.27}
    assert measured_losses_um({}) == {}


@pytest.mark.parametrize(
    "row", [{"zinc_um_y1": "0"}, {"zinc_um_y1": "-1"}, {"aluminium": "1", "aluminium_unit": "none"}]
)
def test_losses_that_cannot_be_are_refused(row):
    with pytest.raises(InputError):
        measured_losses_um(row)


def test_the_sites_of_the_fit_are_known_by_name():
    assert {"Ahtari", "Susuman"} <= fitted_sites()
    assert not {"Kvarnvik", "Bergen"} & fitted_sites()
    assert len(fitted_sites()) == 23
