"""Bands from position alone, held against measured sites whose group or country no fit has seen."""

from __future__ import annotations

import csv
import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest

from longhold.air.metals import METALS
from longhold.air.site_rows import measured_losses_um, site_position
from longhold.air.untold import untold_sd_ln
from longhold.assessment.located import locate
from longhold.assessment.site import site_exposure
from longhold.base.errors import InputError
from longhold.forecast.causes import Causes
from longhold.model.site import Site

pytest.importorskip("longhold_places")

ROOT = Path(__file__).resolve().parents[2]
DATA = Path(__file__).parent / "data"


@pytest.fixture(scope="module")
def fit():
    spec = importlib.util.spec_from_file_location("fit_air_untold", ROOT / "tools" / "fit_air_untold.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules["fit_air_untold"] = module
    spec.loader.exec_module(module)
    return module


def test_the_table_holds_what_the_fit_finds(fit):
    found = fit.fit_form(fit.CHOSEN, fit.cases_without(frozenset()))
    for metal in METALS:
        assert untold_sd_ln(metal, 1.0) == pytest.approx(found[metal], abs=5e-3)


@pytest.mark.parametrize("left_out", ["group", "country"])
def test_about_four_in_five_of_unseen_sites_lie_in_the_band(fit, left_out):
    found = fit.unseen(fit.CHOSEN, left_out)
    for metal in METALS:
        share = fit.in_band(found, metal)
        print(f"{left_out} unseen, {metal}: {share:.0%}")
        assert 0.75 <= share <= 0.86


def test_without_it_steel_is_far_too_sure(fit):
    assert fit.in_band(fit.unseen("none", "group"), "carbon_steel") < 0.65


def test_where_sulphur_was_measured_the_part_left_does_not_overshoot(fit):
    left = fit.load_toml("air/own/untold.toml")["parts"]["salt_share"]
    found = fit.cases(lambda s: None if s.own is None or s.chloride else fit.filled_in(s, "sulphur"))
    steel = [(one, one.variance + untold_sd_ln(one.metal, left) ** 2) for one in found]
    share = fit.in_band(steel, "carbon_steel")
    print(f"steel at sites with sulphur measured: {share:.0%}")
    assert 0.7 <= share <= 0.9


def test_the_medians_from_position_alone_are_not_biased(fit):
    for metal in ("carbon_steel", "zinc"):
        errors = [one.error for one in fit.cases_without(frozenset()) if one.metal == metal]
        assert abs(np.mean(errors)) < 2.0 * np.std(errors) / len(errors) ** 0.5


def test_the_forecast_of_a_bare_position_holds_four_sites_in_five():
    # Sulphur of today against sites of their time: medians stand low, the bands have to hold all the same.
    inside = {metal: [] for metal in ("carbon_steel", "zinc")}
    with (DATA / "air_sites.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            latitude, longitude = site_position(row)
            try:
                located = locate(Site(name=row["site"], latitude=latitude, longitude=longitude))
            except InputError:
                continue
            exposure = site_exposure(located, Causes(1, 2000))
            for metal, value in measured_losses_um(row).items():
                if metal in inside:
                    low, high = np.quantile(exposure.open_air_um(metal), [0.1, 0.9])
                    inside[metal].append(low <= value <= high)
    for metal, found in inside.items():
        print(f"{metal}: {np.mean(found):.0%} of {len(found)}")
        assert 0.75 <= np.mean(found) <= 0.86


def test_the_decision_note_holds_the_table_of_the_script(fit):
    note = (ROOT / "docs" / "decisions" / "untold-surroundings.md").read_text(encoding="utf-8")
    assert fit.forms_table() in note
