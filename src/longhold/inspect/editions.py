"""Whether the edition that a box or certificate names is one that may be taken."""

from __future__ import annotations

from typing import Literal

from longhold.labels.editions import EditionNamed, editions_named, year_of
from longhold.labels.said import sort_claims
from longhold.labels.tidy import LONGEST, tidy

__all__ = ["EditionHeld", "hold_edition", "standards_in"]

EditionHeld = tuple[Literal["stands", "noted", "refused", "open"], str]


def hold_edition(asked: str, delivered: str, label: str) -> EditionHeld:
    """Hold the edition that came against the one that is asked for.

    Parameters
    ----------
    asked : as the order writes it; blank where it asks for none
    delivered : as box or certificate write it; blank where they name none
    label : words of the label, which may name a standard too

    Returns
    -------
    verdict and why; of one that stands, what was not checked, or blank

    >>> hold_edition("", "EN 10327:2004", "Z275")[0]
    'refused'
    >>> hold_edition("ASTM A153-16a", "", "A153 D")
    ('open', 'the order asks for edition ASTM A153-16a, and none is named')
    """
    named = [*_named(delivered), *_named(label)]
    for one in named:
        if one.replaced_by:
            return "refused", f"{one.name} is withdrawn: {one.replaced_by} took its place [{one.mark.value}]"
    if asked:
        return _as_asked(asked, delivered, named)
    for one in named:
        if one.year is not None and one.newest_year is not None and one.year < one.newest_year:
            return "noted", (
                f"edition {one.year} of {one.name} was followed by one of {one.newest_year} "
                f"[{one.mark.value}], and the order asks for none"
            )
    unknown = [one for one in named if one.year is not None and one.newest_year is None]
    return "stands", "; ".join(
        f"edition {one.year} of {one.name}: whether a newer one followed was not checked, for its years are "
        "not held here"
        for one in dict.fromkeys(unknown)
    )


def standards_in(text: str) -> tuple[str, ...]:
    """Names of the standards that a text names.

    >>> standards_in("EN 10346:2015")
    ('EN 10346',)
    """
    return tuple(one.name for one in _named(text))


def _as_asked(asked: str, delivered: str, named: list[EditionNamed]) -> EditionHeld:
    wanted, came = _year(asked), _year(delivered) or next((one.year for one in named if one.year), None)
    if wanted is None:
        return "open", f"the order asks for edition {asked}, whose year cannot be read"
    if came is None:
        return "open", f"the order asks for edition {asked}, and none is named"
    if came < wanted:
        return "refused", f"edition {delivered or came} is older than {asked}, which the order asks for"
    if came > wanted:
        return "noted", f"edition {delivered or came} is newer than {asked}, which the order asks for"
    return "stands", ""


def _year(text: str) -> int | None:
    found = next((one.year for one in _named(text) if one.year is not None), None)
    return found if found is not None else year_of(text.strip())


def _named(text: str) -> tuple[EditionNamed, ...]:
    if not text.strip() or len(text) > LONGEST:
        return ()
    plain = tidy(text)
    return (
        editions_named(sort_claims(plain, item=None, thickness_mm=None, diameter_mm=None))
        if plain.text
        else ()
    )
