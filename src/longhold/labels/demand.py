"""A demand such as "at least 0.9 oz/ft2 on each face", and the designations that meet it."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Literal

from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark, weakest
from longhold.base.quantities import DIMENSIONS
from longhold.labels.catalogue import Coat, coats, printed_name
from longhold.labels.claims import NOISE, Claim
from longhold.labels.compare import figure_rule
from longhold.labels.conversions import convert
from longhold.labels.grammar import phrases
from longhold.labels.limits import limit
from longhold.labels.read import read_label
from longhold.labels.reading import LabelError
from longhold.labels.tidy import LONGEST, Tidy, tidy

__all__ = ["FORMS", "Candidate", "Demand", "Form", "Group", "Unit", "designations_for", "read_demand"]

Form = Literal["sheet", "article", "fastener", "wire"]
Unit = Literal["oz/ft2", "g/m2", "mil", "um"]
How = Literal["least", "both", "expected", "mean only", "just misses"]
FORMS: dict[Form, str] = {
    "sheet": "Coated sheet, before anything is made of it",
    "article": "Articles dipped after making",
    "fastener": "Fasteners and small parts",
    "wire": "Wire",
}
_WHERE = "demand"
_DO = 'Write it as "0.9 oz/ft2 per face", "275 g/m2 both faces" or "45 um".'
_NOT_ZINC = frozenset({"aluminium_zinc_55", "zinc_flake"})
_COMPANY = frozenset({"figure", "qualified", "basis", "process"})
_WORDS = frozenset(
    {"a", "amount", "at", "average", "be", "carry", "coat", "coating", "face", "for", "have", "is", "least"}
    | {"mass", "mean", "more", "must", "needs", "of", "on", "or", "per", "required", "spot", "surface"}
    | {"the", "thick", "thicker", "thickness", "to", "weight", "with", "zinc"}
)


@dataclass(frozen=True)
class Demand:
    """How much one face must carry.

    Attributes
    ----------
    text : as handed in
    unit : in which it was written
    amount : asked of one face [unit]
    halved : whether it was written as the total of both faces
    single : what any one reading must show, where the demand gives a mean and a lower single figure [unit];
        None where it gives one figure
    """

    text: str
    unit: Unit
    amount: float
    halved: bool = False
    single: float | None = None

    @property
    def by_mass(self) -> bool:
        """Whether masses are compared, else thicknesses; one is never computed from the other."""
        return self.unit in ("oz/ft2", "g/m2")


@dataclass(frozen=True)
class Candidate:
    """One designation beside a demand.

    Attributes
    ----------
    designation, standard : as we write it; name of its standard
    least, expected : what one face may carry at the least, and is expected to carry [unit of the demand]
    how : ``least`` where even the least that one face may carry meets the demand, ``expected`` where only
        what is expected does, ``just misses`` where that falls short by little; of a mean with a single
        figure ``both`` where what is expected meets the one and the least the other, ``mean only`` where the
        least does not
    coat : the row of the table
    """

    designation: str
    standard: str
    least: float | None
    expected: float
    how: How
    coat: Coat


@dataclass(frozen=True)
class Group:
    """Designations of one standard, least to most zinc.

    Attributes
    ----------
    form, standard : of part; name of the standard
    least_is, expected_is : what kind of figures they are
    candidates : the designations
    mark : weakest of the figures, and of what kind of figures they are
    """

    form: Form
    standard: str
    least_is: str
    expected_is: str
    candidates: tuple[Candidate, ...]
    mark: Mark


def read_demand(text: str) -> Demand:
    """What a demand asks of one face.

    Parameters
    ----------
    text : a mass with its basis, or a thickness; a thickness without a basis is on one face

    Raises
    ------
    InputError : no amount or several at odds, an upper limit, a mass without its basis, other words

    >>> read_demand("at least 0.9 oz/ft2 per face").amount
    0.9
    >>> demand = read_demand("275 g/m2 both faces")
    >>> demand.amount, demand.halved
    (137.5, True)
    """
    if not isinstance(text, str) or not text.strip() or len(text) > LONGEST:
        raise InputError(Problem(_WHERE, text, "must be an amount with its unit.", _DO))
    plain = tidy(text)
    claims = [_as_film(claim) for claim in phrases(plain.text)]
    _check_words(plain, claims)
    figure = _figure(text, claims)
    bases = {claim.name for claim in claims if claim.what == "basis"}
    if len(bases) > 1:
        raise InputError(Problem(_WHERE, text, "says one face and both faces.", "Say which."))
    basis = bases.pop() if bases else ""
    if figure.name == "mass" and not basis:
        raise InputError(Problem(_WHERE, text, "may be on one face or the total of both.", _ask(figure.text)))
    unit, amount = _in_unit(figure)
    share = 0.5 if basis == "both" else 1.0
    single = _single(claims, figure)
    lower = None if single is None else convert(single, _inside(figure), unit) * share
    return Demand(text, unit, amount * share, basis == "both", lower)


def _single(claims: list[Claim], mean: Claim) -> float | None:
    """The lower figure of a mean with a single one: "50 um mean, 43 um single" [inside unit]."""
    others = [c for c in claims if c.name == mean.name and c.extra == "least" and c.number is not None]
    if mean.extra != "mean" or len(others) != 1:
        return None
    return others[0].number


def _inside(figure: Claim) -> Unit:
    return "g/m2" if figure.name == "mass" else "um"


def _as_film(claim: Claim) -> Claim:
    """A length as thin as a coat is the coat's: 0.0017 in."""
    most = limit("sizes", "coats_to_mm")
    if claim.name != "length" or claim.number is None or not 0.0 < claim.number <= most:
        return claim
    return replace(claim, name="film", number=round(convert(claim.number, "mm", "um"), 9))


def designations_for(demand: Demand, form: Form | None = None) -> tuple[Group, ...]:
    """The designations that meet a demand, and those that just miss, by form and standard, least zinc first.

    Parameters
    ----------
    demand : what is asked
    form : only this form of part

    Notes
    -----
    Each standard's own masses are held against a mass and its own thicknesses against a thickness. Coats that
    are mostly aluminium, and zinc flake, are left out: a demand of zinc does not speak of them.

    >>> found = designations_for(read_demand("0.9 oz/ft2 per face"), "sheet")
    >>> [one.designation for one in found[0].candidates if one.how == "expected"][:2]
    ['ASTM A653M Z550', 'ASTM A653 G185']
    """
    by_standard: dict[tuple[Form, str], list[Candidate]] = {}
    for coat in coats():
        rule = figure_rule(coat.standard)
        found = _candidate(demand, coat)
        if rule is None or found is None or (form is not None and rule["form"] != form):
            continue
        by_standard.setdefault((rule["form"], coat.standard), []).append(found)
    groups = []
    for (of, code), candidates in by_standard.items():
        rule = figure_rule(code)
        kept = sorted(candidates, key=lambda one: (one.expected, one.least or 0.0))
        name = printed_name(code) if code else "Fe/Zn classes (ASTM B633, ISO 2081, ASTM F1941)"
        words = (rule["least_is"], rule["expected_is"]) if rule else ("", "")
        mark = weakest([*(one.coat.mark for one in kept), *([rule["mark"]] if rule else [])])
        groups.append(Group(of, name, words[0], words[1], tuple(kept), mark))
    order = list(FORMS)
    return tuple(sorted(groups, key=lambda group: order.index(group.form)))


def _candidate(demand: Demand, coat: Coat) -> Candidate | None:
    if coat.kind in _NOT_ZINC:
        return None
    pair = (coat.least_g_m2, coat.nominal_g_m2) if demand.by_mass else (coat.least_um, coat.nominal_um)
    inside = "g/m2" if demand.by_mass else "um"
    least, expected = (None if one is None else convert(one, inside, demand.unit) for one in pair)
    how = _how(demand, least, expected)
    if how is None or expected is None:
        return None
    return Candidate(coat.designation, printed_name(coat.standard), least, expected, how, coat)


def _how(demand: Demand, least: float | None, expected: float | None) -> How | None:
    if expected is None:
        return None
    slack = limit("demand", f"slack_{demand.unit.replace('/', '_')}")
    if least is not None and least >= demand.amount - slack:
        return "least"
    if expected >= demand.amount - slack:
        if demand.single is None:
            return "expected"
        return "both" if least is not None and least >= demand.single - slack else "mean only"
    return "just misses" if expected >= limit("demand", "just_misses") * demand.amount else None


def _check_words(plain: Tidy, claims: list[Claim]) -> None:
    for claim in claims:
        if claim.what in NOISE:
            odd = claim.what in ("word", "comparison", "negation") and claim.text not in _WORDS
        else:
            odd = claim.what not in _COMPANY
        if odd:
            start, end = plain.span(claim.start, claim.end)
            written = plain.original[start:end].strip()
            said = f"has {written}, which is no part of an amount."
            raise InputError(Problem(_WHERE, plain.original, said, _carries(plain.original) or _DO))


def _carries(text: str) -> str:
    """What a designation carries, for whoever names one in place of an amount; blank if it is none."""
    try:
        told = read_label(text)
    except LabelError:
        return ""
    coat = told.readings[0].coat
    if not told.settled or coat is None or coat.nominal_um is None:
        return ""
    least = "" if coat.least_um is None else f", at the least {coat.least_um:g} um"
    return f"On one face it is expected to carry {coat.nominal_um:g} um{least}: ask for one of these."


def _figure(text: str, claims: list[Claim]) -> Claim:
    figures = [claim for claim in claims if claim.name in ("mass", "film") and claim.number is not None]
    if not figures:
        bare = any(claim.what == "bare" for claim in claims)
        said = "has a number without a unit." if bare else "names no amount of zinc."
        raise InputError(Problem(_WHERE, text, said, _DO))
    if any(figure.extra == "most" for figure in figures):
        raise InputError(Problem(_WHERE, text, "is an upper limit; a demand is a least.", _DO))
    first = figures[0]
    senses = sorted(figure.extra for figure in figures)
    if senses == ["least", "mean"] and len({figure.name for figure in figures}) == 1:
        first, lower = sorted(figures, key=lambda figure: figure.extra, reverse=True)
        if (lower.number or 0.0) > (first.number or 0.0):
            said = f"asks more of one reading ({lower.text}) than of the mean ({first.text})."
            raise InputError(Problem(_WHERE, text, said))
    elif not all(_agree(first, other) for other in figures[1:]):
        given = " and ".join(figure.text for figure in figures)
        raise InputError(Problem(_WHERE, text, f"names {given}, which are not the same amount.", "Give one."))
    rule = DIMENSIONS["coating_g_m2" if first.name == "mass" else "film_um"]
    if not 0.0 < (first.number or 0.0) <= rule.most:
        unit = rule.inside.replace("**", "")
        raise InputError(Problem(_WHERE, text, f"must be more than 0 and at most {rule.most:g} {unit}."))
    return first


def _agree(first: Claim, other: Claim) -> bool:
    """Whether two figures tell one amount in two units; a mass and a thickness never count as one."""
    a, b = first.number or 0.0, other.number or 0.0
    return first.name == other.name and abs(a - b) <= limit("figures", "tolerance") * max(a, b)


def _in_unit(figure: Claim) -> tuple[Unit, float]:
    number = figure.number or 0.0
    if figure.name == "mass":
        ounces = any(word in figure.text for word in ("oz", "ounce", "osf", "opsf"))
        return ("oz/ft2", round(convert(number, "g/m2", "oz/ft2"), 9)) if ounces else ("g/m2", number)
    mils = re.search(r"\bmils?\b|\d ?-?mils?\b|thou|\d ?-?(?:in\b|inch|\")", figure.text)
    return ("mil", round(convert(number, "um", "mil"), 9)) if mils else ("um", number)


def _ask(written: str) -> str:
    return f'Say "{written} per face" or "{written} both faces".'
