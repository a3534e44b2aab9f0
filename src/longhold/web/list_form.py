"""The form that says which column of a list is which: what was said, and what stays open."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, cast, get_args

from starlette.datastructures import FormData

from longhold.base.errors import InputError
from longhold.intake.offer_columns import same_head
from longhold.intake.offer_questions import Question, first_reading, meaning_of
from longhold.intake.offer_table import ListTable
from longhold.intake.offers import list_columns
from longhold.model.offer_list import COLUMNS, NEEDED, ListColumns
from longhold.model.sizes import PartKind

__all__ = ["ColumnRow", "ListForm", "first_of"]

_MOST_TOLD = 21
_SIGNS = {
    "decimal": "decimal sign of prices",
    "unit": "unit of sizes that tell none",
    "dates": "order of day and month",
}
_CHOICES = {"decimal": (".", ","), "unit": ("mm", "in"), "dates": ("day_first", "month_first")}


@dataclass(frozen=True)
class ColumnRow:
    """One of our columns on the form.

    Attributes
    ----------
    name, label, meaning : of the column
    head : in the list that it is; blank for none
    fixed : what holds for every line instead
    heads : that it may be
    needed : whether an offer must say it
    asked : the question, where the list leaves it open
    """

    name: str
    label: str
    meaning: str
    head: str
    fixed: str
    heads: tuple[str, ...]
    needed: bool
    asked: str = ""


@dataclass(frozen=True)
class ListForm:
    """How a list is read so far.

    Attributes
    ----------
    how : by what was said and what the list says itself
    questions : that stay
    problems : what is wrong, by field; under the blank name what is of no field
    """

    how: ListColumns
    questions: tuple[Question, ...]
    problems: Mapping[str, list[str]] = field(default_factory=dict)

    @classmethod
    def first(cls, table: ListTable) -> ListForm:
        """What the list says by itself."""
        return cls(*first_reading(table, ListColumns()))

    @classmethod
    def of(cls, table: ListTable, sent: FormData) -> ListForm:
        """The same with what was said on the page.

        Raises
        ------
        InputError : a list that cannot be read at all
        """
        said = {name: str(value).strip() for name, value in sent.items() if isinstance(value, str)}
        given: dict[str, Any] = {
            "columns": _texts(said, "column-"),
            "fixed": _texts(said, "fixed-"),
            "kinds": _kinds(said),
        }
        given |= {name: said[name] for name in _SIGNS if said.get(name)}
        try:
            told = list_columns(None, **given)
        except InputError as error:
            how, questions = first_reading(table, ListColumns())
            return cls(how, questions, {"": [str(one) for one in error.problems]})
        told = _one_or_the_other(told)
        if twice := dict(_said_twice(told)):
            how, questions = first_reading(table, ListColumns())
            return cls(told.model_copy(update={"heads": how.heads}), (), twice)
        how, questions = first_reading(table, told)
        blank = {
            name for name in COLUMNS if said.get(f"column-{name}") == "" and not said.get(f"fixed-{name}")
        }
        how = how.model_copy(
            update={
                "columns": {
                    name: head
                    for name, head in how.columns.items()
                    if name in told.columns or name in NEEDED or name not in blank
                }
            }
        )
        asked = {one.about for one in questions}
        problems = {
            name if name in _SIGNS else f"column-{name}": ["This is still open: say it."]
            for name in asked
            if (name if name in _SIGNS else f"column-{name}") in said
        }
        return cls(how, questions, problems)

    @property
    def rows(self) -> Sequence[ColumnRow]:
        """Every one of our columns, those that are asked first."""
        asked = {one.about: one for one in self.questions}
        rows = [self._row(name, asked.get(name)) for name in COLUMNS]
        return sorted(rows, key=lambda row: not row.asked)

    @property
    def signs(self) -> Sequence[tuple[str, str, str, tuple[str, ...], str]]:
        """Decimals, units, dates: name, label, what is said, what may be, the question where it is open."""
        asked = {one.about: one.words for one in self.questions}
        return [
            (name, label, getattr(self.how, name), _CHOICES[name], asked.get(name, ""))
            for name, label in _SIGNS.items()
        ]

    def _again(self, name: str) -> str:
        """What a column says, where it must be said again because something is wrong with it."""
        return f"Which column is it: {meaning_of(name)}?" if f"column-{name}" in self.problems else ""

    def _row(self, name: str, question: Question | None) -> ColumnRow:
        columns, fixed = cast("dict[str, str]", self.how.columns), cast("dict[str, str]", self.how.fixed)
        heads = tuple(self.how.heads)
        if question is not None and question.choices:
            heads = (*question.choices, *(head for head in heads if head not in question.choices))
        return ColumnRow(
            name,
            name.replace("_", " "),
            meaning_of(name),
            columns.get(name, ""),
            fixed.get(name, ""),
            heads,
            name in NEEDED,
            question.words if question is not None else self._again(name),
        )


def first_of(error: InputError) -> list[str]:
    """What is said of a whole list and of its first 20 lines, and how many more there are."""
    told = [str(one) for one in error.problems[:_MOST_TOLD]]
    more = len(error.problems) - len(told)
    return [*told, f"and {more:,} more {'line' if more == 1 else 'lines'}."] if more else told


def _said_twice(told: ListColumns) -> Iterator[tuple[str, list[str]]]:
    """What is wrong where one column of the list is said to be two of ours."""
    by_head: dict[str, str] = {}
    for name, head in sorted(told.columns.items(), key=lambda one: COLUMNS.index(one[0]), reverse=True):
        if (other := by_head.setdefault(same_head(head), name)) != name:
            yield (
                f"column-{name}",
                [f"{head} is said to be the {other.replace('_', ' ')} too: choose another."],
            )


def _texts(said: Mapping[str, str], start: str) -> dict[str, str]:
    return {name.removeprefix(start): text for name, text in said.items() if name.startswith(start) and text}


def _kinds(said: Mapping[str, str]) -> dict[str, str]:
    """Their words for kinds of parts, each with ours; both are sent side by side."""
    return {
        said[f"word-{number}"]: kind
        for number, kind in _texts(said, "kind-").items()
        if kind in get_args(PartKind) and said.get(f"word-{number}")
    }


def _one_or_the_other(told: ListColumns) -> ListColumns:
    """What is said of every line counts before a column of the same."""
    columns = {name: head for name, head in told.columns.items() if name not in told.fixed}
    return told.model_copy(update={"columns": columns})
