"""What is said of a choice, on the screen and on paper alike."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.alternatives import Trial
from longhold.assessment.ends import pits_left_out_words
from longhold.choose.alternatives import Frontier, told_once
from longhold.choose.choice import Choice, Market
from longhold.choose.conflicts import Conflict
from longhold.choose.doubt import doubtful_stainless
from longhold.choose.options import DEMANDS
from longhold.choose.outlook import Bought
from longhold.choose.spare_packs import SparePacks, spare_packs
from longhold.choose.substitution import Change, Substitution
from longhold.choose.turning import Turn, Turns
from longhold.documents.figures import chance, share
from longhold.documents.joint_ids import MOST_NAMED, ids_words, joints_words
from longhold.documents.words import plural
from longhold.model.costs import Costs

__all__ = [
    "age_words",
    "between_words",
    "buy_words",
    "chance_words",
    "change_words",
    "choice_line",
    "choice_lines",
    "cut_words",
    "demand_words",
    "doubt_line",
    "doubt_words",
    "left_out_because",
    "left_out_words",
    "money",
    "money_band",
    "names_words",
    "price_note",
    "proof_words",
    "same_words",
    "spare_words",
    "substitution_words",
    "sure_words",
    "today_words",
    "turn_words",
    "undecided_words",
]

Array = NDArray[np.float64]
_ROUNDING = 1e-12  # of sums in double precision, as a share
_SAME = 0.5  # of a currency's unit


def money(amount: float, currency: str, *, signed: bool = False) -> str:
    """An amount in whole units.

    >>> money(1234.4, "USD"), money(-3.0, "USD", signed=True), money(-0.2, "USD", signed=True)
    ('1,234 USD', '−3 USD', '0 USD')
    """
    whole = round(amount)
    text = f"{whole:+,}" if signed and whole else f"{whole:,}"
    return f"{text.replace('-', '−')} {currency}"


def money_band(draws: Array, currency: str, *, signed: bool = False) -> str:
    """Mean of an amount, and between what 8 draws in 10 lie; the mean alone where all draws agree.

    >>> money_band(np.full(5, 10.0), "USD")
    '10 USD'
    >>> money_band(np.r_[np.zeros(19), 100.0], "USD")
    '5 USD (0 in most draws)'
    """
    mean, between = money(float(draws.mean()), currency, signed=signed), between_words(draws, signed=signed)
    return f"{mean} ({between})" if between else mean


def between_words(draws: Array, *, signed: bool = False) -> str:
    """Between what 8 draws in 10 of an amount lie, in whole units; blank where all draws agree.

    >>> between_words(np.linspace(0.0, 100.0, 11)), between_words(np.full(5, 10.0))
    ('10 to 90', '')
    """
    if float(np.ptp(draws)) < _SAME:
        return ""
    low, high = (money(float(one), "", signed=signed).strip() for one in np.quantile(draws, [0.1, 0.9]))
    return f"{low} in most draws" if low == high else f"{low} to {high}"


def age_words(years: float, market: Market) -> str:
    """An age in words; past the last one looked at, only that."""
    last = float(market.setting.ages[-1])
    return plural(round(years), "year") if years < last else f"past {last:.0f} years"


def sure_words(market: Market) -> str:
    """How sure an age is that is told: the target chance."""
    return f"{share(market.structure.target_chance)} sure"


def buy_words(one: Bought) -> Iterator[str]:
    """What is bought for each part."""
    for part, chosen in zip(one.group.joint.parts, one.option.offers, strict=True):
        yield f"{part.id}: {chosen.offer.item}, {chosen.protection.designation}"


def chance_words(trial: Trial) -> str:
    """Chance of the design life under some hardware, with what it leaves out, as in the answer of a joint.

    >>> chance_words(Trial(None, 1.0, (), leaves_pits_out=True)), chance_words(Trial(None, 0.9, ()))
    ('over 99 %, pits not computed', '90 %')
    """
    pits = trial.leaves_pits_out and trial.chance is not None
    return f"{chance(trial.chance)}{pits_left_out_words(pits)}"


def names_words(names: Sequence[str]) -> str:
    """Names of one purchase.

    >>> names_words(["cheapest today", "cheapest over the life", "longest life"])
    'cheapest today, cheapest over the life and longest life'
    """
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def same_words(named: Sequence[Choice]) -> str:
    """That some of the named purchases are one and the same; empty where all differ or nothing is bought."""
    told = [names for names, one in told_once(named) if len(names) > 1 and one.bought]
    return "".join(f"One purchase is {names_words([f'the {name}' for name in names])}." for names in told)


def today_words(choice: Choice) -> str:
    """What is paid today, and for what."""
    packs = f"Packs: {money(choice.packs_price, choice.currency)}"
    if not choice.kinds_price:
        return f"{packs}."
    kinds = plural(len(choice.purchase.packs), "kind")
    each, total, today = (
        money(one, choice.currency) for one in (choice.each_kind, choice.kinds_price, choice.today)
    )
    return f"{packs}. {kinds} of box on the site, {each} set on each: {total}. Together today: {today}."


def spare_words(choice: Choice) -> list[str]:
    """Each item of which spare alone opens packs, what leaving them away saves, and what is left then."""
    return [
        f"{one.item}: {_a_pack(one)} of {one.pack} bought for spare alone; without {_it(one)} the order is "
        f"{money(one.price, choice.currency)} less, with {plural(one.left, 'piece')} left over. To do "
        f"without, order {_fewer(one)}, or ask for no spare (spare = 0)."
        for one in spare_packs(choice)
    ]


def _it(one: SparePacks) -> str:
    return "it" if one.packs == 1 else "them"


def _a_pack(one: SparePacks) -> str:
    return "a pack" if one.packs == 1 else f"{one.packs} packs"


def _fewer(one: SparePacks) -> str:
    return "1 pack fewer" if one.packs == 1 else f"{one.packs} packs fewer"


def price_note(costs: Costs) -> str:
    """What is to be known of prices and costs; empty where nothing is stated."""
    return costs.note or ("Prices and costs are invented." if costs.invented else "")


def cut_words(found: Frontier) -> str:
    """That time ran out before every point was proved; empty where it did not."""
    if not found.unproved:
        return ""
    return (
        f"Time ran out at {found.unproved} of {plural(found.ages, 'age')}: what is shown there may not be "
        "the least. Allow it more time to be sure."
    )


def undecided_words(found: Turns) -> str:
    """Inputs for which time ran out; empty where it did not."""
    if not found.undecided:
        return ""
    named = ids_words(tuple(found.undecided), most=MOST_NAMED)
    return f"Time ran out before this was known of: {named}. Allow it more time to be sure."


def proof_words(choice: Choice) -> str:
    """How well it is known that no purchase costs less, with the bound that proves it."""
    purchase = choice.purchase
    when = "over the life" if choice.later_counts else "today"
    bound = money(choice.bound, choice.currency)
    if purchase.proved:
        return f"proved: none costs less than {bound} {when} (relative gap {_gap_words(purchase.gap)})"
    less = f"{_up_to(100 * purchase.gap)} % less"
    return f"not proved in the time given: another may cost {less}, down to {bound} {when}"


def _gap_words(gap: float) -> str:
    """A gap that counts as none; less than sums of so many prices can be told apart by is 0.

    >>> _gap_words(0.0), _gap_words(1.1e-15), _gap_words(3e-10)
    ('0', '0', '3e-10')
    """
    return f"{gap:.0e}" if gap > _ROUNDING else "0"


def _up_to(pct: float) -> str:
    """A share never rounded to nothing."""
    return f"{pct:.2g}" if pct >= 1e-3 else "0.001"


def left_out_words(one: Conflict, market: Market) -> str:
    """That nothing is bought for some joints, and why."""
    ids = joints_words(one.group.ids, one.group.quantity)
    return f"{ids}: nothing is bought, for {left_out_because(one, market)}."


def left_out_because(one: Conflict, market: Market) -> str:
    """Why nothing is bought for some joints."""
    if one.demands:
        told = [demand_words(name, market) for name in one.demands]
        if len(told) == 1:
            return f"no offer meets this: {told[0]}"
        return f"no offer meets all of this at once: {'; '.join(told)}"
    lines = []
    for part, sizes in zip(one.unfitted, one.sizes, strict=True):
        wanted = f"{part.kind_words} {part.size or part.measures.words}"
        offered = f"offered are {', '.join(sizes[:6])}" if sizes else f"no {part.kind_words} is on offer"
        lines.append(f"no offer fits {part.id} ({wanted}; {offered})")
    return "; ".join(lines) or "no offer fits every part"


def doubt_words(market: Market, choice: Choice, *, most: int = MOST_NAMED) -> list[tuple[str, bool]]:
    """What is in doubt about the stainless that is bought, and whether that was accepted.

    Parameters
    ----------
    most : ids of joints that are named
    """
    doubt, said = doubtful_stainless(market, choice), []
    if doubt.undecided:
        joints = ids_words(doubt.undecided, most=most)
        said.append((f"It is not decided whether the stainless at {joints} stays sound", False))
    if doubt.accepted:
        joints = ids_words(doubt.accepted, most=most)
        said.append(
            (
                f"The stainless at {joints} is of a lower class than EN 1993-1-4 asks for there, and "
                "may pit; that was accepted knowingly, and no chance, age or cost told of it counts pits",
                True,
            )
        )
    return said


def doubt_line(market: Market, choice: Choice) -> str:
    """The same in sentences for one choice; empty where there is no doubt.

    The reason stands with each joint in the answer of ``longhold assess`` and in the submittal.
    """
    return " ".join(f"{words}. The submittal tells why." for words, _ in doubt_words(market, choice))


def demand_words(name: str, market: Market) -> str:
    """What is asked of a purchase at every joint, by its name, with the numbers of the structure."""
    if name != "target":
        return DEMANDS[name]
    structure = market.structure
    return f"{share(structure.target_chance)} certainty of lasting {structure.design_life:g} years"


def turn_words(one: Turn, currency: str) -> str:
    """What would change, if an input were known to lie in one half of its band."""
    ids = ids_words(one.joints, most=MOST_NAMED)
    if one.fails:
        why = "what is chosen would not do"
    elif one.saved:
        why = f"choosing anew would save {money(one.saved, currency)}"
    else:
        why = "something could be bought that cannot now"
    return f"{one.words}, in its {one.half} half: {why} ({ids})"


def change_words(one: Change, market: Market) -> tuple[str, str, str, str, str]:
    """One group of joints before and after: ids, now, instead, years, more cost."""
    now, instead = (_items(each) for each in (one.before, one.after))
    more = one.more_cost
    return (
        joints_words(one.group.ids, one.group.quantity),
        now,
        instead,
        _years_changed(one, market),
        "not comparable" if more is None else money(more, market.costs.currency, signed=True),
    )


def _years_changed(one: Change, market: Market) -> str:
    if one.years is None:
        return "not comparable"
    before, after = (age_words(age, market) for age in one.years)
    return f"{after}, as before" if before == after else f"{after} instead of {before}"


def substitution_words(found: Substitution, market: Market) -> str:
    """What it costs to do without some items."""
    items, currency = " and ".join(found.items), market.costs.currency
    if not found.changes:
        them = "it" if len(found.items) == 1 else "any of them"
        return f"Without {items}: nothing changes, no joint gets {them}."
    if not found.alike:
        lost = [joints_words(one.group.ids, one.group.quantity) for one in found.lost]
        return (
            f"Without {items} nothing on offer will do for {', '.join(lost)}; the costs cannot be compared."
        )
    before, after = (age_words(one.sure_years, market) for one in (found.before, found.after))
    years = (
        f"every joint still reaches {after} ({sure_words(market)})"
        if before == after
        else f"every joint reaches {after} instead of {before} ({sure_words(market)})"
    )
    today = money(found.more_today, currency, signed=True)
    life = money_band(found.more_over_life, currency, signed=True)
    return f"Without {items}: {today} today, {life} over the life; {years}."


def _items(one: Bought | None) -> str:
    if one is None:
        return "nothing that will do"
    return ", ".join(dict.fromkeys(chosen.offer.item for chosen in one.option.offers))


def choice_lines(named: Sequence[Choice], market: Market) -> list[tuple[str, str, str, str, str]]:
    """Different purchases among the named ones, each in a row as ``choice_line`` makes it."""
    return [choice_line(one, market, names) for names, one in told_once(named)]


def choice_line(choice: Choice, market: Market, names: Sequence[str] = ()) -> tuple[str, str, str, str, str]:
    """A choice in a row: names, price today, cost over the life, age that every joint reaches, proof."""
    name = names_words(names or (choice.name,))
    if not choice.bought:
        return name, "nothing to buy", "", "", "nothing on offer meets what is asked of any joint"
    return (
        name,
        money(choice.today, choice.currency),
        money_band(choice.over_life, choice.currency),
        age_words(choice.sure_years, market),
        proof_words(choice),
    )
