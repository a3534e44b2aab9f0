"""TOML that would hold the reader up for minutes is refused at once, and no other is."""

import time
import tomllib

import pytest

from longhold.base.toml_reading import parse_toml


@pytest.mark.parametrize(
    "text",
    [
        "a" + ".a" * 50_000 + " = 1",
        "a" + " . a" * 50_000 + " = 1",
        "a" + '."a"' * 50_000 + " = 1",
        "x = 1\n[a" + ".a" * 50_000 + "]",
        "[[a" + ".a" * 50_000 + "]]",
        "a = " + "[" * 100_000,
    ],
)
def test_what_would_take_minutes_is_refused_at_once(text):
    begin = time.process_time()
    with pytest.raises(ValueError, match=r"parts|nested"):
        parse_toml(text)
    assert time.process_time() - begin < 2.0


@pytest.mark.parametrize(
    "text",
    [
        'note = "' + "." * 5000 + '"',
        'note = """\nSeals ' + "." * 5000 + ' 7\n"""',
        "# " + "." * 5000 + "\nx = 1",
        "a" + ".a" * 90 + " = 1",
        "x = [" + "1.5, " * 500 + "]",
    ],
)
def test_dots_elsewhere_are_read_as_ever(text):
    assert parse_toml(text) == tomllib.loads(text)
