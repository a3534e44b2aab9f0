"""From the words of a structure to what the middle computes with; what can be refused is refused here."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from itertools import chain

from longhold.assessment.coats import topcoat_problems
from longhold.assessment.findings import Assumption
from longhold.assessment.governing import OWN_RULES, code_problems, governing_pack, is_own
from longhold.assessment.located import LocatedSite, locate
from longhold.assessment.sheet_standard import sheet_standard, taken_standard
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.quantities import System, show_quantity
from longhold.base.trace import Trace
from longhold.forecast.wood_rate import TimberFacts
from longhold.labels.read import read_label
from longhold.labels.reading import LabelReading
from longhold.model.parts import Part
from longhold.model.protection import Layer, Protection
from longhold.model.structure import Joint, Structure
from longhold.model.timber import Timber
from longhold.wood.taken import gravity_not_known
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

    def main_timber(self, joint: Joint) -> TimberFacts:
        """The main timber of a joint as its metal meets it: in end grain or in a long face."""
        return replace(self.timbers[joint.main], end_grain=joint.main_end_grain)

    def timbers_met(self, joint: Joint) -> tuple[TimberFacts, ...]:
        """The timbers of a joint as its metal meets them, the main one first; one where both are alike."""
        main = self.main_timber(joint)
        if joint.side is None or (joint.side == joint.main and not main.end_grain):
            return (main,)
        return main, self.timbers[joint.side]


def prepare(structure: Structure) -> Prepared:
    """Read climate, air, timbers and labels of a structure.

    Raises
    ------
    InputError : with every name and label that cannot be read, each with its place in the structure
    """
    problems = code_problems(structure.code)
    assumptions: list[Assumption] = []
    if not problems:
        assumptions += _of_code(structure)
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
            taken, because = f"{gravity_not_known():g}", "no density of this species is held"
            assumptions.append(Assumption(f"timbers.{name}.species", f"specific gravity {taken}", because))
        timbers[name] = TimberFacts(
            name,
            found,
            tuple(trace.root.parts),
            timber.thickness_mm,
            gravity or gravity_not_known(),
            timber.coat or "",
        )
    readings = _readings(structure, problems)
    standards = (taken_standard(read, structure) for read in readings.values())
    assumptions += dict.fromkeys(chain.from_iterable(standards))
    standard = sheet_standard(structure)
    readings = {placed: read.under(standard) for placed, read in readings.items()}
    try:
        site = locate(structure.site)
    except InputError as error:
        raise InputError(*problems, *error.problems) from None
    if problems:
        raise InputError(*problems)
    return Prepared(site, timbers, readings, (*site.assumptions, *assumptions))


def _of_timber(name: str, timber: Timber, found: Treatment, units: System) -> Iterator[Assumption]:
    """What was assumed of one timber, each under the field that would settle it."""
    if timber.coat is not None:
        yield Assumption(f"timbers.{name}.coat", timber.coat.replace("_", " "), _COAT_KEPT)
    if not found.species.latin.startswith(_UPTAKE_HELD):
        because = "takes up rain as spruce and pine do: the uptake of no other wood is held"
        yield Assumption(f"timbers.{name}.species", found.species.name, because)
    for field, said in found.assumed:
        yield Assumption(f"timbers.{name}.{field}", _taken(field, timber, found, units), said)


def _taken(field: str, timber: Timber, found: Treatment, units: System) -> str:
    """What was taken of a field of a timber, for people."""
    if field == "retention" and timber.use_category is not None:
        listed = found.preservative.retention(timber.use_category).kg_m3
        return show_quantity(listed, "retention_kg_m3", units)
    return {
        "preservative": found.preservative.abbreviation,
        "species": found.species.name,
        "oiled": "yes",
        "modification": (timber.modification or "").replace("_", " "),
        "retention": "not known",
    }[field]


_UPTAKE_HELD = ("Pinus", "Picea")
_COAT_KEPT = (
    "taken to be kept sound, on the faces in the open: at gaps between faces, at ends and in holes it is cut "
    "through, keeps no rain out there and only slows drying; weathered, it lets through far more"
)


def _of_code(structure: Structure) -> list[Assumption]:
    """That the governing rules are the user's own, or of another country."""
    found = []
    pack = governing_pack(structure.code)
    if is_own(structure.code):
        because = f"{OWN_RULES} govern: {pack.title}; nobody here has held them against a code"
        found.append(Assumption("code.pack", structure.code.pack, because))
    where = pack.jurisdictions
    here = structure.site.jurisdiction
    if not where or here in where:
        return found
    because = f"a code of {', '.join(where)} is applied to a site in {here}, as asked"
    return [*found, Assumption("code.pack", structure.code.pack, because)]


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
            problems += topcoat_problems(part, known[key], partial(_where, j, p, joint, part))
    return readings


def _placed(problem: Problem, j: int, p: int, joint: Joint, part: Part) -> Problem:
    return Problem(_where(j, p, joint, part, "label"), part.label, problem.allowed, problem.do)


def _where(j: int, p: int, joint: Joint, part: Part, name: str) -> str:
    """A field of a part, with the joint and the part as people know them."""
    return f"joints[{j}].parts[{p}].{name} (joint {joint.id}, part {part.id})"
