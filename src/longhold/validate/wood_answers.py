"""Longhold's answers to questions about metal in wood: ratios, rates, thresholds, a place in the weather."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import TYPE_CHECKING

from longhold.base.errors import InputError
from longhold.validate.area import UnansweredError
from longhold.validate.wood_rows import Question, Side
from longhold.validate.wood_words import State, Wood

if TYPE_CHECKING:
    from longhold.validate.wood_decks import Deck
    from longhold.wood.embedded import RateTerms
    from longhold.wood.treatments import Treatment

__all__ = ["Answer", "answer_question", "exposed_answer"]

# a side that tells no temperature is taken at that of the tests, which is itself told as 26.7 or as 27 deg C
_SAME_C = 1.0
_PLATEAU_SHARE, _ONSET_SHARE = 0.95, 0.05
# words of a survey as depths, own: half the zinc of a thin sheet's face, and all the zinc of a thick one's
_WORDS_UM = {"significant": 10.0, "severe": 39.0}


@dataclass(frozen=True)
class Answer:
    """An answer with its band over parameter sets and alternatives.

    Attributes
    ----------
    low, high : the band
    unit : ratio, um/yr, % MC, um, mm, flag
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
        found = [rate for name in _sets() for rate in _rates(question.this, name, None).values()]
        return Answer(min(found), max(found), "um/yr", words=question.assumptions)
    energies, words = _energies(question.this, question.other)
    ratios = [
        r
        for name, one in product(_sets(), energies)
        for r in _ratios(question.this, question.other, name, one)
    ]
    return Answer(min(ratios), max(ratios), "ratio", words=(*question.assumptions, *words))


def exposed_answer(question: Question) -> Answer:
    """What a year, or a test of some years, in a named place's weather does to metal in wood.

    This is the one function through which rows of simulated or weathered decks go. Wood moisture is simulated
    hour by hour; a row about several cities is answered for the two whose figures are published one by one.

    Raises
    ------
    UnansweredError : where the row names no place whose weather is held, or asks something else
    """
    words = question.words.lower()
    if "spread" in words and "cluster" in words:
        return _spread_over_clustered(question)
    if "depth below" in words:
        return _in_the_board(question, lambda deck, name: deck.worst_depth_mm(name), "")
    if "length of" in words:
        meant = "taken as the depth beyond which less than a tenth of the worst loss remains (own)"
        return _in_the_board(question, lambda deck, name: deck.corroding_length_mm(name), meant)
    if "1=yes" in words:
        return _flag(question, _loss_um(question))
    if "annual" not in words and "depth" not in words and "loss" not in words:
        raise UnansweredError(f"what is asked of a deck is not understood: {question.words!r}")
    return _loss_um(question)


def _loss_um(question: Question) -> Answer:
    """Depth over the test by both parameter sets and both time laws [um]."""
    from longhold.wood.embedded import saturated_loss_um_yr
    from longhold.wood.time_laws import law_exponent

    shares, where = _shares(question)
    years = question.years or 1.0
    found = []
    for name, (metal, coat), treated in product(_sets(), question.this.metals, _timbers(question.this.wood)):
        terms = _terms(question.this, metal, coat, treated, name)
        saturated = float(saturated_loss_um_yr(metal, terms, None))
        for law, share in product(("linear", "power"), shares[name]):
            found.append(saturated * share * years ** law_exponent(law, metal)[0])
    return Answer(min(found), max(found), "um", words=(*question.assumptions, where))


def _shares(question: Question) -> tuple[dict[str, list[float]], str]:
    """Shares of the saturated rate by parameter set, and where they are from."""
    from longhold.validate.wood_decks import deck, decks_named
    from longhold.wood.response import moisture_response, temperature_response

    side, state = question.this, question.this.state
    if question.state_told:
        warm = float(temperature_response(state.temperature_c))
        told = {name: [warm * float(moisture_response(state.moisture_pct, name))] for name in _sets()}
        return told, f"at {state.moisture_pct:.1f} % moisture throughout"
    named = decks_named(question.words)
    decks = [deck(name, "trapped_upright" if side.plate else "level") for name in named]
    simulated = {name: [one.worst_share(name, plate=side.plate) for one in decks] for name in _sets()}
    return simulated, f"{_places(named)}; the saturated rate was fitted to the published deck in Hilo alone"


def _in_the_board(question: Question, of: Callable[[Deck, str], float], meant: str) -> Answer:
    """Something about depth, by both parameter sets [mm]."""
    from longhold.validate.wood_decks import deck, decks_named

    named = decks_named(question.words)
    decks = [deck(name, "level") for name in named]
    found = [of(one, name) for one, name in product(decks, _sets())]
    told = [
        f"{one.place}: " + ", ".join(f"{of(one, name):.1f} mm ({name})" for name in _sets()) for one in decks
    ]
    words = tuple(filter(None, (meant, *told, _places(named))))
    return Answer(min(found), max(found), "mm", words=words)


def _spread_over_clustered(question: Question) -> Answer:
    from longhold.validate.wood_decks import decks_named, even_and_clustered

    places = decks_named(question.words, anywhere=True)
    found = [even / clustered for name in places for even, clustered in even_and_clustered(name).values()]
    words = "a generated year, and the same with its rain moved into every fourth rainy day"
    return Answer(min(found), max(found), "ratio", words=(words, _places(places)))


def _places(stations: Sequence[str]) -> str:
    several = ", the decks whose figures are published one by one" if len(stations) > 1 else ""
    return f"a board simulated hour by hour in generated weather of {' and '.join(stations)}{several}"


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


def _energies(this: Side, other: Side) -> tuple[tuple[float | None, ...], tuple[str, ...]]:
    """Activation energies [kJ/mol], and words: a row whose sides differ in temperature asks what it does."""
    if abs(this.state.temperature_c - other.state.temperature_c) < _SAME_C:
        return (None,), ()
    from longhold.wood.response import activation_energy_band

    band = activation_energy_band()
    return (band.p05, band.p95), (f"the rate follows temperature: {band.shown()}",)


def _ratios(this: Side, other: Side, rate_set: str, energy_kj_mol: float | None) -> list[float]:
    """Ratios of all alternatives; what both sides share is the same on both."""
    above, below = _rates(this, rate_set, energy_kj_mol), _rates(other, rate_set, energy_kj_mol)
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


def _rates(
    side: Side, rate_set: str, energy_kj_mol: float | None
) -> dict[tuple[tuple[str, str], str], float]:
    """Rate of every alternative [um/yr], by metal and preservative."""
    from longhold.wood.embedded import loss_rate_um_yr

    state: State = side.state
    return {
        ((metal, coat), treated.preservative.abbreviation): float(
            loss_rate_um_yr(
                metal,
                state.moisture_pct,
                state.temperature_c,
                **_terms(side, metal, coat, treated, rate_set, energy_kj_mol),
            )
        )
        for (metal, coat), treated in product(side.metals, _timbers(side.wood))
    }


def _terms(
    side: Side, metal: str, coat: str, treated: Treatment, rate_set: str, energy_kj_mol: float | None = None
) -> RateTerms:
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
        "activation_energy_kj_mol": energy_kj_mol,
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
