"""Labels beside each other on one basis."""

import pytest

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.labels import compare_labels
from longhold.labels.catalogue import coats
from longhold.labels.compare import figure_rule


def first(label):
    return compare_labels([label])[0].promises[0]


def test_each_label_is_told_on_one_face():
    sheet, nail = first("G185"), first("A153 class D")
    assert (sheet.least_um, sheet.expected_um, sheet.least_g_m2, sheet.expected_g_m2) == (
        27.4,
        39.5,
        195.3,
        282.3,
    )
    assert (nail.least_um, nail.expected_um) == (36.0, 43.0)
    assert sheet.counted == "total of both faces"
    assert nail.counted == "one face"
    assert sheet.mark is Mark.VERIFIED


@pytest.mark.parametrize("coat", coats(), ids=lambda coat: coat.designation)
def test_every_coat_has_a_form_and_tells_what_kind_of_figure_it_gives(coat):
    rule = figure_rule(coat.standard)
    assert rule is not None
    assert rule["form"] in ("sheet", "article", "fastener", "wire")
    promise = first(coat.designation)
    assert promise.least_is == ("" if coat.least_um is None else rule["least_is"])
    assert promise.expected_is == ("" if coat.nominal_um is None else rule["expected_is"])


def test_every_reading_of_an_ambiguous_label_has_its_row_and_the_question_stands():
    found = compare_labels(["Z100"])[0]
    assert [one.designation for one in found.promises] == ["EN 10346 Z100", "AS 1397 Z100"]
    assert "EN 10346 or AS 1397" in found.question


def test_an_alloy_has_no_coat_but_a_family_and_a_rank():
    promise = first("316 stainless")
    assert (promise.coat, promise.least_um, promise.expected_um) == ("", None, None)
    assert (promise.family, promise.metal) == ("316 family", "stainless 316")
    assert promise.pren == pytest.approx(24.1)


def test_a_topcoat_is_told_apart_from_the_zinc():
    bare, covered = first("G90"), first("G90 + 12 um polymer topcoat")
    assert (covered.topcoat_um, covered.has_topcoat, bare.has_topcoat) == (12.0, True, False)
    assert covered.least_um == bare.least_um
    assert first("G90 + polymer topcoat").topcoat_um is None


def test_an_amount_that_the_label_writes_is_its_own():
    promise = first("hot-dip galvanized after welding, 85 um average")
    assert promise.expected_um == 85.0
    assert promise.expected_is == "as the label says"


def test_one_that_cannot_be_read_says_why_beside_the_others():
    good, bad = compare_labels(["G90", "xyzzy"])
    assert good.promises
    assert bad.promises == ()
    assert "no designation" in bad.refused


def test_none_readable_is_refused_with_every_reason():
    with pytest.raises(InputError) as refused:
        compare_labels(["xyzzy", ""])
    assert len(refused.value.problems) == 2
