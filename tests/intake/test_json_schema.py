"""The JSON Schema accepts what loads and refuses what does not."""

import copy
import datetime
import json
import tomllib
from pathlib import Path

import jsonschema
import pytest

from longhold import intake

DEMO = Path(__file__).parents[2] / "demo"


def as_plain(text: str) -> dict:
    """TOML as JSON would hold it: dates as texts."""
    return json.loads(json.dumps(tomllib.loads(text), default=datetime.date.isoformat))


@pytest.fixture(scope="module")
def checker():
    schema = intake.schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema, format_checker=jsonschema.FormatChecker())


@pytest.mark.parametrize("text", [intake.starter(), (DEMO / "boardwalk.toml").read_text(encoding="utf-8")])
def test_good_files_fit(checker, text):
    checker.validate(as_plain(text))


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("design_life",), 30),
        (("joints", 0, "place"), "outside"),
        (("joints", 0, "parts", 0, "count"), 0),
        (("joints", 0, "plase"), "open_to_rain"),
        (("joints", 0, "id"), "J 1"),
        (("joints",), []),
        (("build_date",), "soon"),
        (("site", "latitude"), 91),
    ],
)
def test_bad_values_do_not_fit(checker, path, value):
    data = copy.deepcopy(as_plain(intake.starter()))
    node = data
    for step in path[:-1]:
        node = node[step]
    node[path[-1]] = value
    with pytest.raises(jsonschema.ValidationError):
        checker.validate(data)


def test_quantities_carry_examples_that_load():
    part = intake.schema()["$defs"]["Part"]["properties"]["rated_load"]["anyOf"][0]
    assert part["type"] == "string"
    for example in part["examples"]:
        text = intake.starter().replace('rated_load = "850 lb"', f'rated_load = "{example}"')
        assert intake.loads(text).joints[1].parts[0].rated_load > 0
