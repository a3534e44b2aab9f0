"""What stands near a site and is not stated: how far it moves first-year loss where nothing was measured."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

from longhold.air.metals import Metal, checked_metal
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Row, load_csv, load_toml, number
from longhold.base.trace import Trace, note

__all__ = ["NOTHING_UNTOLD", "Untold", "untold", "untold_sd_ln"]


@dataclass(frozen=True)
class Untold:
    """How much of a site's surroundings nobody has stated, in parts of the variance.

    Attributes
    ----------
    salt_share : acts through salt; 0 where chloride is measured
    sulphur_share : acts through sulphur dioxide; 0 where it is measured, half where the setting is stated
    """

    salt_share: float
    sulphur_share: float

    @property
    def share(self) -> float:
        """Both together: 1 where only the position is known, 0 where both are measured."""
        return self.salt_share + self.sulphur_share


NOTHING_UNTOLD = Untold(0.0, 0.0)


def untold(
    *, chloride_measured: bool, sulphur_measured: bool, setting_told: bool, trace: Trace | None = None
) -> Untold:
    """What is left unstated of a site.

    A quarter of the variance acts through salt and three quarters through sulphur dioxide: at sites with
    sulphur measured the band needs next to nothing more. See docs/decisions/untold-surroundings.md.

    Parameters
    ----------
    chloride_measured, sulphur_measured : whether each was measured at the site
    setting_told : whether rural, urban or industrial was stated
    trace : records the step

    Source position-loss-sites, mark own.

    >>> untold(chloride_measured=False, sulphur_measured=False, setting_told=False).share
    1.0
    >>> untold(chloride_measured=True, sulphur_measured=True, setting_told=True).share
    0.0
    """
    parts = load_toml("air/own/untold.toml")["parts"]
    salt = 0.0 if chloride_measured else parts["salt_share"]
    left = parts["left_by_told_setting_share"] if setting_told else 1.0
    sulphur = 0.0 if sulphur_measured else parts["sulphur_share"] * left
    found = Untold(salt, sulphur)
    if found.share:
        spreads = ", ".join(
            f"{metal.replace('_', ' ')} {untold_sd_ln(metal, found.share):.2g}" for metal in _spreads()
        )
        note(
            trace,
            "what stands near and is not stated",
            "q",
            "q = q_Cl + q_Pd",
            {"q_Cl": f"{salt:.3g}", "q_Pd": f"{sulphur:.3g}"},
            found.share,
            "",
            parts["source"],
            Mark(parts["mark"]),
            f"further standard deviation of ln of first-year loss: {spreads}",
        )
    return found


def untold_sd_ln(metal: str, share: float) -> float:
    """Further standard deviation of ln(first-year loss) for what is not stated of the surroundings.

    s = sqrt(q) s0, with s0 = 0.71 for carbon steel, 0.25 for zinc and none for copper and aluminium: what
    sites judged by their position alone need on top of the bands of law and inputs.

    Parameters
    ----------
    metal : carbon_steel, zinc, copper or aluminium
    share : q, of the variance, 0 to 1

    Source position-loss-sites, mark own.

    >>> untold_sd_ln("carbon_steel", 1.0), untold_sd_ln("carbon_steel", 0.0)
    (0.71, 0.0)
    """
    return float(_spreads()[checked_metal(metal)]["sd_ln"]) * sqrt(share)


@once
def _spreads() -> Mapping[Metal, Row]:
    rows = load_csv("air/own/untold.csv", {"metal": checked_metal, "sd_ln": number}, key=("metal",))
    return {row["metal"]: row for row in rows}
