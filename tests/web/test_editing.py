"""Changes to a structure as it is typed."""

from __future__ import annotations

import copy
import csv
import io
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.intake.load import structure_of
from longhold.intake.reading import parse_text
from longhold.intake.sheet_fields import plan
from longhold.intake.starter_file import starter
from longhold.web.editing import add_row, cell_words, change, find_spot, remove_row, rows_of
from longhold.web.judging import judge
from longhold.web.pasting import pasted
from longhold.web.sheet import CellView, sheet_views

START: dict[str, Any] = parse_text(starter(), "toml")


def _cells(held: dict[str, Any]) -> dict[str, str]:
    return {
        f"{where}.{field.path}".lstrip("."): cell_words(record, field)
        for sheet in plan()
        for where, record in (rows_of(held, sheet) if sheet.path else [("", held)])
        for field in sheet.fields
    }


def test_typing_anew_what_stands_in_every_cell_changes_nothing() -> None:
    typed = START
    for where, text in _cells(START).items():
        typed = change(typed, where, text)
    assert structure_of(typed) == structure_of(START)


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_no_text_breaks_a_structure_or_reaches_another_cell(data: st.DataObject) -> None:
    cells = _cells(START)
    where = data.draw(st.sampled_from(sorted(cells)))
    text = data.draw(
        st.text(max_size=40) | st.sampled_from(["", "7", "yes", "2026-02-30", "1;2", '""', "nan"])
    )
    before = copy.deepcopy(START)
    typed = change(START, where, text)
    assert before == START
    after = _cells(typed)
    others = {name: words for name, words in after.items() if name != where}
    assert others == {name: words for name, words in cells.items() if name != where and name in others}
    assert all(one.said and one.name for one in judge(typed).told)


@pytest.mark.parametrize(
    "where",
    ["__class__", "joints", "joints[9].name", "joints[-1].name", "timbers.x y.size", "a" * 9000, "site"],
)
def test_a_path_to_nothing_is_refused(where: str) -> None:
    with pytest.raises(InputError):
        change(START, where, "x")


def test_a_new_row_is_like_the_last_under_a_name_of_its_own() -> None:
    more, where = add_row(START, "joints")
    ids = [joint["id"] for joint in more["joints"]]
    assert (where, len(set(ids))) == ("joints[4]", 5)
    assert structure_of(more)
    assert remove_row(more, where) == START


def test_a_renamed_timber_is_followed_by_the_joints_that_hold_it() -> None:
    renamed = change(START, "timbers.joist", "beam")
    assert next(iter(renamed["timbers"])) == "beam"
    assert all("joist" not in (joint["main"], joint.get("side")) for joint in renamed["joints"])
    assert structure_of(renamed)
    for wrong in ("", "two words", "ledger"):
        with pytest.raises(InputError):
            change(START, "timbers.joist", wrong)


@pytest.mark.parametrize("name", ["Timbers", "Joints", "Parts"])
def test_a_sheet_copied_as_it_is_shown_and_pasted_back_changes_nothing(name: str) -> None:
    view = next(one for one in sheet_views(START, every_column=True) if one.name == name)
    shown = [
        [*([row.name] if view.by_name else []), *(_shown(cell) for cell in row.cells)] for row in view.rows
    ]
    copied = io.StringIO()
    csv.writer(copied, delimiter="\t", lineterminator="\n").writerows(shown)
    heads = [*([""] if view.by_name else []), *(one.field.path for one in view.columns)]
    back = pasted(START, view.rows[0].where, heads, copied.getvalue())
    assert not back.refused
    assert structure_of(back.given) == structure_of(START)


def _shown(cell: CellView) -> str:
    return dict(cell.column.choices).get(cell.text, cell.text)


def test_near_is_a_sheet_of_its_own() -> None:
    assert find_spot("site.air.near[0].setting").sheet.name == "Near"
    grown, path = add_row(START, "site.air.near", empty=True)
    (view,) = (
        one for one in sheet_views(change(grown, f"{path}.distance", "10 ft"), False) if one.name == "Near"
    )
    assert [one.where for one in view.rows] == ["site.air.near[0]"]
    assert {one.where: one.text for one in view.rows[0].cells}["site.air.near[0].distance"] == "10 ft"


def test_an_emptied_record_leaves_no_shell() -> None:
    bare = change(START, "site.climate.station", "")
    assert "climate" not in bare["site"]
