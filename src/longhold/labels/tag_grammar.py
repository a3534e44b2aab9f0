"""From the text of an end tag to phrases, by the grammar in ``tag.lark``."""

from __future__ import annotations

import re
from dataclasses import replace
from importlib.resources import files
from typing import TYPE_CHECKING, cast

from longhold.base.recent import once
from longhold.labels.claims import Claim
from longhold.labels.conversions import ratio
from longhold.labels.grammar import read_number

if TYPE_CHECKING:
    from lark import Lark, Token, Tree

__all__ = ["tag_phrases"]

_DENIED_WITHIN = 2


def tag_phrases(text: str) -> list[Claim]:
    """Every phrase of a tidied tag, in order; a retention carries its number in kg/m3.

    >>> [(one.what, one.text) for one in tag_phrases("acq-d 0.15 pcf uc3b")]
    [('preservative', 'acq-d'), ('retention', '0.15 pcf'), ('category', 'uc3b')]
    """
    return _denied([_claim(cast("Tree[Token]", chunk)) for chunk in _parser().parse(text).children])


@once
def _parser() -> Lark:
    from lark import Lark

    grammar = files("longhold").joinpath("labels", "tag.lark").read_text(encoding="utf-8")
    return Lark(grammar, parser="lalr", lexer="basic", propagate_positions=False)


def _claim(chunk: Tree[Token]) -> Claim:
    tokens = list(chunk.scan_values(lambda value: value is not None))
    text = " ".join(tokens)
    claim = Claim(str(chunk.data), text, tokens[0].start_pos or 0, tokens[-1].end_pos or 0)
    if claim.what == "retention":
        number = read_number(tokens[0])
        factor = 1.0 if re.match(r"kg", tokens[1]) else ratio("lb/ft3")
        return replace(claim, number=None if number is None else number * factor)
    if claim.what == "bare":
        return replace(claim, number=float(text))
    if claim.what in ("exposure", "drying"):
        return replace(claim, name=tokens[0].type.lower())
    return claim


def _denied(claims: list[Claim]) -> list[Claim]:
    """A preservative, category or exposure shortly after "not" is denied: "not for ground contact"."""
    found, reach = [], 0
    for claim in claims:
        if claim.what == "negation":
            reach = _DENIED_WITHIN + 1
        elif claim.what in ("exposure", "category", "preservative") and reach:
            claim = replace(claim, extra="denied")
        reach = 0 if claim.what in ("break", "exposure", "category") else max(0, reach - 1)
        if claim.what == "negation":
            reach = _DENIED_WITHIN + 1
        found.append(claim)
    return found
