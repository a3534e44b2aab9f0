"""Floor 4: rule packs as data and one small evaluator: facts in, verdicts with clause and edition out.

>>> from longhold.codes import evaluate
>>> facts = {"item": "bolt", "size_mm": 12.7, "finish": "plain_steel", "application": "other",
...          "treatment": "acq", "exposure": "interior_dry"}
>>> answer = evaluate("us_irc", "2015", facts)
>>> answer.verdict, answer.deciding[0].exceptions[0][:9]
('pass', 'US-IRC-06')
"""

from longhold.codes.answers import CodeAnswer, Note, Verdict
from longhold.codes.cases import CaseAnswer, answer_case
from longhold.codes.evaluator import evaluate
from longhold.codes.facts import (
    complete_facts,
    facts_from_item,
    facts_from_partner,
    facts_from_protection,
    facts_from_treatment,
)
from longhold.codes.packs import Pack, Rule, list_packs, show_rule
from longhold.codes.validator import check_packs
from longhold.codes.vocabulary import Fact, vocabulary

__all__ = [
    "CaseAnswer",
    "CodeAnswer",
    "Fact",
    "Note",
    "Pack",
    "Rule",
    "Verdict",
    "answer_case",
    "check_packs",
    "complete_facts",
    "evaluate",
    "facts_from_item",
    "facts_from_partner",
    "facts_from_protection",
    "facts_from_treatment",
    "list_packs",
    "show_rule",
    "vocabulary",
]
