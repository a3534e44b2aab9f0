"""Readings beside a structure: what they move, what they leave, what is refused."""

from __future__ import annotations

import datetime

import emcee
import numpy as np
import pytest
from scipy.stats import cauchy, norm

from longhold.assessment.line import assess
from longhold.assessment.setting import setting_for
from longhold.base.errors import InputError
from longhold.documents.readings_view import reading_rows
from longhold.forecast.causes import Causes
from longhold.inspect.corrected import gauge_error
from longhold.inspect.expected import Forward
from longhold.inspect.learn import learn, update
from longhold.inspect.likelihood import log_likelihood
from longhold.inspect.observed import observed
from longhold.inspect.spreads import spread
from longhold.intake.load import loads
from longhold.model.reading import Reading

DRAWS = 400
STRUCTURE = """
name = "Straps"
design_life = "50 years"
build_date = 2010-06-01
code = { pack = "us_irc", edition = "2021" }
timbers.joist = { species = "southern pine", preservative = "MCA", use_category = "UC4A", size = "2x8" }

[site]
name = "invented"
jurisdiction = "US"
distance_to_salt_water = "800 m"
climate = { station = "Wilmington NC" }
"""
STRAP = """
[[joints]]
id = "{id}"
name = "strap"
place = "{place}"
main = "joist"
role = "other"
parts = [{{ id = "strap", kind = "strap", size = "16 ga", label = "{label}" }}]
"""


def straps(*some):
    made = (STRAP.format(id=name, place=place, label=label) for name, place, label in some)
    return loads(STRUCTURE + "".join(made))


@pytest.fixture(scope="module")
def two():
    return straps(("A", "open_to_rain", "ASTM A653 G90"), ("B", "open_to_rain", "ASTM A653 G185"))


def reading(measured="zinc", joint="A", year=2020, **given):
    return Reading(
        joint=joint,
        **{"part": "strap", "face": "outer"} | given.pop("at", {}),
        measured=measured,
        date=datetime.date(year, 6, 1),
        words="as given",
        **given,
    )


def zinc(value, **given):
    return reading(value=value, spots=given.pop("spots", 5), **given)


def outer_ends(found):
    """Middle age at which protection of each strap's outer face ends."""
    return [one.parts[0].faces[0].protection_years.p50 for one in found.findings]


def test_a_year_of_salt_corrects_it_as_the_closed_form_says(two):
    """A normal reading of a normal logarithm, or with a small share a slip that is Cauchy, by quadrature."""
    salt = setting_for(two, np.array([0.0, 50.0]), draws=200, seed=1).exposure.air_load.chloride_mg_m2_d
    read = salt.median * np.exp(salt.sd_ln)
    found = learn(
        two,
        [Reading(date=datetime.date(2020, 6, 1), measured="chloride", value=read, words="salt")],
        draws=4000,
    )
    z = np.linspace(-6.0, 6.0, 4001)
    sd = np.hypot(spread("chloride_year"), 0.10)  # a candle to 20 %, expanded by 2
    apart, share, wide = salt.sd_ln * (z - 1.0), spread("wild_share"), spread("wild_factor")
    sound, slip = norm.pdf(apart, scale=sd), cauchy.pdf(apart, scale=wide * sd)
    fit = ((1.0 - share) * sound + share * slip) * np.exp(-0.5 * z**2)
    below = np.cumsum(fit) / fit.sum()
    expected = np.interp((0.1, 0.5, 0.9), below, z)
    drawn = np.quantile(found.learned.draws["chloride", "site"], (0.1, 0.5, 0.9))
    assert drawn == pytest.approx(expected, abs=0.06)


@pytest.mark.slow
def test_a_reading_of_zinc_moves_the_forecast_as_a_general_sampler_says(two):
    """Against emcee's affine-invariant ensemble on the same causes; losses at the design life compared."""
    one = zinc(11.0)
    setting = setting_for(two, np.linspace(0.0, 50.0, 5), draws=200, seed=1)
    used, _ = observed(two, setting.prepared, [one])
    asked, _ = observed(two, setting.prepared, [reading("metal_lost", year=2060, value=1.0)])
    first = Causes(1, 200)
    for some in (used, asked):
        Forward(setting, some, "both").expected(first)
    gauge_error(used[0], first)
    keys = list(first.used)

    def causes_of(cloud):
        return Causes(0, len(cloud), {key: cloud[:, i] for i, key in enumerate(keys)})

    def log_density(cloud):
        causes = causes_of(cloud)
        (expected,) = Forward(setting, used, "both").expected(causes)
        return log_likelihood(used[0], expected, gauge_error(used[0], causes)) - 0.5 * (cloud**2).sum(axis=1)

    walkers = 16 * len(keys)
    sampler = emcee.EnsembleSampler(walkers, len(keys), log_density, vectorize=True)
    sampler.random_state = np.random.RandomState(4).get_state()
    sampler.run_mcmc(np.random.default_rng(5).standard_normal((walkers, len(keys))), 3000)
    chain = sampler.get_chain(discard=300, thin=20, flat=True)
    (general,) = Forward(setting, asked, "both").expected(causes_of(chain))
    found = learn(two, [one], draws=4000)
    own = {**found.learned.draws}
    (ours,) = Forward(setting, asked, "both").expected(Causes(1, 4000, own))
    shares = (0.1, 0.5, 0.9)
    assert np.quantile(ours, shares) == pytest.approx(np.quantile(general, shares), rel=0.10, abs=4.0)


def test_one_strap_tells_of_its_neighbor_in_the_same_air(two):
    good = update(two, [zinc(19.0)], draws=DRAWS)
    bad = update(two, [zinc(4.0)], draws=DRAWS)
    for worse, middle, better in zip(
        *(outer_ends(one) for one in (bad.after, bad.before, good.after)), strict=True
    ):
        assert worse < middle < better


def test_two_readings_of_one_gauge_say_less_than_two_of_two(two):
    """Both are read true; the error of one gauge does not average out."""
    coarse = {"uncertainty": 12.0, "spots": 50}
    draws = 8000  # what a quarter as many say of the difference is mostly their own scatter

    def beside(gauge):
        first = zinc(14.0, instrument="g", **coarse)
        return learn(two, [first, zinc(33.0, joint="B", instrument=gauge, **coarse)], draws=draws)

    def width(found):
        setting = setting_for(two, np.linspace(0.0, 50.0, 5), draws=200, seed=1)
        asked, _ = observed(two, setting.prepared, [zinc(1.0, year=2019)])
        (expected,) = Forward(setting, asked, "both").expected(found.learned.causes(1))
        return np.ptp(np.quantile(expected, (0.1, 0.9)))

    assert width(beside("h")) < width(beside("g"))


def test_a_reading_far_off_is_told_and_carries_little_away(two):
    found = learn(two, [zinc(14.0), zinc(14.5, year=2021), zinc(300.0, joint="B")], draws=DRAWS)
    wild = found.readings[2]
    assert wild.far_off
    assert wild.likely_wild
    assert not any(one.far_off or one.likely_wild for one in found.readings[:2])
    assert len(found.readings) == 3


@pytest.mark.parametrize("far_um", [100.0, 300.0])
def test_a_slip_however_far_off_leaves_its_joint_where_the_others_put_it(two, far_um):
    """Paint under the gauge, or mil typed for um: it is told, and the end is nearly what it was without."""
    others = [zinc(14.0), zinc(14.5, year=2021)]
    without = update(two, others, draws=1000)
    beside = update(two, [*others, zinc(far_um, joint="B")], draws=1000)
    assert outer_ends(beside.after) == pytest.approx(outer_ends(without.after), rel=0.12)


def test_no_rust_yet_is_a_reading(two):
    found = update(two, [reading("rust", year=2035, low_pct=0.0, high_pct=0.01)], draws=DRAWS)
    assert outer_ends(found.after)[0] > outer_ends(found.before)[0]


def test_readings_that_teach_nothing_are_kept_with_the_reason(two):
    salt = zinc(14.0)
    wet = reading("moisture", value=24.0)
    found = learn(two, [salt, wet], draws=DRAWS)
    assert [one.index for one in found.kept] == [1]
    assert "weather" in found.kept[0].because
    with pytest.raises(InputError, match="none bears on the forecast"):
        learn(two, [wet], draws=DRAWS)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (zinc(14.0, joint="Z"), "is not in the structure: it has A, B"),
        (zinc(14.0, at={"part": "nail"}), "is no part of joint A: it has strap"),
        (zinc(14.0, at={"face": "shank"}), "is no face of a strap: it has outer, contact"),
        (zinc(14.0, year=2010), "must lie after 2010-06-01"),
        (reading("thickness_left", value=2.5), "is more than the thickness when new"),
        (reading("diameter_left", value=2.5), "has no diameter"),
    ],
)
def test_what_cannot_be_is_refused_by_name(two, given, said):
    with pytest.raises(InputError, match=said):
        learn(two, [given], draws=DRAWS)


def test_a_structure_without_a_date_is_asked_for_it(two):
    with pytest.raises(InputError, match="state when it was built"):
        learn(two.model_copy(update={"build_date": None}), [zinc(14.0)], draws=DRAWS)


def test_the_same_readings_and_seed_give_the_same_answer(two):
    first, again = (update(two, [zinc(14.0)], draws=DRAWS).after.findings for _ in range(2))
    assert first == again


def test_without_readings_the_line_is_as_before(two):
    assert assess(two, draws=DRAWS).findings == update(two, [zinc(14.0)], draws=DRAWS).before.findings


def test_zinc_thicker_than_new_is_told_in_one_message(two):
    """ASTM A653 G90 is 0.90 oz/ft2 on both sides together, some 19 um on each: no strap has 90 um of it."""
    found = update(two, [zinc(14.0), zinc(90.0, year=2021)], draws=DRAWS)
    usual, thick = reading_rows(found)
    assert not usual.remark
    assert thick.remark.startswith("Thicker than new:")
    assert "Far off" not in thick.remark
    assert "Fits neither" not in thick.remark
    assert 19.0 < found.lesson.readings[1].most_new < 40.0


def test_zinc_above_the_forecast_and_below_new_is_not_called_thicker_than_new(two):
    found = learn(two, [zinc(18.0, year=2049)], draws=DRAWS)
    assert found.readings[0].far_off
    assert found.readings[0].most_new is None
