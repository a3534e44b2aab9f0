"""A load read in a report of a part, brought into the format in which the demand is stated."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from longhold.assessment.load_durations import duration_by
from longhold.assessment.rule_facts import service_class
from longhold.assessment.strength_standard import strength_standard
from longhold.base.tables import load_toml
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.strength.ec5_factors import gamma_row, kmod_row

if TYPE_CHECKING:
    from longhold.assessment.shared import Setting

__all__ = ["Rated", "rated_of"]


class Rated(NamedTuple):
    """How a rated load counts.

    Attributes
    ----------
    factor : on it, for what is held against the demand; None where the two formats do not go together
    because : why, for people
    """

    factor: float | None
    because: str


def rated_of(joint: Joint, part: Part, setting: Setting) -> Rated:
    """How the rated load of a part counts against the demand of its joint by the structure's standard.

    By EN 1995 the demand is a design load: a characteristic load is multiplied by kmod / gammaM, and one
    whose kind is not stated is taken as characteristic, of the two the safer. By the NDS the demand is an
    allowable-stress load, and only an allowable load can be held against it: none is turned into another.
    """
    european, kind = strength_standard(setting.structure) == "en1995", part.rated_as
    if not european:
        return _allowable(joint, kind)
    if kind == "allowable":
        said = (
            "EN 1995 holds design loads against design resistances: state a characteristic one of its report"
        )
        return Rated(None, f"an allowable load is no resistance there: {said}")
    if kind == "design":
        return Rated(1.0, "a design resistance, taken as one for this load duration and service class")
    return _characteristic(joint, stated=kind is not None)


def _allowable(joint: Joint, kind: str | None) -> Rated:
    if kind in ("characteristic", "design"):
        said = "state an allowable one of its report, or the standard that it is for"
        return Rated(None, f"a {kind} load is no allowable one, as the demand by the NDS is: {said}")
    duration = "" if joint.load_duration is None else f", {joint.load_duration.replace('_', ' ')}"
    taken = "an" if kind else "what kind of load it is is not stated: taken as an"
    return Rated(
        1.0,
        f"{taken} allowable load for this joint's load duration{duration}, and for wood as wet as here: "
        "reports tell one for each, and it is not turned into another",
    )


def _characteristic(joint: Joint, *, stated: bool) -> Rated:
    known = service_class(joint.place)
    if known is None:
        return Rated(None, "its place has no service class in EN 1995, so no kmod is known")
    taken: Any = load_toml("assessment/ec5.toml")["duration"]
    duration = taken["value"] if joint.load_duration is None else duration_by(joint.load_duration, "en1995")
    kmod, gamma = kmod_row(known, duration)["kmod"], gamma_row("connection")["gamma"]
    kind = "characteristic" if stated else "what kind of load it is is not stated: taken as characteristic"
    words = f"service class {known}, {duration.replace('_', ' ')}"
    return Rated(kmod / gamma, f"{kind}, times kmod {kmod:g} ({words}) over gammaM {gamma:g}")
