"""How the faces of a part lie to rain: what a user says, what is usual, what cannot be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from longhold.base.recent import once
from longhold.base.tables import Parser, load_csv
from longhold.model.sizes import PartKind
from longhold.model.surroundings import Place

__all__ = [
    "FACE_WORDS",
    "FaceKind",
    "Facing",
    "RainFrom",
    "facing_clash",
    "unwashed",
    "usual_facing",
    "washed_by_rain",
]

FaceKind = Literal["open", "sheltered", "sky_facing", "wall", "underside", "wind_sheltered_underside"]
RainFrom = Literal["above", "side"]

FACE_WORDS: Mapping[FaceKind, str] = {
    "open": "washed by rain",
    "sheltered": "kept from rain",
    "sky_facing": "facing the sky",
    "wall": "upright",
    "underside": "facing down",
    "wind_sheltered_underside": "facing down, out of the wind",
}
"""Kinds of face as people say them."""

_WASHED, _UNWASHED = ("open", "sky_facing"), ("sheltered", "underside", "wind_sheltered_underside")
_DRIVEN = ("nail", "staple", "wood_screw", "lag_screw")


@dataclass(frozen=True)
class Facing:
    """How the faces of a part that lie in outdoor air are turned.

    Attributes
    ----------
    kinds : what they may be; more than one where that is not known
    because : why it is taken so
    given : whether the user said so

    >>> Facing(("wall", "underside"), "its seat faces down", given=False).words
    'upright or facing down'
    """

    kinds: tuple[FaceKind, ...]
    because: str
    given: bool

    @property
    def words(self) -> str:
        """The kinds as people say them."""
        return " or ".join(FACE_WORDS[kind] for kind in self.kinds)


def unwashed(facing: Facing) -> bool:
    """Whether rain certainly does not rinse such faces.

    >>> unwashed(Facing(("wall", "underside"), "", given=False))
    False
    """
    return all(kind in _UNWASHED for kind in facing.kinds)


def washed_by_rain(kind: FaceKind) -> bool:
    """Whether rain washes all of a face that lies so; an upright one is reached in part only."""
    return kind in _WASHED


def usual_facing(kind: PartKind, place: Place, rain_from: RainFrom) -> Facing:
    """How the faces of a kind of part usually lie, where nobody says so.

    Parameters
    ----------
    kind : of the part
    place : where it stands; one under cover keeps rain from every face
    rain_from : above, where the joint's metal enters a level face; side, where an upright one

    >>> from longhold.model.surroundings import places
    >>> usual_facing("hanger", places()["open_to_rain"], "side").words
    'upright or facing down'
    """
    if place.air_face != "open":
        return Facing(("sheltered",), f"the place is {place.words}", given=False)
    return _usual()[kind, rain_from]


def facing_clash(kind: PartKind, faces: FaceKind, place: Place, rain_from: RainFrom | None) -> str:
    """Why a part's faces cannot lie as stated, and what to do; empty where they can.

    >>> from longhold.model.surroundings import places
    >>> facing_clash("hanger", "sky_facing", places()["under_cover"], None)[:57]
    'a place outside, under cover keeps rain from every face; '
    """
    if place.air_face not in ("open", "sheltered"):
        return f"faces tell how outdoor air reaches a part, and this place is {place.words}; leave faces out"
    if place.air_face == "sheltered" and faces in _WASHED:
        return (
            f"a place {place.words} keeps rain from every face; "
            "leave faces out, or say the place is open_to_rain"
        )
    if kind not in _DRIVEN:
        return ""
    if rain_from == "side" and faces == "sky_facing":
        return 'its head lies on an upright face (rain_from = "side"), which is a wall'
    if rain_from == "above" and faces in ("wall", "underside", "wind_sheltered_underside"):
        return 'its head lies on a level face that rain falls on (rain_from = "above"), which is sky_facing'
    return ""


def _kinds(text: str) -> tuple[FaceKind, ...]:
    known = {kind: kind for kind in get_args(FaceKind)}
    return tuple(known[one] for one in text.split("|"))


@once
def _usual() -> Mapping[tuple[str, str], Facing]:
    columns: dict[str, Parser] = {"part": str, "rain_from": str, "faces": _kinds, "because": str}
    rows = load_csv("faces/usual.csv", columns, key=("part", "rain_from"))
    return {
        (row["part"], row["rain_from"]): Facing(row["faces"], row["because"], given=False) for row in rows
    }
