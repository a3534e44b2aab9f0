"""Mixed metals in sentences: who loses, how much more, how sure, and what insulation must do."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from longhold.base.quantities import show_quantity
from longhold.forecast.summary import Band
from longhold.model.parts import part_name

if TYPE_CHECKING:
    from longhold.assessment.findings import JointFinding
    from longhold.assessment.galvanic import CoupleLoss, MetalExtra
    from longhold.base.quantities import System
    from longhold.metal.couples import Couple

__all__ = ["couple_words", "extra_um_words", "loss_words"]

_LEAST_UM = 0.005


def couple_words(couple: Couple, finding: JointFinding) -> str:
    """Which two parts differ in metal, and which of them loses by it."""
    kinds = _kinds(couple, finding)
    first, second, loses = (kinds[one] for one in (couple.first, couple.second, couple.suffers))
    return f"The {first} and the {second} are different metals; the {loses} loses."


def loss_words(loss: CoupleLoss, finding: JointFinding, system: System) -> str:
    """What a pair of different metals costs: the extra loss with its band, or why there is no figure."""
    kinds = _kinds(loss.couple, finding)
    suffers = kinds[loss.couple.suffers]
    spared = kinds[loss.couple.second if loss.couple.suffers == loss.couple.first else loss.couple.first]
    if loss.isolated:
        return (
            f"The {suffers} and the {spared} are different metals, kept apart by insulation: no extra loss "
            "is counted, as long as sleeves, washers and membrane are all kept whole."
        )
    if loss.reason:
        return f"How much more the {suffers} loses beside the {spared} is not computed: {loss.reason}."
    first = loss.extras[0].metal
    air, wood = (_worst(loss.extras, first, in_wood=in_wood) for in_wood in (False, True))
    told = []
    if air is not None:
        told.append(f"{extra_um_words(air.um_yr, system)} a year in the air")
    if wood is not None:
        told.append(f"{extra_um_words(wood.um_yr, system)} a year in the wood, which is extrapolated")
    near = next((one for one in (air, wood) if one is not None and one.near_only), None)
    where = (
        ""
        if near is None
        else f" within about {show_quantity(near.reach_mm.p50, 'length_mm', system, 2)} of it"
    )
    said = f"Beside the {spared} the {suffers} loses more {first}{where}: {' and '.join(told)}."
    besides = f" Not counted: {loss.left_out}." if loss.left_out else ""
    return said + besides + _area_words(loss, suffers)


def extra_um_words(band: Band, system: System) -> str:
    """An extra loss with its band; with the units of the US in mil first.

    >>> extra_um_words(Band(0.61, 1.24, 2.9), "si")
    '1.2 µm (0.6 to 2.9 µm)'
    >>> extra_um_words(Band(0.0, 0.001, 0.002), "si")
    'under 0.01 µm'
    >>> extra_um_words(Band(0.61, 1.24, 2.9), "us")
    '0.049 mil (0.024 to 0.11 mil; 1.2 µm)'
    """
    if band.p90 < _LEAST_UM:
        return "under 0.01 µm"
    low, middle, high = (_um(one) for one in (band.p10, band.p50, band.p90))
    if system == "us":
        least, most = (show_quantity(one, "film_um", "us", 2) for one in (band.p10, band.p90))
        said = show_quantity(band.p50, "film_um", "us", 2)
        return f"{said} ({least.removesuffix(' mil')} to {most}; {middle} µm)"
    return f"{middle} µm ({low} to {high} µm)"


def _worst(extras: Sequence[MetalExtra], metal: str, *, in_wood: bool) -> MetalExtra | None:
    there = [one for one in extras if one.in_wood == in_wood and one.metal == metal]
    return max(there, key=lambda one: one.um_yr.p50, default=None)


def _area_words(loss: CoupleLoss, suffers: str) -> str:
    if not loss.small_anode:
        return ""
    most = max(one.area_ratio.p50 for one in loss.extras)
    met = f"meets {most:.1f} times its own area of nobler metal"
    return f" A small anode beside a large cathode: the {suffers} {met}."


def _um(value: float) -> str:
    return f"{value:.0f}" if value >= 10 else f"{value:.1f}" if value >= 0.095 else f"{value:.2f}"


def _kinds(couple: Couple, finding: JointFinding) -> dict[str, str]:
    kinds = {part.id: part.kind_words for part in finding.parts}
    if kinds[couple.first] == kinds[couple.second]:
        return {name: part_name(name, kind) for name, kind in kinds.items()}
    return kinds
