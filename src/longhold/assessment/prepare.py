"""From the words of a structure to what the middle computes with; what can be refused is refused here."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from longhold.assessment.findings import Assumption
from longhold.assessment.located import LocatedSite, locate
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.quantities import System, show_quantity
from longhold.base.trace import Trace
from longhold.codes.packs import list_packs
from longhold.forecast.wood_rate import GRAVITY_NOT_KNOWN, TimberFacts
from longhold.labels.read import read_label
from longhold.labels.reading import LabelReading
from longhold.model.parts import Part
from longhold.model.protection import Layer, Protection
from longhold.model.structure import Joint, Structure, Timber
from longhold.wood.treatments import Treatment, treatment

__all__ = ["Prepared", "prepare", "protections"]


@dataclass(frozen=True)
class Prepared:
    """A structure as the middle sees it.

    Attributes
    ----------
    site : weather, air load and distance to salt water
    timbers : by name
    readings : label reading of each part, by (joint id, part id)
    assumptions : what had to be taken on the way
    """

    site: LocatedSite
    timbers: Mapping[str, TimberFacts]
    readings: Mapping[tuple[str, str], LabelReading]
    assumptions: tuple[Assumption, ...]


def prepare(structure: Structure) -> Prepared:
    """Read climate, air, timbers and labels of a structure.

    Raises
    ------
    InputError : with every name and label that cannot be read, each with its place in the structure
    """
    problems = _code_problems(structure)
    assumptions: list[Assumption] = []
    if not problems:
        assumptions += _foreign_code(structure)
    timbers = {}
    for name, timber in structure.timbers.items():
        trace = Trace(name)
        if timber.retention is not None and timber.use_category is not None:
            because = "both retention and use category are given: the retention counts"
            assumptions.append(Assumption(f"timbers.{name}.use_category", timber.use_category, because))
        try:
            found = treatment(
                timber.preservative,
                timber.species,
                retention_kg_m3=timber.retention,
                use_category=timber.use_category,
                modification=timber.modification,
                oiled=timber.oiled,
                where=f"timbers.{name}",
                trace=trace,
            )
        except InputError as error:
            problems += error.problems
            continue
        assumptions += _of_timber(name, timber, found, structure.units)
        gravity = found.species.gravity
        if gravity is None:
            taken, because = f"{GRAVITY_NOT_KNOWN:g}", "no density of this species is held"
            assumptions.append(Assumption(f"timbers.{name}.species", f"specific gravity {taken}", because))
        timbers[name] = TimberFacts(
            name, found, tuple(trace.root.parts), timber.thickness_mm, gravity or GRAVITY_NOT_KNOWN
        )
    readings = _readings(structure, problems)
    try:
        site = locate(structure.site)
    except InputError as error:
        raise InputError(*problems, *error.problems) from None
    if problems:
        raise InputError(*problems)
    return Prepared(site, timbers, readings, (*site.assumptions, *assumptions))


def _of_timber(name: str, timber: Timber, found: Treatment, units: System) -> Iterator[Assumption]:
    """What was assumed of one timber, each under the field that would settle it."""
    for said in found.assumptions:
        if said in found.preservative.assumptions:
            yield Assumption(f"timbers.{name}.preservative", found.preservative.abbreviation, said)
        elif "acidity" in said:
            yield Assumption(f"timbers.{name}.species", found.species.name, said)
        elif timber.use_category is None:
            yield Assumption(f"timbers.{name}.retention", "not known", said)
        else:
            listed = found.preservative.retention(timber.use_category).kg_m3
            taken = show_quantity(listed, "retention_kg_m3", units)
            yield Assumption(f"timbers.{name}.retention", taken, said)


def _foreign_code(structure: Structure) -> list[Assumption]:
    where = list_packs()[structure.code.pack].jurisdictions
    here = structure.site.jurisdiction
    if not where or here in where:
        return []
    because = f"a code of {', '.join(where)} is applied to a site in {here}, as asked"
    return [Assumption("code.pack", structure.code.pack, because)]


def _code_problems(structure: Structure) -> list[Problem]:
    code, packs = structure.code, list_packs()
    pack = packs.get(code.pack)
    if pack is None or pack.kind != "code":
        known = ", ".join(sorted(name for name, one in packs.items() if one.kind == "code"))
        return [Problem("code.pack", code.pack, f"must be one of {known}.")]
    if code.edition not in pack.editions:
        return [Problem("code.edition", code.edition, f"{code.pack} has {', '.join(pack.editions)}.")]
    return []


def protections(part: Part, reading: LabelReading) -> tuple[Protection, ...]:
    """The possible meanings of a part's label, least protective first, with the part's own film on top."""
    found = tuple(one.protection for one in reading.readings)
    if part.topcoat is None:
        return found
    film = Layer("organic", "painted", None, None, part.topcoat, None, None, "user", Mark.VERIFIED)
    return tuple(
        replace(one, layers=(film, *(layer for layer in one.layers if layer.kind != "organic")))
        for one in found
    )


def _readings(structure: Structure, problems: list[Problem]) -> Mapping[tuple[str, str], LabelReading]:
    readings: dict[tuple[str, str], LabelReading] = {}
    known: dict[tuple[object, ...], LabelReading] = {}
    for j, joint in enumerate(structure.joints):
        for p, part in enumerate(joint.parts):
            size = part.measures
            key = (part.label, part.kind, size.thickness_mm, size.diameter_mm)
            try:
                if key not in known:
                    known[key] = read_label(
                        part.label,
                        item=part.kind,
                        thickness_mm=size.thickness_mm,
                        diameter_mm=size.diameter_mm,
                    )
            except InputError as error:
                problems += [_placed(one, j, p, joint, part) for one in error.problems]
                continue
            readings[joint.id, part.id] = known[key]
            problems += _topcoat_problems(part, known[key], j, p, joint)
    return readings


def _topcoat_problems(part: Part, reading: LabelReading, j: int, p: int, joint: Joint) -> list[Problem]:
    if part.topcoat is not None or any(one.protection.topcoat is not None for one in reading.readings):
        return []
    allowed = f"is given, but no topcoat is: the label says {part.label!r}."
    life = None if part.topcoat_life is None else f"{part.topcoat_life:g} years"
    given = {"topcoat_life": life, "topcoat_damaged": part.topcoat_damaged or None}
    return [
        Problem(_where(j, p, name, joint, part), value, allowed, "Give the topcoat's thickness as topcoat.")
        for name, value in given.items()
        if value is not None
    ]


def _placed(problem: Problem, j: int, p: int, joint: Joint, part: Part) -> Problem:
    return Problem(_where(j, p, "label", joint, part), part.label, problem.allowed, problem.do)


def _where(j: int, p: int, name: str, joint: Joint, part: Part) -> str:
    """A field of a part, with the joint and the part as people know them."""
    return f"joints[{j}].parts[{p}].{name} (joint {joint.id}, part {part.id})"
