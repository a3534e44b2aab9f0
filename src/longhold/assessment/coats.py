"""What a user says of a part's topcoat and damage: for the forecast, and what cannot be so."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from longhold.base.errors import Problem
from longhold.forecast.coats import CoatFacts
from longhold.forecast.faces import is_driven
from longhold.labels.reading import LabelReading
from longhold.metal.parameters import film_figure
from longhold.model.damage import damages
from longhold.model.parts import Part

__all__ = ["coat_of", "topcoat_problems"]


def coat_of(part: Part) -> CoatFacts:
    """What is said of a part's coat beyond its label."""
    return CoatFacts(
        part.topcoat_durability,
        part.topcoat_shape,
        (part.topcoat_bare_pct or 0.0) / 100.0,
        part.topcoat_repainted,
        tuple(part.damage),
    )


def topcoat_problems(part: Part, reading: LabelReading, where: Callable[[str], str]) -> list[Problem]:
    """What is said of a topcoat that does not fit the part, each with what to do.

    Parameters
    ----------
    where : names a field of the part, with its joint
    """
    given = {
        "topcoat_life": None if part.topcoat_life is None else f"{part.topcoat_life:g} years",
        "topcoat_durability": part.topcoat_durability,
        "topcoat_shape": part.topcoat_shape,
        "topcoat_bare_pct": part.topcoat_bare_pct,
        "topcoat_damaged": part.topcoat_damaged or None,
        "topcoat_repainted": part.topcoat_repainted or None,
    }
    told = {name: value for name, value in given.items() if value is not None}
    if part.topcoat is None and all(one.protection.topcoat is None for one in reading.readings):
        allowed = f"is given, but no topcoat is: the label says {part.label!r}."
        do = "Give the topcoat's thickness as topcoat."
        return [Problem(where(name), value, allowed, do) for name, value in told.items()]
    problems = []
    if part.topcoat_life is not None and part.topcoat_durability is not None:
        allowed = "is given beside topcoat_life: both say how long the topcoat lasts."
        problems.append(
            Problem(where("topcoat_durability"), part.topcoat_durability, allowed, "Leave one of them out.")
        )
    if part.topcoat_repainted and (against := tuple(_against_duplex(part, reading))):
        why = "; ".join(against)
        allowed = f"asks for the printed factor for paint over zinc, which does not hold here: {why}."
        problems.append(
            Problem(where("topcoat_repainted"), True, allowed, "Leave it out: both lives then add.")
        )
    return problems


def _against_duplex(part: Part, reading: LabelReading) -> Iterator[str]:
    """Why the printed factor does not hold for a part; nothing where it may."""
    if is_driven(part.kind):
        yield f"a {part.kind_words} is driven or turned in, which scrapes its film"
    if all(one.protection.zinc is None for one in reading.readings):
        yield "there is no zinc under the topcoat"
    if part.topcoat_damaged or any(damages()[name].film_gone for name in part.damage):
        yield "the film is cut or scraped"
    films = [one.protection.topcoat for one in reading.readings]
    known = [film.nominal_um for film in films if film is not None and film.nominal_um is not None]
    thickness = part.topcoat if part.topcoat is not None else min(known, default=None)
    least = film_figure("duplex_film_um")
    if thickness is None:
        yield "the thickness of the topcoat is not stated"
    elif thickness < least:
        yield f"the topcoat is {thickness:g} um thick; paint of ordinary thickness has {least:g} um or more"
