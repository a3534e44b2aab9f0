"""A rated load against a demand, each in its standard's format; factors by hand from EN 1995, Table 3.1."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from longhold.assessment.rated import rated_of


def rated(standard, kind, *, place="dry_inside", duration=None):
    setting = SimpleNamespace(structure=SimpleNamespace(strength_standard=standard))
    joint = SimpleNamespace(id="J", place=place, load_duration=duration)
    return rated_of(joint, SimpleNamespace(id="hanger", rated_as=kind), setting)


@pytest.mark.parametrize(
    ("place", "duration", "kmod"),
    [  # Table 3.1: service class 1 inside, 3 in the rain
        ("dry_inside", None, 0.8),
        ("dry_inside", "permanent", 0.6),
        ("open_to_rain", None, 0.65),
        ("open_to_rain", "instantaneous", 0.9),
        ("open_to_rain", "permanent", 0.5),
    ],
)
@pytest.mark.parametrize("kind", ["characteristic", None])
def test_a_characteristic_load_takes_kmod_over_gamma(place, duration, kmod, kind):
    found = rated("en1995", kind, place=place, duration=duration)
    assert found.factor == pytest.approx(kmod / 1.3)
    assert f"kmod {kmod:g}" in found.because
    assert ("not stated" in found.because) == (kind is None)


@pytest.mark.parametrize(("standard", "kind"), [("en1995", "design"), ("nds", "allowable"), ("nds", None)])
def test_a_load_in_the_format_of_the_demand_counts_as_it_is(standard, kind):
    found = rated(standard, kind)
    assert found.factor == 1.0
    assert "load duration" in found.because


@pytest.mark.parametrize(
    ("standard", "kind"), [("en1995", "allowable"), ("nds", "characteristic"), ("nds", "design")]
)
def test_formats_that_do_not_go_together_are_never_compared(standard, kind):
    assert rated(standard, kind).factor is None
    assert "state" in rated(standard, kind).because
