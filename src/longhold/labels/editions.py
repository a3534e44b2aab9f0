"""Which edition of a standard a label names: whether there is one, and whether the figures are of it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Row, load_csv, optional_number
from longhold.labels.limits import limit
from longhold.labels.options import Option
from longhold.labels.said import Said
from longhold.labels.spelling import refuse

__all__ = ["EditionNamed", "check_editions", "edition_cautions", "edition_question", "editions_named"]

_CENTURY = 100


@once
def _known() -> Mapping[str, Row]:
    def years(text: str) -> tuple[int, ...]:
        return tuple(int(year) for year in text.split(";")) if text else ()

    rows = load_csv(
        "labels/editions.csv",
        {"standard": str, "first_year": optional_number, "years": years, "replaced_by": str},
        key=("standard",),
    )
    return {row["standard"]: row for row in rows}


def year_of(edition: str) -> int | None:
    """Year of an edition as printed; two digits are of the last hundred years; None where there is none.

    >>> year_of("09a"), year_of("2015"), year_of("99"), year_of("-")
    (2009, 2015, 1999, None)
    """
    match = re.match(r"(\d{4}|\d\d)(?!\d)", edition)
    if match is None:
        return None
    year = int(match[1])
    if year >= _CENTURY:
        return year
    newest = int(limit("figures", "newest_year"))
    return newest - (newest - year) % _CENTURY


def _named(said: Said) -> Iterator[tuple[str, str, int]]:
    """Name, code and year of every standard of a coat that the label names with an edition."""
    for standard, claim in said.standards:
        year = year_of(claim.extra)
        if standard.role == "coating" and year is not None and not _is_class(standard.code, claim.extra):
            yield standard.name, standard.code, year


def _is_class(code: str, edition: str) -> bool:
    """B695-55 names a class."""
    return code == "B695" and edition.isdigit() and int(edition) >= limit("figures", "class_not_year_from")


def check_editions(said: Said) -> None:
    """Refuse an edition that cannot be.

    Raises
    ------
    LabelError : from before the standard, or from after this release
    """
    for name, code, year in _named(said):
        row = _known().get(code)
        first = row["first_year"] if row else None
        replaced = _known().get(next(s.key for s, _ in said.standards if s.code == code))
        early = first is not None and year < first and not (replaced and replaced["replaced_by"])
        if year > limit("figures", "newest_year") or early:
            have = ", ".join(map(str, row["years"])) if row and row["years"] else ""
            since = f"it has been there since {first:.0f}" if early and first is not None else ""
            known = f"known here are {have}" if have else since
            why = f"names an edition {year} of {name}, and there is none" + (f": {known}." if known else ".")
            raise refuse(said, why)


@dataclass(frozen=True)
class EditionNamed:
    """A standard that a text names.

    Attributes
    ----------
    name : as written, or as it is printed where it is held
    year : of its edition; None where none is named
    newest_year : of its newest edition that is known here; None where none is listed
    replaced_by : what took its place; blank where it stands
    mark : of what is known of its editions
    """

    name: str
    year: int | None
    newest_year: int | None
    replaced_by: str
    mark: Mark


def editions_named(said: Said) -> tuple[EditionNamed, ...]:
    """Every standard that a text names, with its edition and whether it stands.

    >>> from longhold.labels.said import sort_claims
    >>> from longhold.labels.tidy import tidy
    >>> editions_named(sort_claims(tidy("EN 10327:2004")))[0].replaced_by
    'EN 10346'
    """
    found = []
    held = {claim.start: standard for standard, claim in said.standards}
    years = {name: year for name, _, year in _named(said)}
    for claim in said.of("standard", "unknown_standard", "unheld_standard"):
        standard = held.get(claim.start)
        row = _known().get(claim.name or re.sub(r"[ :-]|\d{4}$", "", claim.text).upper())
        row = row or (_known().get(standard.code) if standard else None)
        name = standard.name if standard and not (row and row["replaced_by"]) else claim.text.upper()
        found.append(
            EditionNamed(
                name,
                years.get(standard.name) if standard else None,
                max(row["years"]) if row and row["years"] else None,
                row["replaced_by"] if row else "",
                row["mark"] if row else Mark.OWN,
            )
        )
    return tuple(found)


def edition_question(said: Said) -> str:
    """Which edition is meant, where the label names one that is not known here; blank otherwise."""
    for name, code, year in _named(said):
        row = _known().get(code)
        if (
            row
            and row["years"]
            and all(abs(year - one) > limit("editions", "adopted_within") for one in row["years"])
        ):
            have = ", ".join(map(str, row["years"]))
            return f"Which edition of {name}? {year} is not known here; known are {have}."
    return ""


def edition_cautions(said: Said, options: tuple[Option, ...]) -> Iterator[str]:
    """What an edition other than that of the figures means, and which standards were replaced."""
    for name, code, year in _named(said):
        tables = {o.protection.edition for o in options if o.protection.standard == name}
        years = {year_of(one) for edition in tables for one in re.split(r"[ (/-]", edition)} - {None}
        near = any(abs(year - (one or 0)) <= limit("editions", "adopted_within") for one in years)
        if years and not near and code != "A123":
            held = " or ".join(str(one) for one in sorted(one for one in years if one is not None))
            yield f"the label names edition {year} of {name}; the figures here are of edition {held}"
    for claim in said.of("standard", "unknown_standard", "unheld_standard"):
        key = claim.name or re.sub(r"[ :-]|\d{4}$", "", claim.text).upper()
        row = _known().get(key)
        if row and row["replaced_by"]:
            yield (
                f"{claim.text.upper()} is withdrawn; {row['replaced_by']} took its place"
                f" [{row['mark'].value}]: ask which the part was tested to"
            )
        elif claim.what != "standard":
            yield f"{claim.text.upper()} is not held here: what it asks is not counted"
