"""Any structure that the model takes is answered in numbers that can be, or refused in words for people."""

import json
from itertools import pairwise
from math import isfinite

import pytest
from fuzzing.judging import judge
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from structures import structures

from longhold.air.climates import stations
from longhold.assessment.line import assess
from longhold.documents.exchange import to_json
from longhold.model.surroundings import places

# in rain the timber is simulated for seconds; tests/assessment/test_assessment_wood.py and others do that
DRY = [name for name, place in places().items() if name not in ("open_to_rain", "under_cover")]
WORDS = {
    "pack": st.sampled_from(["us_irc", "us_irc", "us_ibc", "eu_ec5"]),
    "edition": st.sampled_from(["2018", "2021", "2021", "2024", "2004+A2"]),
    "station": st.sampled_from([one.name for one in stations()]),
    "place": st.sampled_from(DRY),
    "species": st.sampled_from(["southern pine", "Douglas fir", "western red cedar", "white oak"]),
    "preservative": st.sampled_from(["none", "MCA", "ACQ-D", "CCA-C", "SBX"]),
    "label": st.sampled_from(
        ["G90", "G185", "HDG ASTM A153", "bright", "yellow zinc", "304", "316", "Fe/Zn 12c", "brass"]
    ),
}
FITTING = {
    **WORDS,
    "pack": st.just("us_irc"),
    "edition": st.sampled_from(["2018", "2021", "2024"]),
    "use_category": st.sampled_from(["UC3B", "UC4A"]),
    # these hang on what the label says
    **dict.fromkeys(
        (
            *(
                "topcoat_life",
                "topcoat_durability",
                "topcoat_bare_pct",
                "topcoat_repainted",
                "topcoat_damaged",
            ),
            *("topcoat_shape", "class_short_accepted"),
        )
    ),
}
CHEAP = settings(
    max_examples=20,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)


def answered(structure):
    found = assess(structure, draws=200)
    told = to_json(found)
    _check(json.loads(told, parse_constant=_no_number), "")
    assert {one.outcome for one in found.findings} <= {"holds", "fails", "refer"}
    assert [one.joint.id for one in found.findings] == [one.id for one in structure.joints]


def _no_number(name):
    raise AssertionError(f"{name} stands in the JSON")


def _check(node, where):
    """Chances lie between 0 and 1, the ends of bands stand in order, and every number is one."""
    if isinstance(node, dict):
        ordered = [node[name] for name in ("p10", "p50", "p90") if isinstance(node.get(name), int | float)]
        assert all(first <= second for first, second in pairwise(ordered)), (where, node)
        for name, value in node.items():
            if name.startswith("chance") and isinstance(value, int | float):
                assert 0 <= value <= 1, (where, name, value)
            _check(value, f"{where}.{name}")
    elif isinstance(node, list):
        for value in node:
            _check(value, where)
    elif isinstance(node, float):
        assert isfinite(node), where


@pytest.mark.slow
def test_any_structure_is_answered_or_refused():
    outcomes = []

    @CHEAP
    @given(st.one_of(structures(FITTING), structures(FITTING), structures(WORDS)))
    def ask(structure):
        def take(_):
            outcomes.append("refused")
            answered(structure)
            outcomes[-1] = "answered"

        crash = judge(take, b"", longest_s=300)  # the first one waits for the compiler
        assert crash is None, crash.told

    ask()
    assert outcomes.count("answered") >= 5
    assert outcomes.count("refused") >= 1
