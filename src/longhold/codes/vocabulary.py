"""The facts that rules may ask about, and how to say each of them in a sentence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from longhold.base.errors import InputError, Problem, TableError
from longhold.base.recent import once
from longhold.base.tables import load_toml

__all__ = ["Fact", "check_facts", "near_facts", "vocabulary"]

FACTS = "codes/facts.toml"
_KEYS = {
    "choice": {"type", "noun", "values", "label"},
    "number": {"type", "noun", "unit", "label"},
    "yes_no": {"type", "yes", "no", "ask", "label"},
}
# codes are written in either: a unit, its partner in the other system, and how many of it one partner makes
_PARTNERS = {
    "m": ("ft", 0.3048),
    "mm": ("in", 25.4),
    "um": ("mil", 25.4),
    "g/m2": ("oz/ft2", 305.15),
    "oz/ft2": ("g/m2", 1.0 / 305.15),
}


@dataclass(frozen=True)
class Fact:
    """One thing that a rule may ask about a joint.

    Attributes
    ----------
    name : as rules and callers write it, such as ``size_mm``
    type : choice, number or yes_no
    noun : what it is, in words: "the finish"; for yes_no facts "whether ..."
    values : allowed values of a choice, each with its words
    unit : unit of a number, empty for a count
    yes, no : the sentence for each answer of a yes_no fact
    label : short name for printing a value that a rule gives, such as ``F1``
    """

    name: str
    type: str
    noun: str
    values: Mapping[str, str]
    unit: str
    yes: str
    no: str
    label: str

    def refuses(self, value: Any) -> str:
        """Why a value is no value of this fact, as what would be allowed; empty if it is one."""
        if self.type == "yes_no":
            return "" if isinstance(value, bool) else "must be true or false"
        if self.type == "number":
            good = isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e12
            return "" if good else f"must be a number{f' in {self.unit}' if self.unit else ''}"
        return (
            ""
            if isinstance(value, str) and value in self.values
            else f"must be one of {', '.join(sorted(self.values))}"
        )

    def words(self, value: Any) -> str:
        """A value in words, without the noun."""
        if self.type == "number":
            own = f"{value:.6g} {self.unit}".rstrip()
            other = _PARTNERS.get(self.unit)
            if not other or not value:
                return own
            converted = value / other[1]
            shown = f"{converted:,.0f}" if converted >= 1000.0 else f"{converted:.3g}"
            return f"{own} ({shown} {other[0]})"
        return self.values[value] if self.type == "choice" else ("yes" if value else "no")

    def sentence(self, value: Any) -> str:
        """The fact as a clause: "the finish is plain steel", "the wood carries no preservative"."""
        if self.type == "yes_no":
            return self.yes if value else self.no
        return f"{self.noun} is {self.words(value)}"


@once
def vocabulary() -> Mapping[str, Fact]:
    """Every fact by name, from ``tables/codes/facts.toml``.

    >>> vocabulary()["size_mm"].sentence(9.525)
    'the diameter or thickness is 9.525 mm (0.375 in)'
    """
    return {name: _fact(name, entry) for name, entry in load_toml(FACTS)["fact"].items()}


def check_facts(facts: Mapping[str, Any]) -> None:
    """Refuse facts that no rule knows and values that a fact cannot have.

    Raises
    ------
    InputError : with one problem for each bad fact
    """
    known = vocabulary()
    problems = []
    for name, value in facts.items():
        if name not in known:
            near = near_facts(name)
            allowed = f"is not a fact that rules know; near it: {', '.join(near)}."
            problems.append(Problem(f"facts.{name}", value, allowed))
        elif refusal := known[name].refuses(value):
            problems.append(
                Problem(f"facts.{name}", value, f"{refusal}.", "Leave the fact out if it is not known.")
            )
    if problems:
        raise InputError(*problems)


def near_facts(name: str) -> list[str]:
    """Names of facts that are spelled most like a name.

    >>> near_facts("preservative")[0]
    'preservative_treated'
    """
    from difflib import get_close_matches

    return get_close_matches(name, vocabulary(), n=3, cutoff=0.0)


def _fact(name: str, entry: Mapping[str, Any]) -> Fact:
    kind = entry.get("type")
    if kind not in _KEYS or not set(entry) <= _KEYS[kind]:
        raise TableError(f"{FACTS}: fact {name} has type {kind!r} and keys {sorted(entry)}")
    if kind == "choice" and not entry.get("values"):
        raise TableError(f"{FACTS}: choice {name} has no values")
    if (kind == "yes_no") != ("yes" in entry and "no" in entry):
        raise TableError(f"{FACTS}: yes_no fact {name} needs both sentences")
    return Fact(
        name=name,
        type=kind,
        noun=entry["ask"] if kind == "yes_no" else entry["noun"],
        values=dict(entry.get("values", {})),
        unit=entry.get("unit", ""),
        yes=entry.get("yes", ""),
        no=entry.get("no", ""),
        label=entry.get("label", name),
    )
