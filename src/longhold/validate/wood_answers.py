"""Longhold's answers to questions about metal in wood: ratios, rates, thresholds, a place in the weather."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from itertools import product
from typing import TYPE_CHECKING

from longhold.base.errors import InputError
from longhold.validate.area import UnansweredError
from longhold.validate.wood_rows import Question, Side
from longhold.validate.wood_words import State, Wood

if TYPE_CHECKING:
    from longhold.model.surroundings import Climate
    from longhold.wood.embedded import RateTerms
    from longhold.wood.moisture import MoistureStates
    from longhold.wood.treatments import Treatment

__all__ = ["Answer", "answer_question", "exposed_answer"]

_PLATEAU_SHARE, _ONSET_SHARE = 0.95, 0.05
# words of a survey as depths, own: half the zinc of a thin sheet's face, and all the zinc of a thick one's
_WORDS_UM = {"significant": 10.0, "severe": 39.0}


@dataclass(frozen=True)
class Answer:
    """An answer with its band over parameter sets and alternatives.

    Attributes
    ----------
    low, high : the band
    unit : ratio, um/yr, % MC, um, flag
    by_set : the answer of each parameter set, where they are told apart
    words : what was assumed
    """

    low: float
    high: float
    unit: str
    by_set: dict[str, float] = field(default_factory=dict)
    words: tuple[str, ...] = ()

    def __str__(self) -> str:
        if self.by_set:
            told = ", ".join(f"{value:.1f} ({name})" for name, value in self.by_set.items())
        else:
            same = f"{self.low:.3g}" == f"{self.high:.3g}"
            told = f"{self.low:.3g}" if same else f"{self.low:.3g} to {self.high:.3g}"
        return f"{told} {self.unit}"


def answer_question(question: Question) -> Answer:
    """The answer to a question.

    Raises
    ------
    UnansweredError : with the reason
    """
    if question.asked == "exposed":
        return exposed_answer(question)
    if question.asked in ("plateau", "onset"):
        return _threshold(question)
    if question.other is None:
        found = [rate for name in _sets() for rate in _rates(question.this, name).values()]
        return Answer(min(found), max(found), "um/yr", words=question.assumptions)
    ratios = [r for name in _sets() for r in _ratios(question.this, question.other, name)]
    return Answer(min(ratios), max(ratios), "ratio", words=question.assumptions)


def exposed_answer(question: Question) -> Answer:
    """What a year, or a test of some years, in a named place's weather does to metal in wood.

    This is the one function through which rows of simulated or weathered decks go. It takes the moisture of
    the months; whatever hangs on the order of hours, or on depth, has no answer by it.

    Raises
    ------
    UnansweredError : where the row needs the hour-by-hour moisture, or names no place whose weather is held
    """
    words = question.words.lower()
    if any(word in words for word in ("clustered", "spread", "below surface", "length of")):
        raise UnansweredError(
            "needs the hour-by-hour moisture: the months know neither depth nor the order of rain"
        )
    if "1=yes" in words:
        return _flag(question, _loss_um(question))
    if "annual" not in words and "depth" not in words and "loss" not in words:
        raise UnansweredError(f"needs the hour-by-hour moisture: {question.words!r}")
    return _loss_um(question)


def _loss_um(question: Question) -> Answer:
    """Depth over the test by both parameter sets and both time laws [um]."""
    from longhold.wood.embedded import yearly_loss_um
    from longhold.wood.time_laws import law_exponent

    states, place = _states(question)
    years = question.years or 1.0
    losses: dict[str, list[float]] = {name: [] for name in _sets()}
    for name, (metal, coat), treated in product(_sets(), question.this.metals, _timbers(question.this.wood)):
        terms = _terms(question.this, metal, coat, treated, name)
        first = float(yearly_loss_um(states, metal, **terms))
        losses[name] += [first * years ** law_exponent(law, metal)[0] for law in ("linear", "power")]
    found = [loss for of_set in losses.values() for loss in of_set]
    return Answer(min(found), max(found), "um", words=(*question.assumptions, place))


def _states(question: Question) -> tuple[MoistureStates, str]:
    """Moisture over the year, and where it is from."""
    from longhold.model.surroundings import places
    from longhold.wood.moisture import MoistureStates, moisture_states

    if question.state_told:
        state = question.this.state
        states = MoistureStates.of(
            [state.moisture_pct], [state.temperature_c], [1.0], [False], "as the row states"
        )
        return states, f"at {state.moisture_pct:.1f} % moisture throughout"
    climate, place = _weather(question.words)
    return moisture_states(climate, places()["open_to_rain"], trapped=False), (
        f"weather of {place}, months only; not independent: the wetting figures were chosen with the "
        "simulated decks in view"
    )


def _weather(words: str) -> tuple[Climate, str]:
    """Climate of the one built-in station that the words name."""
    from longhold.air.climates import station, stations

    cities = {one: re.sub(r" [A-Z]{2}$", "", one.name) for one in stations()}
    named = [one for one, city in cities.items() if re.search(rf"\b{re.escape(city)}\b", words)]
    if len(named) != 1:
        raise UnansweredError(
            "needs the hour-by-hour moisture of its site, and names no one place whose weather is held"
        )
    return station(named[0].name), named[0].place


def _flag(question: Question, loss: Answer) -> Answer:
    for word, limit_um in _WORDS_UM.items():
        if word in question.words.lower():
            if loss.low < limit_um <= loss.high:
                band = f"{loss.low:.3g} to {loss.high:.3g} um"
                raise UnansweredError(f"{band} spans {limit_um:g} um, from which loss is taken as {word}")
            flag = float(loss.low >= limit_um)
            told = f"{loss.low:.3g} to {loss.high:.3g} um; {word} is taken as {limit_um:g} um and more (own)"
            return Answer(flag, flag, "flag", words=(told, *loss.words))
    raise UnansweredError(f"no depth is set for the words {question.words!r}")


def _threshold(question: Question) -> Answer:
    from longhold.wood.response import moisture_at_share

    share = _PLATEAU_SHARE if question.asked == "plateau" else _ONSET_SHARE
    by_set = {name: moisture_at_share(share, name) for name in _sets()}
    words = (f"moisture at which the rate is {share:.0%} of the saturated rate",)
    return Answer(min(by_set.values()), max(by_set.values()), "% MC", by_set, words)


def _ratios(this: Side, other: Side, rate_set: str) -> list[float]:
    """Ratios of all alternatives; what both sides share is the same on both."""
    above, below = _rates(this, rate_set), _rates(other, rate_set)
    same_wood = this.wood.preservatives == other.wood.preservatives
    same_metal = this.metals == other.metals
    found = []
    for (one, treated), (two, treated_two) in product(above, below):
        if (same_wood and treated != treated_two) or (same_metal and one != two):
            continue
        if below[two, treated_two] <= 0.0:
            raise UnansweredError("nothing is lost on the side that it is compared with")
        found.append(above[one, treated] / below[two, treated_two])
    return found


def _rates(side: Side, rate_set: str) -> dict[tuple[tuple[str, str], str], float]:
    """Rate of every alternative [um/yr], by metal and preservative."""
    from longhold.wood.embedded import loss_rate_um_yr

    state: State = side.state
    return {
        ((metal, coat), treated.preservative.abbreviation): float(
            loss_rate_um_yr(
                metal,
                state.moisture_pct,
                state.temperature_c,
                **_terms(side, metal, coat, treated, rate_set),
            )
        )
        for (metal, coat), treated in product(side.metals, _timbers(side.wood))
    }


def _terms(side: Side, metal: str, coat: str, treated: Treatment, rate_set: str) -> RateTerms:
    """What multiplies the moisture response, all at their medians."""
    from longhold.wood.embedded import coat_bands, contact_bands

    contact = "shank"
    if side.plate:
        contact = "bare_steel_plate" if metal in ("carbon_steel", "weathering_steel") else "zinc_coated_plate"
    acid, finish = treated.species_factor, treated.finish_factor
    return {
        "rate_set": rate_set,
        "treatment_multiplier": treated.multiplier_for(metal).median,
        "retention_factor": treated.retention_factor,
        "species_factor": acid.median if acid else 1.0,
        "finish_factor": finish.median if finish else 1.0,
        "contact_factor": contact_bands()[contact].median,
        "coat_factor": coat_bands()[coat].median if coat else 1.0,
    }


def _timbers(wood: Wood) -> list[Treatment]:
    from longhold.wood.treatments import treatment

    found = []
    for name in wood.preservatives:
        tag = (wood.retention_kg_m3, wood.use_category)
        for kg_m3, use_category in (tag, (None, None)):
            try:
                one = treatment(
                    name,
                    wood.species,
                    retention_kg_m3=kg_m3,
                    use_category=use_category,
                    modification=wood.modification,
                    oiled=wood.oiled,
                )
            except InputError:  # no retention of this preservative is listed for the use category
                continue
            found.append(one)
            break
    return found


def _sets() -> tuple[str, ...]:
    from longhold.wood.response import rate_sets

    return tuple(rate_sets())
