"""What a face of a timber meets: rain, film of air, thin water, a room's climate, wet ground, a coat."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from longhold.base.errors import InputError, Problem, TableError
from longhold.base.recent import once
from longhold.base.tables import load_csv, load_toml, number
from longhold.wood.bands import Band
from longhold.wood.coats import coat_named

__all__ = ["FaceExposure", "face_bands", "face_exposure", "face_kinds"]

_CONTACTS = "wood/transport_contacts.toml"
_LIMITS = {
    "film_m_s": (0.0, 1.0, "m/s"),
    "film_over_coat_m_s": (0.0, 1.0, "m/s"),
    "catch_share": (0.0, 20.0, ""),
    "keeps_mm": (0.0, 20.0, "mm"),
    "sun_warming_c": (0.0, 50.0, "K"),
    "liquid_kg_m2_s_pct": (0.0, 1000.0, "kg/(m2 s %)"),
    "hold_kg_m2_s_pct": (0.0, 1000.0, "kg/(m2 s %)"),
    "held_pct": (0.0, 300.0, "%"),
    "temperature_c": (-30.0, 70.0, "deg C"),
    "relative_humidity_pct": (0.0, 100.0, "%"),
}


@dataclass(frozen=True, eq=False)
class FaceExposure:
    """What one face of a timber meets.

    Attributes
    ----------
    kind : a kind of the table, or any name of your own
    film_m_s : vapour exchange with the air [m/s], on vapour density; a coat included. 0 for none
    catch_share : rain on the face against rain on the level [-]
    keeps_mm : thin water that stays on the face, or in the gap before it [mm]; more runs off
    sun_warming_c : by how much sun of 1,000 W/m2 on the level warms the face above the air [K]; the sky cools
        it in proportion, see ``radiation.radiation_w_m2``
    liquid_kg_m2_s_pct : how the face is joined to water on it [kg/(m2 s) for each % that it lacks]
    hold_kg_m2_s_pct, held_pct : how it is joined to wet ground [kg/(m2 s %)] and the ground's moisture [%]
    film_over_coat_m_s : by which thin water dries from the top of a coat [m/s]; 0 on bare wood, where it
        dries by way of the wood
    temperature_c, relative_humidity_pct : climate of a room [deg C], [%]: a number, or one an hour of the
        weather; None for the weather's own

    Raises
    ------
    InputError : for a number out of range
    """

    kind: str
    film_m_s: float = 0.0
    catch_share: float = 0.0
    keeps_mm: float = 0.0
    sun_warming_c: float = 0.0
    liquid_kg_m2_s_pct: float = 0.0
    hold_kg_m2_s_pct: float = 0.0
    held_pct: float = 0.0
    film_over_coat_m_s: float = 0.0
    temperature_c: ArrayLike | None = None
    relative_humidity_pct: ArrayLike | None = None

    def __post_init__(self) -> None:
        problems = []
        for name, (least, most, unit) in _LIMITS.items():
            value = getattr(self, name)
            if value is None:
                continue
            array = np.asarray(value, dtype=float)
            bad = ~((array >= least) & (array <= most))
            if bad.any():
                said = f"must be a number between {least:g} and {most:g} {unit}".rstrip()
                problems.append(Problem(f"face {self.kind}: {name}", float(array[bad].flat[0]), f"{said}."))
        if (self.temperature_c is None) != (self.relative_humidity_pct is None):
            problems.append(
                Problem(
                    f"face {self.kind}", None, "needs both temperature_c and relative_humidity_pct, or none."
                )
            )
        if problems:
            raise InputError(*problems)

    def coated(
        self,
        vapour_layer_m: float | None = None,
        liquid_kg_m2_s_pct: float | None = None,
        *,
        coat: str = "paint",
    ) -> FaceExposure:
        """The same face behind a sound coat.

        1/film = 1/film of the bare face + layer/D, with D of vapour in still air.

        Parameters
        ----------
        vapour_layer_m : layer of still air that resists vapour as the coat does [m]; None takes the table's
        liquid_kg_m2_s_pct : liquid let through [kg/(m2 s) for each % that the wood lacks]; None: the table's
        coat : a name of ``coats()``

        Notes
        -----
        Sources stand with the table of coats. A weathered coat lets through far more.

        >>> bare = face_exposure("open_above")
        >>> bare.coated().film_m_s < bare.film_m_s / 100
        True
        """
        film_on, air = coat_named(coat), load_toml("wood/transport.toml")["air"]
        layer = film_on.vapour_layer_m if vapour_layer_m is None else vapour_layer_m
        liquid = film_on.liquid_kg_m2_s_pct if liquid_kg_m2_s_pct is None else liquid_kg_m2_s_pct
        if not 0.0 <= layer <= 1e4:
            raise InputError(Problem("vapour_layer_m", layer, "must be a number between 0 and 10000 m."))
        film = 0.0 if self.film_m_s == 0.0 else 1.0 / (1.0 / self.film_m_s + layer / air["vapour_m2_s"])
        joined = min(liquid, self.liquid_kg_m2_s_pct) if self.liquid_kg_m2_s_pct > 0.0 else 0.0
        over = max(self.film_m_s, self.film_over_coat_m_s)
        return replace(self, film_m_s=film, liquid_kg_m2_s_pct=joined, film_over_coat_m_s=over)


def face_kinds() -> tuple[str, ...]:
    """Kinds of face that the table knows.

    >>> face_kinds()[:3]
    ('open_above', 'open_side', 'under_cover')
    """
    return tuple(_kinds())


def face_bands(kind: str) -> Mapping[str, Band]:
    """The figures of a kind of face, each with its band.

    Raises
    ------
    InputError : for a kind that is not known

    >>> face_bands("trapped")["keeps_mm"].shown()
    '0.3 mm (0.1 to 1)'
    """
    found = _kinds().get(kind)
    if found is None:
        raise InputError(Problem("face.kind", kind, f"must be one of {', '.join(_kinds())}."))
    return found


def face_exposure(kind: str, **told: Any) -> FaceExposure:
    """A face of a kind of the table; what is told takes the place of the table's median.

    Parameters
    ----------
    kind : one of ``face_kinds()``
    told : fields of ``FaceExposure``

    Raises
    ------
    InputError : for a kind that is not known, or a number out of range

    >>> face_exposure("trapped", keeps_mm=1.0).catch_share
    0.3
    """
    contacts = load_toml(_CONTACTS)
    fields: dict[str, Any] = {name: band.median for name, band in face_bands(kind).items()}
    if "catch_share" in fields:
        fields["liquid_kg_m2_s_pct"] = contacts["bare"]["liquid_kg_m2_s_pct"]
    if "held_pct" in fields:
        fields["hold_kg_m2_s_pct"] = contacts["ground"]["hold_kg_m2_s_pct"]
    return FaceExposure(kind, **{**fields, **told})


@once
def _kinds() -> Mapping[str, Mapping[str, Band]]:
    columns = {"median": number, "p05": number, "p95": number}
    words = dict.fromkeys(("kind", "quantity", "spread", "unit", "words"), str)
    rows = load_csv("wood/transport_faces.csv", {**words, **columns}, key=("kind", "quantity"))
    kinds: dict[str, dict[str, Band]] = {}
    for row in rows:
        if row["quantity"] not in _LIMITS or not row["p05"] <= row["median"] <= row["p95"]:
            raise TableError(f"wood/transport_faces.csv: {row['kind']} {row['quantity']} cannot be used")
        rest = {
            name: row[name] for name in ("median", "p05", "p95", "spread", "unit", "words", "source", "mark")
        }
        kinds.setdefault(row["kind"], {})[row["quantity"]] = Band(row["quantity"], **rest)
    return MappingProxyType({kind: MappingProxyType(bands) for kind, bands in kinds.items()})
