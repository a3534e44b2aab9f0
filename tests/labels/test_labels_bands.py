import pytest
from hypothesis import given
from hypothesis import strategies as st

from longhold.labels.bands import ANY, Band, exactly, parse_band, write_band


@pytest.mark.parametrize(
    ("text", "inside", "outside"),
    [
        ("over 4.8 to under 6.4 mm", (4.81, 6.0), (4.8, 6.4)),
        ("3.2 to 4.8 mm", (3.2, 4.8), (3.19, 4.81)),
        ("under 1.6 mm", (0.1, 1.59), (1.6,)),
        ("up to 9.525 mm", (9.525,), (9.53,)),
        ("from 16 mm", (16.0, 400.0), (15.9,)),
        (">= 6 mm", (6.0,), (5.9,)),
        ("> 3 to 6 mm", (3.1, 6.0), (3.0,)),
        ("t <1.6 mm".removeprefix("t "), (1.0,), (1.6,)),
        ("1/4 in", (6.35,), (6.3,)),
        ("", (0.0, 1e6), ()),
    ],
)
def test_ranges_as_standards_print_them(text, inside, outside):
    band = parse_band(text)
    assert all(band.meets(exactly(size)) for size in inside)
    assert not any(band.meets(exactly(size)) for size in outside)


@pytest.mark.parametrize("text", ["thick", "6 to 3 mm", "3 furlongs", "over"])
def test_what_is_no_range(text):
    with pytest.raises(ValueError, match=r"range|bound"):
        parse_band(text)


sizes = st.floats(0.1, 99.0).map(lambda value: round(value, 2))


@given(sizes, sizes, st.booleans(), st.booleans())
def test_a_range_reads_back(low, high, low_in, high_in):
    if low >= high:
        return
    for band in (
        Band(low, high, low_in, high_in),
        Band(low=low, low_in=low_in),
        Band(high=high, high_in=high_in),
        exactly(low),
        ANY,
    ):
        assert parse_band(write_band(band)) == band


def test_ranges_that_only_touch_do_not_meet():
    assert not parse_band("over 3 to 6 mm").meets(parse_band("from 6 to 9 mm"))
    assert parse_band("over 3 to 6 mm").meets(parse_band("from 5 to 9 mm"))
