"""What a label does not promise, and what it might be taken to promise."""

from __future__ import annotations

import re
from collections.abc import Callable

from longhold.labels.catalogue import coats_of
from longhold.labels.options import Found, Option
from longhold.labels.said import Said

__all__ = ["cautions", "not_promised"]

_HARD = r"8\.8|9\.8|10\.9|12\.9|hrc|hardened|heat|quench|grade ?8|gr\.? ?8"
_VERY_HARD = r"10\.9|12\.9|hrc|hardened|heat|quench|grade ?8|gr\.? ?8"
_TRADE = {"hanger", "base", "plate", "sheet", "strap", "angle", "bar", "shape"}


def not_promised(said: Said, found: Found) -> tuple[str, ...]:
    """What the label leaves untold, in words."""
    told: list[str] = []
    first = found.options[0]
    coat = first.coat
    if coat is not None:
        if coat.nominal_um is None and coat.kind != "zinc_flake":
            told.append("how much zinc there is on a face")
        elif coat.least_um is None and coat.kind != "zinc_flake":
            told.append("least on one face")
        if coat.kind == "zinc_flake":
            told.append("a mass of zinc: hours of salt spray are no years outdoors")
        if not first.protection.standard:
            told.append("the standard that the coat was tested to")
    film = first.protection.topcoat
    if film is None:
        told.append("anything of a topcoat")
    elif film.nominal_um is None:
        told.append("how thick the topcoat is")
    if film is not None and coat is not None and coat.nominal_um is None:
        told.append("how much zinc is under the topcoat: count it as unknown")
    if first.protection.base_metal == "stainless" and not first.protection.grade:
        told.append("the grade of the stainless steel")
    if coat is not None and first.group == "sheet":
        told.append("zinc on edges that were cut after coating")
    return tuple(told)


def cautions(said: Said, found: Found) -> tuple[str, ...]:
    """What a reader might take the label to promise, and it does not; and hazards of the finish."""
    lines = [line for check in _CHECKS if (line := check(said, found.options))]
    return tuple(dict.fromkeys(lines))


Check = Callable[[Said, tuple[Option, ...]], str]


def _has(options: tuple[Option, ...], process: str) -> bool:
    return any(option.coat is not None and option.coat.process == process for option in options)


def _strength(said: Said) -> str:
    standards = " ".join(claim.text for standard, claim in said.standards if standard.role == "other")
    return " ".join([*(c.text for c in said.of("strength", "note")), *said.words, standards])


def _embrittled_by_plating(said: Said, options: tuple[Option, ...]) -> str:
    hard = re.search(_HARD, _strength(said)) or re.search(r"a490|a354", _strength(said))
    if _has(options, "electroplate") and hard:
        return "hydrogen embrittlement: a hardened part that is electroplated needs a bake straight after plating"
    return ""


def _hard_and_dipped(said: Said, options: tuple[Option, ...]) -> str:
    hard = re.search(_VERY_HARD, _strength(said)) or "a490" in _strength(said)
    if (_has(options, "spun_dip") or _has(options, "dip_after_making")) and hard:
        return "pickling and the heat of the bath: ASTM F2329 takes no fastener of 40 HRC or harder"
    return ""


def _passivate(said: Said, options: tuple[Option, ...]) -> str:
    words = " ".join(claim.text for claim in said.of("process", "iron_zinc", "note"))
    told = "passivate" in said.names("note") or re.search(r"yellow|clear|blue|chromat|yzp", words)
    if any(o.coat is not None for o in options) and (told or any(c.extra for c in said.of("iron_zinc"))):
        return "a passivate or chromate adds no years outdoors; yellow zinc is no more zinc than clear"
    return ""


def _types_of_b633(said: Said, options: tuple[Option, ...]) -> str:
    if said.of("type_of") and any(o.protection.standard == "ASTM B633" for o in options):
        return "the type of ASTM B633 is a conversion coat, not more zinc"
    return ""


def _grade_410(said: Said, options: tuple[Option, ...]) -> str:
    if any(o.alloy is not None and o.alloy.family == "410 family" for o in options):
        return "410 has no molybdenum and rusts outdoors: no substitute for 304, 305, 316, A2 or A4"
    return ""


def _free_machining(said: Said, options: tuple[Option, ...]) -> str:
    if any(o.alloy is not None and o.alloy.family == "303 family" for o in options):
        return "a free-machining grade falls short of the family it is named with"
    return ""


def _marine(said: Said, options: tuple[Option, ...]) -> str:
    return "'marine grade' is no grade" if "marine" in said.names("note") else ""


def _no_least(said: Said, options: tuple[Option, ...]) -> str:
    if any(o.coat is not None and o.coat.nominal_um == 0.0 for o in options):
        return "this class has no least mass: it counts as no zinc at all"
    return ""


def _halved(said: Said, options: tuple[Option, ...]) -> str:
    if any(o.counted == "both" for o in options):
        return "the figure is the total of both faces: one face carries half of it, and may carry less"
    return ""


def _threads(said: Said, options: tuple[Option, ...]) -> str:
    names = " ".join(option.protection.designation for option in options)
    if "A153" in names and said.item is not None and said.item.group == "threaded":
        return "ASTM A153 does not rule the thickness on threads"
    if "4042" in names or "F1941" in names:
        return "the thickness holds at the head or shank end; thread roots have less"
    return ""


def _cold(said: Said, options: tuple[Option, ...]) -> str:
    if "zinc_rich" in said.names("process"):
        return "zinc-rich paint ('cold galvanizing') is a paint, no metallic coat"
    return ""


def _older_a123(said: Said, options: tuple[Option, ...]) -> str:
    thick = said.size.measure.low >= 4.8 or said.size.measure.low == 0.0
    if any("A123" in o.protection.standard for o in options) and thick and not said.edition("A123"):
        return "figures are those of ASTM A123-24; editions before 2024 ask more of some plate and shapes"
    return ""


def _deck_table(said: Said, options: tuple[Option, ...]) -> str:
    if said.cites("A123") and any(f.name == "mass" for f in said.figures) and not said.basis:
        return "counted on one face, as ASTM A123 does; some building codes quote such a mass for both faces together"
    return ""


def _bolt_mass(said: Said, options: tuple[Option, ...]) -> str:
    fastener = said.item is not None and said.item.is_fastener
    if fastener and any(f.name == "mass" for f in said.figures) and not said.basis and not said.standards:
        return "counted on one face, because a fastener has no two faces; have the certificate say so"
    return ""


def _mechanical(said: Said, options: tuple[Option, ...]) -> str:
    if _has(options, "mechanical"):
        return "a mechanical deposit has no alloy layer and is lighter than solid zinc: equal um is a little less zinc"
    return ""


def _thread_scope(said: Said, options: tuple[Option, ...]) -> str:
    if said.cites("ISO10684") and not coats_of("ISO10684")[0].band.meets(said.size.measure):
        return "ISO 10684 covers threads from M8 to M64; this part lies outside"
    return ""


def _a123_fastener(said: Said, options: tuple[Option, ...]) -> str:
    if said.cites("A123") and said.item is not None and not said.item.a123:
        return "ASTM A123 is for articles; nails, screws, bolts and small hardware come under ASTM A153"
    return ""


def _air_category(said: Said, options: tuple[Option, ...]) -> str:
    marks = [c.name.upper() for c in said.of("alloy") if re.fullmatch(r"c[134]", c.name)]
    if marks and any(o.alloy is not None and o.alloy.grade in marks for o in options):
        return f"{marks[0]} is also the name of an air category; here it is read as the steel of ISO 3506"
    return ""


def _bare_number(said: Said, options: tuple[Option, ...]) -> str:
    if any(o.alloy is not None and o.alloy.base_metal == "stainless" for o in options) and not said.of(
        "alloy", "stainless_word", "grade_of", "type_of"
    ):
        return "the number is read as a stainless grade; if it is a count, the label names no metal"
    return ""


def _galvannealed(said: Said, options: tuple[Option, ...]) -> str:
    if any(o.coat is not None and o.coat.kind == "zinc_iron" and o.group == "sheet" for o in options):
        return "zinc-iron sheet cracks where it is bent; made to be painted"
    return ""


def _driven_film(said: Said, options: tuple[Option, ...]) -> str:
    fastener = said.item is not None and said.item.group in ("driven", "threaded")
    if fastener and any(o.protection.topcoat is not None for o in options):
        return "a thin film on a driven fastener is no barrier in treated wood unless tested there"
    return ""


_CHECKS: tuple[Check, ...] = (
    _halved,
    _no_least,
    _embrittled_by_plating,
    _hard_and_dipped,
    _passivate,
    _types_of_b633,
    _grade_410,
    _free_machining,
    _marine,
    _air_category,
    _bare_number,
    _cold,
    _mechanical,
    _threads,
    _thread_scope,
    _older_a123,
    _deck_table,
    _bolt_mass,
    _a123_fastener,
    _galvannealed,
    _driven_film,
)
