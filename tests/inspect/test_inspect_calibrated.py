"""Bands after an update hold what they say: simulated structures whose truth is known."""

from __future__ import annotations

import datetime
from dataclasses import replace

import numpy as np
import pytest

from longhold.assessment.setting import setting_for
from longhold.forecast.causes import Causes
from longhold.inspect.corrected import corrected, gauge_error
from longhold.inspect.expected import Forward
from longhold.inspect.likelihood import scatter_sd
from longhold.inspect.observed import observed
from longhold.inspect.spreads import gauge_sd, spread
from longhold.intake.load import loads
from longhold.metal.rust_grades import rust_grade, share_of_grade
from longhold.model.reading import Reading

RUNS, DRAWS = 500, 300
STRUCTURE = """
name = "Straps by the sea"
design_life = "50 years"
build_date = 2010-06-01
code = { pack = "us_irc", edition = "2021" }

[site]
name = "invented"
jurisdiction = "US-NC"
latitude = 34.2
longitude = -77.8
distance_to_salt_water = "800 m"

[timbers.joist]
species = "southern pine"
preservative = "MCA"
use_category = "UC4A"
thickness = "38 mm"

[[joints]]
id = "A"
name = "strap in the open"
place = "open_to_rain"
main = "joist"
parts = [{ id = "strap", kind = "strap", size = "16 ga", label = "ASTM A653 G90" }]

[[joints]]
id = "B"
name = "strap under cover"
place = "under_cover"
main = "joist"
parts = [{ id = "strap", kind = "strap", size = "16 ga", label = "ASTM A653 G185" }]

[[joints]]
id = "C"
name = "strap that nobody reads"
place = "open_to_rain"
main = "joist"
parts = [{ id = "strap", kind = "strap", size = "14 ga", label = "ASTM A653 G185" }]
"""


def reading(joint, measured, year, **given):
    return Reading(
        joint=joint,
        part="strap",
        face="outer",
        measured=measured,
        date=datetime.date(year, 6, 1),
        words="simulated",
        **given,
    )


READ = (
    reading("A", "zinc", 2020, value=1.0, spots=3, instrument="gauge 1"),
    reading("B", "zinc", 2020, value=1.0, spots=3, instrument="gauge 1"),
    reading("A", "rust", 2030, low_pct=0.0, high_pct=1.0),
    reading("B", "metal_lost", 2040, value=1.0, spots=2),
)
ASKED = (
    reading("C", "metal_lost", 2060, value=1.0),
    reading("C", "zinc", 2025, value=1.0),
    reading("A", "metal_lost", 2060, value=1.0),
)


def simulated(one, truth, gauge, generator):
    """A reading as it comes of the truth, slips included in the share that is allowed for."""
    wild = generator.random() < spread("wild_share")
    if one.reading.measured == "rust":
        share = min(truth * np.exp(spread("rust_seen") * generator.standard_normal()), 1.0)
        grade = int(generator.integers(0, 11)) if wild else rust_grade(100.0 * share)
        low, high = share_of_grade(grade)
        return one.reading.model_copy(update={"low_pct": low, "high_pct": high})
    sound = one.reading.model_copy(update={"value": max(truth, 0.0)})
    bias, sd = gauge_sd(sound), float(scatter_sd(sound, truth))
    if wild:
        value = (
            truth + bias * gauge + spread("wild_factor") * np.hypot(sd, bias) * generator.standard_normal()
        )
    else:
        value = truth + bias * gauge + sd * generator.standard_normal()
    return one.reading.model_copy(update={"value": max(float(value), 0.0)})


@pytest.mark.slow
def test_bands_of_four_in_five_hold_the_truth_in_four_of_five_structures() -> None:
    structure = loads(STRUCTURE)
    setting = setting_for(structure, np.linspace(0.0, 50.0, 5), draws=DRAWS, seed=1)
    used, _ = observed(structure, setting.prepared, READ)
    asked, _ = observed(structure, setting.prepared, ASKED)
    truth = Causes(4711, RUNS)
    read_truth = Forward(setting, used, "both").expected(truth)
    asked_truth = Forward(setting, asked, "both").expected(truth)
    gauges = [np.broadcast_to(gauge_error(one, truth), (RUNS,)) for one in used]
    generator = np.random.default_rng(8)
    inside = np.zeros((RUNS, len(asked)))
    narrower = np.zeros((RUNS, len(asked)))
    for run in range(RUNS):
        given = tuple(
            replace(one, reading=simulated(one, x[run], gauge[run], generator))
            for one, x, gauge in zip(used, read_truth, gauges, strict=True)
        )
        first = Causes(10_000 + run, DRAWS)
        learned, _ = corrected(Forward(setting, given, "both"), first)
        before = Forward(setting, asked, "both").expected(first)
        after = Forward(setting, asked, "both").expected(learned.causes(10_000 + run))
        for i, (x, y, true) in enumerate(zip(before, after, asked_truth, strict=True)):
            low, high = np.quantile(y, (0.1, 0.9))
            inside[run, i] = low <= true[run] <= high
            narrower[run, i] = (high - low) / np.ptp(np.quantile(x, (0.1, 0.9)))
    assert ((inside.mean(axis=0) >= 0.75) & (inside.mean(axis=0) <= 0.85)).all(), inside.mean(axis=0)
    assert (narrower.mean(axis=0) < 0.95).all(), narrower.mean(axis=0)
