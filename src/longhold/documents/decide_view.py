"""What to do with each joint that stands, in words: the answer, why, and what each other thing would cost."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from longhold.assessment.assumptions import cost_defaults
from longhold.assessment.ends import pits_left_out_words
from longhold.base.marks import weakest
from longhold.documents.choice_words import money
from longhold.documents.figures import chance, share
from longhold.documents.joint_ids import ids_words
from longhold.documents.words import upper_first
from longhold.inspect.actions import ACTION_WORDS, Action, Prospect
from longhold.inspect.decide import Answer, Asked, Decision, Decisions, Turned, safe_actions
from longhold.inspect.lives import site_paint
from longhold.inspect.plan import InspectionPlan
from longhold.inspect.spreads import spread_row
from longhold.model.field_words import field_words

__all__ = [
    "ActionRow",
    "DecisionRow",
    "answer_words",
    "assumed_of",
    "assumed_rows",
    "decide_lede",
    "decision_rows",
    "next_words",
    "turned_lines",
]

_MAKE_SAFE = "Make safe now, and call a licensed engineer"
_IN_DECISIONS = {"costs.fixing_per_joint": "no labor of fixing is stated: strengthening is not weighed"}
_ORDER = ("make_safe", "refer")


@dataclass(frozen=True)
class ActionRow:
    """One thing that may be done: expected cost for one joint, chance of being below, and what of it."""

    action: Action
    words: str
    cost: str
    below: str
    remark: str


@dataclass(frozen=True)
class DecisionRow:
    """One decision for people.

    Attributes
    ----------
    ids, name, quantity : of the joints
    kind : the answer by its short name
    answer, why : in words
    below_now, below_next : chance that its end has come, and that it has by the next visit if it is kept
    actions : what may be done; empty where it is to be made safe, or is undecided
    turned : what was to be done without the readings, where they turn it; blank elsewhere
    """

    ids: tuple[str, ...]
    name: str
    quantity: int
    kind: Answer
    answer: str
    why: str
    below_now: str
    below_next: str
    actions: tuple[ActionRow, ...]
    turned: str


def answer_words(answer: Answer) -> str:
    """An answer as a sentence without its stop.

    >>> answer_words("make_safe"), answer_words("renew_next")
    ('Make safe now, and call a licensed engineer', 'Renew at the next visit')
    """
    if answer == "make_safe":
        return _MAKE_SAFE
    if answer == "refer":
        return "Undecided: somebody must look, measure or decide"
    return upper_first(ACTION_WORDS[answer])


def next_words(asked: Asked) -> str:
    """How long until the next visit.

    >>> import datetime
    >>> next_words(Asked(datetime.date(2031, 5, 1), 1.0)), next_words(Asked(datetime.date(2031, 5, 1), 2.5))
    ('1 year', '2.5 years')
    """
    return f"{asked.next_years:g} {'year' if asked.next_years == 1.0 else 'years'}"


def decide_lede(found: Decisions, turns: Sequence[Turned] | None = None) -> str:
    """The answer in a few sentences, what must be made safe first.

    Parameters
    ----------
    turns : what readings turn; None where there are none
    """
    return " ".join(_lede(found, turns))


def _lede(found: Decisions, turns: Sequence[Turned] | None) -> Iterator[str]:
    unsafe = [id_ for one in found.each if one.answer == "make_safe" for id_ in one.prospect.life.ids]
    if unsafe:
        yield f"{_MAKE_SAFE}: {ids_words(unsafe)}."
    for answer in dict.fromkeys(one.answer for one in found.each):
        if answer not in _ORDER:
            ids = [id_ for one in found.each if one.answer == answer for id_ in one.prospect.life.ids]
            yield f"{answer_words(answer)}: {ids_words(ids)}."
    if open_ids := [id_ for one in found.each if one.answer == "refer" for id_ in one.prospect.life.ids]:
        yield f"Undecided: {ids_words(open_ids)}."
    if turns is not None:
        named = ids_words([one.joint for one in turns])
        yield f"The readings turn the decision for {named}." if turns else "The readings turn no decision."


def decision_rows(found: Decisions, turns: Sequence[Turned] = ()) -> list[DecisionRow]:
    """Every decision, what must be made safe first, then in the order of the structure."""
    before = {one.joint: one.before for one in turns}
    rows = [_row(one, found, before) for one in found.each]
    return sorted(rows, key=lambda row: row.kind != "make_safe")


def turned_lines(turns: Sequence[Turned]) -> list[tuple[str, str]]:
    """Joint and what the readings turn, in words."""
    return [(one.joint, f"{answer_words(one.before)} → {_lower(answer_words(one.after))}") for one in turns]


def assumed_rows(found: Decisions, *, stated_next: bool) -> list[tuple[str, str, str]]:
    """What was taken without being stated, or is not counted: what, taken as, because.

    Parameters
    ----------
    stated_next : whether the time to the next visit was stated
    """
    prospects = [one.prospect for one in found.each]
    return list(assumed_of(found, prospects, stated_next=stated_next))


def assumed_of(
    found: Decisions | InspectionPlan, prospects: Iterable[Prospect], *, stated_next: bool
) -> Iterator[tuple[str, str, str]]:
    """The same of what was asked and what may be done."""
    asked, structure = found.asked, found.structure
    if asked.limit is None:
        yield (
            "limit",
            share(asked.most_below),
            "no greatest chance of being below is stated: this one is ours, and no code's",
        )
    if not stated_next:
        yield "next visit", f"in {next_words(asked)}", "the time to the next visit is not stated"
    yield (
        "costs count",
        f"for {found.horizon_years:.0f} years",
        "to the end of the design life, or to the next visit if that is later; nothing is left after",
    )
    yield (
        "renewed hardware",
        "the same as now",
        "it lasts as long in the same draw: a choice for the structure finds better",
    )
    if any("paint" in one.costs for one in prospects):
        yield _paint_assumed()
    unloaded = [one.id for one in structure.joints if one.role == "structural" and not _loaded(one)]
    if unloaded:
        yield (
            "load",
            f"none stated: {ids_words(unloaded)}",
            f"strength ends at {share(structure.strength_fraction)} of new; whether they carry is not known",
        )
    for one in cost_defaults(found.costs, standing=True):
        yield field_words(one.where), one.value, _IN_DECISIONS.get(one.where, one.because)


def _paint_assumed() -> tuple[str, str, str]:
    life, labor = site_paint(), spread_row("paint_labor")
    mark = weakest([life["mark"], labor["mark"]])
    return (
        "paint",
        f"{share(labor['value'])} of the labor of renewing; half of it lasts {life['median_years']:g} years",
        f"put on by hand on site it is {life['words']} (ISO 12944); its price is not counted [{mark.value}]",
    )


def _loaded(joint: object) -> bool:
    return any(getattr(joint, name) is not None for name in ("demand", "demand_withdrawal"))


def _row(one: Decision, found: Decisions, before: dict[str, Answer]) -> DecisionRow:
    life = one.prospect.life
    was = before.get(life.ids[0])
    return DecisionRow(
        life.ids,
        life.joint.name,
        life.quantity,
        one.answer,
        answer_words(one.answer),
        " ".join(_why(one, found)),
        _chance_of(one, one.prospect.below_now),
        _chance_of(one, one.prospect.below_next),
        () if one.answer in _ORDER else tuple(_actions(one, found)),
        f"Without the readings: {_lower(answer_words(was))}." if was else "",
    )


def _why(one: Decision, found: Decisions) -> Iterator[str]:
    life, asked = one.prospect.life, found.asked
    limit = share(asked.most_below)
    if one.answer == "make_safe":
        yield f"{_below_words(one, found)} That is more than {limit}: support it or keep people away"
        yield "until an engineer has seen it. It is no question of money."
    elif one.prospect.below_now is None:
        yield "No end of its life is computed."
    elif life.by_strength:
        yield _below_words(one, found)
    else:
        pits = pits_left_out_words(life.leaves_pits_out)
        yield (
            f"The chance that its protection has ended is {chance(one.prospect.below_now)}, "
            f"and {chance(one.prospect.below_next)} in {next_words(asked)}{pits}; "
            "its strength does not decide."
        )
        if one.answer not in _ORDER:
            yield "Of all that may be done, this costs least."
    if one.answer not in _ORDER and life.by_strength:
        yield from _safe_words(one, asked, limit)
    if life.refer:
        yield f"Not computed: {'; '.join(life.refer)}."
    if one.answer == "refer" and life.by_strength and (one.prospect.below_next or 0.0) > asked.most_below:
        yield f"That is more than {limit} of what is computed: do not wait for the next visit to settle it."
    if life.by_strength and not _loaded(life.joint):
        yield "No load is stated, so whether it carries its load is not known: state demand."


def _below_words(one: Decision, found: Decisions) -> str:
    fraction = f"{share(found.structure.strength_fraction)} of new"
    if not one.prospect.life.loaded:
        what = fraction
    elif one.prospect.life.refer:
        what = f"its load, or {fraction} where that is not checked"
    else:
        what = "its load"
    now, later = chance(one.prospect.below_now), chance(one.prospect.below_next)
    told = f"The chance that its strength is below {what} is {now} now"
    pits = pits_left_out_words(one.prospect.life.leaves_pits_out)
    return f"{told}, and {later} in {next_words(found.asked)}{pits}."


def _chance_of(one: Decision, value: float | None) -> str:
    return f"{chance(value)}{pits_left_out_words(one.prospect.life.leaves_pits_out and value is not None)}"


def _safe_words(one: Decision, asked: Asked, limit: str) -> Iterator[str]:
    below = one.prospect.below
    if min(below.values()) > asked.most_below:
        yield (
            f"Nothing keeps it within {limit}, new hardware of the same kind neither "
            f"({chance(below['renew_now'])}): renew it with what a choice for the structure finds better, "
            "or add that beside it."
        )
    elif below["keep"] > asked.most_below:
        yield f"Keeping it would pass {limit}; of what does not, this costs least."
    else:
        yield f"Keeping it stays within {limit}; of all that does, this costs least."


def _actions(one: Decision, found: Decisions) -> Iterator[ActionRow]:
    limit = share(found.asked.most_below)
    safe = safe_actions(one.prospect, one.prospect.below, found.asked.most_below)
    for action, mean in one.mean_costs.items():
        above = one.prospect.life.by_strength and one.prospect.below[action] > found.asked.most_below
        if action == one.answer:
            remark = f"to be done, though above {limit} itself" if above else "to be done"
        elif action not in safe:
            remark = f"not safe: above {limit}"
        else:
            remark = ""
        cost = money(mean, found.costs.currency)
        yield ActionRow(
            action, answer_words(action), cost, _chance_of(one, one.prospect.below[action]), remark
        )


def _lower(words: str) -> str:
    return f"{words[:1].lower()}{words[1:]}"
