"""Reads a connection told in words, such as "smooth round nail 3.4x90 fu 600, C24 38 mm to C24 71 mm".

Every number and every word must be understood: what is left over could change the answer, so it is named
and nothing is answered.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

__all__ = ["Told", "read_case"]

_N = r"(\d+(?:\.\d+)?)"
_IS = r"\s*(?:=|:|of|is)?\s*"
_MM = r"\s*(?:mm)?\b"


@dataclass
class Told:
    """What a text says of a connection.

    Attributes
    ----------
    facts : name -> number, word or flag; only what stands in the text
    left : what was not understood, empty if everything was
    """

    facts: dict[str, Any] = field(default_factory=dict)
    left: str = ""


def read_case(text: str) -> Told:
    """The facts in a text, and what of it was not understood.

    >>> told = read_case("smooth nail 3.4x90 fu 600, C24 38 mm to C24 71 mm, no predrill, head 8 mm")
    >>> told.facts["diameter"], told.facts["length"], told.facts["thicknesses"], told.left
    (3.4, 90.0, [38.0, 71.0], '')
    >>> read_case("nail 4x100, hot-riveted").left
    'hot riveted'
    """
    told = Told()
    rest = f" {text.strip()} "
    for pattern, take in _PATTERNS:
        while match := pattern.search(rest):
            take(told.facts, match)
            rest = f"{rest[: match.start()]} ; {rest[match.end() :]}"
    words = re.findall(r"[^\s,;:()+\-=/.]+(?:\.\d+)?", rest)
    told.left = " ".join(word for word in words if word.lower() not in _FILLERS)
    return told


_Take = Callable[[dict[str, Any], "re.Match[str]"], None]


def _set(name: str, value: Any = None) -> _Take:
    """Set a fact from the first group, or to a value; a fact told twice in two ways is a clash."""

    def take(facts: dict[str, Any], match: re.Match[str]) -> None:
        new = float(next(group for group in match.groups() if group)) if value is None else value
        if facts.setdefault(name, new) != new:
            facts["clash"] = f"{name.replace('_', ' ')} is told twice"

    return take


def _several(*names: str) -> _Take:
    def take(facts: dict[str, Any], match: re.Match[str]) -> None:
        for name, group in zip(names, match.groups(), strict=True):
            facts.setdefault(name, float(group))

    return take


def _timbers(classes: tuple[int, ...], thicknesses: tuple[int, ...] = (), *, all_told: bool = False) -> _Take:
    """Strength classes and thicknesses from the groups of a match; ``all_told`` stands for all others."""

    def take(facts: dict[str, Any], match: re.Match[str]) -> None:
        names = [match[group] for group in classes if match[group]]
        facts.setdefault("classes", []).extend(map(_class_name, names))
        sizes = [float(match[group]) for group in thicknesses]
        if all_told:
            facts["thicknesses"] = sizes
        elif sizes:
            facts.setdefault("thicknesses", []).extend(sizes)

    return take


_CLASSES_FIRST = _timbers((1, 3), (2, 4), all_told=True)
_SIZES_FIRST = _timbers((2, 4), (1, 3), all_told=True)


def _three(facts: dict[str, Any], match: re.Match[str]) -> None:
    facts.setdefault("classes", []).append(_class_name(match[1]))
    facts["thicknesses"] = [float(match[2]), float(match[3])]
    facts["shear"] = "double"
    if match[2] != match[4]:
        facts["clash"] = "the outer members differ"


def _class_name(text: str) -> str:
    name = text.replace(" ", "")
    return name[:-1].upper() + name[-1].lower()


def _plate(facts: dict[str, Any], match: re.Match[str]) -> None:
    facts["steel"] = True
    if thickness := match["mm"] or match["after"]:
        facts["plate"] = float(thickness)
    words = match.group(0).lower()
    if re.search(r"side plates|outer|outside|both sides|two|plates", words) and "plates" in words:
        facts["plates"] = "both"
    if re.search(r"cent|middle|inner|slotted|flitch", words):
        facts["plates"] = "middle"


def _panel(facts: dict[str, Any], match: re.Match[str]) -> None:
    word, thickness = match.groups() if match[1][0].isalpha() else match.groups()[::-1]
    facts["material"] = "plywood" if word.lower() == "plywood" else "osb"
    facts["t1"] = float(thickness)


def _row_of(facts: dict[str, Any], match: re.Match[str]) -> None:
    facts["count"] = float(match[1])
    if match[2]:
        facts.setdefault("kind", match[2].lower())


def _property_class(facts: dict[str, Any], match: re.Match[str]) -> None:
    facts.setdefault("fu", float(match[1]) * 100.0)


def _word(facts_name: str, words: Mapping[str, Any]) -> tuple[re.Pattern[str], _Take]:
    def take(facts: dict[str, Any], match: re.Match[str]) -> None:
        new = words[re.sub(r"[\s-]+", " ", match[1].lower())]
        if facts.setdefault(facts_name, new) != new:
            facts["clash"] = f"{facts_name.replace('_', ' ')} is told twice"

    options = "|".join(word.replace(" ", r"[\s-]+") for word in sorted(words, key=len, reverse=True))
    return re.compile(rf"\b({options})\b", re.IGNORECASE), take


def _p(pattern: str, take: _Take) -> tuple[re.Pattern[str], _Take]:
    return re.compile(pattern, re.IGNORECASE), take


_CLASS = r"((?:GL\s?\d\d[hc]|[CD]\d\d))"
_WHERE = "(?:outer |outside |side |centre |center |central |middle |inner |slotted-in |flitch )?"
_PLATE = (
    rf"(?:(?P<mm>{_N[1:-1]})\s*mm\s*)?(?:thin |thick )?(?:two )?{_WHERE}(?:steel )?{_WHERE}plates?"
    rf"(?:\s+(?P<after>{_N[1:-1]})\s*mm)?(?:\s+(?:on|at) both sides)?"
)

_PATTERNS: tuple[tuple[re.Pattern[str], _Take], ...] = (
    _p(r"\(\s*t\s*/\s*d\s*=?\s*[\d.]+\s*\)", lambda _facts, _match: None),
    _p(r"\(\s*[\d.]+\s*-\s*[\d.]+\s*\)", lambda _facts, _match: None),
    _p(r"\(?\b8\.\d{1,2}(?:\s*[a-m])?\)", lambda _facts, _match: None),
    _p(r"\bTable \d\.\d+\b", lambda _facts, _match: None),
    # factors and loads
    _p(rf"\bkmod{_IS}{_N}", _set("kmod")),
    _p(rf"\b(?:gM|gamma_?\s?M|γM){_IS}{_N}", _set("gamma")),
    _p(rf"\bkd{_IS}{_N}", _set("kd_told")),
    _p(r"\b(?:SC|service class)\s*([123])\b", _set("service_class")),
    _word(
        "duration",
        {
            "permanent": "permanent",
            "long term": "long_term",
            "medium term": "medium_term",
            "short term": "short_term",
            "instantaneous": "instantaneous",
        },
    ),
    # rope and axial
    _p(r"\b(?:no|without(?: the)?) rope(?: effect)?\b", _set("no_rope", True)),
    _p(rf"\brope(?: effect)? (?:cap|limit)(?:ped at)?{_IS}{_N}\s*(?:percent|%)", _set("rope_cap_percent")),
    _p(rf"\bFax,?(?:Rk)?\s*=\s*{_N}\s*N\b", _set("axial")),
    _p(rf"\bfax,?k?{_IS}{_N}(?:\s*(?:N/mm2|MPa))?", _set("fax")),
    _p(rf"\bfhead,?k?{_IS}{_N}(?:\s*(?:N/mm2|MPa))?", _set("fhead")),
    _p(rf"\bfc,?90,?k?{_IS}{_N}(?:\s*(?:N/mm2|MPa))?", _set("fc90")),
    _p(rf"\bAs{_IS}{_N}(?:\s*mm(?:2|²|\^2))?", _set("area")),
    _p(rf"\bhead\s*{_N}\s*\*\s*{_N}\s*(?:\^2|²)", _several("fhead", "head")),
    _p(rf"\b(?:head(?: diameter)?(?: dh)?|dh){_IS}{_N}{_MM}", _set("head")),
    _p(rf"\bwashers?(?: diameter)?(?: dw)?{_IS}{_N}{_MM}", _set("washer")),
    _p(rf"\b(?:thread(?:ed)?(?: length)?|lef|l_ef){_IS}{_N}{_MM}", _set("thread")),
    _p(rf"\b(?:root(?: diameter)?|d1|inner diameter){_IS}{_N}{_MM}", _set("root")),
    # sizes of timber
    _p(rf"\bt1{_IS}{_N}{_MM}", _set("t1")),
    _p(rf"\bt2{_IS}{_N}{_MM}", _set("t2")),
    _p(rf"\b(?:tpen|t_pen|penetration){_IS}{_N}{_MM}", _set("penetration")),
    _p(rf"\bhe{_IS}{_N}{_MM}", _set("he")),
    _p(rf"\bh{_IS}{_N}{_MM}", _set("h")),
    _p(rf"\bb{_IS}{_N}{_MM}", _set("b")),
    _p(rf"\brho,?k?{_IS}{_N}(?:\s*kg/m3)?", _set("rho")),
    _p(rf"\bfu,?k?{_IS}{_N}(?:\s*(?:N/mm2|MPa))?", _set("fu")),
    _p(r"\b(?:grade|property class|class)\s*([4568])\.[68]\b", _property_class),
    _p(r"\b([4568])\.[68](?=\s+bolts?\b)", _property_class),
    _p(r"(?:(?<=bolt )|(?<=bolts )|(?<=\bM\d\d ))([4568])\.[68]\b(?!\s*mm|\s*x)", _property_class),
    # rows
    _p(rf"\bn(?:ef)?\s*=\s*{_N}(?:\s*\^\s*0\.9)?", _set("count")),
    _p(rf"\b{_N}\s+(?:(nail|bolt|screw|dowel)s )?in a row\b", _row_of),
    _p(rf"\b(?:a1|spacing|spaced){_IS}{_N}{_MM}", _set("spacing")),
    # angles
    _p(rf"(?:\b(?:alpha|angle){_IS})?{_N}\s*(?:deg(?:rees)?\b|°)(?: to (?:the )?grain)?", _set("angle")),
    _p(rf"\b(?:alpha|angle){_IS}{_N}", _set("angle")),
    _p(r"\bparallel to (?:the )?grain\b", _set("angle", 0.0)),
    _p(r"\bperpendicular to (?:the )?grain\b", _set("angle", 90.0)),
    _p(rf"\b(?:tp|t_p|plate thickness){_IS}{_N}{_MM}", _set("plate")),
    # the fastener
    _p(r"\bM(\d+(?:\.\d+)?)\s*x\s*(\d+(?:\.\d+)?)" + _MM, _several("diameter", "length")),
    _p(r"\bM(\d+)\b", _set("diameter")),
    _p(rf"\b{_N}\s*[x×]\s*{_N}{_MM}", _several("diameter", "length")),
    _p(rf"\b(?:(?-i:d)|diameter){_IS}{_N}{_MM}", _set("diameter")),
    _p(rf"\b(?:l|length){_IS}{_N}{_MM}", _set("length")),
    # members
    _p(rf"\b(plywood|osb|particleboard)\s+{_N}\s*mm\b", _panel),
    _p(rf"\b{_N}\s*mm\s+(plywood|osb|particleboard)\b", _panel),
    _p(rf"\b{_CLASS}\s+{_N}\s*\+\s*{_N}\s*\+\s*{_N}{_MM}", _three),
    _p(
        rf"\b{_CLASS}\s+{_N}\s*mm\s*(?:to|on|\+|and)\s*{_CLASS}?\s*{_N}\s*mm\b",
        _CLASSES_FIRST,
    ),
    _p(rf"\b{_CLASS}\s+{_N}\s*\+\s*()?{_N}{_MM}", _CLASSES_FIRST),
    _p(
        rf"\b{_N}\s*mm\s+{_CLASS}\s*(?:to|on|\+|and)\s*{_N}\s*mm\s+{_CLASS}?",
        _SIZES_FIRST,
    ),
    _p(_PLATE, _plate),
    _p(rf"\b{_CLASS}\s+{_N}\s*mm\b(?! steel)", _timbers((1,), (2,))),
    _p(rf"\b{_N}\s*mm\s+{_CLASS}\b", _timbers((2,), (1,))),
    _p(rf"\b{_CLASS}\b", _timbers((1,))),
    _p(rf"(?<=nail |bolt |crew |owel ){_N}{_MM}", _set("diameter")),
    _p(rf"(?<=nails |bolts |crews |owels ){_N}{_MM}", _set("diameter")),
    _p(rf"\b{_N}\s*mm (?=nail|bolt|screw|dowel)", _set("diameter")),
    # words
    _p(r"\b(?:no|not|without|non)[\s-]*pre-?\s?drill(?:ed|ing)?\b", _set("predrilled", False)),
    _p(r"\b(?:with )?pre-?\s?drill(?:ed|ing)?\b", _set("predrilled", True)),
    _p(r"\b(single|double)[\s-]shear\b", lambda facts, match: facts.update(shear=match[1].lower())),
    _p(r"\bper (?:shear )?plane(?: per \w+)?\b", _set("per_plane", True)),
    _p(r"\b(?:driven|made) wet|wet timber|drying(?: out)?\b", _set("drying", True)),
    _p(r"\bgrooved\b", lambda facts, _match: facts.update(square=True, shank="threaded")),
    _word("square", {"square": True, "round": False}),
    _word(
        "kind",
        {
            **dict.fromkeys(("nail", "nails"), "nail"),
            **dict.fromkeys(("bolt", "bolts"), "bolt"),
            **dict.fromkeys(("screw", "screws", "lag screw", "coach screw"), "screw"),
            **dict.fromkeys(("dowel", "dowels"), "dowel"),
        },
    ),
    _word(
        "shank",
        {
            "smooth": "smooth",
            **dict.fromkeys(("ring shank", "ringed", "annular", "helical", "threaded"), "threaded"),
        },
    ),
    _word(
        "material",
        {
            "softwood": "softwood",
            "hardwood": "hardwood",
            "lvl": "lvl",
            "plywood": "plywood",
            **dict.fromkeys(("osb", "particleboard"), "osb"),
        },
    ),
)

_FILLERS = frozenset(
    re.findall(
        r"\S+",
        "a an the to on in of at and with for as per one each timber timbers wood solid steel beam beams "
        "splitting partially fully common wire connection joint loaded load single thin thick interpolated "
        "mm member members side main head point k rk mode governing characteristic design value "
        "term class sawn",
    )
)
