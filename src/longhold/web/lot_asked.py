"""What is asked of a lot or of bare spots on the page of a delivery, as typed, and what is answered."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, TypeVar

from longhold.base.errors import InputError, Problem
from longhold.care.site import sent_as_file
from longhold.documents.sampling_words import (
    DECISIONS,
    bad_words,
    criterion_rows,
    gauge_words,
    limit_words,
    plan_lines,
    repair_lines,
    risk_lines,
)
from longhold.inspect.acceptance import Specimen
from longhold.inspect.check import LotCheck, check_lot
from longhold.inspect.repair import repair
from longhold.inspect.sampling import MOST_PIECES, edition_in, plan_for, standard_named, standards
from longhold.intake.gauge_readings import load_readings
from longhold.intake.lot_words import lot_limits, read_area, read_gauge, read_mass, read_spot, read_thickness
from longhold.web.beside import as_typed

__all__ = [
    "BARE_FIELDS",
    "LOT_FIELDS",
    "bare_answer",
    "bare_field",
    "lot_answer",
    "lot_field",
    "lot_told",
    "standard_chosen",
    "standards_offered",
]

Found = TypeVar("Found")
LOT_FIELDS = ("standard", "lot", "label", "least", "surface", "pieces", "gauge", "readings")
_MOST_LETTERS = 4000
_NEEDED_OF_SPOTS = {
    "by": "choose the standard.",
    "area": "type the surface of the article, such as 0.1 m2.",
    "spots": "type the area of each bare spot, such as 6 cm2.",
}
BARE_FIELDS = ("by", "area", "spots", "mass", "local", "repaired")


def standard_chosen(typed: str) -> str:
    """The choice that a standard's name stands for; the name itself with an edition, or where it is none.

    >>> standard_chosen("ISO 1461"), standard_chosen("ISO 1461:1999"), standard_chosen("A777")
    ('ISO1461', 'ISO 1461:1999', 'A777')
    """
    try:
        return typed if edition_in(typed) else standard_named(typed).key
    except InputError:
        return typed


def standards_offered(chosen: str, blank: str) -> list[tuple[str, str]]:
    """Standards to choose from, with their words; a name that none of them is stands last as it was typed.

    Parameters
    ----------
    blank : what is said where none is chosen
    """
    known = [("", blank), *((key, one.name) for key, one in standards().items())]
    return known if chosen in dict(known) else [*known, (chosen, chosen)]


def bare_answer(asked: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """What the limits say of bare spots as typed.

    Raises
    ------
    InputError : what cannot be used
    """
    problems: list[Problem] = []
    read = partial(_read, problems)
    lines = (read("spots", lambda text, _: text, asked["spots"]) or "").splitlines()
    spots = [read("spots", read_spot, one) for one in lines if one.strip()]
    area = read("area", read_area, asked["area"])
    mass = read("mass", read_mass, asked["mass"])
    local, repaired = (read(name, read_thickness, asked[name]) for name in ("local", "repaired"))
    problems += [Problem(name, None, do) for name, do in _NEEDED_OF_SPOTS.items() if not asked[name]]
    if problems or area is None:
        raise InputError(*problems)
    found = repair(
        standard_named(asked["by"]),
        [one for one in spots if one is not None],
        surface_cm2=area,
        mass_kg=mass,
        local_um=local,
        repaired_um=repaired,
        edition=edition_in(asked["by"]),
    )
    return repair_lines(found)


def bare_field(problem: Problem) -> str:
    """The field of the form that a problem with bare spots is of; blank where it is none of them."""
    return "by" if problem.where == "standard" else problem.where if problem.where in BARE_FIELDS else ""


def lot_answer(asked: Mapping[str, str]) -> LotCheck:
    """A lot as typed.

    Raises
    ------
    InputError : what cannot be used
    """
    problems: list[Problem] = []
    read = partial(_read, problems)
    named = read("standard", lambda text, _: standard_named(text), asked["standard"] or asked["label"])
    lot, pieces = (read(name, _whole, asked[name]) for name in ("lot", "pieces"))
    surface = read("surface", read_area, asked["surface"])
    gauge = read("gauge", read_gauge, asked["gauge"])
    specimens = read("readings", lambda text, _: _specimens(text), asked["readings"]) or ()
    if not (asked["standard"] or asked["label"]):
        problems.append(Problem("standard", None, "choose one, or type a label that names one."))
    if not asked["lot"]:
        problems.append(Problem("lot", None, "type how many pieces the lot has."))
    limits = None
    if named is not None:
        try:
            limits = lot_limits(asked["label"], asked["least"], named)
        except InputError as error:
            problems += error.problems
    if problems or named is None or lot is None or limits is None:
        raise InputError(*problems)
    plan = plan_for(named, lot, surface_cm2=surface, pieces=pieces, edition=edition_in(asked["standard"]))
    return check_lot(plan, limits, specimens, gauge)


def _read(problems: list[Problem], name: str, how: Callable[[str, str], Found], text: str) -> Found | None:
    """What is typed in a field; None where it is blank, or is wrong, which goes to the problems."""
    try:
        return how(_short_enough(text, name), name) if text else None
    except InputError as error:
        problems.extend(error.problems)
        return None


def _short_enough(text: str, name: str) -> str:
    if len(text) <= _MOST_LETTERS:
        return text
    said = f"has {len(text):,} letters; up to {_MOST_LETTERS:,} are read."
    raise InputError(Problem(name, None, said, "Leave some out."))


def _whole(text: str, where: str) -> int:
    if text.isdecimal() and 0 < int(text) <= MOST_PIECES:
        return int(text)
    raise InputError(Problem(where, text, "must be a whole number of pieces, 1 or more."))


def _specimens(text: str) -> tuple[Specimen, ...]:
    heads = "" if "piece" in text.casefold() else "piece,reading (um)\n"
    try:
        with sent_as_file("readings.csv", f"{heads}{text}\n".encode()) as path:
            return load_readings(path)
    except InputError as error:
        raise as_typed(error) if heads else error from None


def lot_field(problem: Problem) -> str:
    """The field of the form that a problem with a lot is of; blank where it is none of them."""
    return problem.where if problem.where in LOT_FIELDS else ""


def lot_told(found: LotCheck) -> dict[str, Any]:
    """A lot's plan and verdict as its template shows them."""
    judged = found.judgement
    return {
        "plan": plan_lines(found.plan),
        "asked": limit_words(found.limits),
        "gauge": gauge_words(found.gauge),
        "decision": "" if judged is None else DECISIONS[judged.decision],
        "why": "" if judged is None else judged.why,
        "criteria": () if judged is None else criterion_rows(judged),
        "warnings": () if judged is None else judged.warnings,
        "charts": [
            (of, words)
            for of, words, there in (
                ("mean", "Chance that the lot is accepted, by its true mean", found.curve),
                ("bad", "Chance that bad pieces stay unseen, by their share", found.bad),
            )
            if there is not None
        ],
        "risks": (
            *((bad_words(found.bad),) if found.bad is not None else ()),
            *risk_lines(found.curve, found.limits),
        ),
    }
