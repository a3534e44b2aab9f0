"""The shift between printed equations and measured sites: its form, apart from any figures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from longhold.air.dose_response import first_year_loss_um
from longhold.air.metals import Array, Metal, known

__all__ = ["Discrepancy", "InputRange", "MetalShift", "Shifted"]


@dataclass(frozen=True)
class InputRange:
    """What the measured sites cover of one input, and how far beyond the shift fades to none.

    Attributes
    ----------
    name : argument of ``first_year_loss_um``
    least, most : of the sites
    fade_below_ratio, fade_above_ratio : a step in the unit of the input, or a factor on it
    scale : step or factor
    """

    name: str
    least: float
    most: float
    fade_below_ratio: float
    fade_above_ratio: float
    scale: Literal["step", "factor"]

    def held(self, values: Array) -> Array:
        """Values held within the sites' range."""
        return np.asarray(np.clip(values, self.least, self.most))

    def out(self, values: Array) -> Array:
        """0 within the range, 1 where the shift has faded to none, more beyond."""
        steps = np.array([self.fade_below_ratio, self.fade_above_ratio])
        scaled = [self._scaled(x) for x in (values, self.least, self.most)]
        if self.scale == "factor":
            steps = np.log(steps)
        below, over = (scaled[1] - scaled[0]) / steps[0], (scaled[0] - scaled[2]) / steps[1]
        return np.asarray(np.maximum(np.maximum(below, over), 0.0))

    def _scaled(self, values: ArrayLike) -> Array:
        array = np.asarray(values, dtype=float)
        if self.scale == "step":
            return array
        return np.asarray(np.log(np.maximum(array, np.finfo(float).tiny)))


@dataclass(frozen=True)
class MetalShift:
    """Figures of one metal.

    Attributes
    ----------
    level_ln : shift of ln(loss) where the printed loss is ``pivot_um``
    pivot_um : [um]
    least_printed_um, most_printed_um : printed losses of the sites [um]
    """

    level_ln: float
    pivot_um: float
    least_printed_um: float
    most_printed_um: float


@dataclass(frozen=True)
class Shifted:
    """A printed loss and where the shift takes it.

    Attributes
    ----------
    printed_um : at the inputs as given [um]
    median_um : moved [um]
    weight_share : of the shift, 1 within the data, 0 far out
    out_share : share of the cases beyond the data, by input, or ``loss``
    """

    printed_um: Array
    median_um: Array
    weight_share: Array
    out_share: Mapping[str, float]


@dataclass(frozen=True)
class Discrepancy:
    """ln(measured / printed) = w (a + s ln(r' / r0)), r' the printed loss at inputs held within the data.

    Attributes
    ----------
    slope_ratio : s, one for all metals
    metals : a, r0 and range of each
    ranges : of the four inputs, in the order of ``first_year_loss_um``
    loss_ratio : factor on the printed loss beyond the sites' within which the shift fades
    least_chloride_mg_m2_d : the least chloride that the law is asked with [mg/(m2 d)]
    """

    slope_ratio: float
    metals: Mapping[Metal, MetalShift]
    ranges: Sequence[InputRange]
    loss_ratio: float
    least_chloride_mg_m2_d: float

    def shifted(self, metal: Metal, inputs: Sequence[ArrayLike]) -> Shifted:
        """The printed loss at the inputs, moved.

        Parameters
        ----------
        metal : one of ``metals``
        inputs : the four inputs of ``first_year_loss_um``
        """
        of = self.metals[metal]
        t, rh, pd, sd = (known(limits.name, x) for limits, x in zip(self.ranges, inputs, strict=True))
        printed = first_year_loss_um(metal, t, rh, pd, sd)
        values = (t, rh, pd, np.maximum(sd, self.least_chloride_mg_m2_d))
        salted = first_year_loss_um(metal, *values[:3], values[3])
        held = [limits.held(x) for limits, x in zip(self.ranges, values, strict=True)]
        anchor = first_year_loss_um(metal, held[0], held[1], held[2], held[3])
        shift = of.level_ln + self.slope_ratio * np.log(anchor / of.pivot_um)
        weight, out_share = self._weight(of, values, salted)
        median = np.asarray(salted * np.exp(weight * shift))
        return Shifted(printed, median, weight, out_share)

    def _weight(
        self, of: MetalShift, values: Sequence[Array], loss_um: Array
    ) -> tuple[Array, dict[str, float]]:
        """1 within the data; the input that is farthest out decides."""
        fade = self.loss_ratio
        losses = InputRange("loss", of.least_printed_um, of.most_printed_um, fade, fade, "factor")
        weight, out_share = np.ones(loss_um.shape), {}
        for limits, x in zip((*self.ranges, losses), (*values, loss_um), strict=True):
            out = limits.out(x)
            weight = np.minimum(weight, 1.0 - out)
            if (out > 0).any():
                out_share[limits.name] = float(np.mean(out > 0))
        return np.maximum(weight, 0.0), out_share
