"""Labels beside each other on one basis: what one face carries, least and expected."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial

from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark, weakest
from longhold.base.recent import once
from longhold.base.tables import Row, load_csv
from longhold.labels.catalogue import coats
from longhold.labels.pieces import split_pieces
from longhold.labels.read import read_label, read_piece
from longhold.labels.reading import LabelError, LabelReading, Reading
from longhold.labels.tidy import LONGEST, tidy
from longhold.model.protection import Layer

__all__ = ["AS_WRITTEN", "Compared", "Promise", "compare_labels", "figure_rule"]

AS_WRITTEN = "as the label says"
"""Kind of a figure that no table holds, but the label writes out."""


@dataclass(frozen=True)
class Promise:
    """What one reading of a label promises for one face.

    Attributes
    ----------
    designation : our way of writing it
    metal : the metal underneath, in words
    coat : what the coat is made of, in words; blank where there is none
    standard : standard with its edition; blank if none is named
    counted : ``total of both faces``, ``one face``, or blank where nothing is counted
    least_g_m2, least_um : least that one face may carry [g/m2], [um]; None if not stated
    expected_g_m2, expected_um : what one face is expected to carry [g/m2], [um]; None if not stated
    least_is, expected_is : what kind of figure each is, in words; blank without it
    grade, family : of a bare alloy; blank for carbon steel
    pren : pitting resistance number of a stainless steel; None if it has none or it is not held
    topcoat_um : thickness of the organic topcoat [um]; None if none is stated
    has_topcoat : whether there is one
    source : of the figures
    mark : weakest of the figures, of the label's designation, and of what kind of figures they are
    """

    designation: str
    metal: str
    coat: str = ""
    standard: str = ""
    counted: str = ""
    least_g_m2: float | None = None
    least_um: float | None = None
    expected_g_m2: float | None = None
    expected_um: float | None = None
    least_is: str = ""
    expected_is: str = ""
    grade: str = ""
    family: str = ""
    pren: float | None = None
    topcoat_um: float | None = None
    has_topcoat: bool = False
    source: str = ""
    mark: Mark = Mark.VERIFIED


@dataclass(frozen=True)
class Compared:
    """One label with all that it may promise, or why it cannot be read.

    Attributes
    ----------
    text : the label as handed in
    promises : everything it may promise, least protective first; none where it cannot be read
    question : what settles it where there are several; blank when settled
    refused : why it cannot be read; blank where it can
    """

    text: str
    promises: tuple[Promise, ...] = ()
    question: str = ""
    refused: str = ""
    problems: tuple[Problem, ...] = field(default=(), repr=False)


def compare_labels(texts: Sequence[str]) -> tuple[Compared, ...]:
    """Every label on one basis, in the order given.

    Parameters
    ----------
    texts : the words of each label

    Raises
    ------
    InputError : where not one of them can be read; one that cannot beside others that can is told in its row

    >>> first, second = compare_labels(["G185", "ASTM A153 class D"])
    >>> [(one.promises[0].least_um, one.promises[0].expected_um) for one in (first, second)]
    [(27.4, 39.5), (36.0, 43.0)]
    >>> compare_labels(["G90", "xyzzy"])[1].refused[:21]
    'has no designation of'
    """
    found = tuple(one for text in texts for one in _compared_parts(text))
    if not any(one.promises for one in found):
        raise InputError(*(problem for one in found for problem in one.problems))
    return found


def _compared_parts(text: str) -> tuple[Compared, ...]:
    """One row for a label on one part; a row for each part of a label on several."""
    pieces = split_pieces(tidy(text)) if len(text) <= LONGEST else ()
    if not pieces:
        return (_compared(text, lambda: read_label(text)),)
    return tuple(_compared(piece.text, partial(read_piece, piece)) for piece in pieces)


def _compared(text: str, read: Callable[[], LabelReading]) -> Compared:
    try:
        told = read()
    except LabelError as error:
        said = " ".join(f"{one.allowed} {one.do}".strip() for one in error.problems)
        return Compared(text, refused=said, problems=error.problems)
    return Compared(text, tuple(_promise(one) for one in told.readings), told.question)


def _promise(reading: Reading) -> Promise:
    protection, coat, film = reading.protection, reading.coat, reading.protection.topcoat
    edition = protection.edition.strip("-")
    rule = _rule_of(reading, coat)
    least_is, expected_is = _kinds(coat, rule)
    return Promise(
        designation=protection.designation,
        metal=f"{protection.base_metal.replace('_', ' ')} {protection.grade}".strip(),
        coat=coat_words(coat) if coat else "",
        standard=f"{protection.standard}, edition {edition}" if edition else protection.standard,
        counted=reading.counted,
        least_g_m2=coat.least_g_m2 if coat else None,
        least_um=coat.least_um if coat else None,
        expected_g_m2=coat.nominal_g_m2 if coat else None,
        expected_um=coat.nominal_um if coat else None,
        least_is=least_is,
        expected_is=expected_is,
        grade=protection.grade,
        family=reading.alloy.family if reading.alloy else "",
        pren=reading.alloy.pren if reading.alloy else None,
        topcoat_um=film.nominal_um if film else None,
        has_topcoat=film is not None,
        source=coat.source if coat else protection.source,
        mark=weakest([protection.weakest_mark, *([rule["mark"]] if rule else [])]),
    )


def _rule_of(reading: Reading, coat: Layer | None) -> Row | None:
    """What the figures of its standard are; None where the label itself writes them, or there is none."""
    if coat is None or coat.source == "label-itself":
        return None
    return figure_rule(_code_of(reading))


def _kinds(coat: Layer | None, rule: Row | None) -> tuple[str, str]:
    """What kind of figure the least and the expected are; blank where there is none."""
    if coat is None:
        return "", ""
    words = (rule["least_is"], rule["expected_is"]) if rule else (AS_WRITTEN, AS_WRITTEN)
    least = words[0] if coat.least_um is not None else ""
    return least, words[1] if coat.nominal_um is not None else ""


def _code_of(reading: Reading) -> str:
    layer = reading.coat
    rows = (c for c in coats() if layer and c.source == layer.source and c.nominal_um == layer.nominal_um)
    return next((c.standard for c in rows if c.least_um == (layer.least_um if layer else None)), "")


def coat_words(coat: Layer) -> str:
    """What a coat is made of.

    >>> from longhold.labels.catalogue import coats, protection_of
    >>> coat_words(protection_of(coats()[0]).layers[0])
    'zinc'
    """
    return _KINDS[coat.kind]


_KINDS = {
    "zinc": "zinc",
    "zinc_iron": "zinc-iron",
    "zinc_aluminium_5": "zinc with 5 % aluminium",
    "aluminium_zinc_55": "55 % aluminium-zinc",
    "zinc_magnesium": "zinc with magnesium",
    "zinc_flake": "zinc flake",
    "organic": "organic",
}


@once
def _rules() -> dict[str, Row]:
    columns = {"standard": str, "form": str, "least_is": str, "expected_is": str}
    rows = load_csv("labels/standard_figures.csv", columns, key=("standard",))
    return {row["standard"]: row for row in rows}


def figure_rule(code: str) -> Row | None:
    """Form of part that a standard's coats go on, and what its least and expected figures are.

    >>> rule = figure_rule("A153")
    >>> rule["form"], rule["least_is"]
    ('fastener', 'any one specimen')
    """
    return _rules().get(code)
