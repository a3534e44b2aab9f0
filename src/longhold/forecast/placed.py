"""What a place makes of the loss in open air: the way a face lies outdoors, the room's own air indoors."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from longhold.air.faces import shelter_cautions, span_factor
from longhold.air.indoors import indoor_first_year_loss
from longhold.base.marks import Mark, weakest
from longhold.base.trace import Trace, note
from longhold.forecast.causes import Causes
from longhold.forecast.indoors import indoor_climate
from longhold.model.facing import FaceKind, Facing
from longhold.model.surroundings import Place

__all__ = ["indoor_um", "note_facing", "outdoor_um"]

Array = NDArray[np.float64]
_SAID = {
    "worse": "worse than in the open",
    "better": "better than in the open",
    "none": "no direction stated",
}


def outdoor_um(
    open_air_um: Array,
    place: Place,
    faces: Sequence[FaceKind],
    distance_to_salt_m: float | None,
    causes: Causes,
    trace: Trace | None = None,
) -> Array:
    """First-year loss of a bare face outdoors [um]: that of open air times a factor drawn for the face."""
    factor = span_factor(place, faces, distance_to_salt_m)
    rate = open_air_um * causes.between("shelter", "site", factor.low, factor.high, factor.median)
    span = f" ({factor.low:.3g} to {factor.high:.3g})" if factor.low < factor.high else ""
    note(
        trace,
        factor.words,
        "r_f",
        "r_f = k r",
        {"k": f"{factor.median:.3g}{span}"},
        float(np.median(rate)),
        "um/yr",
        factor.source,
        factor.mark,
    )
    return np.asarray(rate)


def indoor_um(name: str, place: Place, causes: Causes, trace: Trace | None = None) -> Array:
    """First-year loss of a bare face indoors [um], from the climate that stands for the place."""
    air = indoor_climate(place)
    inside = indoor_first_year_loss(
        name, place, relative_humidity_pct=air.relative_humidity_pct, temperature_c=air.temperature_c
    )
    note(
        trace,
        inside.how,
        "r",
        "r = r_in",
        {"RH": f"{air.relative_humidity_pct:.3g} %", "T": f"{air.temperature_c:.3g} deg C"},
        inside.median,
        "um/yr",
        inside.source,
        weakest((inside.mark, air.mark)),
    )
    cause = "air_model_zinc" if name == "zinc" else "air_model_base"
    return causes.lognormal(cause, "site", inside.median, inside.sd_ln)


def note_facing(place: Place, facing: Facing, trace: Trace) -> None:
    """Record how a face lies outdoors, and what the standard and observations say of such faces."""
    source, mark = ("user", Mark.VERIFIED) if facing.given else ("own", Mark.OWN)
    trace.add("how this face lies to rain", "face", "", {}, facing.words, "", source, mark, facing.because)
    if not (cautions := shelter_cautions(place, *facing.kinds)):
        return
    with trace.section("What is published of such faces"):
        for one in cautions:
            trace.add(one.words, "loss", "", {}, _SAID[one.direction], "", one.source, one.mark)
