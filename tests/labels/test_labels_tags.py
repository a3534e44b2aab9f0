"""End tags of treated timber."""

import random
import re
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.labels import TagError, possible_treatments, read_tag
from longhold.labels.tag_tables import categories_named, dated_treatments, preservative_named, treatment_tests


def names(tag):
    return [one.name for one in read_tag(tag).categories]


def test_a_whole_tag_is_read():
    text = "ACQ-D 0.15 pcf UC3B AWPA U1 ABOVE GROUND KDAT"
    tag = read_tag(text)
    assert tag.preservatives == ("ACQ-D",)
    assert tag.retention_kg_m3 == pytest.approx(2.40, abs=0.005)
    assert [one.name for one in tag.categories] == ["UC3B"]
    assert tag.standards == ("AWPA U1",)
    assert tag.exposures == ("above ground",)
    assert tag.drying == "kiln-dried after treatment"
    assert tag.questions == ()
    assert tag.ignored == ()
    told = [text[start:end] for start, end in tag.spans]
    assert told == ["ACQ-D", "0.15 pcf", "UC3B", "AWPA U1", "ABOVE GROUND", "KDAT"]


@pytest.mark.parametrize(
    ("text", "preservatives"),
    [
        ("CCA", ("CCA-C", "CCA-A", "CCA-B")),
        ("ACQ .25", ("ACQ-B", "ACQ-C", "ACQ-D")),
        ("ACQ Type D", ("ACQ-D",)),
        ("alkaline copper quat (ACQ-D)", ("ACQ-D",)),
        ("copper azole type C", ("CA-C",)),
        ("Micronised Copper Azole", ("MCA",)),
        ("µCA-C UC4A", ("MCA",)),
        ("micronized copper", ("MCA", "micronized copper quat")),
        ("CuAz H3.2", ("CBA-A", "CA-B", "CA-C")),
        ("SBX 0.17 pcf", ("SBX/DOT",)),
        ("disodium octaborate tetrahydrate", ("SBX/DOT",)),
        ("copper naphthenate", ("CuN", "CuN-W")),
        ("chromated copper arsenate", ("CCA-C", "CCA-A", "CCA-B")),
        ("creosote 8 pcf", ("CR",)),
        ("untreated", ("none",)),
    ],
)
def test_a_name_that_leaves_the_type_open_has_several_readings(text, preservatives):
    tag = read_tag(text)
    assert tag.preservatives == preservatives
    assert any(preservatives[0] in question for question in tag.questions) == (len(preservatives) > 1)


@pytest.mark.parametrize(
    ("text", "kg_m3"),
    [
        ("CA-C 0.06 PCF", 0.961),
        ("CA-C .15pcf", 2.403),
        ("ACQ-D 0.40 lbs/cu. ft.", 6.407),
        ("ACQ-D 0.40 lb/ft³", 6.407),
        ("ACQ-D 2,4 kg/m3", 2.4),
        ("ACQ-D 0.15 pcf (2.4 kg/m³)", 2.403),
    ],
)
def test_a_retention_is_read_with_its_unit(text, kg_m3):
    assert read_tag(text).retention_kg_m3 == pytest.approx(kg_m3, abs=0.001)


def test_a_retention_without_a_unit_is_asked_about_not_guessed():
    tag = read_tag("CCA-C .40 ground contact")
    assert tag.retention_kg_m3 is None
    assert tag.retention_text == ".40"
    assert any("lb/ft3" in question and "6.41" in question for question in tag.questions)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("UC3B", ["UC3B"]),
        ("uc-4a", ["UC4A"]),
        ("UC4 ACQ", ["UC4A", "UC4B", "UC4C", "EN 4"]),
        ("UC4 AWPA U1", ["UC4A", "UC4B", "UC4C"]),
        ("UC4 EN 335", ["EN 4"]),
        ("Use Class 3.2", ["EN 3.2"]),
        ("UC2 SBX 0.17 pcf", ["UC2"]),
        ("UC1 UC2 SBX 0.17 pcf", ["UC1", "UC2"]),
        ("H3.2", ["H3.2"]),
        ("H3", ["H3"]),
        ("hazard class H4", ["H4"]),
        ("UCFB", ["UCFB"]),
    ],
)
def test_a_category_is_read_by_the_system_that_is_named(text, found):
    assert names(text) == found


def test_a_place_is_no_copper_azole():
    tag = read_tag("ACQ-D 0.15 pcf, Acme Treating, Fresno, CA 93706")
    assert tag.preservatives == ("ACQ-D",)
    assert "CA" in tag.ignored
    assert read_tag("UC3B treated in Fresno, CA").preservatives == ()
    assert any("state" in words for words in read_tag("CA UC3B").cautions)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("UC3B ground contact", "UC3B is outside above ground"),
        ("UC2 interior, above ground AWPA", "UC2 is inside"),
        ("H3.2 in the ground", "H3.2 is outside above ground"),
        ("UC4A not for ground contact", "says not ground contact"),
        ("ACQ 40 pcf", "at most 400 kg/m3"),
        ("ACQ 0.15 pcf 0.40 pcf", "not the same retention"),
        ("pressure treated southern pine", "names no preservative"),
        ("", "is blank"),
        ("x" * 501, "at most 500"),
    ],
)
def test_a_tag_at_odds_with_itself_or_silent_is_refused(text, words):
    with pytest.raises(TagError, match="tag is") as refused:
        read_tag(text)
    assert words in str(refused.value)


def test_what_is_denied_is_not_promised():
    tag = read_tag("SBX 0.17 pcf UC2 interior not for ground contact")
    assert tag.exposures == ("inside",)
    assert tag.denied == ("ground contact",)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("ACQ-D KDAT", "kiln-dried after treatment"),
        ("ACQ-D kiln dried after treatment", "kiln-dried after treatment"),
        ("ACQ-D re-dried", "kiln-dried after treatment"),
        ("ACQ-D ADAT", "air-dried after treatment"),
        ("ACQ-D wet", "not dried after treatment"),
        ("ACQ-D KD19", "dried, but the tag does not say whether before or after treatment"),
        ("ACQ-D", ""),
    ],
)
def test_drying_is_told_apart_by_when(text, words):
    assert read_tag(text).drying == words


def test_several_preservatives_are_asked_about():
    tag = read_tag("CA-C or MCA 0.06 pcf")
    assert tag.preservatives == ("CA-C", "MCA")
    assert any("several preservatives" in question for question in tag.questions)


def test_refusal_and_reports_carry_their_caution():
    assert any("refusal" in words for words in read_tag("ACZA treated to refusal").cautions)
    assert any("report" in words for words in read_tag("MCA 0.06 pcf ESR-00001").cautions)
    assert read_tag("CCA-C 0.60 pcf 1998").year == 1998


def test_names_and_categories_look_through_spelling():
    assert preservative_named("gizmo") is None
    assert preservative_named("alkaline copper quat type D").designations == ("ACQ-D",)
    assert [one.name for one in categories_named("H1")] == ["H1"]
    assert categories_named("UC9") == ()


# --- decks of unknown treatment -----------------------------------------------------------------


def likely(built):
    return {one.treatment.designation for one in possible_treatments(built) if one.likely}


def test_the_year_of_building_narrows_what_is_likely_and_rules_nothing_out():
    assert len(possible_treatments(1980)) == len(possible_treatments(2015)) == len(dated_treatments())
    assert "CCA-C" in likely(1980)
    assert "CCA-C" in likely(2003)
    assert "CCA-C" in likely(2004)  # stock treated before the end of 2003
    assert "CCA-C" not in likely(2006)
    assert not {"ACQ-D", "MCA"} & likely(1980)
    assert {"ACQ-D", "MCA", "CA-C"} <= likely(2010)
    assert likely(None) == {one.designation for one in dated_treatments()}


def test_every_date_and_test_carries_its_source_and_mark():
    for one in (*dated_treatments(), *treatment_tests()):
        assert one.source
        assert one.mark


@pytest.mark.parametrize("year", [98, 1849, 2101])
def test_a_year_that_is_none_is_refused(year):
    with pytest.raises(InputError, match="must be a year"):
        possible_treatments(year)


# --- any text ---------------------------------------------------------------------------------

WORDS = re.split(
    r"\s+",
    """
ACQ CA-C MCA .40 0.15 pcf kg/m3 2.4 UC3B UC4 H3.2 AWPA U1 EN 335 not for ground contact above salt water KDAT
wet to refusal ESR-1 CA , / ( ) 1998 creosote copper azole type C untreated SBX lb/ft3 #/cf
""".strip(),
)


@pytest.mark.slow
def test_random_runs_of_words_and_letters_never_crash():
    dice = random.Random(11)
    letters = "abcqdmpufkh0123456789 .-/,#³µ½"
    understood = 0
    for index in range(20_000):
        if index % 2:
            text = "".join(dice.choice(letters) for _ in range(dice.randint(0, 30)))
        else:
            text = " ".join(dice.choice(WORDS) for _ in range(dice.randint(1, 8)))
        with suppress(InputError):
            tag = read_tag(text)
            understood += 1
            assert tag.spans
            assert all(text[start:end].strip() for start, end in tag.spans)
    assert understood > 3_000


@settings(deadline=None)
@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(text):
    with suppress(TagError):
        read_tag(text)


@pytest.mark.parametrize("unit", ["0.", "not ", "copper ", "uc", "micronized ", "1/", "# ", "disodium "])
def test_long_runs_of_one_thing_stay_quick(unit):
    with suppress(TagError):
        read_tag((unit * 500)[:500])
