"""What the governing code says of one part, its own or another protection tried in its place."""

from __future__ import annotations

from collections.abc import Mapping

from longhold.assessment.governing import governing_pack
from longhold.assessment.rule_facts import rule_facts, timbers_touched
from longhold.assessment.shared import Setting
from longhold.codes.answers import CodeAnswer, strictest_answer
from longhold.codes.evaluator import evaluate_pack
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint

__all__ = ["code_answer"]


def code_answer(
    joint: Joint,
    part: Part,
    protection: Protection,
    setting: Setting,
    *,
    suggest: bool = True,
    together: Mapping[str, Protection] | None = None,
) -> CodeAnswer:
    """What the governing code says of one part: the strictest answer over the timbers that it touches.

    Parameters
    ----------
    suggest : whether other finishes are tried where it does not pass
    together : protection of the joint's parts by id, where others than their own labels' are tried
    """
    return strictest_answer(
        _answer_in(name, joint, part, protection, setting, suggest, together)
        for name in timbers_touched(joint, part)
    )


def _answer_in(
    timber: str,
    joint: Joint,
    part: Part,
    protection: Protection,
    setting: Setting,
    suggest: bool,
    together: Mapping[str, Protection] | None,
) -> CodeAnswer:
    code, structure, prepared = setting.structure.code, setting.structure, setting.prepared
    facts = rule_facts(structure, prepared, joint, part, timber, protection, setting.air, together)
    key = (suggest, frozenset(facts.items()))
    if key not in setting.code_answers:
        setting.code_answers[key] = evaluate_pack(governing_pack(code), code.edition, facts, suggest=suggest)
    return setting.code_answers[key]
