"""Texts as a practitioner meets them, from anywhere: not the examples of the tables."""

import pytest

from longhold.base.errors import InputError
from longhold.labels import LabelError, designations_for, read_demand, read_label, read_tag

# label, what it may promise (least um, expected um) least first, where the figures stand
READ = [
    ("10d common HDG nail ASTM A153 Class D min 1.0 oz/sqft", [(36.0, 43.0)], "a153-16a-table1"),
    ("ASTM A153/A153M-16a class C", [(43.0, 53.0)], "a153-16a-table1"),
    ("A153 C 1.25 oz/ft2 avg", [(43.0, 53.0)], "a153-16a-table1"),
    ("ASTM A525 G90", [(13.7, 19.2)], "a653-15-table1"),
    ("G-185, 1.85 oz/ft2, 27 um", [(27.4, 39.5)], "a653-15-table1"),
    ("ASTM A653/A653M-20 SS Gr 33 G90", [(13.7, 19.2)], "a653-15-table1"),
    ("DX51D+Z200-M-A-O 1,5 mm", [(9.6, 14.0)], "en10346-table11"),
    ("DIN EN 10346:2015-10 Z275", [(13.2, 20.0)], "en10346-table11"),
    ("Z275 20 um per side, EN 10346", [(13.2, 20.0)], "en10346-table11"),
    ("BS EN ISO 1461:2010 10 mm", [(70.0, 85.0)], "iso1461-table3"),
    ("feuerverzinkt DIN EN ISO 1461, 2 mm", [(45.0, 55.0)], "iso1461-table3"),
    ("AS/NZS 4680 HDG500", [(55.0, 70.0)], "as4680-table1"),
    ("tZn 8.8 M16", [(40.0, 50.0)], "iso10684"),
    ("M16 Gr 8.8 HDG bolt to AS 1214", [(40.0, 50.0)], "iso10684"),
    ("F2329 M16 bolt", [(43.2, 50.8)], "f2329-15"),
    ("SC3 type II", [(12.0, 12.0)], "b633"),
    ("Fe/Zn 8c2C", [(8.0, 8.0)], "iso2081: the number is the least thickness"),
    ("Fe/Zn 12 c 1 A", [(12.0, 12.0)], "iso2081"),
    ("BS EN 12329 Fe//Zn12//C", [(12.0, 12.0)], "iso2081"),
    ("A2K screw", [(5.0, 5.0)], "iso4042: digit 2 is 5 um"),
    ("Zn5/An/T2", [(5.0, 5.0)], "iso4042"),
    ("flZnnc-720h-L", [(10.0, 10.0)], "iso10683: without chromate"),
    ("flZn/TL/480h", [(8.0, 8.0)], "iso10683"),
    ("mechanically galvanized class 55 type I", [(53.0, 53.0)], "b695-04"),
    ("ASTM A123 grade 100 3/8 in plate", [(85.0, 100.0)], "a123-table2: one grade lower"),
    ("1/4 in plate +/-0.005 in A123", [(65.0, 75.0)], "a123-24-table1: plate over 4.8 to 6.4 mm"),
    ("25 to 50 um zinc", [(25.0, 25.0)], "label-itself: a range promises its lower end"),
    ("zinc between 25 and 50 microns", [(25.0, 25.0)], "label-itself"),
    ("0.001 to 0.002 in zinc", [(25.4, 25.4)], "label-itself: 25.4 um in 0.001 in"),
    ("zinc 45 um, 60 um", [(None, 45.0), (None, 60.0)], "label-itself: which holds is asked"),
    ("zinc 45 um +-0.005 in", [(None, 45.0)], "label-itself: a tolerance is no coat"),
    ("zinc 275 g/m2 20 um", [(None, 275 / 2 / 7.14)], "label-itself with a653-units; only the total fits"),
    ("zinc 600 g/m2 both sides, 42 um", [(None, 600 / 2 / 7.14)], "label-itself with a653-units"),
    ("HDG 600g", [(None, 600 / 2 / 7.14), (None, 600 / 7.14)], "label-itself with a653-units"),
    ("galv. dipped 2 oz", [(None, 610.3 / 2 / 7.14), (None, 610.3 / 7.14)], "label-itself with a653-units"),
    ("HDG 85 um avg / 70 um min", [(70.0, 85.0)], "label-itself"),
    ("Feuerverzinkt 85 µm", [(None, 85.0)], "label-itself"),
    ("varmförzinkad 60 µm", [(None, 60.0), (None, 60.0)], "label-itself: coated sheet may carry so much"),
]  # fmt: skip


@pytest.mark.parametrize(("label", "faces", "source"), READ, ids=[row[0] for row in READ])
def test_one_face_carries(label, faces, source):
    found = [(one.coat.least_um, one.coat.nominal_um) for one in read_label(label).readings]
    assert source
    assert len(found) == len(faces)
    for (least, expected), (least_wanted, wanted) in zip(found, faces, strict=True):
        assert least == (None if least_wanted is None else pytest.approx(least_wanted))
        assert expected == pytest.approx(wanted, rel=1e-3)


@pytest.mark.parametrize(
    ("label", "grades"),
    [
        ("304/316", ["304", "316"]),
        ("M12x120 A4-80 hex bolt EN ISO 3506-1", ["A4"]),
        ("1.4401", ["1.4401"]),
        ("SUS304 コーススレッド", ["304"]),
        ("tornillo acero inoxidable A2", ["A2"]),
        ("duplex 2205 bolt", ["2205"]),
    ],
)
def test_a_stainless_grade_is_read(label, grades):
    assert [one.protection.grade for one in read_label(label).readings] == grades


@pytest.mark.parametrize(
    ("label", "process"),
    [
        ("galvanisé à chaud, nail", "spun_dip"),
        ("zingué screw", "electroplate"),
        ("gelb verzinkt", "electroplate"),
        ("溶融亜鉛めっき bolt", "spun_dip"),
        ("M10 8.8 ZP", "electroplate"),
        ("yellow zinc", "electroplate"),
    ],
)
def test_words_of_other_countries_tell_how_and_no_amount(label, process):
    first = read_label(label).readings[0].coat
    assert (first.process, first.nominal_um) == (process, None)


@pytest.mark.parametrize("label", ["Verzinkt", "galvanizado", "zincato"])
def test_galvanized_in_any_tongue_leaves_the_way_open(label):
    ways = {one.coat.process for one in read_label(label).readings}
    assert ways == {"electroplate", "mill_dip", "dip_after_making"}


@pytest.mark.parametrize(
    ("label", "why"),
    [
        ("ZAM 310", "no designation of a coat or alloy"),
        ("Z600 per side", "counts the total of both faces"),
        ("Class 3 screws", "a class counts only within its standard"),
        ("C5 coating", "a category of air"),
        ("1000 hr salt spray", "hours of salt spray are no amount of zinc"),
        ("15 year warranty", "a warranty promises no coat"),
        ("Exterior grade", "words of praise"),
        ("3.9 mils", "not of what"),
        ("50 um mean, 43 um single", "not of what"),
        ("A2K", "code of plating by ISO 4042"),
        ("JIS H 8641 HDZ55", "JIS H 8641 HDZ55, which is not held here"),
        ("SGCC Z27", "not held here"),
        ("EN 10346:2040 Z275", "edition 2040 of EN 10346, and there is none"),
        ("ASTM A653-40 G90", "edition 1940"),
        ("zinc 600 g/m2 20 um", "at odds with itself"),
        ("5 um zinc min 43 um", "the least is more than what is expected"),
        ("ASTM A123 grade 85, mean 50 um", "at odds with itself"),
        ("316 SS HDG", "a part is one or the other"),
        ("stainles steel 316", "stainles"),
        ("zinc nickel 8 um", "not held here"),
    ],
)
def test_what_promises_nothing_is_refused_to_the_point(label, why):
    with pytest.raises(LabelError, match=why):
        read_label(label)


@pytest.mark.parametrize(
    ("label", "caution"),
    [
        ("ASTM A525 G90", "ASTM A525 is withdrawn; ASTM A653 took its place"),
        ("hot dipped galvanised to BS 729", "BS 729 is withdrawn"),
        ("HDG to GB/T 13912", "GB/T 13912 is not held here"),
        ("ASTM A153-82 class D", "edition 1982 of ASTM A153/A153M; the figures here are of edition 2016"),
        ("25 to 50 um zinc", "its lower end is the promise"),
        ("zinc 45 um +-0.005 in", "a tolerance on the label is left out"),
        ("ASTM A153 class D min 1.0 oz/ft2", "a least mean"),
        ("A2K screw", "no stainless A2"),
    ],
)
def test_what_a_reader_could_take_wrong_is_said(label, caution):
    assert any(caution in one for one in read_label(label).cautions)


def test_the_figures_own_edition_needs_no_word():
    assert not any("edition" in one for one in read_label("ASTM A153/A153M-16a class C").cautions)
    assert not any("edition" in one for one in read_label("BS EN ISO 1461:2010 10 mm").cautions)


@pytest.mark.parametrize("label", ["AZ150 joist hanger nails", "G90 lag screw", "Z275 M12 bolt"])
def test_a_class_of_sheet_on_a_fastener_is_asked_about(label):
    assert "is a class of coated sheet, and the part is a" in read_label(label).question


def test_an_edition_nobody_knows_is_asked():
    assert read_label("ISO 1461:2015 10 mm").question.startswith("Which edition of EN ISO 1461?")


# --- demands --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "unit", "amount", "single"),
    [
        ("at least 600 g/m2 total both sides", "g/m2", 300.0, None),
        ("275g/m2 both sides", "g/m2", 137.5, None),
        ("2 oz/ft2 per side", "oz/ft2", 2.0, None),
        ("min. 2.0 oz per sq. ft. each face", "oz/ft2", 2.0, None),
        ("50 um mean, 43 um single", "um", 50.0, 43.0),
        ("mean 50 um, local 43 um", "um", 50.0, 43.0),
        ("85 µm avg / 70 µm min", "um", 85.0, 70.0),
        ("0.0017 in", "mil", 1.7, None),
        ("50-60 um", "um", 50.0, None),
    ],
)
def test_a_demand_is_understood(text, unit, amount, single):
    demand = read_demand(text)
    assert (demand.unit, demand.amount, demand.single) == (unit, pytest.approx(amount), single)


def test_a_mean_and_a_single_figure_are_both_held_against_a_designation():
    found = {
        one.designation: one.how
        for group in designations_for(read_demand("50 um mean, 43 um single"))
        for one in group.candidates
    }
    # masses and thicknesses: f2329-15 (50.8 / 43.2), iso10684 (50 / 40), a123-table2 (50 / 45)
    assert found["ASTM F2329, fastener over 9.525 mm"] == "both"
    assert found["ISO 10684"] == "mean only"
    assert found["ASTM A123 grade 50"] == "both"
    assert found["ASTM B695 class 55"] == "least"


def test_more_in_one_reading_than_in_the_mean_is_refused():
    with pytest.raises(InputError, match="asks more of one reading"):
        read_demand("mean 43 um, local 50 um")


# --- end tags -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tag", "names"),
    [
        ("CSA O80.1 UC3.2 CA-B 1.7 kg/m3", ["CSA 3.2"]),
        ("CSA O80 UC4.1 ACQ", ["CSA 4.1"]),
        ("BS 8417 UC4 15 year", ["EN 4"]),
        ("UC3 EN 335", ["EN 3.1", "EN 3.2"]),
        ("UC4A MCA-C 0.15 PCF", ["UC4A"]),
    ],
)
def test_the_category_is_of_the_system_that_the_tag_names(tag, names):
    assert [one.name for one in read_tag(tag).categories] == names


def test_a_share_of_mass_is_no_retention_in_pounds():
    tag = read_tag("H5 CCA 0.72% m/m")
    assert tag.retention_kg_m3 is None
    assert any("share of mass" in one for one in tag.questions)
    assert not any("pcf?" in one or "lb/ft3" in one for one in tag.questions)


def test_a_retention_far_below_any_listed_is_asked_about():
    assert any("lb/ft3" in one for one in read_tag("CCA-C 0.40 kg/m3").cautions)


def test_uca_c_is_micronized_copper_azole_and_uca_alone_is_not_known():
    assert read_tag("µCA-C 0.15 pcf UC4A").preservatives == ("MCA",)
    assert read_tag("uCA 0.15 pcf UC4A").preservatives == ()


@pytest.mark.parametrize("tag", ["UC4D", "UC7"])
def test_a_category_that_does_not_exist_is_named(tag):
    with pytest.raises(InputError, match=f"has {tag}, which is no category"):
        read_tag(tag)
