"""The seam: measured values override estimates, every estimate is listed as an assumption."""

from __future__ import annotations

import pytest

from longhold.air.climates import climate_from_monthly, station
from longhold.air.salt import chloride_from_distance
from longhold.air.site_air import air_load, annual_means
from longhold.air.sulphur import sulphur_from_setting
from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.trace import Trace


def test_annual_means_are_plain_means_of_the_months():
    climate = climate_from_monthly([float(t) for t in range(12)], [60.0] * 6 + [80.0] * 6)
    assert annual_means(climate) == (5.5, 70.0)
    assert annual_means(station("Miami"))[0] == pytest.approx(25.1, abs=0.1)


def test_estimates_are_listed():
    load, assumptions = air_load(250.0, "surf", "urban")
    assert load.chloride_mg_m2_d == chloride_from_distance(250.0, "surf")
    assert load.sulphur_dioxide_mg_m2_d == sulphur_from_setting("urban")
    assert len(assumptions) == 2
    assert "250 m (820 ft) to salt water" in assumptions[0]
    assert "surf" in assumptions[0]
    assert "urban air" in assumptions[1]


def test_what_is_not_stated_is_said():
    _, assumptions = air_load(250.0)
    assert "kind of shore not stated" in assumptions[0]
    assert "setting not stated" in assumptions[1]


def test_measured_values_override_and_are_no_assumptions():
    load, assumptions = air_load(
        5.0, "surf", "industrial", chloride_mg_m2_d=12.0, sulphur_dioxide_mg_m2_d=1.5
    )
    assert assumptions == ()
    assert (load.chloride_mg_m2_d.median, load.sulphur_dioxide_mg_m2_d.median) == (12.0, 1.5)
    assert load.chloride_mg_m2_d.sd_ln == 0.1
    assert (load.chloride_mg_m2_d.source, load.chloride_mg_m2_d.mark) == ("user", Mark.VERIFIED)


def test_salt_is_never_guessed():
    with pytest.raises(InputError, match="distance_to_salt_water"):
        air_load(None, setting="rural")
    load, assumptions = air_load(None, setting="rural", chloride_mg_m2_d=3.0)
    assert load.chloride_mg_m2_d.how == "measured"
    assert len(assumptions) == 1


@pytest.mark.parametrize("bad", [0.0, -3.0, float("nan")])
def test_an_impossible_measurement_is_refused(bad):
    with pytest.raises(InputError, match=r"air\.chloride"):
        air_load(100.0, chloride_mg_m2_d=bad)
    with pytest.raises(InputError, match=r"air\.sulphur_deposition"):
        air_load(100.0, sulphur_dioxide_mg_m2_d=bad)


def test_estimates_and_measurements_leave_a_trace():
    trace = Trace("air")
    load, _ = air_load(100.0, chloride_mg_m2_d=7.0, setting="rural", trace=trace)
    assert [step.value for step in trace.root.steps()] == [7.0, load.sulphur_dioxide_mg_m2_d.median]


def test_a_salted_road_adds_to_the_sea_but_not_to_a_measurement():
    sea, _ = air_load(5000.0, setting="rural")
    both, said = air_load(5000.0, setting="rural", salted_road_m=8.0)
    far, _ = air_load(5000.0, setting="rural", salted_road_m=2000.0)
    assert both.chloride_mg_m2_d.median > sea.chloride_mg_m2_d.median
    assert "road salt at 8 m" in said[0]
    assert far.chloride_mg_m2_d == sea.chloride_mg_m2_d
    measured, _ = air_load(None, setting="rural", chloride_mg_m2_d=9.0, salted_road_m=8.0)
    assert measured.chloride_mg_m2_d.median == 9.0


def test_a_dry_plate_is_converted():
    load, _ = air_load(None, setting="rural", chloride_mg_m2_d=10.0, chloride_method="dry_plate")
    assert load.chloride_mg_m2_d.median == pytest.approx(24.0)


def test_what_else_is_known_reaches_the_estimates():
    load, said = air_load(100.0, setting="urban", sea_salt_value=15.0, onshore_share=0.9, era="today")
    assert load.chloride_mg_m2_d == chloride_from_distance(100.0, sea_salt_value=15.0, onshore_share=0.9)
    assert load.sulphur_dioxide_mg_m2_d == sulphur_from_setting("urban", era="today")
    assert "onshore wind" in said[0]
