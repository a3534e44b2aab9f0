"""Which words of a model are the finish of a part: read by the label grammar, asked where they clash."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from longhold.base.errors import InputError
from longhold.intake.draft_slots import Slot
from longhold.intake.ifc_reading import IfcReader, Told
from longhold.intake.ifc_words import field_of, treatment_label
from longhold.intake.toml_text import quoted
from longhold.labels.read import read_label
from longhold.labels.reading import LabelReading
from longhold.model.protection import Protection

__all__ = ["label_slot", "reads_as_metal"]


@dataclass(frozen=True)
class _Said:
    """A text that may be a finish: where it stands, and what the grammar reads in it."""

    text: str
    where: str
    reading: LabelReading

    @property
    def settled(self) -> bool:
        return len(self.reading.readings) == 1 and not self.reading.question

    @property
    def sorts(self) -> set[tuple[str, bool, bool]]:
        return {_sort(one.protection) for one in self.reading.readings}


def label_slot(
    reader: IfcReader,
    element: object,
    told: list[Told],
    kind: str,
    thickness_mm: float | None,
    diameter_mm: float | None,
) -> Slot:
    """The label of a part: of its properties, materials, corrosion treatment or names, in that order."""
    candidates = _candidates(reader, element, told)
    said: list[_Said] = []
    unread: list[str] = []
    for text, where in candidates:
        reading = _read(text, kind, thickness_mm, diameter_mm)
        if reading is None:
            if where != "its name":
                unread.append(f"{text!r} ({where})")
            continue
        said.append(_Said(text, where, reading))
    rest = f"; not understood as a finish: {', '.join(unread)}" if unread else ""
    chosen = _chosen(said)
    if isinstance(chosen, str):
        return Slot("label", "", f"{chosen}{rest}")
    question = f"; to settle: {chosen.reading.question}" if chosen.reading.question else ""
    return Slot("label", quoted(chosen.text), f"from {chosen.where}{question}{rest}")


def reads_as_metal(text: str) -> bool:
    """Whether the label grammar reads a text as a metal or finish.

    >>> reads_as_metal("S350GD+Z275"), reads_as_metal("oak")
    (True, False)
    """
    return _read(text, "", None, None) is not None


@lru_cache(maxsize=4096)  # a model repeats few texts on many pieces
def _read(text: str, kind: str, thickness_mm: float | None, diameter_mm: float | None) -> LabelReading | None:
    try:
        return read_label(text, item=kind or None, thickness_mm=thickness_mm, diameter_mm=diameter_mm)
    except InputError:
        return None


def _candidates(reader: IfcReader, element: object, told: list[Told]) -> list[tuple[str, str]]:
    found = [
        (one.value, one.where)
        for one in told
        if field_of("part", one.key) == "label" and isinstance(one.value, str) and one.value
    ]
    found += [(name, "its material") for name in reader.material_names(element)]
    for one in told:
        if field_of("part", one.key) == "treatment" and isinstance(one.value, str):
            label = treatment_label(one.value)
            if label is not None:
                found.append((label, f"{one.where} {one.value}"))
    found += [(name, "its name") for name in reader.names_of(element)]
    seen: dict[str, tuple[str, str]] = {}
    for text, where in found:
        seen.setdefault(text.casefold(), (text, where))
    return list(seen.values())


def _chosen(said: list[_Said]) -> _Said | str:
    """The text that tells most without a clash, or what is asked."""
    firm = [one for one in said if not _is_bare_and_asked(one)] or said
    if not firm:
        return "what the box, drawing or certificate says of its metal and coat; the model does not"
    for a in firm:
        for b in firm:
            if not a.sorts & b.sorts:
                return (
                    f"the model says {a.text!r} ({a.where}) and {b.text!r} ({b.where}), which are not the "
                    "same: which holds?"
                )
    settled = [one for one in firm if one.settled]
    names = {one.reading.readings[0].protection.designation for one in settled}
    if len(names) > 1:
        texts = ", ".join(f"{one.text!r} ({one.where})" for one in settled)
        return f"the model says {texts}, which are not the same: which holds?"
    return settled[0] if settled else min(firm, key=lambda one: len(one.reading.readings))


def _is_bare_and_asked(one: _Said) -> bool:
    """'Steel' alone names the metal and leaves the coat open: any other text that reads says more."""
    return bool(one.reading.question) and all(
        not reading.protection.layers and reading.protection.base_metal == "carbon_steel"
        for reading in one.reading.readings
    )


def _sort(protection: Protection) -> tuple[str, bool, bool]:
    return protection.base_metal, protection.zinc is not None, protection.topcoat is not None
