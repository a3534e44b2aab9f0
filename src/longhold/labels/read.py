"""The one door of this room: a label's words in, what they promise out."""

from __future__ import annotations

from longhold.base.errors import InputError, Problem
from longhold.labels.cautions import cautions, not_promised
from longhold.labels.meaning import weigh
from longhold.labels.options import Option
from longhold.labels.reading import LabelError, LabelReading, Reading
from longhold.labels.said import Said, sort_claims
from longhold.labels.tidy import LONGEST, tidy

__all__ = ["read_label"]

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
    item : kind of part (nail, bolt, hanger ...), where the caller knows it
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
    said = sort_claims(plain, item=item, thickness_mm=thickness_mm, diameter_mm=diameter_mm)
    found = weigh(said)
    grades = frozenset(option.protection.grade for option in found.options)
    return LabelReading(
        text=text,
        readings=tuple(_reading(option, said, grades) for option in found.options),
        question=found.question,
        not_promised=not_promised(found),
        cautions=cautions(said, found),
    )


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
