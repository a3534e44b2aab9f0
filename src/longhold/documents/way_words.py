"""Where nothing on offer will do: what a person gives up to get something, and what is then to be had."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import floor

from longhold.assessment.alternatives import Trial
from longhold.assessment.ends import pits_left_out_words
from longhold.assessment.part_code import code_answer
from longhold.choose.choice import Market
from longhold.choose.conflicts import Way, if_accepted, whole_years
from longhold.choose.outlook import Bought
from longhold.codes.answers import CodeAnswer
from longhold.codes.vocabulary import vocabulary
from longhold.documents.choice_words import age_words, chance_words, money, names_words, sure_words
from longhold.documents.words import plural
from longhold.metal.couples import mixed_couples

__all__ = ["way_words"]

_BY_HAND = "It does not come on this order: add it by hand once that is settled."
_LESS = frozenset({"target", "age"})
_MOST_TOLD = 3
_ROUNDING = 1e-9


def way_words(way: Way, market: Market) -> str:
    """What is given up, by its name, and what could be bought then.

    A chance and an age are rounded down: asked for as they are told, they are had.
    """
    options = _least_refused(way, market)
    if _LESS.intersection(way.given_up):
        told = _asking_less(way, market)
    elif "computed" in way.given_up:
        told = _not_computed(way, options, market)
    else:
        one = options[0]
        reached = f"{_chance(one, market)}; {sure_words(market)}: {age_words(one.sure_years, market)}"
        told = f"{_give(way, one, market)}: then {_for(one, market)}, {reached}."
    by_hand = "code" in way.given_up or "one_metal" in way.given_up
    return f"{told} {_BY_HAND}" if by_hand else told


def _asking_less(way: Way, market: Market) -> str:
    found = list(_less(way, market))
    if not found:
        return _none_lasts(way, market)
    it = "Either" if len(found) > 1 else "It"
    if len(found) == 2 and found[0][0] is found[1][0]:
        found = [(found[0][0], f"{found[0][1]}, or {found[1][1]}")]
    told = "; or ".join(
        f"{' and '.join([*_others(way, one, market), less])}: then {_for(one, market)}"
        f"{pits_left_out_words(one.option.trial.leaves_pits_out)}"
        for one, less in found
    )
    told += f". {it} is asked of every joint."
    if all(way.best is not one for one, _ in found):
        told += (
            f" {_for(way.best, market)} costs least: {_chance(way.best, market)}; {_sure(way.best, market)}."
        )
    return told


def _less(way: Way, market: Market) -> Iterator[tuple[Bought, str]]:
    structure = market.structure
    if "target" not in way.given_up:
        years = floor(way.longest.sure_years)
        if years >= 1:
            yield way.longest, f"ask for no more than {plural(years, 'year')}"
        return
    pct, years = floor(100.0 * way.surest.chance + _ROUNDING), whole_years(way.longest, market.setting)
    if pct >= 1:
        asked = f"{100.0 * structure.target_chance:g} %"
        yield way.surest, f"accept a chance of {pct} % instead of {asked}"
    if years >= 1:
        yield way.longest, f"ask for {plural(years, 'year')} instead of {structure.design_life:g}"


def _none_lasts(way: Way, market: Market) -> str:
    one = way.surest
    give = names_words([*_others(way, one, market), "ask for less"])
    return (
        f"{give}: but no fewer years and no lower chance help, for even {_for(one, market)} has a "
        f"{_chance(one, market)}; {_sure(one, market)}."
    )


def _not_computed(way: Way, options: Sequence[Bought], market: Market) -> str:
    by_reason: dict[tuple[str, ...], Bought] = {}
    for one in options:
        by_reason.setdefault(one.option.trial.refer, one)
    least = [one for why, one in by_reason.items() if not any(set(other) < set(why) for other in by_reason)]
    tried = [(one, if_accepted(one, market.setting)) for one in least]
    tried.sort(key=lambda pair: not _meets(pair[1], market))
    told = [_unknown(one, accepted, market) for one, accepted in tried[:_MOST_TOLD]]
    more = len(tried) - len(told)
    rest = f" And {more} more, each for another reason." if more > 0 else ""
    return f"{_give(way, tried[0][0], market)}: then {' Or '.join(told)}{rest}"


def _unknown(one: Bought, accepted: Trial | None, market: Market) -> str:
    why = "; ".join(line.rstrip(".") for line in one.option.trial.refer)
    told = f"{_for(one, market)}. Not computed: {why}."
    if accepted is None:
        return f"{told} {_BY_HAND}"
    if accepted.chance is None:
        return f"{told} Accepting its class does not help: it stays not computed. {_BY_HAND}"
    known = f"its chance of {market.structure.design_life:g} years is {chance_words(accepted)}"
    if _meets(accepted, market):
        return f"{told} Once that is accepted, {known}, and it comes on the order."
    asked = f"{100.0 * market.structure.target_chance:g} %"
    return f"{told} Accepting it does not help: {known}, and {asked} is asked. {_BY_HAND}"


def _meets(accepted: Trial | None, market: Market) -> bool:
    chance = None if accepted is None else accepted.chance
    return chance is not None and chance >= market.structure.target_chance


def _give(way: Way, one: Bought, market: Market) -> str:
    return " and ".join(_others(way, one, market))


def _others(way: Way, one: Bought, market: Market) -> Iterator[str]:
    """What is given up besides chance and age, for one option, each thing by its name."""
    for name in way.given_up:
        if name == "one_metal":
            yield _mixing(one)
        elif name == "code":
            yield f"settle with the official what {'; '.join(_open_rules(one, market))}"
        elif name == "computed":
            yield "take hardware of which it is not known whether it lasts"
        elif name not in _LESS:
            yield _saying(name, way.said.in_the_way_of(one, name))


def _saying(name: str, items: Sequence[str]) -> str:
    named = names_words(items)
    return {
        "lock": f"give up the lock on {named}",
        "ban": f"lift the ban on {named}",
        "stock": f"wait until {named} {'is' if len(items) == 1 else 'are'} in stock again",
    }[name]


def _mixing(one: Bought) -> str:
    pairs = list(zip(one.group.joint.parts, one.option.offers, strict=True))
    metals = {part.id: f"{part.id} ({offer.protection.designation})" for part, offer in pairs}
    couples = mixed_couples([(part.id, offer.protection, part.is_fastener) for part, offer in pairs])
    met = [
        f"{metals[each.first]} and {metals[each.second]} may meet, where the {each.suffers} suffers"
        for each in couples
    ]
    return f"let an engineer settle whether {'; '.join(met)}"


def _open_rules(one: Bought, market: Market) -> Iterator[str]:
    """What the code refuses or leaves open, part by part; what is the same of several parts once."""
    told: dict[str, list[str]] = {}
    for part, answer in _answers(one, market):
        rule = answer.deciding[0].clause if answer.deciding else ""
        code = f"{answer.title} {answer.edition}, {rule}".rstrip(", ")
        if answer.verdict == "fail":
            told.setdefault(f"{code} refuses:", []).append(part)
        elif answer.verdict == "refer":
            nouns = [vocabulary()[name].noun for name in answer.missing_facts if name in vocabulary()]
            why = f" (not stated: {', '.join(nouns)})" if nouns else ""
            told.setdefault(f"{code} leaves open{why}:", []).append(part)
    for words, parts in told.items():
        yield f"{words} {names_words(parts)}"


def _answers(one: Bought, market: Market) -> Iterator[tuple[str, CodeAnswer]]:
    joint = one.group.joint
    pairs = list(zip(joint.parts, one.option.offers, strict=True))
    together = {part.id: offer.protection for part, offer in pairs}
    for part, offer in pairs:
        answer = code_answer(joint, part, offer.protection, market.setting, suggest=False, together=together)
        yield f"the {part.id} ({offer.protection.designation})", answer


def _least_refused(way: Way, market: Market) -> Sequence[Bought]:
    """Options that the code leaves open, where there are such, before those that it refuses."""
    if "code" not in way.given_up:
        return way.options
    refused: dict[int, bool] = {}
    for one in way.options:
        known = id(one.option.trial)
        if known not in refused:
            refused[known] = any(answer.verdict == "fail" for _, answer in _answers(one, market))
    return sorted(way.options, key=lambda one: refused[id(one.option.trial)])


def _for(one: Bought, market: Market) -> str:
    items = names_words(list(dict.fromkeys(chosen.offer.item for chosen in one.option.offers)))
    return f"{items} for {money(one.group.quantity * one.material, market.costs.currency)}"


def _chance(one: Bought, market: Market) -> str:
    return f"chance of {market.structure.design_life:g} years {chance_words(one.option.trial)}"


def _sure(one: Bought, market: Market) -> str:
    return f"{sure_words(market)}: {age_words(one.sure_years, market)}"
