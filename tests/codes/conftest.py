"""A reader of the few designations that the cases use: this room is tested without the labels room."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

from longhold.base.marks import Mark
from longhold.model.protection import Layer, Protection

FINISHES = Path(__file__).parents[1] / "against_published" / "data" / "codes_finishes.csv"


def protections() -> dict[str, Protection]:
    with FINISHES.open(newline="", encoding="utf-8") as file:
        return {row["text"]: _protection(row) for row in csv.DictReader(file)}


def _protection(row: dict[str, str]) -> Protection:
    layers = []
    if row["film"] == "yes":
        layers.append(Layer("organic", "painted", None, None, None, None, None, "own", Mark.OWN))
    if row["kind"]:
        layers.append(
            Layer(
                row["kind"],  # type: ignore[arg-type]
                row["process"],  # type: ignore[arg-type]
                _number(row["nominal_g_m2"]),
                None,
                _number(row["nominal_um"]),
                _number(row["least_um"]),
                None,
                "own",
                Mark.OWN,
            )
        )
    return Protection(
        designation=row["designation"],
        base_metal=row["base_metal"],  # type: ignore[arg-type]
        grade=row["grade"],
        layers=tuple(layers),
        standard=row["standard"],
    )


def _number(text: str) -> float | None:
    return float(text) if text else None


@pytest.fixture(scope="session")
def finishes() -> dict[str, Protection]:
    return protections()


@pytest.fixture(scope="session")
def read(finishes: dict[str, Protection]) -> Callable[[str], Protection | None]:
    return finishes.get
