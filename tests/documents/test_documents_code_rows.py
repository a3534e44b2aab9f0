"""Clauses of a joint are told once, for the parts they speak of; advice stands apart from them."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from longhold.assessment.across import advise
from longhold.assessment.setting import setting_for
from longhold.base.marks import Mark
from longhold.codes.answers import CodeAnswer, Note, Verdict
from longhold.documents.advice_rows import advice_view
from longhold.documents.code_rows import code_view
from longhold.documents.exchange import assessment_json
from longhold.documents.first_in import first_in


def test_every_rule_stands_once_and_every_verdict_is_kept(demo):
    for finding in demo.findings:
        view = code_view(finding)
        rows = [*view.deciding, *view.rest]
        told = Counter((row.rule.rule_id, row.rule.clause, row.rule.says) for row in rows)
        assert max(told.values(), default=1) == 1
        kept = {case.verdict for row in rows for case in row.cases}
        assert kept == {verdict for part in finding.parts for verdict in part.code.verdicts}
        deciding = {one.rule_id for part in finding.parts for one in part.code.deciding}
        assert {row.rule.rule_id for row in view.deciding} == deciding


def test_parts_with_one_answer_share_a_head(demo):
    finding = next(one for one in demo.findings if one.joint.id == "J02")
    (head,) = code_view(finding).heads
    assert head.parts == "hanger and nail"
    assert head.word == "not allowed"


def _rule(verdict, rule="R-1", **more):
    return Verdict(verdict, rule, "1", "as read", "good_practice", f"Do {rule}.", mark=Mark.OWN, **more)


def _answer(*verdicts, notes=()):
    said = ("good_practice", "Good practice", "as read", "guidance", verdicts, (), (), {}, {}, notes, (), ())
    return CodeAnswer("pass", *said, mark=Mark.OWN, edition_mark=Mark.OWN)


def test_advice_that_is_not_met_stands_in_the_open_and_the_rest_is_folded():
    note = Note("R-3", "drying", "Let it dry.", "own", Mark.OWN)
    unknown = _rule("refer", "R-2", missing_facts=("barrier",))
    view = advice_view(
        [
            ("hanger", _answer(_rule("fail"), unknown, notes=(note,))),
            ("nail", _answer(_rule("fail"), _rule("pass", "R-4"), notes=(note,))),
        ]
    )
    assert view is not None
    assert [(line.word, line.parts) for line in view.open] == [
        ("Not met", "hanger and nail"),
        ("Not known", "hanger"),
    ]
    assert "barrier" in view.open[1].missing
    assert [(line.word, line.parts) for line in view.rest] == [("Met", "nail"), ("To do", "hanger and nail")]
    assert view.folded == "1 met, 1 remark"


def test_no_advice_makes_no_block():
    assert advice_view([]) is None
    assert advice_view([("nail", _answer(_rule("not_governed")))]) is None


def test_advice_of_an_assessment_is_that_of_the_pack_and_no_verdict_of_the_joint(demo):
    ask = advise(setting_for(demo.structure, np.linspace(0.0, 100.0, 9), draws=20, seed=1))
    for finding in demo.findings:
        assert finding.advice == ask(finding.joint)
        assert all(answer.kind == "guidance" for _, answer in finding.advice)
        assert all(part.code.kind == "code" for part in finding.parts)
    assert all("advice" not in one for one in assessment_json(demo)["findings"])


@pytest.mark.parametrize(
    ("text", "system", "shown"),
    [
        ("within 8047 m (5 miles) of it", "us", "within 5 miles (8047 m) of it"),
        ("within 5 miles (8047 m) of it", "si", "within 8047 m (5 miles) of it"),
        ("45.7 m (150 ft) and 9.5 mm (0.374 in)", "us", "150 ft (45.7 m) and 0.374 in (9.5 mm)"),
        ("275 g/m² (0.9 oz/ft²)", "us", "0.9 oz/ft² (275 g/m²)"),
        ("Class 3 (see R507.2.3)", "us", "Class 3 (see R507.2.3)"),
        ("2 m (a guess)", "us", "2 m (a guess)"),
    ],
)
def test_only_the_order_of_a_pair_of_measures_is_turned(text, system, shown):
    assert first_in(text, system) == shown
    assert first_in(first_in(text, system), system) == shown
