"""What a label says, sorted: standards, classes, words of process, figures, part and size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass, replace
from functools import cached_property

from longhold.labels.alloys import alloy_named, alloys
from longhold.labels.amounts import by_face, coat_not_size, grams_alone
from longhold.labels.catalogue import Standard, standards
from longhold.labels.claims import DESIGNATION, NOISE, Claim
from longhold.labels.grammar import phrases
from longhold.labels.items import Item, Size, find_item, find_size, item_by_size, named_item
from longhold.labels.spelling import edits
from longhold.labels.tidy import Tidy

__all__ = ["Said", "sort_claims"]

_REACH = 2  # "not" denies a designation at most so many words later
_CLASS_LETTERS = frozenset({"B", "C", "D", "B1", "B2", "B3"})
_LETTERED = ("A153", "A591")  # standards whose class may stand as a letter straight after them
_FILLERS = frozenset(
    {"a", "an", "and", "as", "at", "by", "for", "from", "in", "is", "of", "on", "per", "the", "to", "type"}
    | {"w", "x"}
)
_ABBREVIATED = frozenset({"eg", "gi", "zp", "zyc"})  # too short to stand for a finish among unknown words
_CERTIFICATE = frozenset({"certificate", "cert", "certified", "coating"})
_ZINC_SUBJECTS = frozenset(
    {
        "standard",
        "sheet_class",
        "per_side",
        "iron_zinc",
        "service_condition",
        "zinc_number",
        "flake",
        "process",
        "after",
    }
)


@dataclass(frozen=True)
class Said:
    """The claims of one label, sorted.

    Attributes
    ----------
    tidy : the tidied label
    claims : what it claims for the part itself, in order
    set_aside : what it denies, compares with, or says of another part
    item, size : kind and size of the part
    item_words : the words that name the part
    """

    tidy: Tidy
    claims: tuple[Claim, ...]
    set_aside: tuple[Claim, ...]
    item: Item | None
    size: Size
    item_words: frozenset[str]

    def of(self, *kinds: str) -> tuple[Claim, ...]:
        """Claims of some kinds, in order."""
        return tuple(claim for claim in self.claims if claim.what in kinds)

    def names(self, *kinds: str) -> tuple[str, ...]:
        """Names that claims of some kinds give, each once, in order."""
        return tuple(dict.fromkeys(claim.name for claim in self.of(*kinds)))

    @cached_property
    def standards(self) -> tuple[tuple[Standard, Claim], ...]:
        """Standards named, of those that the tables know."""
        found = ((_standard(claim.name), claim) for claim in self.of("standard"))
        return tuple((standard, claim) for standard, claim in found if standard is not None)

    def cites(self, *codes: str) -> tuple[str, ...]:
        """Which of some standards' codes the label names, each once, in order."""
        return tuple(dict.fromkeys(standard.code for standard, _ in self.standards if standard.code in codes))

    def edition(self, code: str) -> str:
        """Edition that the label names for a standard; blank if none."""
        return next((claim.extra for standard, claim in self.standards if standard.code == code), "")

    def letter_beside(self, code: str) -> str:
        """A lone letter of class beside a standard: A153 D, B (A591); never 'a', which may be an article."""
        for claim in self._letters_beside(code):
            letters = _compact(claim)
            return letters if len(letters) == 1 else f"B-{letters[1]}"
        return ""

    def _letters_beside(self, *codes: str) -> tuple[Claim, ...]:
        ends = [claim for standard, claim in self.standards if standard.code in codes]
        return tuple(
            claim
            for claim in self.of("word")
            if _compact(claim) in _CLASS_LETTERS
            and any(0 <= claim.start - c.end <= 2 or 0 <= c.start - claim.end <= 2 for c in ends)
        )

    @cached_property
    def roles(self) -> frozenset[str]:
        """Roles of the standards named: coating, stainless, weathering, other."""
        return frozenset(standard.role for standard, _ in self.standards)

    @cached_property
    def words(self) -> frozenset[str]:
        """Every plain word."""
        return frozenset(claim.text for claim in self.of("word"))

    @cached_property
    def figures(self) -> tuple[Claim, ...]:
        """Masses and thicknesses that belong to the zinc."""
        return tuple(figure for figure in self._measured if not self._of_film(figure))

    @cached_property
    def film_figures(self) -> tuple[Claim, ...]:
        """Thicknesses that belong to the organic film."""
        return tuple(figure for figure in self._measured if self._of_film(figure))

    @cached_property
    def either(self) -> bool:
        """Whether 'or' or a slash stands between two designations."""
        named: Claim | None = None
        between = ""
        for claim in self.claims:
            if claim.what == "either":
                between = claim.text
            elif claim.what in DESIGNATION or (claim.what == "bare" and claim.text.isdigit()):
                if named is not None and (between == "or" or (between == "/" and _alike(named, claim))):
                    return True
                named, between = claim, ""
        return False

    @cached_property
    def basis(self) -> str:
        """both, one, or blank where the label does not say what it counts on."""
        massed = any(figure.name == "mass" for figure in self.of("figure", "qualified"))
        names = {claim.name for claim in self.of("basis") if massed or claim.text != "total"}
        return names.pop() if len(names) == 1 else ""

    @cached_property
    def faced_figures(self) -> tuple[tuple[Claim, ...], str]:
        """Figures of zinc and their basis: all on one face where the label writes figures of both kinds."""
        if len(self.figures) < 2 or len(self.names("basis")) < 2:
            return self.figures, self.basis
        return tuple(by_face(self.figures, self.of("basis"))), self.basis or "one"

    def ignored_with(self, grades: Set[str]) -> tuple[str, ...]:
        """Words that were not understood, and those set aside; a bare number read as a grade is neither."""
        kept = [
            claim
            for claim in self.of("word", "bare", "hours", "other_coat", "unheld_standard", "unknown_standard")
            if claim.text not in self.item_words | _FILLERS
            and claim not in self._letters_beside(*_LETTERED)
            and not _names_grade(claim.text, grades)
        ]
        return tuple(claim.text for claim in sorted([*kept, *self.set_aside], key=lambda claim: claim.start))

    def spans_with(self, grades: Set[str]) -> tuple[tuple[int, int], ...]:
        """Stretches of the original that were understood, a bare number read as a grade among them."""
        used = [
            c
            for c in self.claims
            if c.what not in NOISE
            or c.text in self.item_words
            or _names_grade(c.text, grades)
            or c in self._letters_beside(*_LETTERED)
        ]
        return tuple(self.tidy.span(claim.start, claim.end) for claim in used)

    @cached_property
    def _measured(self) -> tuple[Claim, ...]:
        figures = [c for c in self.of("figure", "qualified") if c.name in ("mass", "film")]
        return tuple(figure for figure in figures if self._is_coat_mass(figure))

    def _is_coat_mass(self, figure: Claim) -> bool:
        """Whether a figure can be a coat's: beside words of zinc or film, or a mass by area alone."""
        if self.of(*_ZINC_SUBJECTS, "film", "hdg_mass"):
            return True
        if figure.name == "mass" and self.words & _CERTIFICATE:
            return True
        by_area = figure.name == "mass" and not figure.text.rstrip(".").endswith(("oz", "ounce", "ounces"))
        return by_area and all(word.text in self.item_words for word in self.of("word"))

    def _of_film(self, figure: Claim) -> bool:
        if figure.name == "mass" or not self.of("film"):
            return False
        subjects = self.of("film", *_ZINC_SUBJECTS)
        beside = [c for c in subjects if c.segment == figure.segment]
        before = [c for c in subjects if c.segment < figure.segment]
        nearest = beside or before[-1:] or list(subjects[:1])
        closest = min(nearest, key=lambda c: min(abs(c.start - figure.end), abs(figure.start - c.end)))
        return closest.what == "film"


def sort_claims(
    tidy: Tidy,
    *,
    item: str | None = None,
    thickness_mm: float | None = None,
    diameter_mm: float | None = None,
) -> Said:
    """Read the phrases of a tidied label and sort them; the caller's item and sizes win over the label's."""
    kept, aside = _split(phrases(tidy.text))
    kept = coat_not_size(grams_alone([_as_designated(claim) for claim in kept]))
    on_label, words = find_item(kept)
    if on_label is None and any(claim.what == "word" for claim in kept):
        kept = [replace(claim, what="word") if claim.text in _ABBREVIATED else claim for claim in kept]
    part = named_item(item) or on_label or item_by_size(kept)
    size = find_size(kept, part, thickness_mm, diameter_mm)
    return Said(tidy, tuple(kept), tuple(aside), part, size, words)


def _compact(claim: Claim) -> str:
    return claim.text.replace(" ", "").replace("-", "").upper()


def _names_grade(text: str, grades: Set[str]) -> bool:
    """Whether a bare number, or one of several between slashes, is a name of a grade: 317 of 317L."""
    alloys_named = (alloy_named(part) for part in text.split("/") if " " not in part)
    return any(alloy is not None and bool(alloy.grade) and alloy.grade in grades for alloy in alloys_named)


def _alike(first: Claim, second: Claim) -> bool:
    """Whether a slash between two phrases offers one or the other: A2/A4, 304/316, G90/Z275."""
    return first.what == second.what or {first.what, second.what} == {"alloy", "bare"}


def _standard(key: str) -> Standard | None:
    known = standards()
    if key.startswith("?"):  # "ASTM 653": the letter is left out
        return next((known[letter + key[1:]] for letter in "abf" if letter + key[1:] in known), None)
    return known.get(key)


def _as_designated(claim: Claim) -> Claim:
    """A standard's shape that no table knows is set apart; a count beside 'stainless' is no grade."""
    if claim.what == "standard" and _standard(claim.name) is None:
        return replace(claim, what="unknown_standard")
    if claim.what == "alloy" and claim.extra == "named" and alloy_named(claim.name) is None:
        grades = [alloy.grade for alloy in alloys() if alloy.base_metal == "stainless"]
        if " " in claim.text and all(edits(claim.name, grade.lower()) > 1 for grade in grades):
            return replace(claim, what="stainless_word", name="stainless")
    return claim


def _split(claims: Sequence[Claim]) -> tuple[list[Claim], list[Claim]]:
    """Claims of the part itself, and claims that are denied, compared with, or made of another part."""
    kept: list[Claim] = []
    aside: list[Claim] = []
    for claim, denied in _denied(claims):
        (aside if denied and claim.what not in ("break", "sign") else kept).append(claim)
    return kept, aside


def _denied(claims: Sequence[Claim]) -> Iterator[tuple[Claim, bool]]:
    comparing, reach = False, 0
    for claim in claims:
        if claim.what == "comparison":
            comparing = True
        elif claim.what == "break" and comparing and claim.text in "+;,:":
            comparing = False
        elif claim.what == "negation":
            reach = _REACH + 1
        elif claim.what == "break":
            reach = 0
        denied = comparing or (reach > 0 and (claim.what in DESIGNATION or claim.what == "negation"))
        yield claim, denied
        if claim.what in DESIGNATION and reach:
            reach = 0
        elif claim.what == "word":
            reach = max(0, reach - 1)
