"""A visit in words: readings worth taking, what each would turn, what is not read, what to look at."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf, isinf

from longhold.assessment.ends import pits_left_out_words
from longhold.base.quantities import System, show_quantity
from longhold.documents.choice_words import money
from longhold.documents.decide_view import answer_words, assumed_of, next_words
from longhold.documents.figures import chance, film, share
from longhold.documents.joint_ids import ids_words
from longhold.documents.words import plural, upper_first
from longhold.inspect.decide import Answer
from longhold.inspect.plan import InspectionPlan, PlannedReading, Stop, Turning
from longhold.inspect.spreads import spread
from longhold.model.structure import Joint

__all__ = [
    "MEASURED_WORDS",
    "CheckRow",
    "PlannedRow",
    "StopRow",
    "plan_assumed",
    "plan_lede",
    "planned_caption",
    "planned_rows",
    "stop_rows",
]

MEASURED_WORDS = {
    "zinc": "zinc left",
    "diameter_left": "diameter left",
    "thickness_left": "thickness left",
    "rust": "rust",
}
_TOLD_TURN = 0.03


@dataclass(frozen=True)
class PlannedRow:
    """One reading worth taking.

    Attributes
    ----------
    joint, part : ids
    face : its name; blank for a size
    measured : as the table of readings writes it
    where : of what it is taken, and of how many alike one is read
    how, spots, expected : what to do, and what four readings in five are expected to be
    cost, worth, adds : money: of taking it, by itself, and beside those before it
    turns : what it would turn, one sentence each
    """

    joint: str
    part: str
    face: str
    measured: str
    where: str
    how: str
    spots: int
    expected: str
    cost: str
    worth: str
    adds: str
    turns: tuple[str, ...]


@dataclass(frozen=True)
class CheckRow:
    """One check that safety asks for: what, with what, as what it is written down, and its mark."""

    words: str
    tool: str
    measured: str
    mark: str


@dataclass(frozen=True)
class StopRow:
    """Joints alike on the way.

    Attributes
    ----------
    number : on the way, from 1
    ids, name, quantity, place, access : of the joints
    kind : what would be done without the visit, by its short name
    answer : the same in words
    readings : worth taking there
    checks : to be made there
    unread : what is not read, and what that leaves open
    """

    number: int
    ids: tuple[str, ...]
    name: str
    quantity: int
    place: str
    access: str
    kind: Answer
    answer: str
    readings: tuple[PlannedRow, ...]
    checks: tuple[CheckRow, ...]
    unread: str


def plan_lede(plan: InspectionPlan) -> str:
    """The answer in a few sentences, what must be made safe first."""
    return " ".join((*_lede(plan), *_unweighed(plan)))


def _lede(plan: InspectionPlan) -> Iterator[str]:
    unsafe = [id_ for one in plan.stops if one.answer == "make_safe" for id_ in one.prospect.life.ids]
    if unsafe:
        yield f"{answer_words('make_safe')}, before any visit: {ids_words(unsafe)}."
    if not plan.readings:
        yield "No reading would turn what is done, or save what it costs: look, probe and tighten."
        return
    first = plan.readings[0]
    many = len(plan.readings)
    verb = "is" if many == 1 else "are"
    yield f"{plural(many, 'reading')} of {len(plan.considered)} that may be taken {verb} worth taking."
    yield f"First: {_what(first)} of {_where(first)}."
    total = sum(one.cost for one in plan.readings)
    if total > 0.0:
        yield f"All of them cost {money(total, plan.costs.currency)} to take."
    if plan.costs.failure == 0.0:
        yield "No cost of a failure is stated, so they are sorted by how much they would turn."


def planned_caption(plan: InspectionPlan) -> str:
    """In which order the readings of a plan stand."""
    by = "turn most, then by what they add" if plan.costs.failure == 0.0 else "add most, less what they cost"
    return f"Readings worth taking, in the order in which they {by}"


def _unweighed(plan: InspectionPlan) -> Iterator[str]:
    if plan.unweighed:
        which = ids_words(plan.unweighed, most=6)
        yield (
            f"There are too many kinds of joints to weigh readings at each: none was at {which}, "
            "where knowing more would turn least."
        )


def planned_rows(plan: InspectionPlan) -> list[PlannedRow]:
    """Readings worth taking, best first."""
    return [_planned(one, plan) for one in plan.readings]


def stop_rows(plan: InspectionPlan) -> list[StopRow]:
    """Joints in the order of the structure's file, with all that is to be done at each."""
    return [_stop(number, one, plan) for number, one in enumerate(plan.stops, start=1)]


def plan_assumed(plan: InspectionPlan, *, stated_next: bool) -> list[tuple[str, str, str]]:
    """What was taken without being stated, or is not counted: what, taken as, because.

    Parameters
    ----------
    stated_next : whether the time to the next visit was stated
    """
    return list(assumed_of(plan, [one.prospect for one in plan.stops], stated_next=stated_next))


def _planned(one: PlannedReading, plan: InspectionPlan) -> PlannedRow:
    currency = plan.costs.currency
    return PlannedRow(
        one.life.joint.id,
        one.part.id,
        "" if one.face is None else one.face.face,
        one.measured.replace("_", " "),
        _where(one),
        one.words,
        one.spots,
        _span(one.measured, one.expected.p10, one.expected.p90, plan.structure.units),
        money(one.cost, currency),
        money(one.worth, currency),
        money(one.adds or 0.0, currency),
        tuple(_turns(one, plan)),
    )


def _turns(one: PlannedReading, plan: InspectionPlan) -> Iterator[str]:
    if len(one.answers) < 2 and not any(turns >= _TOLD_TURN for *_, turns in one.others):
        yield "nothing by itself; beside those before it, it settles more"
    if len(one.answers) > 1:
        joint = one.life.joint.id
        told = "; ".join(_turning(each, one.measured, plan.structure.units) for each in one.answers)
        yield f"{joint}: {told}{pits_left_out_words(one.life.leaves_pits_out)}"
    pits = {id_: each.prospect.life.leaves_pits_out for each in plan.stops for id_ in each.prospect.life.ids}
    for id_, many, turns in sorted(one.others, key=lambda other: -other[1] * other[2]):
        if turns >= _TOLD_TURN:
            whose = _others(id_, many, own=id_ in one.life.ids)
            told = f"{chance(turns)}{pits_left_out_words(pits[id_])}"
            yield f"also turns what is done with {whose}, with a chance of {told}"


def _others(id_: str, many: int, *, own: bool) -> str:
    """Other joints alike, by the id of the last of them.

    >>> _others("W03", 19, own=True), _others("W06", 1, own=True), _others("W05", 4, own=False)
    ('the other 19 of W03', 'the other one of W06', '4 of W05')
    """
    if own:
        return f"the other {'one' if many == 1 else f'{many:,}'} of {id_}"
    return id_ if many == 1 else f"{many:,} of {id_}"


def _turning(one: Turning, measured: str, units: System) -> str:
    span = _span(measured, one.low, one.high, units)
    return f"{span} ({_in_hundred(one.chance)}), {_lower(answer_words(one.answer))}"


def _in_hundred(value: float) -> str:
    return f"{100.0 * value:.0f} in 100"


def _span(measured: str, low: float, high: float, units: System) -> str:
    """What a reading lies between, as people write readings."""
    seen = spread("least_seen")
    if measured == "rust" and high <= seen:
        return "no rust"
    if low == -inf or (measured == "rust" and low <= seen):
        return "anything" if isinf(high) else f"under {_amount(measured, high, units)}"
    if isinf(high):
        return f"over {_amount(measured, low, units)}"
    ends = [_amount(measured, value, units) for value in (low, high)]
    return ends[0] if ends[0] == ends[1] else " to ".join(ends)


def _amount(measured: str, value: float, units: System) -> str:
    if measured == "rust":
        return share(value)
    if measured == "zinc":
        return film(max(value, 0.0), units)
    return show_quantity(max(value, 0.0), "length_mm", units)


def _what(one: PlannedReading) -> str:
    return MEASURED_WORDS[one.measured]


def _where(one: PlannedReading) -> str:
    face = "" if one.face is None else f", {one.face.words}"
    life = one.life
    among = "" if life.quantity == 1 else f" (one of {life.quantity:,})"
    return f"{life.joint.id} {one.part.id}{face}{among}"


def _stop(number: int, one: Stop, plan: InspectionPlan) -> StopRow:
    life = one.prospect.life
    return StopRow(
        number,
        life.ids,
        life.joint.name,
        life.quantity,
        life.joint.place.replace("_", " "),
        _ACCESS[life.joint.access],
        one.answer,
        answer_words(one.answer),
        tuple(_planned(reading, plan) for reading in one.readings),
        tuple(CheckRow(each.words, each.tool, each.measured, each.mark.value) for each in one.checks),
        _unread(one, life.joint, plan),
    )


_ACCESS = {"easy": "easy to reach", "moderate": "moderately hard to reach", "hard": "hard to reach"}


def _unread(one: Stop, joint: Joint, plan: InspectionPlan) -> str:
    if one.unread == 0:
        return ""
    life, next_chance = one.prospect.life, one.prospect.below_next
    verb = "is" if one.unread == 1 else "are"
    which = f"{one.unread:,} of {life.quantity:,} {verb} not read" if life.quantity > 1 else "it is not read"
    if one.prospect.below_now is None:
        left = "what no forecast covers stays open"
    else:
        what = "its strength" if life.by_strength else "its protection"
        by = f"by the next visit, in {next_words(plan.asked)}"
        left = f"that {what} has ended {by}, keeps a chance of {chance(next_chance)}"
        left += pits_left_out_words(life.leaves_pits_out)
    why = "Hard to reach: " if joint.access == "hard" else ""
    told = f"{why}{which}, and {left}."
    return upper_first(told)


def _lower(words: str) -> str:
    return f"{words[:1].lower()}{words[1:]}"
