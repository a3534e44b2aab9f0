"""Delivered lines against ordered ones: who may be used, who goes back, and why."""

from __future__ import annotations

import pytest

from longhold.inspect.delivery import check_delivery
from longhold.inspect.metal import hold_metals
from longhold.labels.read import read_label
from longhold.model.delivery import DeliveredLine, Order, OrderedLine
from longhold.model.parts import Part

HANGER, NAIL = ("hanger", "18 ga"), ("nail", "10d common x 1-1/2 in")


def part(kind, size, label="to be read"):
    return Part.model_validate({"id": "x", "kind": kind, "size": size, "label": label})


def ordered(what, label, quantity=100, places=(("J1", "a"),), **more):
    return OrderedLine("", part(*what, label), quantity, places=places, **more)


def came(what, label, quantity=100, **more):
    return DeliveredLine("line 2", "", *what, label, quantity, part=part(*what), **more)


def checked(order, *lines):
    return check_delivery(Order("test", tuple(order)), lines)


def only(order, *lines):
    (line,) = checked([order], *lines).lines
    return line


@pytest.mark.parametrize(
    ("asked", "delivered", "held"),
    [
        ("G185", "G185", "same"),
        ("G185", "G90", "lesser"),
        ("G90", "G185", "better"),
        ("G90", "G90", "same"),
        ("Z275", "Z275", "same"),  # of which standard is open, and the same on both sides
        ("ASTM A153 class D", "electroplated zinc ASTM B633 SC1", "lesser"),
        ("304 stainless", "316 stainless", "better"),
        ("316 stainless", "304 stainless", "lesser"),
        ("316 stainless", "A4", "same"),
        ("316 stainless", "G185", "lesser"),
        ("G185", "316 stainless", "better"),
        ("316 stainless", "silicon bronze", "other"),
        ("316 stainless", "stainless", "open"),
    ],
)
def test_metals_are_held_by_what_a_face_carries(asked, delivered, held):
    assert hold_metals(read_label(asked), read_label(delivered)).held == held


@pytest.mark.parametrize(
    ("what", "label", "verdict"),
    [
        (NAIL, "JOIST HANGER ASTM A653 G185", "open"),
        (HANGER, "10d nails, G185", "open"),
        (HANGER, "joist hanger G185", "accepted"),
        (NAIL, "hanger nails G185", "accepted"),
        (NAIL, "G185", "accepted"),
    ],
)
def test_a_label_of_another_kind_of_part_is_asked_about(what, label, verdict):
    """A box of nails that carries the label of hangers: which of the two is wrong nobody here can know."""
    found = only(ordered(what, "G185"), came(what, label))
    assert (found.verdict == "open") == (verdict == "open"), found.reasons
    assert any("its label names a" in why for why in found.reasons) == (verdict == "open")


def test_less_zinc_is_refused_with_both_figures():
    """G185 and G90 by ASTM A653, Table 1: one face carries 39.5 and 19.2 um, the least 27.4 and 13.7."""
    line = only(ordered(HANGER, "G185"), came(HANGER, "G90"))
    assert line.verdict == "refused"
    assert line.wrong_metal
    for figure in ("27.4", "39.5", "13.7", "19.2"):
        assert figure in line.reasons[0]


def test_a_galvanized_nail_for_a_stainless_hanger_is_refused_for_its_partner():
    order = [ordered(HANGER, "316 stainless"), ordered(NAIL, "316 stainless", places=(("J1", "b"),))]
    hanger, nail = checked(order, came(HANGER, "316 stainless"), came(NAIL, "ASTM A153 class D")).lines
    assert hanger.verdict == "accepted"
    assert nail.verdict == "refused"
    assert any("wrong family" in why and "J1" in why and "small part" in why for why in nail.reasons)


def test_better_metal_only_in_one_family():
    order = [ordered(HANGER, "G185"), ordered(NAIL, "ASTM A153 class D", places=(("J1", "b"),))]
    alone = checked(order, came(HANGER, "316 stainless"), came(NAIL, "ASTM A153 class D")).lines
    assert alone[0].verdict == "refused"
    assert any("wrong family" in why for why in alone[0].reasons)
    both = checked(order, came(HANGER, "316 stainless"), came(NAIL, "316 stainless")).lines
    assert [one.verdict for one in both] == ["noted", "noted"]
    zinc = checked(order, came(HANGER, "G235"), came(NAIL, "ASTM A153 class D")).lines
    assert zinc[0].verdict == "noted"


def test_better_metal_for_joints_that_are_not_told_is_asked():
    assert only(ordered(HANGER, "G185", places=()), came(HANGER, "316 stainless")).verdict == "open"
    assert only(ordered(HANGER, "G90", places=()), came(HANGER, "G185")).verdict == "noted"


def test_a_number_with_another_size_is_refused():
    order = OrderedLine("NA-1", part(*NAIL, "316 stainless"), 100)
    line = DeliveredLine(
        "line 2", "na-1", "nail", "16d common", "316 stainless", 100, part=part("nail", "16d common")
    )
    assert "wrong size" in only(order, line).reasons[0]


def test_what_was_not_ordered_and_what_did_not_come_are_told():
    found = checked([ordered(HANGER, "G185")], came(NAIL, "316 stainless"))
    assert found.lines[0].verdict == "refused"
    assert "not ordered" in found.lines[0].reasons[0]
    assert len(found.missing) == 1
    assert not found.whole


@pytest.mark.parametrize(
    ("quantity", "verdict", "words"),
    [
        (100, "accepted", ""),
        (95, "noted", "5 pieces short"),
        (89, "refused", "too few"),
        (101, "noted", "1 pieces more"),
    ],
)
def test_pieces_are_counted_against_order_and_need(quantity, verdict, words):
    line = only(ordered(HANGER, "G185", needed=90), came(HANGER, "G185", quantity))
    assert line.verdict == verdict
    assert words in " ".join(line.reasons)


def test_boxes_of_the_wrong_metal_do_not_fill_an_order():
    found = checked([ordered(HANGER, "G185")], came(HANGER, "G185", 50), came(HANGER, "G90", 50))
    assert [one.verdict for one in found.lines] == ["refused", "refused"]
    assert "50 of 100 came" in found.lines[0].reasons[0]
    two = checked([ordered(HANGER, "G185")], came(HANGER, "G185", 50), came(HANGER, "A653 G185", 50))
    assert [one.verdict for one in two.lines] == ["accepted", "accepted"]


def test_a_certificate_that_is_asked_for_must_come():
    order = ordered(HANGER, "G185", certificate=True)
    assert only(order, came(HANGER, "G185")).verdict == "refused"
    assert only(order, came(HANGER, "G185", certificate="C 12")).verdict == "accepted"
    assert only(ordered(HANGER, "G185"), came(HANGER, "G185")).verdict == "accepted"


@pytest.mark.parametrize(
    ("asked", "edition", "verdict"),
    [
        ("", "EN 10327:2004", "refused"),  # replaced by EN 10346
        ("", "EN 10346:2015", "accepted"),
        ("", "EN 10346:2009", "noted"),
        ("EN 10346:2015", "EN 10346:2009", "refused"),
        ("EN 10346:2009", "EN 10346:2015", "noted"),
        ("EN 10346:2015", "", "open"),
    ],
)
def test_editions(asked, edition, verdict):
    order = ordered(HANGER, "Z275", edition=asked)
    assert only(order, came(HANGER, "Z275", edition=edition)).verdict == verdict


@pytest.mark.parametrize("label", ["shiny", "", "hot-dip galvanized"])
def test_a_label_that_leaves_it_open_is_asked_about(label):
    line = only(ordered(HANGER, "ASTM A123, plate 5 mm"), came(HANGER, label))
    assert line.verdict == "open"


def test_a_kind_that_cannot_be_read_is_asked_about():
    line = DeliveredLine("line 2", "", "thing", "big", "G185", 3, unread="'thing' is no kind")
    assert only(ordered(HANGER, "G185"), line).verdict == "open"


def test_a_year_that_is_not_checked_is_said():
    """Of ASTM standards no list of editions is held: the year passes, and it is said that nobody looked."""
    found = only(ordered(HANGER, "ASTM A653 G185"), came(HANGER, "ASTM A653 G185", edition="ASTM A653-02"))
    assert found.verdict == "accepted"
    assert "edition 2002 of ASTM A653" in found.reasons[0]
    assert "was not checked" in found.reasons[0]
    known = only(ordered(HANGER, "Z275"), came(HANGER, "Z275", edition="EN 10346:2015"))
    assert known.reasons == ()


def test_what_would_mend_a_line_is_said_of_each_that_may_not_be_used():
    certified = ordered(HANGER, "G185", certificate=True)
    found = {
        "certificate": only(certified, came(HANGER, "G185")),
        "10 more pieces": only(ordered(HANGER, "G185", needed=90), came(HANGER, "G185", 80)),
        "edition": only(ordered(HANGER, "Z275", edition="EN 10346:2015"), came(HANGER, "Z275")),
        "exchanged for what was ordered": only(ordered(HANGER, "G185"), came(HANGER, "G90")),
        "send it back": only(ordered(HANGER, "G185"), came(NAIL, "316 stainless")),
        "look into the box": only(ordered(NAIL, "G185"), came(NAIL, "JOIST HANGER ASTM A653 G185")),
        "its finish or alloy": only(ordered(HANGER, "G185"), came(HANGER, "shiny")),
        "for which joints": only(ordered(HANGER, "G185", places=()), came(HANGER, "316 stainless")),
    }
    for words, line in found.items():
        assert line.verdict in ("refused", "open")
        assert words in " ".join(line.mends), (words, line)
    both = only(certified, came(HANGER, "G185", 80)).mends
    assert ["certificate" in both[0], "20 more pieces" in both[1]] == [True, True]
    for line in (only(ordered(HANGER, "G185"), came(HANGER, label)) for label in ("G185", "G235")):
        assert line.verdict in ("accepted", "noted")
        assert line.mends == ()
