"""The form of one joint: what is asked, what was typed, and the structure that it describes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, get_args

from starlette.datastructures import QueryParams

from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.codes import list_packs
from longhold.intake.position import read_named_position
from longhold.model.sizes import PartKind
from longhold.web.editing import change
from longhold.web.judging import judge

__all__ = ["SETTINGS", "SHORES", "JointForm", "codes", "field_of", "jurisdiction_of", "label_of", "packs"]

_MOST_PARTS, _MOST_ALSO = 4, 40
_TEXTS = {
    "at": "",
    "salt_water": "",
    "place": "open_to_rain",
    "species": "southern pine",
    "preservative": "MCA",
    "use_category": "UC4A",
    "timber_size": "6x6",
    "side_size": "2x8",
    "demand": "",
    "life": "30 years",
    "code": "us_irc 2021",
    "application": "deck",
    "role": "structural",
    "units": "us",
    "shore": "",
    "setting": "",
    "access": "",
    "cleaning": "",
}
_OF_PART = ("kind", "size", "label", "count", "accepted")
_PART_FIELDS = {"class_short_accepted": "accepted"}
_LABELS = {
    "at": "Latitude and longitude",
    "salt_water": "Distance to salt water",
    "place": "Surroundings",
    "species": "Timber",
    "preservative": "Treatment on the end tag",
    "use_category": "Use category",
    "timber_size": "Size of the timber",
    "side_size": "Size of the timber under the head",
    "demand": "Load on it",
    "life": "Design life",
    "code": "Code that governs",
    "application": "What it is part of",
    "role": "Does it carry load",
    "units": "Units of the answer",
    "shore": "Shore",
    "setting": "Air",
    "access": "Access",
    "cleaning": "Cleaning of stainless",
    "kind": "Part {}",
    "size": "Size of part {}",
    "label": "Words on the label of part {}",
    "count": "How many of part {}",
    "accepted": "Lower class accepted for part {}",
}
"""What each field is called where something is wrong with it."""
_FIELDS = {
    "site": "at",
    "site.position": "at",
    "site.latitude": "at",
    "site.longitude": "at",
    "site.distance_to_salt_water": "salt_water",
    "site.shore": "shore",
    "site.air.setting": "setting",
    "timbers.main.species": "species",
    "timbers.main.preservative": "preservative",
    "timbers.main.use_category": "use_category",
    "timbers.main.size": "timber_size",
    "timbers.main": "timber_size",
    "timbers.side.size": "side_size",
    "timbers.side": "side_size",
    "timbers.side.species": "species",
    "timbers.side.preservative": "preservative",
    "timbers.side.use_category": "use_category",
    "joints[0].demand": "demand",
    "joints[0].place": "place",
    "joints[0].role": "role",
    "joints[0].access": "access",
    "design_life": "life",
    "code.pack": "code",
    "code.edition": "code",
    "application": "application",
    "units": "units",
}
"""Form fields by path inside the structure."""


@dataclass(frozen=True)
class JointForm:
    """What was typed.

    Attributes
    ----------
    texts : by field; what is usual where the field was not sent
    parts : kind, size, label and count of each part as typed
    sent : whether anything was sent at all
    also : what was said of fields that the form does not ask for, by path inside the structure
    """

    texts: Mapping[str, str]
    parts: tuple[Mapping[str, str], ...]
    sent: bool = False
    also: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, query: QueryParams) -> JointForm:
        """The form as sent in an address."""
        texts = {name: query.get(name, usual).strip() for name, usual in _TEXTS.items()}
        columns = {name: query.getlist(name)[:_MOST_PARTS] for name in _OF_PART}
        rows = max((len(values) for values in columns.values()), default=0)
        parts = tuple(
            {name: values[row].strip() if row < len(values) else "" for name, values in columns.items()}
            for row in range(rows)
        )
        pairs = (one.partition("=") for one in query.getlist("also")[:_MOST_ALSO])
        also = {path: text.strip() for path, _, text in pairs if text.strip()}
        return cls(texts, parts or (_FIRST_PART,), bool(query), also)

    @property
    def rows(self) -> Sequence[Mapping[str, str]]:
        """The parts, and one empty row where another fits."""
        more = [_EMPTY_PART] if len(self.parts) < _MOST_PARTS and _is_filled(self.parts[-1]) else []
        return [*self.parts, *more]

    @property
    def filled(self) -> Sequence[int]:
        """Which rows hold a part."""
        return [number for number, row in enumerate(self.parts) if _is_filled(row)]

    def problems(self) -> tuple[Mapping[str, Any], tuple[Problem, ...]]:
        """The structure as far as it goes, and everything that cannot be used in it."""
        try:
            given = self.given()
        except InputError as error:
            elsewhere = replace(self, texts={**self.texts, "at": _SOMEWHERE}, also={})
            given, of_place = elsewhere.given(), error.problems
            rest = [one for one in judge(given).problems if not one.where.startswith("site.l")]
            return given, (*of_place, *rest)
        return given, judge(given).problems

    def given(self) -> dict[str, Any]:
        """The structure that it describes, as keys and values.

        Raises
        ------
        InputError : for a position that is none, and where nothing is known of the place
        """
        texts = self.texts
        pack, _, edition = texts["code"].partition(" ")
        main = {
            "species": texts["species"],
            "preservative": texts["preservative"],
            "size": texts["timber_size"],
        }
        if texts["use_category"] and texts["preservative"].casefold() != "none":
            main["use_category"] = texts["use_category"]
        timbers = {"main": main}
        joint: dict[str, Any] = {
            "id": "J1",
            "name": "One joint",
            "place": texts["place"],
            "main": "main",
            "role": texts["role"],
            "parts": list(_parts([self.parts[number] for number in self.filled], texts["cleaning"])),
        }
        if texts["side_size"]:
            timbers["side"] = {**main, "size": texts["side_size"]}
            joint["side"] = "side"
        for name in ("demand", "access"):
            if texts[name]:
                joint[name] = texts[name]
        given = {
            "name": "One joint",
            "units": texts["units"],
            "design_life": texts["life"],
            "code": {"pack": pack, "edition": edition},
            "application": texts["application"],
            "site": self._site(),
            "timbers": timbers,
            "joints": [joint],
        }
        for path, text in self.also.items():
            given = change(given, path, text)
        return given

    def _site(self) -> dict[str, Any]:
        texts = self.texts
        if not texts["at"]:
            do = "Press the map, or type latitude and longitude such as 33.97 -77.92."
            raise InputError(Problem("site", None, "tell where it is.", do))
        (latitude, longitude), name = read_named_position(texts["at"], "site")
        site: dict[str, Any] = {
            "name": name or f"{latitude:g}, {longitude:g}",
            "jurisdiction": jurisdiction_of(texts["code"]),
            "latitude": latitude,
            "longitude": longitude,
        }
        if texts["salt_water"]:
            site["distance_to_salt_water"] = texts["salt_water"]
        if texts["shore"]:
            site["shore"] = texts["shore"]
        if texts["setting"]:
            site["air"] = {"setting": texts["setting"]}
        return site


SHORES = (("", "not told: the band covers both"), ("surf", "surf breaks at it"), ("sheltered", "sheltered"))
SETTINGS = (
    ("", "not told: rural, with a band for any"),
    ("rural", "rural"),
    ("urban", "urban"),
    ("industrial", "industrial"),
)
"""What may be said of a site's shore and air, and what is taken where nobody says."""
_SOMEWHERE = "45 -100"
_EMPTY_PART: Mapping[str, str] = {"kind": "nail", "size": "", "label": "", "count": "", "accepted": ""}
_FIRST_PART: Mapping[str, str] = {
    "kind": "lag_screw",
    "size": "1/2 in x 6 in",
    "label": "HDG per ASTM A153",
    "count": "",
    "accepted": "",
}


@once
def codes() -> tuple[tuple[str, str], ...]:
    """Every code that may govern, newest edition first: what the form sends, and what people read."""
    return tuple(
        (f"{id} {edition}", f"{title}, {edition}") for id, title, editions in packs() for edition in editions
    )


@once
def packs() -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    """The rule pack of every code that may govern: its id, its title and its editions, newest first."""
    found = [pack for pack in list_packs().values() if pack.kind == "code"]
    found.sort(key=lambda pack: (pack.id != "us_irc", pack.id[:2] != "us", pack.title))
    return tuple((pack.id, pack.title, tuple(reversed(pack.editions))) for pack in found)


def jurisdiction_of(code: str) -> str:
    """The country whose code it is, as ``codes`` names it; the United States where nobody knows."""
    pack = list_packs().get(code.partition(" ")[0])
    return pack.jurisdictions[0] if pack is not None and pack.jurisdictions else "US"


def _is_filled(row: Mapping[str, str]) -> bool:
    """Whether anything was typed in the line of a part; its kind stands there in any case."""
    return any(row[name] for name in ("size", "label", "count"))


def _parts(rows: Sequence[Mapping[str, str]], cleaning: str) -> Iterator[dict[str, Any]]:
    """Each part, called by its kind."""
    seen: Counter[str] = Counter()
    for number, row in enumerate(rows, 1):
        kind = row["kind"] if row["kind"] in get_args(PartKind) else f"part{number}"
        seen[kind] += 1
        called = kind.replace("_", "-") + (f"-{seen[kind]}" if seen[kind] > 1 else "")
        part: dict[str, Any] = {"id": called, "kind": row["kind"], "label": row["label"]}
        if row["size"]:
            part["size"] = row["size"]
        if row["count"]:
            part["count"] = int(row["count"]) if row["count"].isdecimal() else row["count"]
        if row["accepted"]:
            part["class_short_accepted"] = row["accepted"]
        if cleaning:
            part["cleaning"] = cleaning
        yield part


def label_of(field: str) -> str:
    """What people know a field as.

    >>> label_of("at"), label_of("size-1")
    ('Latitude and longitude', 'Size of part 2')
    """
    name, _, number = field.partition("-")
    return _LABELS[name].format(int(number) + 1 if number else "")


def field_of(where: str, filled: Sequence[int] = range(_MOST_PARTS)) -> str:
    """The form field that a path inside the structure stands for; the whole form where none does.

    Parameters
    ----------
    where : the path
    filled : row of the form that each part stands in

    >>> field_of("joints[0].parts[1].label (joint J1, part p2)"), field_of("site.latitude"), field_of("x")
    ('label-1', 'at', '')
    """
    if where.startswith("joints[0].parts["):
        number, _, name = where.removeprefix("joints[0].parts[").partition("]")
        name = name.removeprefix(".").partition(" ")[0].partition("[")[0]
        if name == "cleaning":
            return name
        name = _PART_FIELDS.get(name, name)
        return f"{name if name in _OF_PART else 'size'}-{filled[int(number)]}"
    if where.partition(" (")[0] == "joints[0].parts":
        return "label-0"
    return _FIELDS.get(where.partition(" (")[0], "")
