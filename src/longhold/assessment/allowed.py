"""Which designations the governing code lets pass at one joint, and how long each would protect there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from longhold.assessment.across import reasons
from longhold.assessment.designations import Tried, designations_for_part
from longhold.assessment.governing import governing_pack
from longhold.assessment.parts import run_parts
from longhold.assessment.prepare import protections
from longhold.assessment.rule_facts import rule_facts, timbers_touched
from longhold.assessment.setting import setting_for
from longhold.assessment.shared import Setting
from longhold.assessment.short_of_class import short_of_class
from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.codes.answers import CodeAnswer, VerdictWord, strictest_answer
from longhold.codes.evaluator import evaluate_pack
from longhold.forecast.summary import Band, band_of
from longhold.model.parts import Part
from longhold.model.structure import Joint, Structure

__all__ = ["AllowedPart", "Option", "allowed_at"]


@dataclass(frozen=True)
class Option:
    """One designation tried in the place of a part.

    Attributes
    ----------
    words : as written, with the class that the size selects
    own : whether it is what the part's own label promises
    verdict : of the governing code
    clauses : deciding clauses
    because : why it is refused or left open, in words; empty where it passes
    missing_facts : facts that are not told and decide
    mark : weakest of the deciding rules
    recalled : ids of the deciding rules that rest on memory
    years : to first loss of base metal at this joint; None where it has no layer to lose, or none is computed
    no_years : why there are no years; empty where there are
    short : what EN 1993-1-4 asks of stainless here that it does not have, in words; empty where nothing is
        missing. It stands beside the governing code and changes nothing in the verdict
    """

    words: str
    own: bool
    verdict: VerdictWord
    clauses: tuple[str, ...]
    because: tuple[str, ...]
    missing_facts: tuple[str, ...]
    mark: Mark
    recalled: tuple[str, ...]
    years: Band | None
    no_years: str
    short: str = ""


@dataclass(frozen=True)
class AllowedPart:
    """The options for one part, least protective first.

    Attributes
    ----------
    part, kind_words, label : which part, and what it has now
    title, edition : of the governing code
    options : every designation tried
    """

    part: str
    kind_words: str
    label: str
    title: str
    edition: str
    options: tuple[Option, ...]

    def with_verdict(self, *words: VerdictWord) -> tuple[Option, ...]:
        """The options with one of some verdicts."""
        return tuple(one for one in self.options if one.verdict in words)


def allowed_at(
    structure: Structure,
    joint: Joint,
    part: Part | None = None,
    *,
    told: Mapping[str, Any] | None = None,
    draws: int = 400,
    seed: int = 1,
) -> tuple[AllowedPart, ...]:
    """Designations that the governing code lets pass at a joint, part by part.

    Each designation is tried in the place of one part while the others stay as they are.

    Parameters
    ----------
    part : one part of the joint; all of them unless given
    told : facts that the structure cannot tell; they count before its own
    draws, seed : of the uncertain inputs behind the years

    Raises
    ------
    InputError : for a label, an edition or a fact that cannot be used

    >>> import longhold
    >>> deck = longhold.load("demo/boardwalk.toml")
    >>> hanger = allowed_at(deck, deck.joints[1])[0]
    >>> [option.words for option in hanger.with_verdict("pass")]
    ['stainless 304', 'stainless 316', 'stainless 2205', 'stainless 2507']
    >>> [option.words for option in hanger.with_verdict("pass") if not option.short]
    ['stainless 2205', 'stainless 2507']
    """
    alone = structure.model_copy(update={"joints": [joint]})
    setting = setting_for(alone, np.linspace(0.0, 2.0 * structure.design_life, 9), draws=draws, seed=seed)
    parts = joint.parts if part is None else [part]
    return tuple(_part(joint, one, setting, told or {}) for one in parts)


def _part(joint: Joint, part: Part, setting: Setting, told: Mapping[str, Any]) -> AllowedPart:
    code = setting.structure.code
    pack = governing_pack(code)
    options = tuple(_options(joint, part, setting, told))
    return AllowedPart(part.id, part.kind_words, part.label, pack.title, code.edition, options)


def _options(joint: Joint, part: Part, setting: Setting, told: Mapping[str, Any]) -> Iterator[Option]:
    own = protections(part, setting.prepared.readings[joint.id, part.id])[0]
    for tried in designations_for_part(part, own):
        answer = _answer(joint, part, tried, setting, told)
        deciding = answer.deciding
        years, no_years = _years(joint, part, tried, setting)
        short = short_of_class(joint, part, tried.protection, setting)
        yield Option(
            words=tried.words,
            own=tried.protection.designation == own.designation,
            verdict=answer.verdict,
            clauses=tuple(dict.fromkeys(one.clause for one in deciding)),
            because=() if answer.verdict == "pass" else reasons(deciding),
            missing_facts=answer.missing_facts,
            mark=answer.mark,
            recalled=tuple(dict.fromkeys(name for one in deciding for name in one.recalled)),
            years=years,
            no_years=no_years,
            short="" if short is None else short.gap,
        )


def _answer(joint: Joint, part: Part, tried: Tried, setting: Setting, told: Mapping[str, Any]) -> CodeAnswer:
    code, prepared = setting.structure.code, setting.prepared
    pack = governing_pack(code)
    facts = [
        rule_facts(setting.structure, prepared, joint, part, timber, tried.protection, setting.air)
        | dict(told)
        for timber in timbers_touched(joint, part)
    ]
    return strictest_answer(evaluate_pack(pack, code.edition, one, suggest=False) for one in facts)


def _years(joint: Joint, part: Part, tried: Tried, setting: Setting) -> tuple[Band | None, str]:
    """Years to first loss of base metal with a designation, the other parts as they are."""
    readings = setting.prepared.readings
    chosen = [
        tried.protection if one is part else protections(one, readings[joint.id, one.id])[0]
        for one in joint.parts
    ]
    try:
        runs = run_parts(joint, setting, chosen)
    except InputError as error:
        return None, str(error)
    run = runs[joint.parts.index(part)]
    if run.protection_years is not None:
        return band_of(run.protection_years), ""
    return None, "; ".join(run.refer) or "no layer to lose"
