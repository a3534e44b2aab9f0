"""The form of costs: every default with where it comes from, and what was typed as costs."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from pydantic import ValidationError

from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.sources import register
from longhold.base.tables import load_csv, number
from longhold.documents.words import upper_first
from longhold.intake.offer_numbers import OtherSignError, read_price
from longhold.intake.problems import problems_of
from longhold.model.costs import Access, Costs

__all__ = ["DEMO_COSTS", "CostField", "CostForm", "cost_words"]

DEMO_COSTS: Mapping[str, str] = {
    "currency": "USD",
    "note": "All prices and costs are invented for a demonstration; nobody sells at them.",
    "labor_per_joint": "45",
    "visit_per_joint": "4",
    "visit_most_alike": "20",
    "visit_every_years": "5",
    "each_item": "25",
}
"""Costs that go with the invented list, themselves invented."""
_SURELY_A_SHARE = 0.5
_MOST_RATES = 12
Kind = Literal["money", "share", "number", "text"]


@dataclass(frozen=True)
class CostField:
    """One field of the form.

    Attributes
    ----------
    name : of the field, and of the cost that it says; of a factor with ``access.`` before it
    label, hint : for people; the hint says what is assumed and why where nothing is said
    usual : what is assumed, as text; blank where it must be said
    kind : of what is typed
    source : where the assumption comes from, with its mark; blank where nothing is assumed but zero
    """

    name: str
    label: str
    hint: str
    usual: str
    kind: Kind = "money"
    source: str = ""


@dataclass(frozen=True)
class CostForm:
    """What was typed.

    Attributes
    ----------
    texts : by field
    others : currencies of the list besides the one that is reckoned in
    problems : what is wrong, by field
    """

    texts: Mapping[str, str]
    others: tuple[str, ...] = ()
    problems: Mapping[str, list[str]] = field(default_factory=dict)

    @classmethod
    def of(cls, given: Mapping[str, str], listed: Sequence[str]) -> CostForm:
        """The form with what was typed, and what is usual where nothing was.

        Parameters
        ----------
        given : texts by field
        listed : currencies of the list
        """
        usual = {one.name: one.usual for one in _fields()}
        usual |= {"currency": listed[0] if listed else "", "note": ""}
        texts = {name: given.get(name, text).strip()[:2000] for name, text in usual.items()}
        texts["currency"] = texts["currency"].upper()
        others = tuple(one for one in listed if one != texts["currency"])[:_MOST_RATES]
        texts |= {f"rate_{one}": given.get(f"rate_{one}", "").strip() for one in others}
        return cls(texts, others)

    @property
    def groups(self) -> Sequence[tuple[str, Sequence[CostField]]]:
        """Fields under the heads under which they stand."""
        known = {one.name: one for one in _fields()}
        return [(head, [known[name] for name in names]) for head, names in _GROUPS.items()]

    @staticmethod
    def label(name: str) -> str:
        """What people know a field by."""
        return _LABELS[name][0] if name in _LABELS else name.replace("_", " ").capitalize()

    def costs(self) -> Costs:
        """What was typed as costs; what stands as it is usual counts as assumed.

        Raises
        ------
        InputError : everything that cannot be used, each under the name of its field
        """
        given, problems = self._read()
        if problems:
            raise InputError(*problems)
        try:
            return Costs.model_validate(given)
        except ValidationError as error:
            raise InputError(*problems_of(error, Costs, given)) from None

    def judged(self) -> CostForm:
        """The same form with what is wrong beside its fields."""
        try:
            self.costs()
        except InputError as error:
            found: dict[str, list[str]] = {}
            for one in error.problems:
                said = f"{one.allowed} {one.do}".strip()
                found.setdefault(_field_of(one.where), []).append(upper_first(said))
            return CostForm(self.texts, self.others, found)
        return self

    def _read(self) -> tuple[dict[str, Any], list[Problem]]:
        given: dict[str, Any] = {"currency": self.texts["currency"]}
        problems: list[Problem] = []
        if self.texts["note"]:
            given["note"] = self.texts["note"]
        access: dict[str, float] = {}
        for one in _fields():
            text = self.texts[one.name]
            if text == one.usual and text:
                continue
            if not text:
                if not one.usual:
                    problems.append(Problem(one.name, None, "must be said.", "0 if it costs nothing."))
                continue
            try:
                value = _value(text, one.kind, self.texts["currency"])
                if one.kind == "share":
                    _check_share(one.name, value)
            except ValueError as error:
                problems.append(Problem(one.name, text, f"{error}."))
                continue
            if one.name.startswith("access."):
                access[one.name.removeprefix("access.")] = value
            else:
                given[one.name] = value
        if access:
            given["access"] = access
        if not re.fullmatch("[A-Z]{3}", self.texts["currency"]):
            wrong = [Problem("currency", self.texts["currency"], "must be three letters, such as USD.")]
            return given, [*problems, *wrong]
        rates, wrong = self._rates()
        if rates:
            given["rates"] = rates
        return given, [*problems, *wrong]

    def _rates(self) -> tuple[dict[str, float], list[Problem]]:
        rates, problems = {}, []
        for one in self.others:
            text = self.texts[f"rate_{one}"]
            try:
                value = _value(text, "number") if text else 0.0
                if not 0.0 < value < 1e9:
                    raise ValueError(
                        f"the list has prices in {one}: say how many {one} one {self.texts['currency']} is"
                    )
                rates[one] = value
            except ValueError as error:
                problems.append(Problem(f"rate_{one}", text or None, f"{error}."))
        return rates, problems


_GROUPS: Mapping[str, Sequence[str]] = {
    "Labor": ("labor_per_joint", "fixing_per_joint", "access.easy", "access.moderate", "access.hard"),
    "Looking after it": ("visit_per_joint", "visit_most_alike", "visit_every_years"),
    "Joints that stand": ("material_per_joint",),
    "If it fails": ("failure", "unnoticed"),
    "Money and packs": ("rate", "spare", "each_item"),
}
_LABELS: Mapping[str, tuple[str, str, Kind]] = {
    "labor_per_joint": (
        "Renewing one joint",
        "taking apart and renewing a joint that is easy to reach",
        "money",
    ),
    "fixing_per_joint": (
        "Fixing one joint the first time",
        "where it is easy to reach; also of new hardware beside the old, which is weighed only with it",
        "money",
    ),
    "material_per_joint": (
        "Hardware of one joint that is renewed",
        "pieces that renewing or strengthening takes",
        "money",
    ),
    "access.easy": ("Times that labor: easy to reach", "", "number"),
    "access.moderate": ("Times that labor: moderately hard", "", "number"),
    "access.hard": ("Times that labor: hard to reach", "", "number"),
    "visit_per_joint": ("Looking at one joint", "all its parts, at one inspection", "money"),
    "visit_most_alike": ("Joints looked at, of those alike", "most on one line of the structure", "number"),
    "visit_every_years": ("Years between inspections", "0 for none", "number"),
    "failure": ("What an unnoticed failure costs", "at one joint: damage, closing, liability", "money"),
    "unnoticed": ("Failures that nobody notices in time, %", "share of ends of life", "share"),
    "rate": ("Real discount rate, % a year", "without inflation", "share"),
    "spare": ("Spare pieces, %", "bought on top", "share"),
    "each_item": (
        "Price on each additional item",
        "what one more kind of box on the site costs besides its price: mistakes, storage, looking for it",
        "money",
    ),
}
_ROW_OF = {
    "access.easy": "access_easy",
    "access.moderate": "access_moderate",
    "access.hard": "access_hard",
}


def cost_words(where: str) -> str:
    """What the form calls a cost that was assumed, without its unit; the field itself where it asks for none.

    >>> cost_words("costs.rate"), cost_words("costs.access"), cost_words("site.air")
    ('Real discount rate', 'Times that labor, by how hard to reach', 'site.air')
    """
    name = where.removeprefix("costs.")
    if name == "access":
        return "Times that labor, by how hard to reach"
    return _LABELS[name][0].partition(", %")[0] if name in _LABELS else where


@once
def _fields() -> tuple[CostField, ...]:
    return tuple(_each())


def _each() -> Iterator[CostField]:
    columns: Mapping[str, Any] = {"name": str, "value": number, "because": str}
    rows = {row["name"]: row for row in load_csv("trade/life_cost.csv", columns, key=("name",))}
    for name, (label, hint, kind) in _LABELS.items():
        row = rows.get(_ROW_OF.get(name, name))
        model = Access if name.startswith("access.") else Costs
        info = model.model_fields[name.removeprefix("access.")]
        if info.is_required():
            yield CostField(name, label, hint, "", kind)
            continue
        extra = info.json_schema_extra if isinstance(info.json_schema_extra, dict) else {}
        because = str(extra.get("assumed_because", "") if row is None else row["because"])
        usual = 100.0 * info.default if kind == "share" else info.default
        source = "" if row is None else f"{register()[row['source']].title} ({row['mark']})"
        said = (
            f"{hint}. Unless you say otherwise: {because}" if hint else f"Unless you say otherwise: {because}"
        )
        yield CostField(name, label, said, f"{usual:g}", kind, source)


def _value(text: str, kind: Kind, currency: str = "") -> float:
    """A number as people type it.

    Raises
    ------
    ValueError : none, one that could be read in two ways, or a share that may be meant as a fraction
    """
    plain = text.replace("−", "-").strip()
    if kind != "share":
        value, signs = _with_point(plain)
        if signs and (kind == "number" or currency not in signs):
            raise ValueError(f"has the sign of {' or '.join(sorted(signs))}: write the number alone")
        return value
    negative = plain.startswith("-")
    bare = plain.removeprefix("-").removesuffix("%").strip()
    value, signs = _with_point(bare)
    if signs:
        raise ValueError("must be a number of percent, such as 3")
    if 0.0 < value < _SURELY_A_SHARE and not plain.endswith("%"):
        raise ValueError(f"could be {value:g} % or {100 * value:g} %: write the % sign")
    return (-value if negative else value) / 100.0


def _with_point(text: str) -> tuple[float, frozenset[str]]:
    try:
        return read_price(text, ".")
    except OtherSignError:
        raise ValueError("must have a point before its decimals, such as 45.50") from None


def _check_share(name: str, value: float) -> None:
    """Refuse what the model would, in percent as it was typed."""
    bounds = {key: getattr(one, key) for one in Costs.model_fields[name].metadata for key in one.__slots__}
    low, high = float(bounds.get("ge", bounds.get("gt", 0.0))), float(bounds.get("le", bounds.get("lt", 0.0)))
    if not low <= value <= high or value in (bounds.get("gt"), bounds.get("lt")):
        raise ValueError(f"must be between {100 * low:g} and {100 * high:g} %")


def _field_of(where: str) -> str:
    name = where.partition(" (")[0]
    return name if name in _LABELS or name.startswith("rate_") or name in ("currency", "note") else ""
