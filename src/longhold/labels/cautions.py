"""What a label does not promise, and what it might be taken to promise."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from longhold.labels.alloys import alloy_named
from longhold.labels.catalogue import changed_since, coats_of
from longhold.labels.editions import edition_cautions
from longhold.labels.items import named_item
from longhold.labels.limits import limit
from longhold.labels.options import Found, Option
from longhold.labels.said import Said

__all__ = ["cautions", "not_promised"]

_GRADE_DIGITS = 3
_RANGE = re.compile(r"\d[^\d.,]*(?: to | and | ?- ?|\.\.)[^\d]*[\d.]")
_HARD = r"8\.8|9\.8|10\.9|12\.9|hrc|hardened|heat|quench|grade ?8|gr\.? ?8|a490|a354|f3125|a449|a325"
_VERY_HARD = r"10\.9|12\.9|hrc|hardened|heat|quench|grade ?8|gr\.? ?8|a490|a354"


@dataclass(frozen=True)
class _Case:
    """A label and what came out of it."""

    said: Said
    options: tuple[Option, ...]

    def put_on(self, *processes: str) -> bool:
        """Whether a coat may have been put on in one of some ways."""
        return any(o.coat is not None and o.coat.process in processes for o in self.options)

    @property
    def coated(self) -> bool:
        return any(option.coat is not None for option in self.options)

    @property
    def families(self) -> frozenset[str]:
        return frozenset(option.alloy.family for option in self.options if option.alloy)

    @property
    def threaded(self) -> bool:
        return self.said.item is not None and self.said.item.group == "threaded"

    @property
    def by_mass(self) -> bool:
        return any(figure.name == "mass" for figure in self.said.figures)

    def is_hard(self, pattern: str) -> bool:
        """Whether the label speaks of a hardened part."""
        words = [*(c.text for c in self.said.of("strength", "note", "standard", "word", "class_of"))]
        return re.search(pattern, " ".join(words)) is not None


def not_promised(said: Said, found: Found) -> tuple[str, ...]:
    """What the label leaves untold, in words."""
    first = found.options[0]
    coat, film = first.coat, first.protection.topcoat
    told = {
        "how much zinc there is on one face is not stated": coat is not None
        and coat.nominal_um is None
        and coat.kind != "zinc_flake",
        "least on one face is not stated": coat is not None
        and coat.nominal_um is not None
        and coat.least_um is None,
        "no mass of zinc is told: hours of salt spray are no years outdoors": coat is not None
        and coat.kind == "zinc_flake",
        "no standard is named that the coat was tested to": coat is not None
        and not first.protection.standard,
        "it says nothing of a topcoat": film is None and coat is not None,
        "how thick the topcoat is, is not stated": film is not None and film.nominal_um is None,
        "a topcoat tells no zinc under it: count that as unknown": film is not None
        and coat is not None
        and coat.nominal_um is None,
        "the grade of the stainless steel is not stated": first.protection.base_metal == "stainless"
        and not first.protection.grade,
        "edges cut after coating carry no zinc of this class": first.group == "sheet",
    }
    others = _other_parts(said)
    also = f"whether it holds for the {' and '.join(others)} too is not stated"
    return (*(words for words, holds in told.items() if holds), *([also] if others else []))


def _other_parts(said: Said) -> tuple[str, ...]:
    """Parts of another kind that the label names, and no finish for them."""
    if said.item is None:
        return ()
    words = (claim.text for claim in said.of("word") if claim.text not in said.item_words)
    kinds = {item.kind for word in words if (item := named_item(word)) and item.group != "sheet"}
    return tuple(sorted(kinds - {said.item.kind}))


def cautions(said: Said, found: Found) -> tuple[str, ...]:
    """What a reader might take the label to promise, and it does not; and hazards of the finish."""
    case = _Case(said, found.options)
    told = (words for words, holds in _CAUTIONS.items() if holds(case))
    return (*told, *dict.fromkeys(edition_cautions(said, found.options)))


def _passivated(case: _Case) -> bool:
    words = " ".join(claim.text for claim in case.said.of("process", "iron_zinc", "note"))
    told = "passivate" in case.said.names("note") or re.search(r"yellow|clear|blue|chromat|yzp", words)
    return case.coated and bool(told or any(claim.extra for claim in case.said.of("iron_zinc")))


def _air_category(case: _Case) -> bool:
    marks = {claim.name.upper() for claim in case.said.of("alloy") if re.fullmatch(r"c[134]", claim.name)}
    return any(option.alloy is not None and option.alloy.grade in marks for option in case.options)


def _bare_number(case: _Case) -> bool:
    stainless = any(o.protection.base_metal == "stainless" for o in case.options)
    return stainless and not case.said.of("alloy", "stainless_word", "grade_of", "type_of", "standard")


def _number_like_a_grade(case: _Case) -> bool:
    """Whether a number stands beside zinc that could be a stainless grade: "304 deck screws, HDG"."""
    if any(o.protection.base_metal == "stainless" for o in case.options):
        return False
    found = (alloy_named(claim.text) for claim in case.said.of("bare") if len(claim.text) == _GRADE_DIGITS)
    return any(alloy is not None and alloy.base_metal == "stainless" for alloy in found)


def _older_a123(case: _Case) -> bool:
    cited = case.said.cites("A123") and not case.said.edition("A123")
    items = case.said.item.a123 if case.said.item else ()
    return bool(cited) and changed_since("A123", items, case.said.size.measure)


def _outside_iso10684(case: _Case) -> bool:
    return bool(case.said.cites("ISO10684")) and not coats_of("ISO10684")[0].band.meets(
        case.said.size.measure
    )


def _deck_table(case: _Case) -> bool:
    return bool(case.said.cites("A123")) and case.by_mass and not case.said.basis


def _bolt_mass(case: _Case) -> bool:
    fastener = case.said.item is not None and case.said.item.is_fastener
    return fastener and case.by_mass and not case.said.basis and not case.said.standards


def _least_mean(case: _Case) -> bool:
    """Whether the label calls least what its standard asks of a mean."""
    for option in case.options:
        coat = option.coat
        if coat is None or coat.source == "label-itself" or coat.least_um is None:
            continue
        for figure in case.said.figures:
            value = (figure.number or 0.0) * (0.5 if case.said.basis == "both" else 1.0)
            least = coat.least_um if figure.name == "film" else coat.least_g_m2
            if figure.extra == "least" and least is not None and value > least * limit("cautions", "clearly"):
                return True
    return False


def _mass_of_what(case: _Case) -> bool:
    return bool(case.said.figures) and not case.said.of(
        "process", "standard", "sheet_class", "per_side", "after", "film"
    )


_CAUTIONS: dict[str, Callable[[_Case], bool]] = {
    "the figure is the total of both faces: one face carries half of it, and may carry less": lambda case: (
        any(option.counted == "both" for option in case.options)
    ),
    "this class has no least mass: it counts as no zinc at all": lambda case: any(
        option.coat is not None and option.coat.nominal_um == 0.0 for option in case.options
    ),
    "the label does not say that the figure is zinc": _mass_of_what,
    "hydrogen embrittlement: a hardened part that is electroplated needs a bake after it": lambda case: (
        case.put_on("electroplate") and case.is_hard(_HARD)
    ),
    "pickling and the heat of the bath: ASTM F2329 takes no fastener of 40 HRC or harder": lambda case: (
        case.put_on("spun_dip", "dip_after_making") and case.is_hard(_VERY_HARD)
    ),
    "a passivate or chromate adds no years outdoors; yellow zinc is no more zinc than clear": _passivated,
    "the type of ASTM B633 is a conversion coat, not more zinc": lambda case: (
        bool(case.said.of("type_of"))
        and any(option.protection.standard == "ASTM B633" for option in case.options)
    ),
    "410 has no molybdenum and rusts outdoors: no substitute for 304, 305, 316, A2 or A4": lambda case: (
        "410 family" in case.families
    ),
    "a free-machining grade falls short of the family it is named with": lambda case: (
        "303 family" in case.families
    ),
    "the figure is a range: its lower end is the promise": lambda case: bool(
        case.said.of("qualified") and any(_RANGE.search(c.text) for c in case.said.figures)
    ),
    "a tolerance on the label is left out": lambda case: "tolerance" in case.said.names("note"),
    "the least that it names is a least mean: one specimen, or one face, may carry less": _least_mean,
    "the code is one of plating by ISO 4042, and no stainless A2 or A4": lambda case: (
        bool(case.said.of("letter_code")) and not case.said.cites("ISO4042") and case.coated
    ),
    "'marine grade' is no grade": lambda case: "marine" in case.said.names("note"),
    "C1, C3 and C4 are names of air categories too; here the steel of ISO 3506 is read": _air_category,
    "the number is read as a stainless grade; if it is a count, the label names no metal": _bare_number,
    "a number on it is also a grade of stainless steel: ask whether the part is stainless or zinc-coated": (
        _number_like_a_grade
    ),
    "zinc-rich paint ('cold galvanizing') is a paint, no metallic coat": lambda case: (
        "zinc_rich" in case.said.names("process")
    ),
    "a mechanical deposit has no alloy layer and is lighter: equal um is a little less zinc": lambda case: (
        case.put_on("mechanical")
    ),
    "ASTM A153 does not rule the thickness on threads": lambda case: (
        case.threaded and any("A153" in option.protection.standard for option in case.options)
    ),
    "the thickness holds at the head or shank end; thread roots have less": lambda case: bool(
        case.said.cites("ISO4042", "F1941")
    ),
    "ISO 10684 covers threads from M8 to M64; this part lies outside": _outside_iso10684,
    "figures are those of ASTM A123-24; editions before 2024 ask more of such a part": _older_a123,
    "counted on one face, as ASTM A123 does; some codes quote such a mass for both faces": _deck_table,
    "counted on one face, because a fastener has no two; have the certificate say so": _bolt_mass,
    "ASTM A123 is for articles; fasteners and small hardware come under ASTM A153": lambda case: (
        bool(case.said.cites("A123")) and case.said.item is not None and not case.said.item.a123
    ),
    "zinc-iron sheet is made to be painted, and its layer cracks where it is bent": lambda case: any(
        option.coat is not None and option.coat.kind == "zinc_iron" and option.group == "sheet"
        for option in case.options
    ),
    "a thin film on a driven fastener is no barrier in treated wood unless tested there": lambda case: (
        case.said.item is not None
        and case.said.item.is_fastener
        and any(option.protection.topcoat is not None for option in case.options)
    ),
}
