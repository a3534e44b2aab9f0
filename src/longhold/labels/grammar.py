"""From tidied text to claims by the grammar of ``label.lark``; one spelling for what each phrase names."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from importlib.resources import files
from typing import TYPE_CHECKING, cast

from longhold.base.recent import once
from longhold.labels.claims import Claim
from longhold.labels.conversions import convert

if TYPE_CHECKING:
    from lark import Lark, Token, Tree

__all__ = ["phrases", "read_number"]


def phrases(text: str) -> list[Claim]:
    """Every phrase of a tidied label, in order, words that say nothing included.

    >>> [claim.what for claim in phrases("a653 g90 hanger")]
    ['standard', 'sheet_class', 'word']
    """
    claims: list[Claim] = []
    segment = 0
    for chunk in _parser().parse(text).children:
        claim = replace(_claim(cast("Tree[Token]", chunk)), segment=segment)
        if claim.what in ("break", "either"):
            segment += 1
        claims.append(claim)
    return claims


@once
def _parser() -> Lark:
    from lark import Lark

    grammar = files("longhold").joinpath("labels", "label.lark").read_text(encoding="utf-8")
    return Lark(grammar, parser="lalr", lexer="basic", propagate_positions=False)


def read_number(text: str) -> float | None:
    """A number as people write it: 2-1/2, 1/2, 1,000, 2,5; None where it has no value.

    >>> read_number("2-1/2"), read_number("2,5"), read_number("1,000")
    (2.5, 2.5, 1000.0)
    """
    if match := re.fullmatch(r"(?:(\d+)[ -])?(\d+)/(\d+)", text):
        whole, above, below = int(match[1] or 0), int(match[2]), int(match[3])
        return whole + above / below if below else None
    if re.fullmatch(r"\d{1,3}(?:,\d{3})+", text):
        return float(text.replace(",", ""))
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return None


def _claim(chunk: Tree[Token]) -> Claim:
    tokens = list(chunk.scan_values(lambda value: value is not None))
    text = " ".join(tokens)
    bare = Claim(str(chunk.data), text, tokens[0].start_pos or 0, tokens[-1].end_pos or 0)
    fill = _FILL.get(bare.what)
    return bare if fill is None else fill(bare, tokens)


Fill = Callable[[Claim, Sequence["Token"]], Claim]


def _standard(claim: Claim, tokens: Sequence[Token]) -> Claim:
    text = tokens[0]
    if tokens[0].type == "ASTM":
        match = re.match(r"(?:astm[ -]?)?([abf]?)[ -]?(\d+)", text)
        edition = re.search(r"-(\d\d\w*(?:\(\d{4}\))?|\d{4})$", text)
        key = (match[1] or "?") + match[2] if match else text
        return replace(claim, name=key, extra=edition[1] if edition else "")
    letter = "as" if tokens[0].type == "AUSTRALIAN" else "n"
    match = re.search(r"(\d{3,5})", text)
    edition = re.search(r"[:-] ?(\d{4})$", text[match.end() :] if match else "")
    return replace(claim, name=letter + (match[1] if match else ""), extra=edition[1] if edition else "")


def _sheet(claim: Claim, tokens: Sequence[Token]) -> Claim:
    if tokens[0].type == "EN_STEEL":
        return replace(claim, what="sheet_steel", name=claim.text.upper())
    match = re.match(r"([a-z]+)[ -]?(\d+)", claim.text)
    return replace(claim, name=f"{match[1]}{match[2]}".upper() if match else claim.text)


def _per_side(claim: Claim, _: Sequence[Token]) -> Claim:
    return replace(claim, name="/".join(re.findall(r"\d+[GZ]", claim.text.upper())))


def _iron_zinc(claim: Claim, _: Sequence[Token]) -> Claim:
    match = re.search(r"zn ?/{0,2}-? ?(\d+)(?: ?um)?(?: ?/{0,2} ?[1-4]?([a-f])(?![a-z]))?", claim.text)
    if match is None:
        return claim
    return replace(claim, name=f"Fe/Zn {int(match[1])}", number=float(match[1]), extra=match[2] or "")


def _compact_upper(claim: Claim, _: Sequence[Token]) -> Claim:
    return replace(claim, name=re.sub(r"[ -]", "", claim.text).upper())


def _first_number(claim: Claim, _: Sequence[Token]) -> Claim:
    match = re.search(r"\d+", claim.text)
    return replace(claim, number=float(match[0]) if match else None)


def _flake(claim: Claim, tokens: Sequence[Token]) -> Claim:
    claim = _first_number(claim, tokens)
    return replace(claim, name="yc" if re.match(r"fl ?zn ?(?:l? ?)?y", claim.text) else "")


def _alloy(claim: Claim, tokens: Sequence[Token]) -> Claim:
    kind, text = tokens[0].type, claim.text.replace(" ", "")
    if kind == "ISO_MARK":
        mark, _, strength = text.partition("-")
        return replace(claim, name=mark, extra=f"mark-{strength}")
    if kind == "ALLOY_NAMED":
        match = re.search(r"\d{3,4}(?:lmn|ln|l|h|n|ti|hq|cu|se|f)?(?=ss|s/s|stainless|$)", text)
        return replace(claim, name=match[0] if match else text, extra="named")
    if kind == "EIGHTEEN":
        return replace(claim, name="18-8" if text.startswith("18") else "17-4ph")
    if kind == "SIX_MO":
        return replace(claim, name="6mo")
    return replace(claim, name=re.sub(r"^(?:uns-?|en-?|w\.?nr\.?-?)", "", text))


def _token_type(claim: Claim, tokens: Sequence[Token]) -> Claim:
    return replace(claim, name=tokens[0].type.lower())


def _metal(claim: Claim, tokens: Sequence[Token]) -> Claim:
    number = re.search(r"\d{4}", claim.text)
    return replace(claim, name=tokens[0].type.lower(), extra=number[0] if number else "")


def _named(claim: Claim, tokens: Sequence[Token]) -> Claim:
    if len(tokens) < 2:
        return replace(claim, what="word")
    name = tokens[1].replace(" ", "")
    if match := re.fullmatch(r"b-?([123])", name):
        name = f"b-{match[1]}"
    return replace(claim, name=name.upper() if tokens[1].type in ("LETTER", "ROMAN") else str(name))


def _figure(claim: Claim, tokens: Sequence[Token]) -> Claim:
    value = read_number(tokens[0])
    unit, word = tokens[1].type, tokens[1].strip(".-")
    if value is None:
        return replace(claim, what="word")
    if unit == "FILM_UNIT":
        mil = word.startswith(("mil", "thou"))
        return replace(claim, name="film", number=round(convert(value, "mil", "um"), 9) if mil else value)
    if unit == "LENGTH_UNIT":
        inch = word.startswith("in") or word == '"'
        factor = convert(1.0, "in", "mm") if inch else 10.0 if word == "cm" else 1.0
        return replace(claim, name="length", number=value * factor)
    ounces = word.startswith("o")
    area = word not in ("oz", "ounce", "ounces")
    number = round(convert(value, "oz/ft2", "g/m2"), 9) if ounces else value
    return replace(claim, name="mass", number=number, extra="" if area else "ounces alone")


def _qualified(claim: Claim, tokens: Sequence[Token]) -> Claim:
    first = tokens[0].type in ("QUALIFIER", "AT_LEAST")
    word = tokens[0] if first else tokens[-1]
    rest = list(tokens[1:] if first else tokens[:-1])
    if len(rest) < 2:
        return replace(claim, what="bare", text=str(rest[0]), start=rest[0].start_pos or 0)
    figure = _figure(replace(claim, what="figure"), rest)
    sense = (
        "least"
        if re.match(r"min|at least|not less|no less|least|local|single|individual|any one|>", word)
        else "mean"
    )
    if re.match(r"max|up to|<", word):
        sense = "most"
    return replace(figure, extra=sense)


def _span(claim: Claim, tokens: Sequence[Token]) -> Claim:
    """A range of coats promises its lower end."""
    ends = re.findall(r"\d+[.,]\d+|\.\d+|\d+", re.sub(r"(?:ft|m) ?\^?2", "", tokens[0]))
    low, high = sorted((read_number(end) or 0.0, end) for end in ends[-2:])
    figure = _figure(replace(claim, what="figure"), [tokens[0].update(value=low[1]), tokens[1]])
    return replace(figure, what="qualified", extra="least") if low[0] < high[0] else figure


def _basis(claim: Claim, tokens: Sequence[Token]) -> Claim:
    return replace(claim, name="both" if tokens[0].type == "BOTH_FACES" else "one")


_FILL: dict[str, Fill] = {
    "standard": _standard,
    "sheet_class": _sheet,
    "per_side": _per_side,
    "iron_zinc": _iron_zinc,
    "service_condition": _compact_upper,
    "zinc_number": _first_number,
    "letter_code": _compact_upper,
    "flake": _flake,
    "hdg_mass": _first_number,
    "alloy": _alloy,
    "stainless_word": _token_type,
    "metal": _metal,
    "bare_metal": _token_type,
    "process": _token_type,
    "class_of": _named,
    "grade_of": _named,
    "type_of": _named,
    "figure": _figure,
    "qualified": _qualified,
    "span": _span,
    "hours": _first_number,
    "basis": _basis,
    "dimensions": _token_type,
    "size": _token_type,
    "note": _token_type,
}
