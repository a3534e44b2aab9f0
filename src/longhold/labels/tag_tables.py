"""Tables behind the end tags of timber: names of preservatives, categories of use, dates, tests."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Parser, load_csv

__all__ = [
    "DatedTreatment",
    "TagName",
    "TreatmentTest",
    "UseCategory",
    "categories_named",
    "dated_treatments",
    "preservative_named",
    "treatment_tests",
]


_LONG_NAME = 8  # letters; after a longer name a last letter may be the type: copper azole C


@dataclass(frozen=True)
class TagName:
    """What one spelling on a tag may stand for.

    Attributes
    ----------
    designations : standard designations, such as ACQ-D; several where the spelling leaves it open
    open : what it leaves open, in words; blank where it leaves nothing open
    """

    designations: tuple[str, ...]
    open: str
    source: str
    mark: Mark


@dataclass(frozen=True)
class UseCategory:
    """One category of use.

    Attributes
    ----------
    name : such as UC4A, EN 3.2 or H3.2
    system : standard that names it
    words : what it is for
    contact : inside, above (ground), ground or salt (water)
    """

    name: str
    system: str
    words: str
    contact: str
    source: str
    mark: Mark


@dataclass(frozen=True)
class DatedTreatment:
    """A treatment that a deck may have, with the years in which lumber was treated with it.

    Attributes
    ----------
    designation : standard designation; ``none`` for untreated wood
    first_year, last_year : of US decks; None where no year is held
    words : what is known of the dates
    """

    designation: str
    first_year: int | None
    last_year: int | None
    words: str
    source: str
    mark: Mark


@dataclass(frozen=True)
class TreatmentTest:
    """A way to find out what is in the wood.

    Attributes
    ----------
    test, how : its name, and how it is done
    settles : what it tells
    """

    test: str
    how: str
    settles: str
    source: str
    mark: Mark


def _year(text: str) -> int | None:
    return int(text) if text else None


@once
def _names() -> Mapping[str, TagName]:
    def several(text: str) -> tuple[str, ...]:
        return tuple(text.split(";"))

    rows = load_csv(
        "labels/tag_preservatives.csv",
        {"spelling": str, "designations": several, "open": str},
        key=("spelling",),
    )
    return {
        row["spelling"]: TagName(row["designations"], row["open"], row["source"], row["mark"]) for row in rows
    }


def preservative_named(text: str) -> TagName | None:
    """What a spelling may stand for; case, blanks, hyphens, the word type and British z do not count.

    >>> [preservative_named(text).designations for text in ("ACQ Type D", "micronised copper azole")]
    [('ACQ-D',), ('MCA',)]
    """
    plain = re.sub(r"[\s-]|type", "", text.lower()).replace("micronised", "micronized")
    known = _names()
    if plain in known or len(plain) <= _LONG_NAME:
        return known.get(plain)
    found = known.get(plain[:-1])
    typed = [one for one in found.designations if one.endswith(f"-{plain[-1].upper()}")] if found else []
    return replace(found, designations=tuple(typed), open="") if found and typed else None


@once
def _categories() -> Mapping[str, UseCategory]:
    columns = dict.fromkeys(("name", "system", "words", "contact"), str)
    return {
        row["name"]: UseCategory(**row)
        for row in load_csv("labels/tag_categories.csv", columns, key=("name",))
    }


def categories_named(text: str) -> tuple[UseCategory, ...]:
    """The categories that a spelling may stand for: UC4 is of AWPA, EN 335 or CSA O80.

    >>> [one.name for one in categories_named("UC4")], [one.name for one in categories_named("uc 4a")]
    (['UC4A', 'UC4B', 'UC4C', 'EN 4', 'CSA 4.1', 'CSA 4.2'], ['UC4A'])
    """
    plain = re.sub(
        r"hazard ?class:?|[\s-]", "", re.sub(r"use ?(?:class|category):?", "uc", text.lower())
    ).upper()
    known = _categories()
    if plain in known and not re.fullmatch(r"UC[12]", plain):
        return (known[plain],)
    if match := re.fullmatch(r"UC([1-5])(\.[12])?", plain):
        awpa = (
            [] if match[2] else [one for name, one in known.items() if re.fullmatch(plain + "[ABC]?", name)]
        )
        european = [one for name, one in known.items() if name.startswith(f"EN {match[1]}{match[2] or ''}")]
        canadian = [one for name, one in known.items() if name.startswith(f"CSA {match[1]}{match[2] or ''}")]
        return (*awpa, *european, *canadian)
    return tuple(one for name, one in known.items() if re.fullmatch(re.escape(plain) + r"\.[12]", name))


@once
def dated_treatments() -> tuple[DatedTreatment, ...]:
    """Every treatment of a US deck for which dates are held."""
    columns: dict[str, Parser] = {
        "designation": str,
        "first_year": _year,
        "last_year": _year,
        "words": str,
    }
    return tuple(
        DatedTreatment(**row) for row in load_csv("labels/treatment_dates.csv", columns, key=("designation",))
    )


@once
def treatment_tests() -> tuple[TreatmentTest, ...]:
    """Ways to find out what is in the wood, plainest first."""
    columns: dict[str, Parser] = {"order": int, "test": str, "how": str, "settles": str}
    rows = load_csv("labels/treatment_tests.csv", columns, key=("order",), rising="order")
    return tuple(TreatmentTest(**{name: row[name] for name in row if name != "order"}) for row in rows)
