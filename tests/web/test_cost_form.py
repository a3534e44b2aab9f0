"""Costs as typed: what is usual, what is refused beside its field, and what stays."""

from __future__ import annotations

import pytest

from longhold.assessment.assumptions import cost_defaults
from longhold.model.costs import Costs
from longhold.web.cost_form import CostForm


def _form(**typed: str) -> CostForm:
    names = {name.replace("__", "."): text for name, text in typed.items()}
    return CostForm.of({"labor_per_joint": "45", **names}, ["USD"])


def test_what_is_not_said_is_what_the_model_assumes_and_is_listed_as_assumed() -> None:
    costs = _form().costs()
    plain = Costs(currency="USD", labor_per_joint=45.0)
    assert costs == plain
    assert cost_defaults(costs) == cost_defaults(plain)


@pytest.mark.parametrize(
    ("typed", "name", "value"),
    [
        ({"labor_per_joint": "1,234.50"}, "labor_per_joint", 1234.5),
        ({"labor_per_joint": "$45"}, "labor_per_joint", 45.0),
        ({"rate": "4"}, "rate", 0.04),
        ({"rate": "0.3 %"}, "rate", 0.003),
        ({"rate": "-1"}, "rate", -0.01),
        ({"rate": "0"}, "rate", 0.0),
        ({"spare": "10 %"}, "spare", 0.1),
        ({"visit_every_years": "5"}, "visit_every_years", 5.0),
    ],
)
def test_numbers_as_people_type_them(typed: dict[str, str], name: str, value: float) -> None:
    assert getattr(_form(**typed).costs(), name) == pytest.approx(value)


def test_one_factor_of_access_leaves_the_others_as_they_are_usual() -> None:
    access = _form(access__hard="8").costs().access
    assert (access.easy, access.moderate, access.hard) == (1.0, 2.0, 8.0)


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"labor_per_joint": ""}, "labor_per_joint", "Must be said"),
        ({"labor_per_joint": "-3"}, "labor_per_joint", "negative"),
        ({"labor_per_joint": "45,50"}, "labor_per_joint", "point before its decimals"),
        ({"labor_per_joint": "45 €"}, "labor_per_joint", "EUR"),
        ({"labor_per_joint": "=1+1"}, "labor_per_joint", "number"),
        ({"labor_per_joint": "1e999"}, "labor_per_joint", ""),
        ({"failure": "9999999999999"}, "failure", ""),
        ({"rate": "0.03"}, "rate", "ould be 0.03 % or 3 %"),
        ({"rate": "80"}, "rate", "between -50 and 50 %"),
        ({"unnoticed": "130"}, "unnoticed", "between 0 and 100 %"),
        ({"access__hard": "0"}, "access.hard", ""),
        ({"currency": "dollars"}, "currency", ""),
        ({"visit_every_years": "five"}, "visit_every_years", ""),
    ],
)
def test_what_cannot_be_used_is_told_beside_its_field_and_stays_as_typed(
    typed: dict[str, str], field: str, said: str
) -> None:
    form = _form(**typed).judged()
    assert list(form.problems) == [field]
    assert said in form.problems[field][0]
    if field != "currency":
        assert form.texts[field] == next(iter(typed.values()))


def test_every_currency_of_the_list_needs_its_rate() -> None:
    form = CostForm.of({"labor_per_joint": "45", "currency": "EUR"}, ["USD", "EUR", "CAD"])
    assert form.others == ("USD", "CAD")
    assert set(form.judged().problems) == {"rate_USD", "rate_CAD"}
    for wrong in ("0", "-1", "x"):
        assert "rate_USD" in CostForm.of({**form.texts, "rate_USD": wrong}, ["USD", "EUR"]).judged().problems
    told = CostForm.of({**form.texts, "rate_USD": "1.08", "rate_CAD": "1.5"}, ["USD", "EUR", "CAD"])
    assert dict(told.costs().rates) == {"USD": 1.08, "CAD": 1.5}
    # 1.08 USD for one EUR: a price of 108 USD is 100 EUR
    assert 108.0 / told.costs().rates["USD"] == pytest.approx(100.0)


def test_defaults_show_where_they_come_from() -> None:
    fields = {one.name: one for _, some in _form().groups for one in some}
    assert "10 CFR 436" in fields["rate"].source  # the rule that sets a floor of 3 % a year
    assert fields["rate"].usual == "3"
    assert not fields["labor_per_joint"].usual
    assert all("Unless you say otherwise" in one.hint for one in fields.values() if one.usual)
