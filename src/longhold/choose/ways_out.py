"""What is to be had once some demands are given up: computed for the options that a person is told of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from longhold.assessment.alternatives import Trial
from longhold.assessment.part_code import code_answer
from longhold.assessment.shared import Setting
from longhold.choose.conflicts import Conflict, Way, if_accepted, whole_years
from longhold.choose.options import ReadOffer
from longhold.choose.outlook import Bought
from longhold.codes.answers import CodeAnswer
from longhold.metal.couples import Couple, mixed_couples
from longhold.model.parts import Part

__all__ = ["WayOut", "WithAnswers", "way_out", "ways_out"]


@dataclass(frozen=True)
class WithAnswers:
    """An option with what the code says of each of its parts beside the others, where that matters.

    Attributes
    ----------
    bought : the option
    answers : of the code, part by part; none where the code is not given up
    """

    bought: Bought
    answers: tuple[CodeAnswer, ...]

    @property
    def parts(self) -> tuple[tuple[Part, ReadOffer], ...]:
        """Each part with what is offered for it."""
        one = self.bought
        return tuple(zip(one.group.joint.parts, one.option.offers, strict=True))

    @property
    def couples(self) -> tuple[Couple, ...]:
        """Metals of it that may meet, where one of them suffers."""
        return tuple(
            mixed_couples([(part.id, offer.protection, part.is_fastener) for part, offer in self.parts])
        )

    @property
    def refused(self) -> bool:
        """Whether the code refuses any part, and does not only leave it open."""
        return any(answer.verdict == "fail" for answer in self.answers)


@dataclass(frozen=True)
class WayOut:
    """A way out of a conflict, with what comes of it.

    Attributes
    ----------
    way : what is given up, and what is then allowed
    first : what a person is told of where no less is asked: what costs least over the life; where the code is
        given up, what it leaves open goes before what it refuses
    surest, longest, best : as those of the way
    years : the longest design life that the longest meets with the target chance [years], computed for that
        life; 0 where no chance is given up
    unknown : where the forecast is given up, what costs least of each lack that no other lack is part of,
        with what comes of it once its class is accepted; what then meets the target first
    """

    way: Way
    first: WithAnswers
    surest: WithAnswers
    longest: WithAnswers
    best: WithAnswers
    years: int
    unknown: tuple[tuple[WithAnswers, Trial | None], ...]


def ways_out(conflict: Conflict, setting: Setting) -> tuple[WayOut, ...]:
    """What comes of each way out of a conflict, fewest demands first."""
    return tuple(way_out(way, setting) for way in conflict.ways)


def way_out(way: Way, setting: Setting) -> WayOut:
    """What comes of one way out."""
    by_code = "code" in way.given_up
    by_trial: dict[int, tuple[CodeAnswer, ...]] = {}

    def answered(one: Bought) -> WithAnswers:
        trial = id(one.option.trial)
        if by_code and trial not in by_trial:
            by_trial[trial] = _answers(one, setting)
        return WithAnswers(one, by_trial.get(trial, ()))

    options = way.options
    if by_code:
        options = tuple(sorted(options, key=lambda one: answered(one).refused))
    unknown = _unknown(options, setting) if "computed" in way.given_up else ()
    return WayOut(
        way,
        answered(options[0]),
        answered(way.surest),
        answered(way.longest),
        answered(way.best),
        whole_years(way.longest, setting) if "target" in way.given_up else 0,
        tuple((answered(one), accepted) for one, accepted in unknown),
    )


def _answers(one: Bought, setting: Setting) -> tuple[CodeAnswer, ...]:
    joint = one.group.joint
    pairs = list(zip(joint.parts, one.option.offers, strict=True))
    together = {part.id: offer.protection for part, offer in pairs}
    return tuple(
        code_answer(joint, part, offer.protection, setting, suggest=False, together=together)
        for part, offer in pairs
    )


def _unknown(options: Sequence[Bought], setting: Setting) -> Sequence[tuple[Bought, Trial | None]]:
    by_reason: dict[tuple[str, ...], Bought] = {}
    for one in options:
        by_reason.setdefault(one.option.trial.refer, one)
    least = [one for why, one in by_reason.items() if not any(set(other) < set(why) for other in by_reason)]
    tried = [(one, if_accepted(one, setting)) for one in least]
    target = setting.structure.target_chance
    return sorted(tried, key=lambda pair: pair[1] is None or not pair[1].meets(target))
