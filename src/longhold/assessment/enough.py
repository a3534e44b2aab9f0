"""What would be enough: the first rung of a short ladder that passes the code and reaches the target."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from longhold.assessment.part_code import code_answer
from longhold.assessment.parts import PartRun, run_parts
from longhold.assessment.shared import Setting
from longhold.assessment.short_of_class import is_short_of_class
from longhold.base.errors import InputError
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number
from longhold.labels.read import read_label
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint

__all__ = ["Rung", "enough_beside", "enough_for", "enough_if_accepted", "rungs_for"]

Chance = Callable[[Joint, Sequence[PartRun]], float | None]


@dataclass(frozen=True)
class Rung:
    """One kind of hardware for all parts of a joint: its words, what each part promises, and its metal."""

    words: str
    chosen: tuple[Protection, ...]
    metal: str

    def together(self, joint: Joint) -> dict[str, Protection]:
        """What each part promises, by its id."""
        return {part.id: one for part, one in zip(joint.parts, self.chosen, strict=True)}


def enough_for(joint: Joint, setting: Setting, chance: Chance) -> str:
    """Words of the first rung that passes the joint's code and reaches its target; empty if none does.

    Parameters
    ----------
    chance : chance of reaching the design life, from the runs of a joint's parts

    The ladder offers kinds of hardware, not products; choosing by cost is another question.
    """
    of_class = (rung for rung in rungs_for(joint, setting) if not _short_parts(joint, rung, setting))
    return _first_enough(joint, of_class, setting, chance)


def enough_beside(joint: Joint, setting: Setting, chance: Chance) -> str:
    """The same among copper alloys, which stand beside stainless and neither above nor below it."""
    beside = (rung for rung in rungs_for(joint, setting) if rung.metal == "copper")
    return _first_enough(joint, beside, setting, chance)


def enough_if_accepted(joint: Joint, setting: Setting, chance: Chance) -> str:
    """The same among stainless below the class asked for, where the user accepts that; else empty.

    No advice rests on it, as its pits are not computed; but it may be bought, and whoever reads the advice
    is to know of both.
    """
    if not any(part.class_short_accepted for part in joint.parts):
        return ""
    accepted = (
        rung
        for rung in rungs_for(joint, setting)
        if (short := _short_parts(joint, rung, setting)) and all(one.class_short_accepted for one in short)
    )
    return _first_enough(joint, accepted, setting, chance)


def _short_parts(joint: Joint, rung: Rung, setting: Setting) -> list[Part]:
    """The parts that would be stainless below the class asked for."""
    together = rung.together(joint)
    return [part for part in joint.parts if is_short_of_class(joint, part, together[part.id], setting)]


def _first_enough(joint: Joint, rungs: Iterable[Rung], setting: Setting, chance: Chance) -> str:
    for rung in rungs:
        chosen, together = list(rung.chosen), rung.together(joint)
        verdicts = {
            code_answer(joint, part, together[part.id], setting, suggest=False, together=together).verdict
            for part in joint.parts
        }
        if "fail" in verdicts:
            continue
        reached = chance(joint, run_parts(joint, setting, chosen))
        if reached is not None and reached >= setting.structure.target_chance:
            return rung.words
    return ""


def rungs_for(joint: Joint, setting: Setting) -> Iterator[Rung]:
    """The rungs that all parts of a joint can stand on together, least protective first."""
    sheet = any(not part.is_fastener and part.kind != "washer" for part in joint.parts)
    passive = any(
        one.readings[0].protection.base_metal not in {"carbon_steel", "weathering_steel"}
        for one in (setting.prepared.readings[joint.id, part.id] for part in joint.parts)
    )
    for rung in _ladder():
        if passive and rung["metal"] == "zinc":
            continue  # a zinc rung beside stainless would mix metals
        if sheet and not rung["sheet_label"]:
            continue  # of such metal there is no sheet
        try:
            chosen = [_protection(part, rung) for part in joint.parts]
        except InputError:
            continue
        words = str(rung["words" if sheet else "words_without_sheet"])
        yield Rung(words, tuple(chosen), str(rung["metal"]))


def _protection(part: Part, rung: Row) -> Protection:
    size = part.measures
    label = rung["fastener_label"] if part.is_fastener or part.kind == "washer" else rung["sheet_label"]
    reading = read_label(label, item=part.kind, thickness_mm=size.thickness_mm, diameter_mm=size.diameter_mm)
    return reading.readings[0].protection


@once
def _ladder() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {
        "rung": number,
        "metal": str,
        "words": str,
        "words_without_sheet": str,
        "fastener_label": str,
        "sheet_label": str,
        "why": str,
    }
    return load_csv("assessment/ladder.csv", columns, key=("rung",), rising="rung")
