"""A row about metal in wood, read into a question; nothing here knows what the row expects."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from longhold.validate.area import UnansweredError
from longhold.validate.wood_words import (
    State,
    Wood,
    metals_in,
    metals_of,
    retention_in,
    state_in,
    wood_in,
)

__all__ = ["Asked", "Question", "Side", "read_question"]

Asked = Literal["ratio", "rate", "plateau", "onset", "exposed"]

_DECAY = re.compile(r"\bdecay|\brot\b|\bfung", re.IGNORECASE)
_STRENGTH = re.compile(
    r"withdrawal|strength|capacity|nail mass|stiffness|ductil|shear|embedment|pull|\bload\b|\bmass below",
    re.I,
)
_RATE = re.compile(r"\brates?\b|\battack\b|\bloss\b|\bdepth\b|corrosion|\brust\b|penetration", re.IGNORECASE)
_ONSET = re.compile(r"avoid|stay below|keep below|accept|no corrosion|at or below|onset|start", re.IGNORECASE)
_PLATEAU = re.compile(
    r"no longer|plateau|satur|levels? off|independent of|depends? on (?:MC|moisture)", re.IGNORECASE
)
_MOISTURE = re.compile(r"\bMC\b|moisture content|wood moisture", re.IGNORECASE)
_PLATE = re.compile(r"sandwich|coupon|plate\b|strap|hanger|sheet", re.IGNORECASE)
_MORE = re.compile(r"\b(?:high|more|great)\w*\b[\w\s]*\b(?:retention|loading)", re.IGNORECASE)
_LESS = re.compile(r"\b(?:low|less)\w*\b[\w\s]*\b(?:retention|loading)", re.IGNORECASE)
_WET_TEST = "100% RH at 27 C"


@dataclass(frozen=True)
class Side:
    """One metal in one timber in one state; several metals are alternatives, all of which must hold.

    Attributes
    ----------
    metals : name, and the way its zinc was put on
    wood, state : the timber, and how wet and warm it is
    plate : whether the metal lies flat on the wood instead of going into it
    """

    metals: tuple[tuple[str, str], ...]
    wood: Wood
    state: State
    plate: bool = False


@dataclass(frozen=True)
class Question:
    """What a row asks.

    Attributes
    ----------
    asked : which kind of answer
    this : what the row is about
    other : what it is compared with, for a ratio
    words : the row's quantity and condition
    state_told : whether the row states moisture, instead of a place in the weather
    years : length of the test; None if not told
    assumptions : how words of the row were read
    """

    asked: Asked
    this: Side
    other: Side | None
    words: str
    years: float | None
    state_told: bool = False
    assumptions: tuple[str, ...] = ()


def read_question(row: Mapping[str, str]) -> Question:
    """The question of a row.

    Raises
    ------
    UnansweredError : with the reason, where Longhold has no answer of that kind or a word is not understood
    """
    cell = {name: text.strip() for name, text in row.items()}
    quantity = cell["quantity"]
    _refuse_strength(cell)
    asked = _asked(cell["kind"].lower(), quantity)
    assumed: list[str] = []
    if asked in ("plateau", "onset"):
        return Question(asked, _anything(cell), None, quantity, None)
    this = _this_side(cell, assumed)
    told = state_in(cell["condition"]) is not None
    other = None
    if asked == "rate" and not told:
        assumed.append(f"moisture is not stated: taken as {_WET_TEST}")
    if asked == "ratio":
        this, other = _both_sides(cell, this)
    words = f"{quantity}; {cell['condition']}"
    return Question(asked, this, other, words, _years(cell.get("duration_yr", "")), told, tuple(assumed))


def _refuse_strength(cell: Mapping[str, str]) -> None:
    if not _STRENGTH.search(cell["quantity"]):
        return
    about = " ".join(cell[name] for name in ("wood_treatment", "condition", "compared_with"))
    if _DECAY.search(about) and not re.search(r"rust", about, re.IGNORECASE):
        raise UnansweredError("not modeled: strength lost to decay")
    if re.search(r"rust|corro", about, re.IGNORECASE):
        raise UnansweredError(
            "not credited by design: what rust does to the grip and the joint beyond loss of metal"
        )
    raise UnansweredError("not modeled: withdrawal and capacity in treated wood")


def _asked(kind: str, quantity: str) -> Asked:
    if kind.startswith("sim") or kind == "qual" or "(1=yes)" in quantity:
        return "exposed"
    if kind == "threshold" or (_MOISTURE.search(quantity) and not _RATE.search(quantity)):
        return _threshold(quantity)
    if not _RATE.search(quantity):
        raise UnansweredError(f"not modeled: {quantity!r}")
    return "ratio" if kind in ("order", "ratio") or "/" in quantity else "rate"


def _threshold(quantity: str) -> Asked:
    if not _MOISTURE.search(quantity):
        raise UnansweredError(
            f"not modeled: a threshold of {quantity!r}; Longhold's thresholds are of wood moisture"
        )
    if _PLATEAU.search(quantity):
        return "plateau"
    if _ONSET.search(quantity):
        return "onset"
    raise UnansweredError(f"what happens at the threshold is not understood: {quantity!r}")


def _anything(cell: Mapping[str, str]) -> Side:
    """A threshold is the same for every metal and treatment that a rate is known for."""
    return Side(metals_of(cell["metal"], cell["coating"]), Wood(), State(0.0, 0.0))


def _this_side(cell: Mapping[str, str], assumed: list[str]) -> Side:
    metals = metals_of(cell["metal"], cell["coating"])
    text = cell["wood_treatment"]
    wood = wood_in(text, Wood())
    if wood is None:
        if text and not re.search(r"\b(?:wood|timber|deck)\b", text, re.IGNORECASE):
            raise UnansweredError(f"timber {text!r} is not known")
        wood = Wood(("ACQ-D",))
        assumed.append("no treatment is stated: taken as ACQ, to which the constant is tied")
    kg_m3, use_category = retention_in(f"{cell['retention']} {text}")
    wood = replace(wood, retention_kg_m3=kg_m3, use_category=use_category)
    state = state_in(cell["condition"]) or _wet()
    return Side(metals, wood, state, bool(_PLATE.search(f"{cell['condition']} {cell['metal']}")))


def _wet() -> State:
    state = state_in(_WET_TEST)
    assert state is not None  # noqa: S101  words of our own
    return state


def _both_sides(cell: Mapping[str, str], this: Side) -> tuple[Side, Side]:
    """Both sides of a ratio; the other stands in its own cell, else under the quantity's bar."""
    numerator, _, denominator = cell["quantity"].partition("/")
    named = metals_in(numerator)
    if named and not set(named) & set(this.metals):
        raise UnansweredError(f"the row's metal and its quantity {cell['quantity']!r} name different metals")
    for text in (cell["compared_with"], denominator):
        if pair := _by_loading(text, this):
            return pair
        other = _changed(this, text)
        if other != this:
            return this, other
    raise UnansweredError(f"what it is compared with is not understood: {cell['compared_with']!r}")


def _changed(this: Side, text: str) -> Side:
    """The side that a text names, what it leaves out taken from this side."""
    metals = metals_in(text)
    wood = wood_in(text, this.wood) or this.wood
    told = retention_in(text)
    if told != (None, None):
        wood = replace(wood, retention_kg_m3=told[0], use_category=told[1])
    elif wood.preservatives != this.wood.preservatives:
        wood = replace(wood, retention_kg_m3=None)
    return replace(this, metals=metals or this.metals, wood=wood, state=state_in(text) or this.state)


def _by_loading(text: str, this: Side) -> tuple[Side, Side] | None:
    """Sides that differ in loading by words alone: above-ground and ground-contact wood stand for them."""
    if retention_in(text) != (None, None) or not (_LESS.search(text) or _MORE.search(text)):
        return None
    low, high = (
        replace(this, wood=replace(this.wood, retention_kg_m3=None, use_category=use))
        for use in ("UC3B", "UC4A")
    )
    return (high, low) if _LESS.search(text) else (low, high)


def _years(text: str) -> float | None:
    try:
        years = float(text)
    except ValueError:
        return None
    return years if 0.0 < years < 1000.0 else None
