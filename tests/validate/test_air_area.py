"""Area air: predictions never see what was measured, missing inputs are said, figures come in tables."""

from __future__ import annotations

import csv

import pytest

from longhold.base.errors import InputError, Problem
from longhold.validate import air_area, validate_file
from longhold.validate.air_area import AIR

ROW = {
    "group": "G",
    "site": "Here",
    "lat": "",
    "lon": "",
    "T_C": "10",
    "RH_pct": "75",
    "Sd_Cl_mg_m2_d": "3",
    "SO2_ug_m3": "",
    "Pd_SO2_mg_m2_d": "5",
    "dist_sea_km": "",
    "steel_um_y1": "25",
    "zinc_um_y1": "1.4",
    "copper_um_y1": "",
    "aluminium": "",
    "aluminium_unit": "",
}


@pytest.fixture
def no_places(monkeypatch):
    def refuse(latitude, longitude):
        raise InputError(Problem("site.position", None, "needs the places package."))

    monkeypatch.setattr(air_area, "position_inputs", refuse)
    monkeypatch.setattr(air_area, "_shore_distance_m", lambda given, position: None)


def write(path, *changes):
    with path.open("w", newline="", encoding="utf-8") as stream:
        writer = csv.DictWriter(stream, list(ROW))
        writer.writeheader()
        writer.writerows(ROW | change for change in changes)
    return path


def test_a_row_is_right_when_every_metal_is_within_a_factor_of_2(tmp_path, no_places):
    result = validate_file("air", write(tmp_path / "x.csv", {}, {"zinc_um_y1": "9"}, {"steel_um_y1": ""}))
    assert [one.right for one in result.details] == [True, False, True]
    assert "zinc off by a factor of" in result.details[1].why
    assert "low" in result.details[1].why
    assert result.details[0].expected == "steel 25, zinc 1.4 um"
    assert "printed 21.9" in result.details[0].got


def test_rows_without_a_loss_are_skipped_and_without_inputs_unanswered(tmp_path, no_places):
    blank = {"steel_um_y1": "", "zinc_um_y1": ""}
    path = write(tmp_path / "x.csv", {}, blank, {"T_C": "", "lat": "60", "lon": "5"})
    result = validate_file("air", path)
    assert (result.rows, result.answered) == (2, 1)
    assert result.skipped[0].why == "no measured loss"
    assert "has no T_C" in result.details[1].why
    assert "needs the places package" in result.details[1].why


def test_losses_that_cannot_be_read_are_told_before_anything_is_answered(tmp_path):
    with pytest.raises(InputError, match="aluminium_unit"):
        validate_file("air", write(tmp_path / "x.csv", {"aluminium": "1", "aluminium_unit": "mils"}))


def test_tables_hold_both_laws_and_what_the_standard_claims(tmp_path, no_places):
    result = validate_file("air", write(tmp_path / "x.csv", {}, {"site": "There", "steel_um_y1": "60"}))
    assert result.tables[0].title == "All sites, from the row's own inputs"
    assert [row[:3] for row in result.tables[0].rows] == [
        ("steel", "printed", "2"),
        ("steel", "calibrated", "2"),
        ("zinc", "printed", "2"),
        ("zinc", "calibrated", "2"),
    ]
    assert result.tables[-1].rows[1] == ("zinc", "69%", "92%")
    assert result.figures["own_inputs_zinc_calibrated_within_2"] == 1.0
    assert all(len(row) == len(table.heads) for table in result.tables for row in table.rows)


def test_position_alone_is_judged_beside_the_own_inputs(tmp_path, monkeypatch):
    from longhold.air.site_rows import SiteInputs

    monkeypatch.setattr(
        air_area,
        "position_inputs",
        lambda lat, lon: SiteInputs(lat, 75.0, 5.0, 3.0, chloride_sd_ln=1.0, assumed=("the maps",)),
    )
    path = write(tmp_path / "x.csv", {"lat": "12", "lon": "5"}, {"T_C": "", "lat": "12", "lon": "5"})
    result = validate_file("air", path)
    assert "from the row's own inputs; steel" in result.details[0].got
    assert "from position alone" in result.details[1].got
    assert "own inputs" not in result.details[1].got
    assert {table.title for table in result.tables} >= {
        "All sites, from the row's own inputs",
        "All sites, from position alone",
    }


def test_the_measured_columns_are_never_given():
    assert not {name for name in AIR.given if "um_y1" in name or "aluminium" in name}
    assert set(AIR.given) < set(AIR.columns)


def test_the_area_reads_the_columns_of_the_air_room():
    from longhold.air.site_rows import GIVEN_COLUMNS, MEASURED_COLUMNS

    assert AIR.columns == (*GIVEN_COLUMNS, *MEASURED_COLUMNS)


def test_position_inputs_come_from_maps_and_shore():
    pytest.importorskip("longhold_places")
    inputs = air_area.position_inputs(60.39, 5.32)
    assert inputs.temperature_c == pytest.approx(7.6, abs=2.5)
    assert inputs.chloride_mg_m2_d > 20.0
    assert inputs.chloride_sd_ln > 0.9
    assert inputs.temperature_sd_c > 0.0
    assert inputs.assumed
