"""What is not stated of the surroundings widens, and each thing measured or stated takes its part away."""

from __future__ import annotations

from itertools import product

import pytest

from longhold.air.metals import METALS
from longhold.air.scores import predict
from longhold.air.site_rows import SiteInputs, own_inputs
from longhold.air.sulphur import sulphur_from_setting
from longhold.air.untold import NOTHING_UNTOLD, untold, untold_sd_ln
from longhold.base.errors import InputError
from longhold.base.trace import Trace

KNOWN = ("chloride_measured", "sulphur_measured", "setting_told")


def left(*known):
    return untold(**{name: name in known for name in KNOWN})


def test_a_bare_position_leaves_all_and_two_measurements_leave_none():
    assert left().share == 1.0
    assert left("chloride_measured", "sulphur_measured") == NOTHING_UNTOLD


@pytest.mark.parametrize("known", list(product((False, True), repeat=3)))
def test_each_thing_known_never_adds(known):
    names = [name for name, told in zip(KNOWN, known, strict=True) if told]
    for more in KNOWN:
        assert left(*names, more).share <= left(*names).share


def test_a_measurement_takes_its_own_part_and_leaves_the_other():
    assert left("chloride_measured").salt_share == 0.0
    assert left("chloride_measured").sulphur_share == left().sulphur_share
    assert left("sulphur_measured").sulphur_share == 0.0
    assert left("sulphur_measured").salt_share == left().salt_share
    assert 0.0 < left("setting_told").sulphur_share < left().sulphur_share
    assert left("sulphur_measured", "setting_told") == left("sulphur_measured")


@pytest.mark.parametrize("metal", METALS)
def test_the_spread_grows_with_the_root_of_the_share(metal):
    assert untold_sd_ln(metal, 0.0) == 0.0
    assert untold_sd_ln(metal, 0.25) == pytest.approx(untold_sd_ln(metal, 1.0) / 2.0)


def test_another_metal_is_refused():
    with pytest.raises(InputError):
        untold_sd_ln("gold", 1.0)


def test_it_is_recorded_only_where_something_is_left():
    for told, count in ((False, 1), (True, 0)):
        trace = Trace("air")
        untold(chloride_measured=told, sulphur_measured=told, setting_told=False, trace=trace)
        assert len(list(trace.root.steps())) == count


def test_it_widens_the_band_of_steel_and_leaves_every_middle():
    inputs = {share: SiteInputs(8.0, 75.0, 5.0, 20.0, untold_share=share) for share in (0.0, 0.25, 1.0)}
    found = {
        share: {(one.metal, one.law): one for one in predict(one_site, "position")}
        for share, one_site in inputs.items()
    }
    for key, plain in found[0.0].items():
        assert found[1.0][key].median_um == plain.median_um
        assert found[1.0][key].sd_ln == pytest.approx(
            (plain.sd_ln**2 + untold_sd_ln(key[0], 1.0) ** 2) ** 0.5
        )
    steel = ("carbon_steel", "calibrated")
    assert found[0.0][steel].sd_ln < found[0.25][steel].sd_ln < found[1.0][steel].sd_ln


def test_a_row_with_chloride_and_sulphur_leaves_nothing_unstated():
    row = {"T_C": "8", "RH_pct": "75", "Pd_SO2_mg_m2_d": "5", "dist_sea_km": "3"}
    assert own_inputs(row | {"Sd_Cl_mg_m2_d": "20"}).untold_share == 0.0
    assert own_inputs(row).untold_share == left("sulphur_measured").share


@pytest.mark.parametrize("era", ["stations_1986_94", "today"])
@pytest.mark.parametrize("setting", ["rural", "urban", "industrial"])
def test_a_setting_that_is_assumed_keeps_its_middle_and_has_the_band_of_any(setting, era):
    stated = sulphur_from_setting(setting, era=era)
    assumed = sulphur_from_setting(setting, era=era, stated=False)
    assert assumed.median == stated.median
    assert assumed.sd_ln == sulphur_from_setting(None, era=era).sd_ln > stated.sd_ln
    assert "assumption" in assumed.how
    assert "assumption" not in stated.how
