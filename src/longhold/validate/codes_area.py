"""Area codes: verdicts of the rule packs, with the rule that decides."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from longhold.validate.area import Area, Judged, Row, UnansweredError

if TYPE_CHECKING:
    from longhold.codes.cases import CaseAnswer
    from longhold.model.protection import Protection

__all__ = ["CODES"]

_GIVEN = (
    "check_type",
    "jurisdiction",
    "code",
    "edition",
    "application",
    "treatment",
    "exposure",
    "service_class",
    "nz_zone",
    "nz_env",
    "distance_to_sea_m",
    "height_above_ground_mm",
    "item",
    "size_mm",
    "offered_finish",
    "maker_recommendation",
    "site_note",
)


class _Wanted(NamedTuple):
    verdict: str
    rules: frozenset[str]

    def __str__(self) -> str:
        return f"{self.verdict} by {', '.join(sorted(self.rules))}"


def _expect(row: Row) -> _Wanted:
    rules = frozenset(rule.strip() for rule in row["deciding_rule_ids"].split(";") if rule.strip())
    verdict = row["expected"].strip()
    if not verdict or not rules:
        raise ValueError("expected and deciding_rule_ids may not be blank")
    return _Wanted(verdict, rules)


def _answer(given: Mapping[str, str]) -> CaseAnswer:
    from longhold.codes.cases import answer_case
    from longhold.labels.read import read_label
    from longhold.labels.reading import LabelError

    def read(text: str) -> Protection | None:
        try:
            return read_label(text).protection
        except LabelError:
            return None

    answer = answer_case(given, read)
    if answer is None:
        raise UnansweredError(
            f"no rule pack covers {given['code']} {given['edition']} for {given['check_type']}"
        )
    return answer


def _judge(expected: _Wanted, answer: CaseAnswer) -> Judged:
    given = set(answer.rules)
    verdict_right = answer.verdict == expected.verdict
    rule_given = bool(given & expected.rules)
    why = []
    if not verdict_right:
        why.append(f"verdict should be {expected.verdict}")
    if not rule_given:
        why.append(f"none of {', '.join(sorted(expected.rules))} is given")
    tags = [name for name, yes in (("verdict", verdict_right), ("rule", rule_given)) if yes]
    got = f"{answer.verdict} by {', '.join(answer.rules)}"
    return Judged(str(expected), got, verdict_right and rule_given, "; ".join(why), tags=tuple(tags))


def _figures(judged: Sequence[Judged]) -> Mapping[str, float]:
    return {
        "verdicts_right": sum("verdict" in one.tags for one in judged),
        "rows_with_a_deciding_rule": sum("rule" in one.tags for one in judged),
    }


CODES = Area(
    name="codes",
    words="verdicts of building codes: right with the expected verdict and one of the rules that decide",
    columns=(*_GIVEN, "expected", "deciding_rule_ids"),
    given=_GIVEN,
    expect=_expect,
    answer=_answer,
    judge=_judge,
    figures=_figures,
)
