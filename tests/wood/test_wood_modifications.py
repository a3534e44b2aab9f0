import pytest

from longhold.base.errors import InputError
from longhold.base.trace import Trace
from longhold.wood.embedded import coat_bands, loss_rate_um_yr, metal_bands
from longhold.wood.modifications import MODIFICATIONS, modification_bands, modified_multiplier
from longhold.wood.treatments import treatment, treatment_bands

WET = {"moisture_pct": 40.0, "temperature_c": 20.0, "rate_set": "early_plateau"}


def test_steel_and_zinc_differ_in_modified_wood_only():
    heated = treatment("none", "white ash", modification="heat_treated")
    assert heated.multiplier_for("zinc").median < heated.multiplier_for("carbon_steel").median
    assert heated.multiplier is heated.multiplier_for("carbon_steel")
    acetylated = treatment("none", "radiata pine", modification="acetylated")
    assert acetylated.multiplier_for("zinc").median > acetylated.multiplier_for("carbon_steel").median
    for metal in metal_bands():
        assert treatment("ACQ", "SYP").multiplier_for(metal) is treatment_bands()["ACQ"]


@pytest.mark.parametrize("modification", MODIFICATIONS)
@pytest.mark.parametrize("metal", ["aluminium", "brass", "copper", "silicon_bronze"])
def test_metals_of_which_nothing_is_read_take_the_larger_figure(modification, metal):
    bands = modification_bands()
    most = max(bands[modification].median, bands[f"{modification}_zinc"].median)
    assert modified_multiplier(modification, metal).median == most


def test_the_bands_keep_what_is_read_as_sure():
    bands, treated = modification_bands(), treatment_bands()
    assert bands["acetylated"].p95 < treated["CCA"].median <= bands["acetylated_zinc"].p05
    assert bands["acetylated_zinc"].p95 < treated["micronized"].median
    assert bands["oiled"].p95 <= 1.0
    assert coat_bands()["electroplate"].p95 < coat_bands()["hot_dip"].median


def test_a_modification_stands_for_any_species():
    found = [treatment("none", name, modification="heat_treated") for name in ("white oak", "SYP")]
    assert {one.species_factor for one in found} == {None}
    assert all("any species" in one.assumptions[-1] for one in found)


def test_with_a_preservative_the_larger_multiplier_counts():
    both = treatment("ACQ", "SYP", modification="acetylated")
    assert both.multiplier.median == treatment_bands()["ACQ"].median
    assert any("larger of the two" in line for line in both.assumptions)
    assert treatment("CCA", "SYP", modification="heat_treated").multiplier.name == "heat_treated"


def test_an_oil_finish_earns_credit_without_copper_only():
    heated = treatment("none", "white ash", modification="heat_treated", oiled=True)
    assert heated.finish_factor is modification_bands()["oiled"]
    plain = treatment("none", "white oak", oiled=True)
    assert plain.finish_factor is not None
    assert plain.species_factor is not None
    assert any("heat-treated wood only" in line for line in plain.assumptions)
    treated = treatment("ACQ", "SYP", oiled=True)
    assert treated.finish_factor is None
    assert any("no credit" in line for line in treated.assumptions)


def test_a_finish_and_a_coat_multiply_the_rate():
    full = float(loss_rate_um_yr("zinc", treatment_multiplier=2.0, **WET))
    less = float(loss_rate_um_yr("zinc", treatment_multiplier=2.0, finish_factor=0.5, coat_factor=0.8, **WET))
    assert less == pytest.approx(0.4 * full)
    films = {"finish_factor": 0.5, "coat_factor": 0.8}
    assert float(loss_rate_um_yr("stainless", treatment_multiplier=2.0, **films, **WET)) == float(
        loss_rate_um_yr("stainless", treatment_multiplier=2.0, **WET)
    )


def test_the_trace_tells_modification_and_finish():
    trace = Trace("wood")
    found = treatment("none", "white ash", modification="heat_treated", oiled=True, trace=trace)
    (step,) = trace.root.steps()
    assert "heat-treated white ash" in step.what
    assert step.inputs["f"] == "0.8 (0.6 to 1)"
    assert step.value == pytest.approx(found.multiplier.median * found.finish_factor.median)


def test_a_modification_not_known_is_refused():
    with pytest.raises(InputError, match="heat_treated, acetylated"):
        modified_multiplier("furfurylated", "zinc")


def test_cedar_adds_its_extractives_to_copper_and_oak_its_acidity_not():
    cedar = treatment("CCA", "western red cedar").species_factor
    alone = treatment("none", "western red cedar").species_factor
    assert 1.0 < cedar.median < alone.median
    # in um a year over pine, as much as in the untreated species
    bands = treatment_bands()
    added = bands["CCA"].median * (cedar.median - 1.0)
    assert added == pytest.approx(bands["none"].median * (alone.median - 1.0))
    assert treatment("CCA", "white oak").species_factor is None
