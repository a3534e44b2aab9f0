"""What labels promise, in the words people use."""

import pytest

from longhold.labels import format_protection, known_designations, read_label
from longhold.labels.alloys import alloys, protection_of_alloy
from longhold.labels.catalogue import coats, protection_of
from longhold.labels.sheet import twin

ONE_READING = {
    "g-60 ": "ASTM A653 G60",
    "G 90": "ASTM A653 G90",
    "A653 SS Grade 33 G90": "ASTM A653 G90",
    "Z275 (EN)": "EN 10346 Z275",
    "S350GD + ZM310": "EN 10346 ZM310",
    "DX51D+Z275MAC": "EN 10346 Z275",
    "AS 1397 G550-AZ150": "AS 1397 AZ150",
    "AZ50": "ASTM A792 AZ50",
    "az-55 (ASTM)": "ASTM A792 AZ55",
    "ASTM A792 SS Grade 33 AZ50": "ASTM A792 AZ50",
    "A792/A792M AZM150": "ASTM A792M AZM150",
    "G300 Z275 AS 1397": "AS 1397 Z275",
    "galvannealed A60": "ASTM A653 A60",
    "60G/60G A653": "ASTM A653 S2 60G",
    "electrolytic zinc 20G/20G": "ASTM A879 20G",
    "B (A591)": "ASTM A591 class B",
    "A153_C": "ASTM A153 class C",
    "A153-D": "ASTM A153 class D",
    "HDG per ASTM A153, 10d nail 3.76 mm": "ASTM A153 class D",
    "A153 Class B3": "ASTM A153 class B-3",
    "A123_2.0oz": "ASTM A123 grade 85",
    "A123 Grade 85": "ASTM A123 grade 85",
    "ISO1461_45um": "EN ISO 1461, steel under 1.5 mm",
    "ISO 1461 M12 bolt": "EN ISO 1461, centrifuged threads over 6 mm",
    "ZF120": "ASTM A653M ZF120",
    "HDG600": "AS/NZS 4680, steel over 6 mm",
    "tZn": "ISO 10684",
    "AS/NZS 1214 M16": "ISO 10684",
    "B695_55": "ASTM B695 class 55",
    "mech. galv. cl 50": "ASTM B695 class 50",
    "SC 3 Fe/Zn 12": "ASTM B633 SC3",
    "FeZn12c": "Fe/Zn 12",
    "FeZn25c": "Fe/Zn 25",
    "ISO 4042/Zn8/Cn/T2": "ISO 4042 Zn 8",
    "ISO 4042 A2K": "ISO 4042 Zn 5",
    "ISO 4042 8 um": "ISO 4042 Zn 8",
    "DIN EN ISO 2081 Fe/Zn 8/C": "ISO 2081 Fe/Zn 8",
    "F1941 Fe/Zn 3A": "ASTM F1941 Fe/Zn 3",
    "ISO 10683 - flZnnc - 720h - L": "ISO 10683 flZn 720 h",
    "zinc flake, 480 hrs": "ISO 10683 flZn 480 h",
    "flZnyc-480h": "ISO 10683 flZnyc 480 h",
    "sherardized EN 13811 class 30": "EN ISO 17668 class 30",
    "10d common nail A641 class 1": "ASTM A641 class 1, wire 0.148 in",
    "A767 class 1 rebar": "ASTM A767 class I",
    "electroplated_5um": "electroplated zinc, 5 um",
    "85 µm galvanizing": "zinc, 85 um",
    "0.9 oz/ft² per face": "zinc, 0.9 oz/ft2 on one face",
    "275 g/m² both sides": "zinc, 275 g/m2 total of both faces",
    "1.85 oz on a bolt certificate": "zinc, 1.85 oz/ft2 on one face",
    "#9 x 2-1/2 in, 305 SS": "stainless 305",
    "Type 316L": "stainless 316L",
    "A2-70": "stainless A2",
    "A2 (304)": "stainless 304",
    "UNS S30400": "stainless 304",
    "ASTM F593 group 2": "stainless 316, ASTM F593 group 2",
    "C1-70 screw": "stainless C1",
    "plain shank 304 nails": "stainless 304",
    "silicon_bronze": "silicon bronze",
    "C65500": "silicon bronze",
    "Aluminum 6061-T6": "aluminium 6061",
    "solid brass": "brass",
    "plain_steel": "plain steel",
    "A588": "weathering steel",
    "S355J2W+N, A123 grade 85": "weathering steel, ASTM A123 grade 85",
    "G90 + 12 um polymer topcoat": "ASTM A653 G90 + organic topcoat 12 um",
    "12 um polymer topcoat over 20 um zinc": "zinc, 20 um + organic topcoat 12 um",
    "electroplated 5 um with organic topcoat 10 um": "electroplated zinc, 5 um + organic topcoat 10 um",
    "organic_topcoat_over_zinc": "zinc, amount not stated + organic topcoat",
    "60 um polyester on A123 plate 5 mm": "ASTM A123, plate over 4.8 to under 6.4 mm + organic topcoat 60 um",
    "for copper azole treated wood: G185": "ASTM A653 G185",
    "316 stainless, compatible with G185": "stainless 316",
    "not stainless, G90": "ASTM A653 G90",
    "A563 nut, A153 class C": "ASTM A153 class C",
    "G185 for C4": "ASTM A653 G185",
}


@pytest.mark.parametrize(("label", "designation"), ONE_READING.items())
def test_labels_with_one_meaning(label, designation):
    reading = read_label(label)
    assert [one.protection.designation for one in reading.readings] == [designation]


SEVERAL = {
    "Z275": ["ASTM A653M Z275", "EN 10346 Z275", "AS 1397 Z275"],
    "60G": ["ASTM A653 S2 60G", "ASTM A879 60G"],
    "G90 (Z275)": ["ASTM A653M Z275", "ASTM A653 G90"],
    "HDG": ["mill-coated zinc sheet, class not stated", "zinc dipped after making, amount not stated"],
    "galvanized": [
        "electroplated zinc, thickness not stated",
        "mill-coated zinc sheet, class not stated",
        "zinc dipped after making, amount not stated",
    ],
    "zinc plated": [
        "electroplated zinc, thickness not stated",
        *(f"ASTM B633 SC{n}" for n in (1, 2, 3, 4)),
    ],
    "1.85 oz/ft2": ["zinc, 1.85 oz/ft2 total of both faces", "zinc, 1.85 oz/ft2 on one face"],
    "stainless": [
        "stainless, grade not stated",
        *(f"stainless {grade}" for grade in (410, 430, 304, 316)),
    ],
    "A153 Class B": [f"ASTM A153 class {name}" for name in ("B-3", "B-2", "B-1")],
    "A153 class C, M8 bolt": ["ASTM A153 class D", "ASTM A153 class C"],
    "304 or 316": ["stainless 304", "stainless 316"],
    "304/316 stainless": ["stainless 304", "stainless 316"],
    "Type 304/316 SS": ["stainless 304", "stainless 316"],
    "AISI 304/316": ["stainless 304", "stainless 316"],
    "G185 or A153 class D": ["ASTM A653 G185", "ASTM A153 class D"],
    "18 ga, G185, dipped after welding: A123": ["ASTM A653 G185", "ASTM A123, plate under 1.6 mm"],
    "polymer coated screw": ["plain steel + organic topcoat", "zinc, amount not stated + organic topcoat"],
    "EN 10244-2 class A": ["EN 10244-2 class A, amount not stated", "EN 10244-2 class A, wire 2.8 to 3.2 mm"],
    "F1667": ["plain steel", "ASTM F1667 electrogalvanized nail", "ASTM F1667 hot-dip nail"],
}


@pytest.mark.parametrize(("label", "designations"), SEVERAL.items())
def test_ambiguous_labels_keep_every_meaning_and_ask(label, designations):
    reading = read_label(label)
    assert [one.protection.designation for one in reading.readings] == designations
    assert reading.question.endswith("?")
    assert not reading.settled


def certain(protection):
    coat = next((layer for layer in protection.layers if layer.kind != "organic"), None)
    return 0.0 if coat is None else coat.least_um or (coat.nominal_um or 0.0) / 2


@pytest.mark.parametrize(
    "label", ["A123", "A153", "B695", "B633", "EN ISO 1461", "Z275", "zinc plated", "AZ150"]
)
def test_the_least_protective_meaning_comes_first(label):
    sure = [certain(one.protection) for one in read_label(label).readings]
    assert sure == sorted(sure)
    assert read_label(label).protection == read_label(label).readings[0].protection


@pytest.mark.parametrize("designation", known_designations())
def test_every_designation_of_the_tables_reads_back(designation):
    reading = read_label(designation)
    assert reading.settled
    assert reading.protection.designation == designation


@pytest.mark.parametrize(
    "protection",
    [*map(protection_of, coats()), *map(protection_of_alloy, alloys())],
    ids=lambda protection: protection.designation,
)
def test_every_protection_of_the_tables_is_written_and_read_back_whole(protection):
    """parse(format(x)) = x."""
    reading = read_label(format_protection(protection))
    assert [one.protection for one in reading.readings] == [protection]


@pytest.mark.parametrize("label", [*ONE_READING, *SEVERAL])
def test_what_a_label_means_can_be_written_and_read_again(label):
    for one in read_label(label).readings:
        again = read_label(format_protection(one.protection))
        assert [back.protection for back in again.readings] == [one.protection]


def test_designations_are_written_once():
    assert len(set(known_designations())) == len(known_designations()) > 300


def test_case_blanks_and_dashes_are_free():
    for coat in coats():
        name = coat.designation
        wanted = read_label(name).protection
        for variant in (
            name.upper(),
            name.lower(),
            f"  {name}  ",
            name.replace(" ", "  "),
            name.replace("-", "–"),
        ):
            assert read_label(variant).protection == wanted, variant


def test_twins_of_a653():
    assert twin("G185", "Z550")
    assert not twin("G185", "Z600")


def test_faces_may_differ():
    (reading,) = read_label("A879 40G/20G").readings
    assert (reading.coat.nominal_g_m2, reading.coat.least_g_m2) == (40.0, 20.0)
    assert reading.as_written == "40G/20G"


def test_a_class_without_a_least_mass_counts_as_no_zinc():
    reading = read_label("G01")
    assert reading.readings[0].coat.nominal_um == 0.0
    assert any("no zinc" in line for line in reading.cautions)


def test_55_percent_aluminium_is_not_divided_by_the_ratio_of_zinc():
    """AZ150 is about 20 um on a face; 75 g/m2 at 7.14 would be 10.5."""
    assert read_label("AZ150 EN 10346").readings[0].coat.nominal_um == pytest.approx(20.0, abs=0.5)


def test_a_dipped_part_may_carry_more_than_its_standard_asks():
    (reading,) = read_label("ISO 1461 5 mm plate 100 um").readings
    assert reading.coat.nominal_um == 100.0
    assert reading.coat.density_g_cm3 == 7.2
    assert reading.protection.standard == "EN ISO 1461"


def test_the_reading_shows_what_it_used():
    text = "Box of 50, G185 joist hanger, 18 ga, zinc-coated"
    (reading,) = read_label(text).readings
    assert {text[slice(*span)] for span in reading.spans} >= {"G185", ["joist", "hanger"][1], "18 ga"}
    assert reading.ignored == ("joist",)
    assert reading.counted == "total of both faces"
    assert reading.zinc_oz_ft2_per_face == pytest.approx(0.925, abs=0.001)
    assert reading.least_zinc_oz_ft2_per_face == pytest.approx(0.64, abs=0.001)


def test_words_set_aside_are_shown():
    reading = read_label("316 stainless, compatible with G185 hangers").readings[0]
    assert "g185" in reading.ignored


@pytest.mark.parametrize(
    ("label", "said"),
    [
        ("G90", "total of both faces"),
        ("8.8 bolt, zinc plated", "hydrogen embrittlement"),
        ("A490 bolt, HDG F2329, 3/4 in", "40 HRC"),
        ("Fe/Zn 12c", "adds no years outdoors"),
        ("yellow zinc screw", "adds no years outdoors"),
        ("B633 SC3 Type II", "conversion coat"),
        ("410 stainless", "no substitute"),
        ("C1", "air categories"),
        ("316", "if it is a count"),
        ("marine grade stainless", "no grade"),
        ("B695 class 55", "no alloy layer"),
        ("ISO 10684 M6", "M8 to M64"),
        ("A123 bolt M12", "ASTM A153"),
        ("A123 plate 10 mm", "before 2024"),
        ("A123 2.0 oz/ft2", "both faces"),
        ("1.85 oz/ft2 bolt", "fastener has no two"),
        ("275 g/m2", "does not say that the figure is zinc"),
        ("cold galvanized", "no metallic coat"),
        ("zinc flake 480 h", ""),
        ("galvannealed A60", "cracks where it is bent"),
        ("polymer coated 5 um zinc plated screw", "no barrier in treated wood"),
        ("A1 bolt stainless", "free-machining"),
        ("F1941 Fe/Zn 5", "thread roots"),
        ("A153 class D screw #9", "threads"),
    ],
)
def test_cautions(label, said):
    assert any(said in line for line in read_label(label).cautions) or said == ""


@pytest.mark.parametrize(
    ("label", "line"),
    [
        ("HDG", "how much zinc there is on one face is not stated"),
        ("1.85 oz/ft2 total both sides", "least on one face is not stated"),
        ("G90", "it says nothing of a topcoat"),
        ("organic topcoat over zinc", "a topcoat tells no zinc under it: count that as unknown"),
        ("stainless", "the grade of the stainless steel is not stated"),
        ("flZn 480h", "no mass of zinc is told: hours of salt spray are no years outdoors"),
        ("zinc 25 um", "no standard is named that the coat was tested to"),
        ("G185", "edges cut after coating carry no zinc of this class"),
    ],
)
def test_what_is_not_promised(label, line):
    assert line in read_label(label).not_promised


def test_a_plain_reading_has_no_needless_words():
    reading = read_label("stainless 316")
    assert (reading.question, reading.not_promised, reading.cautions) == ("", (), ())


@pytest.mark.parametrize("label", ["304 deck screws G90", "nail 304 hdg"])
def test_a_number_like_a_grade_beside_zinc_is_asked_about(label: str) -> None:
    assert any("also a grade of stainless" in one for one in read_label(label).cautions)


def test_a_number_read_as_a_grade_is_not_listed_as_left_out() -> None:
    reading = read_label("304").readings[0]
    assert reading.ignored == ()
    assert reading.spans == ((0, 3),)


@pytest.mark.parametrize(
    ("label", "standard"),
    [
        ("316 stainless", ""),
        ("hanger, 16 ga, 316 stainless", ""),
        ("ASTM F593 group 2", "ASTM F593 group 2"),
        ("316 stainless bolt, ASTM F593", "ASTM F593 group 2"),
        ("stainless 316, ASTM F593 group 2", "ASTM F593 group 2"),
        ("A2 stainless", "ISO 3506-1"),
    ],
)
def test_a_standard_of_bolts_is_told_only_where_the_label_names_it(label, standard):
    (one,) = read_label(label).readings
    assert one.protection.standard == standard
    assert [again.protection for again in read_label(one.protection.designation).readings] == [one.protection]


def test_sheet_to_a792_of_no_class_is_never_taken_for_zinc():
    (only,) = read_label("A792 sheet").readings
    assert only.coat.kind == "aluminium_zinc_55"
    assert only.coat.nominal_um is None


def test_both_names_of_one_class_of_aluminium_zinc_are_two_readings():
    found = {one.protection.designation for one in read_label("A792 AZ50/AZM150").readings}
    assert found == {"ASTM A792 AZ50", "ASTM A792M AZM150"}
