"""What the OpenAPI document promises, held against the page with requests made from it by schemathesis."""

from __future__ import annotations

from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi.checks import positive_data_acceptance

pytestmark = pytest.mark.slow
TAGS = ("assessments", "lists", "session", "structures")


@pytest.fixture(scope="module")
def operations(address: str) -> list[Any]:
    """Every operation that the document of a page with an empty store names."""
    schema = schemathesis.openapi.from_url(f"{address}/api/openapi.json")
    return [found.ok() for found in schema.get_all_operations()]


@pytest.mark.parametrize("mode", list(GenerationMode))
@pytest.mark.parametrize("tag", TAGS)
def test_every_operation_answers_as_it_says(operations: list[Any], tag: str, mode: GenerationMode) -> None:
    """No answer of status 500, none that the document does not name, none of another shape or media type."""
    asked = [one for one in operations if one.tags[0] == tag]
    assert asked
    for operation in asked:
        if mode is GenerationMode.NEGATIVE and not _takes_anything(operation):
            continue
        _hold(operation, mode)


def _hold(operation: Any, mode: GenerationMode) -> None:
    @settings(
        max_examples=10,
        derandomize=True,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(operation.as_strategy(generation_mode=mode))
    def holds(case: Any) -> None:
        # labels and structures are refused by their meaning, which no schema tells
        case.call_and_validate(excluded_checks=[positive_data_acceptance])

    holds()


def _takes_anything(operation: Any) -> bool:
    return bool([*operation.query, *operation.path_parameters, *operation.body])


def test_no_operation_is_left_out(operations: list[Any]) -> None:
    assert {one.tags[0] for one in operations} == set(TAGS)
    assert len(operations) >= 20
