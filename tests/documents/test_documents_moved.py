"""What moved between two versions, in words and on its page."""

import datetime
import re

import pytest

from longhold.assessment.changes import Change
from longhold.assessment.moved import moved
from longhold.documents.moved_page import moved_html
from longhold.documents.moved_values import cause_words, input_words, value_words
from longhold.documents.moved_view import input_rows, joint_views, moved_lede
from longhold.intake import starter
from longhold.intake.load import loads

AS_OF = datetime.date(2026, 11, 26)


def changed(where, was, now, dimension="", **assumed):
    told = {"was_assumed": False, "now_assumed": False} | assumed
    return Change(where, "site", "", was, now, dimension, **told)


def test_a_changed_measure_is_told_in_the_reader_s_unit():
    change = changed("site.distance_to_salt_water", 45.72, 182.88, "distance_m")
    assert input_words(change) == "site: distance to salt water"
    assert value_words(change, "us") == ("150 ft", "600 ft")
    assert value_words(change, "si") == ("45.7 m", "183 m")


def test_what_was_assumed_or_not_given_is_said():
    change = changed("joints.J1.role", "structural", "structural", was_assumed=True)
    assert value_words(change, "us") == ("structural, assumed", "structural")
    assert value_words(changed("joints.J1.demand", None, 1779.3, "force_n"), "us") == (
        "not given",
        "400 lb (1,779 N)",
    )


def test_a_cause_names_its_inputs():
    change = changed("site.shore", "surf", "sheltered")
    assert cause_words(("site",), "J1", [change]) == "the site (shore)"


@pytest.fixture(scope="module")
def found():
    old = starter()
    new = old.replace('design_life = "30 years"', 'design_life = "60 years"').replace(
        'label = "ASTM A653 G185"', 'label = "ASTM A653 G60"'
    )
    assert old != new
    return moved(loads(old), loads(new), draws=200)


@pytest.mark.slow
def test_the_words_hold_the_numbers_of_the_finding(found):
    rows = {row.what: row for row in input_rows(found)}
    assert (rows["design life"].was, rows["design life"].now) == ("30 years", "60 years")
    hanger = next(row for name, row in rows.items() if "hanger" in name)
    views = {view.id: view for view in joint_views(found)}
    assert set(re.split("[;,] ", hanger.moves.removesuffix(" by less than is told"))) <= set(views)
    for move in found.joints:
        view = views.get(move.after.joint.id)
        assert (view is not None) == move.moved
        if view and len(move.shares) > 1:
            assert [row.cause for row in view.rows][-1] == "all together"
            assert len(view.rows) >= len(move.shares) + 1
    assert moved_lede(found).endswith(".")


def test_a_joint_that_moves_by_less_than_is_told_is_named_as_such_beside_the_change(small_structure):
    """A measured distance to salt water of 100 miles in place of 99 moves ages by less than a rounding."""
    places = ("open_to_rain", "under_cover")
    old, new = (
        small_structure(places=places, site={"distance_to_salt_water": f"{miles} miles"})
        for miles in (99.9, 100)
    )
    found = moved(old, new, draws=200)
    small = [view.id for view in joint_views(found) if view.small]
    assert small, "this case shows nothing"
    (row,) = input_rows(found)
    told = [view.id for view in joint_views(found) if not view.small]
    assert row.moves == "; ".join(filter(None, [", ".join(told), f"{', '.join(small)} by less than is told"]))


@pytest.mark.slow
@pytest.mark.needs("chromium")
@pytest.mark.parametrize("width", [390, 1440])
def test_the_page_is_silent_alone_and_never_wider_than_the_screen(quiet_page, found, tmp_path, width):
    file = tmp_path / "moved.html"
    file.write_text(moved_html(found, ("old.toml", "new.toml"), AS_OF), encoding="utf-8")
    quiet_page(file, width, "light")


@pytest.mark.slow
@pytest.mark.needs("chromium")
def test_the_page_prints_on_paper(on_paper, found, tmp_path):
    file = tmp_path / "moved.html"
    file.write_text(moved_html(found, ("old.toml", "new.toml"), AS_OF), encoding="utf-8")
    on_paper(file, "Letter")
