"""Text that is no TOML or JSON: each fault is placed."""

import pytest

from longhold.base.errors import InputError
from longhold.intake.reading import Format, parse_text


def fault(text: str, written: Format = "toml") -> str:
    with pytest.raises(InputError) as caught:
        parse_text(text, written)
    return str(caught.value)


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        (
            "a = 1\nb = 50 years\n",
            "line 2, column 8",
            "Text, dates with words and quantities stand in quotes",
        ),
        ("a = 1\na = 2\n", "line 2, column 6", "the same key stands above already"),
        ("[a]\n[a]\n", "line 2, column 3", "the same [heading] stands above already"),
        ("a = {b = 1, b = 2}\n", "line 1, column 18", "the same key stands twice in one"),
        ('a = "x\n', "line 1, column 7", "a text is not closed on its line"),
        ("hello\n", "line 1, column 6", "key = value"),
        ("a = [1\nb = 2\n", "line 2, column 1", "a list that was opened"),
        ('a = "c:\\d"\n', "line 1, column 10", "a backslash"),
        ("a = [1", "line 1 (the end)", "a list that was opened"),
    ],
)
def test_a_fault_in_toml_is_placed_and_explained(text, place, says):
    message = fault(text)
    assert message.startswith(place)
    assert "is not TOML" in message
    assert says in message


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('{"a": 1,\n "b" 2}', "line 2, column 6"),
        ('{"id": "J1", "a": 1, "a": 2}', "the key 'a' stands twice in one object (id 'J1')"),
        ('{"a": NaN}', "NaN is not a number that can be used"),
        ("[1, 2]", "must hold one JSON object"),
        ("[" * 100_000, "nested too deep"),
    ],
)
def test_a_fault_in_json_is_placed_and_explained(text, says):
    assert says in fault(text, "json")


@pytest.mark.parametrize(
    ("text", "written"), [(f"a = {'9' * 5000}", "toml"), (f'{{"a": {"9" * 5000}}}', "json")]
)
def test_a_number_without_end_is_told_in_plain_words(text, written):
    """Found by tools/fuzz.py: the limit of Python was told in Python's words."""
    assert fault(text, written) == "the file: cannot be read: it holds a number of thousands of digits."
