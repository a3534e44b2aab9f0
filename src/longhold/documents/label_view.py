"""What a label promises as plain objects: the content of its explanation."""

from __future__ import annotations

from typing import Any

from longhold.base.marks import Mark
from longhold.base.sources import register
from longhold.labels.reading import LabelReading, Reading
from longhold.labels.several import PartLabel
from longhold.model.protection import Layer

__all__ = ["label_json"]


def label_json(text: str, parts: tuple[PartLabel, ...]) -> dict[str, Any]:
    """Everything that a text promises, part by part.

    Parameters
    ----------
    text : the words as handed in
    parts : what ``read_parts`` made of them

    >>> from longhold.labels.several import read_parts
    >>> found = label_json("G185", read_parts("G185"))
    >>> found["parts"][0]["readings"][0]["coat"]["least_um"]
    27.4
    """
    return {
        "schema_version": "1",
        "kind": "longhold label",
        "text": text,
        "parts": [_part(one) for one in parts],
    }


def _part(one: PartLabel) -> dict[str, Any]:
    head = {"part": one.kind, "text": one.text}
    if one.told is None:
        return {**head, "refused": one.refused.why if one.refused else "", "readings": []}
    return {
        **head,
        "refused": "",
        "readings": [_reading(reading, one.told) for reading in one.told.readings],
        "question": one.told.question,
        "not_promised": list(one.told.not_promised),
        "cautions": list(one.told.cautions),
    }


def _reading(reading: Reading, told: LabelReading) -> dict[str, Any]:
    protection, alloy = reading.protection, reading.alloy
    return {
        "designation": protection.designation,
        "read_from": [told.text[start:end].strip() for start, end in reading.spans],
        "left_out": list(reading.ignored),
        "metal": protection.base_metal,
        "grade": protection.grade,
        "standard": protection.standard,
        "edition": protection.edition.strip("-"),
        "product_form": protection.product_form,
        "as_written": reading.as_written,
        "counted": reading.counted,
        "basis": protection.basis,
        "coat": None if reading.coat is None else _layer(reading.coat),
        "topcoat": None if protection.topcoat is None else _layer(protection.topcoat),
        "family": alloy.family if alloy else "",
        "pren": alloy.pren if alloy else None,
        "part": reading.item,
        "size": reading.size_text,
        "thickness_mm": reading.thickness_mm,
        "diameter_mm": reading.diameter_mm,
        **_source(protection.source, protection.mark),
    }


def _layer(layer: Layer) -> dict[str, Any]:
    return {
        "kind": layer.kind,
        "put_on": layer.process,
        "expected_g_m2": layer.nominal_g_m2,
        "expected_um": layer.nominal_um,
        "least_g_m2": layer.least_g_m2,
        "least_um": layer.least_um,
        "g_m2_per_um": layer.density_g_cm3,
        **_source(layer.source, layer.mark),
    }


def _source(source: str, mark: Mark) -> dict[str, str]:
    known = register().get(source)
    return {"source": source, "source_title": known.title if known else source, "mark": mark.value}
