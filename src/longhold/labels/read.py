"""The one door of this room: a label's words in, what they promise out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from longhold.base.errors import InputError, Problem
from longhold.labels.cautions import cautions, not_promised
from longhold.labels.items import named_item
from longhold.labels.meaning import weigh
from longhold.labels.options import Option
from longhold.labels.pieces import Piece, split_pieces
from longhold.labels.reading import LabelError, LabelReading, Reading
from longhold.labels.said import Said, sort_claims
from longhold.labels.tidy import LONGEST, tidy

__all__ = ["read_label", "read_piece"]

_COUNTED = {"both": "total of both faces", "one": "one face", "": ""}


def read_label(
    text: str,
    *,
    item: str | None = None,
    thickness_mm: float | None = None,
    diameter_mm: float | None = None,
) -> LabelReading:
    """What the words on a box, a drawing or a certificate promise.

    Parameters
    ----------
    text : the words, up to 500 characters; case, blanks and dashes are free
    item : kind of part (nail, bolt, hanger ...), where the caller knows it; of a text on several parts, only
        what it says of that one is read
    thickness_mm : thickness of its steel [mm], likewise; more than 0
    diameter_mm : diameter of a fastener [mm], likewise; more than 0

    Returns
    -------
    LabelReading : every possible reading, least protective first, with the question that settles it

    Raises
    ------
    LabelError : where the text says nothing usable, is misspelt, or is at odds with itself; never a guess
    InputError : for a size that is not above zero

    >>> reading = read_label("ASTM A653 G185")
    >>> layer = reading.readings[0].coat
    >>> (layer.nominal_um, layer.least_um), reading.readings[0].counted
    ((39.5, 27.4), 'total of both faces')
    >>> [r.protection.designation for r in read_label("A153 nail, 10d").readings]
    ['ASTM A153 class D']
    """
    if not isinstance(text, str):
        raise LabelError(text, "must be text.")
    if len(text) > LONGEST:
        raise LabelError(text, f"has {len(text)} characters; a label has at most {LONGEST}.")
    for name, size in {"thickness_mm": thickness_mm, "diameter_mm": diameter_mm}.items():
        if size is not None and not 0.0 < size < float("inf"):
            raise InputError(Problem(name, size, "must be more than zero."))
    plain = tidy(text)
    if not plain.text:
        raise LabelError(
            text, "is blank.", do="Write it as on the certificate, such as G185 or ASTM A153 class D."
        )
    if pieces := split_pieces(plain):
        return _of_part(text, pieces, item, thickness_mm, diameter_mm)
    said = sort_claims(plain, item=item, thickness_mm=thickness_mm, diameter_mm=diameter_mm)
    found = weigh(said)
    grades = frozenset(option.protection.grade for option in found.options)
    return LabelReading(
        text=text,
        readings=tuple(_reading(option, said, grades) for option in found.options),
        question=found.question,
        not_promised=not_promised(said, found),
        cautions=cautions(said, found),
    )


def _of_part(
    text: str,
    pieces: tuple[Piece, ...],
    item: str | None,
    thickness_mm: float | None,
    diameter_mm: float | None,
) -> LabelReading:
    """What a text on several parts says of the one that is asked for.

    Raises
    ------
    LabelError : where none is asked for, or the one asked for is not among them
    """
    wanted = named_item(item)
    fitting = [one for one in pieces if wanted is not None and one.kind == wanted.kind]
    if len(fitting) != 1:
        named = "; ".join(f"{one.kind}: {one.text}" for one in pieces)
        raise LabelError(
            text, f"speaks of several parts ({named}).", do="Write what it says of the one that is meant."
        )
    return read_piece(fitting[0], item=item, thickness_mm=thickness_mm, diameter_mm=diameter_mm)


def read_piece(
    piece: Piece,
    *,
    item: str | None = None,
    thickness_mm: float | None = None,
    diameter_mm: float | None = None,
) -> LabelReading:
    """What a text says of one of its parts; where its finish is unclear, a reading for each that may be.

    Raises
    ------
    LabelError : where none of them can be read
    """
    sizes = {"thickness_mm": thickness_mm, "diameter_mm": diameter_mm}
    if not piece.finishes:
        return read_label(piece.text, item=item or piece.kind, **sizes)
    found: list[LabelReading] = []
    refused: LabelError | None = None
    whole = piece.text
    for finish in piece.finishes:
        shift, whole = len(whole) - len(piece.text), f"{whole} {finish}"
        try:
            one = read_label(f"{piece.text} {finish}", item=item or piece.kind, **sizes)
        except LabelError as error:
            refused = error
        else:
            found.append(
                replace(one, readings=tuple(_shifted(r, len(piece.text), shift) for r in one.readings))
            )
    if not found:
        raise refused or LabelError(piece.text, "names no finish.")
    readings = sorted((one for each in found for one in each.readings), key=_strength)
    return LabelReading(
        text=whole,
        readings=tuple(readings),
        question=f"Which finish is on the {piece.kind}: {' or '.join(piece.finishes)}?",
        not_promised=_each(one.not_promised for one in found),
        cautions=_each(one.cautions for one in found),
    )


def _strength(reading: Reading) -> tuple[int, float, float, int]:
    rank = reading.alloy.order if reading.alloy else 0
    return Option(reading.protection, "loose", rank=rank, alloy=reading.alloy).strength


def _shifted(reading: Reading, after: int, shift: int) -> Reading:
    """The same, with what it was read from after a place moved to where that stands in a longer text."""
    spans = tuple((a + shift, b + shift) if a >= after else (a, b) for a, b in reading.spans)
    return replace(reading, spans=spans)


def _each(told: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(words for one in told for words in one))


def _reading(option: Option, said: Said, grades: frozenset[str]) -> Reading:
    return Reading(
        protection=option.protection,
        counted=_COUNTED[option.counted],
        as_written=option.as_written,
        item=said.item.kind if said.item else "",
        size_text=said.size.text,
        thickness_mm=said.size.thickness_mm,
        diameter_mm=said.size.diameter_mm,
        spans=said.spans_with(grades),
        ignored=said.ignored_with(grades),
        alloy=option.alloy,
    )
