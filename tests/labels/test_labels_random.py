"""Random text never crashes the reader, and never yields a metal but by a whole token."""

import random
import re
import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.labels import LabelError, format_protection, read_label

LETTERS = (
    "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 -/.,+#\"'()%&_:;µ²½×–éß中\u0301\x00\n\t"
)
# Whole tokens that are complete designations by themselves, as shapes kept apart from the grammar.
WHOLE = re.compile(
    r"(?<![^\W_])(?:[GZ]-? ?\d{2,4}|Z[AFM]-? ?\d{2,4}|A[ZM]-? ?\d{2,4}|A(?:25|40|60)|\d{2,3}[GZ]"
    r"|(?:ASTM ?)?[ABF]-? ?\d{2,4}M?|SC ?-?[1-4]|A[1-58]L?|C[134]|D[2468]|F1|HDG|SS|S/S|GI|EG|[ZBYC]ZP|ZP|ZYC"
    r"|Z(?:INC|N)|T ?ZN ?O?|ZN ?-?\d{1,2}|\d{3,4}(?:L|H|N|TI|LN|LMN|HQ|SS)?|18 ?[-/] ?(?:8|10)|\d{1,4} ?D"
    r"|ALUM|BRASS|COPPER|STEEL|PLAIN|BLACK|BRIGHT|BARE|PAINT|INOX|CRES|[SNCA]\d{5}|1\.\d{4}|\d{4}-[TH]\d+"
    r"|\d+ ?(?:OZ|OPSF|OSF|GSM)[^A-Z]*|6 ?% ?MO|6MO|KTL"
    r"|A[1-9][A-T]|RVS)(?![^\W_])",  # a code of ISO 4042 on a threaded part; Dutch for stainless
    re.IGNORECASE,
)
WORDS = re.split(
    r"\s+",
    """
a153 a123 g90 z275 g185 class grade type c d b-3 55 85 1.85 oz/ft2 g/m2 um mil mm in total both sides per
face hot-dip galvanized electroplated zinc stainless ss 304 316 a2 a4-80 410 fe/zn 12c sc3 b633 b695 flzn
480h h topcoat polymer organic over with + , / or not no without equivalent to compatible 10d nail bolt M12
hanger 3/8 2-1/2 #9 18 ga #10 x 3 min avg at least >= < under from after welding spun centrifuged iso 1461
en iso 10684 10346 ISO10684 1397 as as/nzs 4680 hdg600 60g 40g/00g 00g a641 wire 0.148 steel plain bright
copper azole silicon bronze brass aluminium weathering zn zn5 a2k c1 c4 1.4401 s31600 18-8 18 - . ( ) f1667
f2329 a1059 a53 a90 a635 g158 duplex thermal diffusion mech plated eg hdg flake yc 6 % mo ii i v no. bar
""".strip(),
)


def read(text):
    try:
        return read_label(text)
    except LabelError as error:
        str(error)
        return None


def inside_a_word(text, start, end):
    """Whether a stretch begins or ends in the middle of a word."""

    letter = [one.isalpha() or one.isdecimal() for one in text]
    return (start > 0 and letter[start - 1] and letter[start]) or (
        end < len(text) and letter[end - 1] and letter[end]
    )


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(5))
def test_a_hundred_thousand_random_strings(seed):
    """A metal only where a whole token is a complete designation, and its stretch of the text is told."""
    letters = random.Random(20251125 + seed)
    understood = 0
    for _ in range(20_000):
        text = "".join(letters.choice(LETTERS) for _ in range(letters.randint(0, 40)))
        reading = read(text)
        if reading is None:
            continue
        understood += 1
        assert WHOLE.search(unicodedata.normalize("NFKC", text).replace("_", " ")), text
        spans = reading.readings[0].spans
        assert spans, text
        told = [text[start:end] for start, end in spans]
        assert all(told), text
        assert not any(inside_a_word(text, start, end) for start, end in spans), (text, told)
        named = " ".join(unicodedata.normalize("NFKC", part).replace("_", " ") for part in told)
        assert WHOLE.search(named), (text, told)
    assert understood > 10


@pytest.mark.slow
def test_random_runs_of_words_never_crash_and_read_back():
    dice = random.Random(7)
    understood = 0
    for _ in range(4_000):
        text = dice.choice((" ", " ", "", "+", ", ")).join(
            dice.choice(WORDS) for _ in range(dice.randint(1, 8))
        )
        reading = read(text)
        if reading is None:
            continue
        understood += 1
        for one in reading.readings:
            again = read_label(format_protection(one.protection))
            assert [back.protection for back in again.readings] == [one.protection], text
    assert understood > 400


@settings(deadline=None)
@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(text):
    read(text)


@settings(deadline=None)
@given(st.text(alphabet="bcdefhjkmpqruvwxy ", max_size=60))
def test_letters_alone_are_no_metal(text):
    """No designation is spelt with these letters only."""
    assert read(text) is None


@pytest.mark.parametrize(
    "unit", ["on ", "t ", "1x", "organic ", "1/", "over from ", "1-", "fe/zn ", "or ", "a2/", "x1 ", "("]
)
def test_long_runs_of_one_thing_stay_quick(unit):
    read((unit * 500)[:500])
