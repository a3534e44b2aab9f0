"""A text on one part or on several: what it promises for each."""

from __future__ import annotations

from dataclasses import dataclass

from longhold.labels.pieces import split_pieces
from longhold.labels.read import read_label, read_piece
from longhold.labels.reading import LabelError, LabelReading
from longhold.labels.tidy import LONGEST, tidy

__all__ = ["PartLabel", "read_parts"]


@dataclass(frozen=True)
class PartLabel:
    """What a text says of one part.

    Attributes
    ----------
    kind : of part; blank where the text speaks of one part only
    text : its words
    told : what they promise; None where they cannot be read
    refused : why not; None where they can
    """

    kind: str
    text: str
    told: LabelReading | None = None
    refused: LabelError | None = None


def read_parts(text: str) -> tuple[PartLabel, ...]:
    """What a text promises, part by part; one entry where it speaks of one part.

    Parameters
    ----------
    text : the words, up to 500 characters

    Raises
    ------
    LabelError : where it speaks of one part and cannot be read, or of several and none can

    >>> found = read_parts("hanger G185 with 10d nails hot-dip A153 D")
    >>> [(one.kind, one.told.protection.designation) for one in found]
    [('hanger', 'ASTM A653 G185'), ('nail', 'ASTM A153 class D')]
    """
    pieces = split_pieces(tidy(text)) if isinstance(text, str) and len(text) <= LONGEST else ()
    if not pieces:
        return (PartLabel("", text, read_label(text)),)
    found: list[PartLabel] = []
    for piece in pieces:
        try:
            told = read_piece(piece)
            found.append(PartLabel(piece.kind, told.text, told))
        except LabelError as error:
            found.append(PartLabel(piece.kind, piece.text, refused=error))
    if not any(one.told for one in found):
        raise LabelError(
            text, "; ".join(f"of the {one.kind}: {one.refused.why}" for one in found if one.refused)
        )
    return tuple(found)
