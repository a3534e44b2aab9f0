"""What would pass at one joint: by the code, by the chance to last there, and by the class of stainless."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from longhold.assessment.across import reasons
from longhold.assessment.annex_a import CLASSES, class_rank
from longhold.assessment.designations import designations_for_part
from longhold.assessment.enough import rungs_for
from longhold.assessment.governing import governing_pack
from longhold.assessment.joint import deciding_years
from longhold.assessment.parts import run_parts
from longhold.assessment.prepare import protections
from longhold.assessment.rule_facts import rule_facts, timbers_touched
from longhold.assessment.setting import curve_ages, setting_for
from longhold.assessment.shared import Setting
from longhold.assessment.short_of_class import class_asked, cost_step, short_of_class
from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.codes.answers import CodeAnswer, VerdictWord, strictest_answer
from longhold.codes.evaluator import evaluate_pack
from longhold.forecast.summary import Band, band_of, chance_of
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint, Structure

__all__ = ["AllowedPart", "Option", "Standing", "allowed_at", "allowed_together", "setting_of"]

Standing = Literal["enough", "not_enough", "open", "refused"]
"""Enough by all that is asked, let pass by the code but not enough, left open by it, or refused."""
_ALL_PARTS = "all parts"


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
    chance : that the joint reaches its design life with it; None where that is not decided
    no_chance : why it is not decided; empty where it is
    class_held, class_asked : of EN 1993-1-4, I to V; empty for what is no stainless, or where none is known
    cost_step : step among the stainless grades ranked by cost, and the last step; None where it has none
    standing : what all of that comes to
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
    chance: float | None = None
    no_chance: str = ""
    class_held: str = ""
    class_asked: str = ""
    cost_step: tuple[int, int] | None = None
    standing: Standing = "open"


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

    def standing(self, word: Standing) -> tuple[Option, ...]:
        """The options that come to the same."""
        return tuple(one for one in self.options if one.standing == word)


def allowed_at(
    structure: Structure,
    joint: Joint,
    part: Part | None = None,
    *,
    told: Mapping[str, Any] | None = None,
    draws: int = 2000,
    seed: int = 1,
    setting: Setting | None = None,
) -> tuple[AllowedPart, ...]:
    """Designations that the governing code lets pass at a joint, part by part.

    Each designation is tried in the place of one part while the others stay as they are.

    Parameters
    ----------
    part : one part of the joint; all of them unless given
    told : facts that the structure cannot tell; they count before its own
    draws, seed : as in ``assess``; the same draws for every designation, and as in the answer
    setting : of ``setting_of``, where several are asked one after the other; in place of draws and seed

    Raises
    ------
    InputError : for a label, an edition or a fact that cannot be used

    >>> import longhold
    >>> deck = longhold.load("demo/boardwalk.toml")
    >>> joint = deck.joints[1]
    >>> (hanger,) = allowed_at(deck, joint, joint.parts[0], draws=200)
    >>> [option.words for option in hanger.with_verdict("pass")]
    ['stainless 304', 'stainless 316', 'stainless 2205', 'stainless 2507']
    >>> [option.words for option in hanger.with_verdict("pass") if not option.short]
    ['stainless 2205', 'stainless 2507']
    """
    setting = setting or setting_of(structure, joint, draws, seed)
    parts = joint.parts if part is None else [part]
    return tuple(_part(joint, one, setting, told or {}) for one in parts)


def allowed_together(
    structure: Structure,
    joint: Joint,
    *,
    told: Mapping[str, Any] | None = None,
    draws: int = 2000,
    seed: int = 1,
    setting: Setting | None = None,
) -> AllowedPart | None:
    """The same for kinds of hardware that all parts of a joint change to; None where it has one part only.

    Parameters
    ----------
    told, draws, seed, setting : as in ``allowed_at``
    """
    if len(joint.parts) < 2:
        return None
    setting = setting or setting_of(structure, joint, draws, seed)
    code = structure.code
    options = tuple(
        _option(joint, rung.words, rung.together(joint), joint.parts, False, setting, told or {})
        for rung in rungs_for(joint, setting)
    )
    labels = " and ".join(dict.fromkeys(part.label for part in joint.parts))
    return AllowedPart(_ALL_PARTS, _ALL_PARTS, labels, governing_pack(code).title, code.edition, options)


def setting_of(structure: Structure, joint: Joint, draws: int = 2000, seed: int = 1) -> Setting:
    """What all that is tried at one joint shares: its air, its wood, and the draws."""
    alone = structure.model_copy(update={"joints": [joint]})
    return setting_for(alone, curve_ages(structure.design_life), draws=draws, seed=seed)


def _part(joint: Joint, part: Part, setting: Setting, told: Mapping[str, Any]) -> AllowedPart:
    code = setting.structure.code
    pack = governing_pack(code)
    options = tuple(_options(joint, part, setting, told))
    return AllowedPart(part.id, part.kind_words, part.label, pack.title, code.edition, options)


def _options(joint: Joint, part: Part, setting: Setting, told: Mapping[str, Any]) -> Iterator[Option]:
    readings = setting.prepared.readings
    now = {one.id: protections(one, readings[joint.id, one.id])[0] for one in joint.parts}
    for tried in designations_for_part(part, now[part.id]):
        own = tried.protection.designation == now[part.id].designation
        chosen = now | {part.id: now[part.id] if own else tried.protection}
        yield _option(joint, tried.words, chosen, [part], own, setting, told)


def _option(
    joint: Joint,
    words: str,
    chosen: Mapping[str, Protection],
    changed: Sequence[Part],
    own: bool,
    setting: Setting,
    told: Mapping[str, Any],
) -> Option:
    """What comes of a joint whose parts promise what is chosen; the code is asked of those that change."""
    answer = strictest_answer(_answer(joint, part, chosen, setting, told) for part in changed)
    deciding = answer.deciding
    shorts = [short_of_class(joint, part, chosen[part.id], setting) for part in changed]
    short = next((one for one in shorts if one is not None), None)
    forecast = _forecast(joint, chosen, changed, setting)
    stainless = [part for part in changed if chosen[part.id].base_metal == "stainless"]
    asked = max((class_asked(joint, part, setting) for part in stainless), default=0)
    held = min((class_rank(chosen[part.id]) or 0 for part in stainless), default=0)
    return Option(
        words=words,
        own=own,
        verdict=answer.verdict,
        clauses=tuple(dict.fromkeys(one.clause for one in deciding)),
        because=() if answer.verdict == "pass" else reasons(deciding),
        missing_facts=answer.missing_facts,
        mark=answer.mark,
        recalled=tuple(dict.fromkeys(name for one in deciding for name in one.recalled)),
        years=forecast.years,
        no_years=forecast.no_years,
        short="" if short is None else short.gap,
        chance=forecast.chance,
        no_chance=forecast.no_chance,
        class_held=CLASSES[held],
        class_asked=CLASSES[asked],
        cost_step=cost_step(chosen[changed[0].id]),
        standing=_standing(answer.verdict, forecast.chance, short is not None, setting),
    )


def _standing(verdict: VerdictWord, chance: float | None, short: bool, setting: Setting) -> Standing:
    if verdict == "fail":
        return "refused"
    if verdict == "refer":
        return "open"
    reached = chance is not None and chance >= setting.structure.target_chance
    return "enough" if reached and not short else "not_enough"


def _answer(
    joint: Joint, part: Part, chosen: Mapping[str, Protection], setting: Setting, told: Mapping[str, Any]
) -> CodeAnswer:
    code, prepared = setting.structure.code, setting.prepared
    pack = governing_pack(code)
    facts = [
        rule_facts(
            setting.structure, prepared, joint, part, timber, chosen[part.id], setting.air, together=chosen
        )
        | dict(told)
        for timber in timbers_touched(joint, part)
    ]
    return strictest_answer(evaluate_pack(pack, code.edition, one, suggest=False) for one in facts)


@dataclass(frozen=True)
class _Forecast:
    years: Band | None = None
    no_years: str = ""
    chance: float | None = None
    no_chance: str = ""


def _forecast(
    joint: Joint, chosen: Mapping[str, Protection], changed: Sequence[Part], setting: Setting
) -> _Forecast:
    """Years to first loss of base metal of what changes, and the chance of the whole joint."""
    try:
        runs = run_parts(joint, setting, [chosen[part.id] for part in joint.parts])
    except InputError as error:
        return _Forecast(no_years=str(error), no_chance=str(error))
    ours = [run for run in runs if run.part in changed]
    refer = "; ".join(dict.fromkeys(one.rstrip(".") for run in ours for one in run.refer))
    ends = [run.protection_years for run in ours if run.protection_years is not None]
    life = setting.structure.design_life
    others = "; ".join(dict.fromkeys(one.rstrip(".") for run in runs for one in run.refer))
    deciding = None if others else deciding_years(joint, runs, life)
    return _Forecast(
        years=band_of(np.min(ends, axis=0)) if ends else None,
        no_years="" if ends else refer or "no layer to lose",
        chance=None if deciding is None else chance_of(deciding, life),
        no_chance="" if deciding is not None else refer or others or "nothing of it is computed",
    )
