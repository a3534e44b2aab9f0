"""Slips of reading that are proposed, and those that are not."""

from __future__ import annotations

import pytest
import zxingcpp

from longhold.intake.photo_codes import gtin_in, has_right_check_digit
from longhold.intake.photo_words import proposals_for, understand, words_for_label


@pytest.mark.parametrize(
    ("rows", "written", "meant"),
    [
        (("HANGER", "6185"), "6185", "G185"),
        (("STRAP 1.5 mm", "2275"), "2275", "Z275"),
        (("ASTM A653", "G9O"), "G9O", "G90"),
        (("S250GD+2275",), "2275", "Z275"),
        (("ISO l461", "6 mm"), "l461", "1461"),
        (("ISO 208 1",), "208 1", "2081"),
        (("Type 3I6 stainless",), "3I6", "316"),
        (("ASTM A6S3", "plate"), "A6S3", "A653"),
        (("IS0 1461", "6 mm"), "IS0", "ISO"),
    ],
)
def test_a_likely_slip_is_proposed(rows, written, meant):
    assert (written, meant) in {(one.written, one.meant) for one in proposals_for(rows)}


@pytest.mark.parametrize(
    "rows",
    [
        ("ASTM A653 G90", "LOT 2275"),  # a number of a batch beside a class that is read
        ("JOIST HANGER", "LOT 4471"),
        ("Made for treated wood",),
        ("ASTM A653 G185", "18 GA"),
        (),
    ],
)
def test_what_is_read_or_means_nothing_gets_no_proposal(rows):
    assert proposals_for(rows) == ()


def test_a_proposal_says_what_would_follow():
    (one,) = proposals_for(("HANGER", "6185"))
    assert (one.row, one.then, one.why) == (1, "ASTM A653 G185", "letters and digits look alike")


def test_of_a_long_text_the_rows_on_metal_are_kept():
    panel = tuple(f"Keep away from sources of heat and from children, sentence {n}." for n in range(20))
    words, left_out = words_for_label((*panel[:10], "ASTM A653 G185", *panel[10:]))
    assert "G185" in words
    assert len(words) <= 500
    assert left_out == 20
    assert understand(words).meaning == ("ASTM A653 G185",)


def test_numbers_of_two_rows_are_not_one_number():
    words = words_for_label(("HANGER 46 x 200", "1.4401"))[0]
    assert understand(words).meaning == ("stainless 1.4401",)


def test_a_short_text_is_kept_whole():
    assert words_for_label(("A", "B")) == ("A, B", 0)


@pytest.mark.parametrize("start", ["201234567890", "200000000000", "202233445566", "209876543210"])
def test_check_digits_are_those_of_the_code_writer(start):
    """Against zxing-cpp, which works the digit out when it draws a code."""
    whole = zxingcpp.create_barcode(start, zxingcpp.BarcodeFormat.EAN13).text
    assert [digit for digit in "0123456789" if has_right_check_digit(start + digit)] == [whole[-1]]


@pytest.mark.parametrize(
    "number", ["", "123", "20123456789030000", "201234567890x", "２０１２３４５６７８９０３"]
)
def test_other_lengths_and_letters_have_no_right_check_digit(number):
    assert not has_right_check_digit(number)


@pytest.mark.parametrize(
    ("kind", "content", "gtin"),
    [
        ("EAN-13", "2012345678903", "2012345678903"),
        ("QR Code", "(01)02012345678903(10)88", "02012345678903"),
        ("QR Code", "https://label.example/01/02012345678903", "02012345678903"),
        ("QR Code", "LOT 2012345678903", ""),
        ("Code 128", "ABC-0123", ""),
    ],
)
def test_trade_numbers_are_taken_only_where_they_are_said_to_be(kind, content, gtin):
    assert gtin_in(kind, content) == gtin
