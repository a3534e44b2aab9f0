"""Draws by cause."""

from __future__ import annotations

import numpy as np
import pytest

from longhold.forecast.causes import CAUSE_WORDS, Causes, MiddleCauses


def test_a_draw_depends_on_seed_cause_and_scope_only():
    one, other = Causes(7, 500), Causes(7, 500)
    for joint in ("J9", "J1", "J5"):
        other.normal("own_wetness", f"joint:{joint}")
    assert (one.normal("chloride", "site") == other.normal("chloride", "site")).all()
    assert (one.normal("own_wetness", "joint:J1") == other.normal("own_wetness", "joint:J1")).all()
    assert (one.normal("own_wetness", "joint:J1") != one.normal("own_wetness", "joint:J2")).any()
    assert (Causes(8, 500).normal("chloride", "site") != one.normal("chloride", "site")).any()


def test_scopes_and_causes_are_not_correlated():
    causes = Causes(1, 20_000)
    drawn = [
        causes.normal(cause, scope) for cause in ("chloride", "sulphur") for scope in ("site", "joint:A")
    ]
    correlation = np.corrcoef(drawn)
    assert np.abs(correlation - np.eye(len(drawn))).max() < 0.03  # 4 standard errors of 1/sqrt(20000)


def test_distributions():
    causes = Causes(3, 40_000)
    factor = causes.lognormal("chloride", "site", 20.0, 0.9)
    assert np.median(factor) == pytest.approx(20.0, rel=0.03)
    assert np.std(np.log(factor)) == pytest.approx(0.9, rel=0.02)
    spread = causes.between("shelter", "site", 2.0, 3.0)
    assert spread.min() >= 2.0
    assert spread.max() <= 3.0
    assert spread.mean() == pytest.approx(2.5, abs=0.01)
    assert causes.either("wood_time_law", "structure", 0.25).mean() == pytest.approx(0.25, abs=0.01)


def test_an_unnamed_cause_is_a_mistake_of_ours():
    with pytest.raises(KeyError):
        Causes(1, 10).normal("luck", "site")
    assert all(words for words in CAUSE_WORDS.values())


def test_the_middle_run_takes_every_median():
    middle = MiddleCauses()
    assert middle.lognormal("chloride", "site", 20.0, 0.9).tolist() == [20.0]
    assert middle.between("shelter", "site", 2.0, 3.0).tolist() == [2.5]
