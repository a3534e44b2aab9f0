import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.labels.tidy import tidy


@pytest.mark.parametrize(
    ("typed", "plain"),
    [
        ("Z275 – 20 µm", "z275 - 20 um"),
        ("oz/ft²", "oz/ft2"),
        ("1½ in × 3″", '1 1/2 in x 3"'),
        ("  A153_C\t", "a153 c"),
        ("≥ 25 µm", ">= 25 um"),
        ("Ø12 mm", "dia 12 mm"),
        ("g·m⁻²", "g m-2"),
        ("＃9", "#9"),
        ("g90\u0301", "g90\u02b9"),
    ],
)
def test_what_people_type(typed, plain):
    assert tidy(typed).text == plain


@settings(deadline=None)
@given(st.text(max_size=60))
def test_any_text_becomes_plain_and_keeps_its_places(text):
    plain = tidy(text)
    assert len(plain.origin) == len(plain.text)
    assert all(0 <= place < len(text) for place in plain.origin)
    assert list(plain.origin) == sorted(plain.origin)
    assert "  " not in plain.text
    assert plain.text == plain.text.strip(" ")


def test_a_stretch_leads_back_to_the_original():
    text = "HDG — Z275 (20 µm)"
    plain = tidy(text)
    start = plain.text.index("z275")
    assert text[slice(*plain.span(start, start + 4))] == "Z275"
    assert plain.span(0, 0) == (0, 0)
