"""Where nothing on offer will do: what a person gives up to get something, and what is then to be had."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import floor

from longhold.assessment.alternatives import Trial
from longhold.assessment.ends import pits_left_out_words
from longhold.choose.choice import Market
from longhold.choose.outlook import Bought
from longhold.choose.ways_out import WayOut, WithAnswers
from longhold.codes.vocabulary import vocabulary
from longhold.documents.choice_words import age_words, chance_words, money, names_words, sure_words
from longhold.documents.words import plural

__all__ = ["way_words"]

_BY_HAND = "It does not come on this order: add it by hand once that is settled."
_LESS = frozenset({"target", "age"})
_MOST_TOLD = 3
_ROUNDING = 1e-9


def way_words(out: WayOut, market: Market) -> str:
    """What is given up, by its name, and what could be bought then.

    A chance and an age are rounded down: asked for as they are told, they are had.
    """
    given_up = out.way.given_up
    if _LESS.intersection(given_up):
        told = _asking_less(out, market)
    elif "computed" in given_up:
        told = _not_computed(out, market)
    else:
        one = out.first.bought
        reached = f"{_chance(one, market)}; {sure_words(market)}: {age_words(one.sure_years, market)}"
        told = f"{_give(out, out.first)}: then {_for(one, market)}, {reached}."
    by_hand = "code" in given_up or "one_metal" in given_up
    return f"{told} {_BY_HAND}" if by_hand else told


def _asking_less(out: WayOut, market: Market) -> str:
    found = list(_less(out, market))
    if not found:
        return _none_lasts(out, market)
    it = "Either" if len(found) > 1 else "It"
    named = [one.bought for one, _ in found]
    if len(found) == 2 and named[0] is named[1]:
        found = [(found[0][0], f"{found[0][1]}, or {found[1][1]}")]
    told = "; or ".join(
        f"{' and '.join([*_others(out, one), less])}: then {_for(one.bought, market)}"
        f"{pits_left_out_words(one.bought.option.trial.leaves_pits_out)}"
        for one, less in found
    )
    told += f". {it} is asked of every joint."
    best = out.best.bought
    if all(best is not one for one in named):
        told += f" {_for(best, market)} costs least: {_chance(best, market)}; {_sure(best, market)}."
    return told


def _less(out: WayOut, market: Market) -> Iterator[tuple[WithAnswers, str]]:
    structure = market.structure
    if "target" not in out.way.given_up:
        years = floor(out.longest.bought.sure_years)
        if years >= 1:
            yield out.longest, f"ask for no more than {plural(years, 'year')}"
        return
    pct = floor(100.0 * out.surest.bought.chance + _ROUNDING)
    if pct >= 1:
        asked = f"{100.0 * structure.target_chance:g} %"
        yield out.surest, f"accept a chance of {pct} % instead of {asked}"
    if out.years >= 1:
        yield out.longest, f"ask for {plural(out.years, 'year')} instead of {structure.design_life:g}"


def _none_lasts(out: WayOut, market: Market) -> str:
    one = out.surest.bought
    give = names_words([*_others(out, out.surest), "ask for less"])
    return (
        f"{give}: but no fewer years and no lower chance help, for even {_for(one, market)} has a "
        f"{_chance(one, market)}; {_sure(one, market)}."
    )


def _not_computed(out: WayOut, market: Market) -> str:
    told = [_unknown(one.bought, accepted, market) for one, accepted in out.unknown[:_MOST_TOLD]]
    more = len(out.unknown) - len(told)
    rest = f" And {more} more, each for another reason." if more > 0 else ""
    return f"{_give(out, out.unknown[0][0])}: then {' Or '.join(told)}{rest}"


def _unknown(one: Bought, accepted: Trial | None, market: Market) -> str:
    why = "; ".join(line.rstrip(".") for line in one.option.trial.refer)
    told = f"{_for(one, market)}. Not computed: {why}."
    if accepted is None:
        return f"{told} {_BY_HAND}"
    if accepted.chance is None:
        return f"{told} Accepting its class does not help: it stays not computed. {_BY_HAND}"
    known = f"its chance of {market.structure.design_life:g} years is {chance_words(accepted)}"
    if accepted.meets(market.structure.target_chance):
        return f"{told} Once that is accepted, {known}, and it comes on the order."
    asked = f"{100.0 * market.structure.target_chance:g} %"
    return f"{told} Accepting it does not help: {known}, and {asked} is asked. {_BY_HAND}"


def _give(out: WayOut, one: WithAnswers) -> str:
    return " and ".join(_others(out, one))


def _others(out: WayOut, one: WithAnswers) -> Iterator[str]:
    """What is given up besides chance and age, for one option, each thing by its name."""
    way = out.way
    for name in way.given_up:
        if name == "one_metal":
            yield _mixing(one)
        elif name == "code":
            yield f"settle with the official what {'; '.join(_open_rules(one))}"
        elif name == "computed":
            yield "take hardware of which it is not known whether it lasts"
        elif name not in _LESS:
            yield _saying(name, way.said.in_the_way_of(one.bought, name))


def _saying(name: str, items: Sequence[str]) -> str:
    named = names_words(items)
    return {
        "lock": f"give up the lock on {named}",
        "ban": f"lift the ban on {named}",
        "stock": f"wait until {named} {'is' if len(items) == 1 else 'are'} in stock again",
    }[name]


def _mixing(one: WithAnswers) -> str:
    metals = {part.id: f"{part.id} ({offer.protection.designation})" for part, offer in one.parts}
    met = [
        f"{metals[each.first]} and {metals[each.second]} may meet, where the {each.suffers} suffers"
        for each in one.couples
    ]
    return f"let an engineer settle whether {'; '.join(met)}"


def _open_rules(one: WithAnswers) -> Iterator[str]:
    """What the code refuses or leaves open, part by part; what is the same of several parts once."""
    told: dict[str, list[str]] = {}
    for (part, offer), answer in zip(one.parts, one.answers, strict=True):
        named = f"the {part.id} ({offer.protection.designation})"
        rule = answer.deciding[0].clause if answer.deciding else ""
        code = f"{answer.title} {answer.edition}, {rule}".rstrip(", ")
        if answer.verdict == "fail":
            told.setdefault(f"{code} refuses:", []).append(named)
        elif answer.verdict == "refer":
            nouns = [vocabulary()[name].noun for name in answer.missing_facts if name in vocabulary()]
            why = f" (not stated: {', '.join(nouns)})" if nouns else ""
            told.setdefault(f"{code} leaves open{why}:", []).append(named)
    for words, parts in told.items():
        yield f"{words} {names_words(parts)}"


def _for(one: Bought, market: Market) -> str:
    items = names_words(list(dict.fromkeys(chosen.offer.item for chosen in one.option.offers)))
    return f"{items} for {money(one.group.quantity * one.material, market.costs.currency)}"


def _chance(one: Bought, market: Market) -> str:
    return f"chance of {market.structure.design_life:g} years {chance_words(one.option.trial)}"


def _sure(one: Bought, market: Market) -> str:
    return f"{sure_words(market)}: {age_words(one.sure_years, market)}"
