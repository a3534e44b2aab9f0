"""What was measured or seen on a joint that stands."""

from __future__ import annotations

import datetime
import re
import unicodedata
from typing import Literal, get_args

from pydantic import Field, model_validator

from longhold.model.fields import Record

__all__ = ["HEADS", "MEASURED", "ON_A_FACE", "Measured", "Reading", "picture_name"]

Measured = Literal[
    "zinc", "metal_lost", "diameter_left", "thickness_left", "rust", "chloride", "moisture", "look"
]
MEASURED: tuple[Measured, ...] = get_args(Measured)
"""What a reading may be of."""
ON_A_FACE: tuple[Measured, ...] = ("zinc", "metal_lost", "rust")
"""Those that are of one face of a part."""
HEADS = (
    "joint",
    "piece",
    "part",
    "face",
    "date",
    "measured",
    "reading",
    "uncertainty",
    "spots",
    "size when new",
    "instrument",
    "photograph",
    "note",
)
"""Columns of a table of readings; those that a table has no use for may be left out."""
_OF_A_PART: tuple[Measured, ...] = (*ON_A_FACE, "diameter_left", "thickness_left")


def picture_name(text: str) -> str:
    """The name by which a photograph is found: of a path only the last part.

    Composed letters: some systems take the marks off letters in the names of an archive.

    >>> picture_name("C:\\\\visit\\\\w01.jpg"), picture_name(" visit/w01.jpg"), picture_name("w01.jpg")
    ('w01.jpg', 'w01.jpg', 'w01.jpg')
    """
    return unicodedata.normalize("NFC", re.split(r"[/\\]", text)[-1]).strip()


class Reading(Record):
    """One reading: what, where, when, by what, and how sure.

    Numbers are in the unit inside: zinc and metal lost [um], sizes left [mm], chloride [mg/m2/d],
    moisture [%].
    """

    joint: str = Field(default="", description="id of the joint; blank for one of the site's air")
    piece: str = Field(default="", max_length=60, description="which of the joints of this id, where several")
    part: str = Field(default="", description="id of the part")
    face: str = Field(default="", description="name of the face")
    date: datetime.date
    measured: Measured
    value: float | None = Field(
        default=None, ge=0, description="the mean of the spots; None for a grade or a look"
    )
    low_pct: float | None = Field(default=None, ge=0, le=100, description="least rusted share of a grade [%]")
    high_pct: float | None = Field(default=None, ge=0, le=100, description="most rusted share of a grade [%]")
    words: str = Field(min_length=1, max_length=300, description="the reading as it was written")
    uncertainty: float | None = Field(
        default=None, gt=0, description="of the gauge, expanded with k = 2, in the unit of the value"
    )
    spots: int = Field(default=1, ge=1, le=10_000, description="spots that the value is the mean of")
    size_new: float | None = Field(default=None, gt=0, description="size measured when new [mm]")
    instrument: str = Field(default="", max_length=120)
    photograph: str = Field(default="", max_length=300, description="name of the photograph's file")
    note: str = Field(default="", max_length=2000)

    @property
    def amount(self) -> float:
        """The value of a reading that has one.

        Raises
        ------
        ValueError : for a grade or a look
        """
        if self.value is None:
            raise ValueError(f"a reading of {self.measured} has no value")
        return self.value

    @property
    def rusted(self) -> tuple[float, float]:
        """The rusted shares that a grade stands for, least and most [-].

        Raises
        ------
        ValueError : for anything but a grade
        """
        if self.low_pct is None or self.high_pct is None:
            raise ValueError(f"a reading of {self.measured} has no grade")
        return self.low_pct / 100.0, self.high_pct / 100.0

    @model_validator(mode="after")
    def _says_where(self) -> Reading:
        if self.measured != "chloride" and not self.joint:
            raise ValueError("names no joint")
        if self.measured in _OF_A_PART and not self.part:
            raise ValueError("names no part of the joint")
        return self

    @model_validator(mode="after")
    def _says_how_much(self) -> Reading:
        graded = self.low_pct is not None and self.high_pct is not None
        if self.measured == "rust" and not graded:
            raise ValueError("gives no grade of rust")
        if self.measured not in ("rust", "look") and self.value is None:
            raise ValueError("gives no value")
        return self
