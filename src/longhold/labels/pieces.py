"""A text that speaks of several parts, each with its own finish: where one ends and the next begins."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass, field

from longhold.labels.alloys import alloy_named
from longhold.labels.catalogue import standards
from longhold.labels.claims import DESIGNATION, Claim
from longhold.labels.grammar import phrases
from longhold.labels.items import find_item, item_by_size
from longhold.labels.tidy import Tidy

__all__ = ["Piece", "split_pieces"]

_BOUNDARIES = frozenset({"with", "and", "plus", "+", ";", ",", "&"})
_FINISHES = DESIGNATION - {"standard", "film", "after", "other_coat"}
_ROLES = frozenset({"coating", "stainless", "weathering"})


@dataclass(frozen=True)
class Piece:
    """What a text says of one part.

    Attributes
    ----------
    kind : of part: hanger, nail ...
    text : its words, as handed in
    finishes : where it is unclear which finish is meant, the words of each that may be; else empty
    """

    kind: str
    text: str
    finishes: tuple[str, ...] = ()


@dataclass
class _Part:
    kind: str
    claims: list[Claim] = field(default_factory=list)
    finished: bool = False


def split_pieces(plain: Tidy) -> tuple[Piece, ...]:
    """The parts that a tidied text speaks of; none where it speaks of one, or of several with one finish.

    >>> from longhold.labels.tidy import tidy
    >>> [(one.kind, one.text) for one in split_pieces(tidy("hanger G185 with 10d nails A153 D"))]
    [('hanger', 'hanger G185'), ('nail', '10d nails A153 D')]
    """
    claims = phrases(plain.text)
    if any(claim.what in ("comparison", "negation") for claim in claims):
        return ()
    parts, loose = _sorted_out(_segments(claims))
    if sum(part.finished for part in parts) > 1:
        return tuple(Piece(part.kind, _words(plain, part.claims)) for part in parts)
    bare = [part for part in parts if not part.finished]
    if len(bare) > 1 and len(bare) == len(parts) and len(loose) > 1:
        finishes = tuple(_words(plain, segment) for segment in loose)
        return tuple(Piece(part.kind, _words(plain, part.claims), finishes) for part in parts)
    return ()


def _segments(claims: Sequence[Claim]) -> list[list[Claim]]:
    """Stretches between "with", "and", commas and their like."""
    found: list[list[Claim]] = [[]]
    skip: Set[int] = set()
    for index, claim in enumerate(claims):
        following = claims[index + 1].text if index + 1 < len(claims) else ""
        if claim.what == "word" and claim.text == "w" and following == "/":
            skip = {index + 1}
            found.append([])
        elif claim.what == "break" and claim.text in _BOUNDARIES:
            found.append([])
        elif index not in skip:
            found[-1].append(claim)
    return [segment for segment in found if segment]


def _sorted_out(segments: Sequence[list[Claim]]) -> tuple[list[_Part], list[list[Claim]]]:
    """Parts with what is said of each, and finishes of which it is unclear whose they are."""
    parts: list[_Part] = []
    leading: list[Claim] = []
    loose: list[list[Claim]] = []
    for segment in segments:
        item = find_item(segment)[0] or item_by_size([c for c in segment if c.name != "gauge"])
        if item is not None and _new_part(parts, segment, item.kind):
            parts.append(_Part(item.kind, [*leading, *segment], _is_finish([*leading, *segment])))
            leading = []
        elif not parts:
            leading += segment
        elif _is_finish(segment) and sum(not part.finished for part in parts) > 1:
            loose.append(segment)
        else:
            parts[-1].claims += segment
            parts[-1].finished = parts[-1].finished or _is_finish(segment)
    return parts, loose


def _new_part(parts: Sequence[_Part], segment: Sequence[Claim], kind: str) -> bool:
    """Whether a segment is of another part, and not the size of the one before it: "nail, 10d"."""
    named = find_item(segment)[0] is not None
    return not parts or named or parts[-1].kind != kind


def _is_finish(claims: Sequence[Claim]) -> bool:
    return any(
        claim.what in _FINISHES
        or (claim.what == "steel_word" and claim.text in ("bright", "plain", "black"))
        or (claim.what == "standard" and _promises(claim.name))
        or (claim.what == "bare" and _is_grade(claim.text))
        for claim in claims
    )


def _promises(key: str) -> bool:
    known = standards().get(key)
    return known is not None and known.role in _ROLES and known.code != "F1667"


def _is_grade(text: str) -> bool:
    alloy = alloy_named(text) if text.isdigit() else None
    return alloy is not None and alloy.base_metal == "stainless"


def _words(plain: Tidy, claims: Sequence[Claim]) -> str:
    """The words of some claims as handed in, from the first to the last of each unbroken stretch."""
    start, end = plain.span(claims[0].start, claims[-1].end)
    return plain.original[start:end].strip()
