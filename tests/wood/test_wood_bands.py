import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.tables import list_tables
from longhold.wood.bands import Band, load_bands
from longhold.wood.checks import checked, plain

TABLES = (
    "acidity", "contacts", "metals", "modifications", "rates", "transport_bands", "treatments", "wetting",
    "zinc_coats",
)  # fmt: skip
BANDS = [pytest.param(band, id=f"{t} {band.name}") for t in TABLES for band in load_bands(t).values()]


@pytest.mark.parametrize("band", BANDS)
def test_quantiles_give_back_the_band(band):
    low, middle, high = band.at([-1.6448536269514722, 0.0, 1.6448536269514722])
    assert (low, middle, high) == pytest.approx((band.p05, band.median, band.p95))


@settings(deadline=None)
@given(st.floats(-5.0, 5.0), st.floats(-5.0, 5.0), st.sampled_from(["lognormal", "normal"]))
def test_quantiles_rise(one, other, spread):
    band = Band("x", 2.0, 0.5, 3.0, spread, "1", "", "own", Mark.OWN)
    below, above = band.at(np.array(sorted((one, other))))
    assert below <= above
    assert spread == "normal" or below > 0.0


def test_shown():
    assert Band("x", 2.0, 1.0, 4.0, "lognormal", "h", "", "own", Mark.OWN).shown() == "2 h (1 to 4)"
    assert Band("x", 1.0, 1.0, 1.0, "lognormal", "1", "", "own", Mark.OWN).shown() == "1"


def test_every_table_of_the_room_is_known_here():
    read_elsewhere = {
        "coats", "cold_currents", "depth_facts", "indoor_climates", "outdoor_stations",
        "preservative_families", "preservative_names", "preservatives", "rate_sets",
        "retentions", "species", "species_acidity", "species_names",
        "time_exponents", "transport_faces", "use_categories",
    }  # fmt: skip
    tables = {path.split("/")[1][:-4] for path in list_tables(".csv") if path.startswith("wood/")}
    assert tables == read_elsewhere | set(TABLES)


def test_checked_names_the_first_bad_value():
    with pytest.raises(InputError, match="is 7"):
        checked("x", [1.0, 7.0, 9.0], 0.0, 5.0, "mm")
    with pytest.raises(InputError, match="0 mm or more"):
        checked("x", -1.0, 0.0, float("inf"), "mm")
    with pytest.raises(InputError):
        checked("x", float("inf"), 0.0, float("inf"), "mm")


def test_plain_names():
    assert plain("Douglas-Fir (coast)") == "douglasfircoast"
