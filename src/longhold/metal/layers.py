"""Layers in sequence on one face: film, then zinc, then the base metal."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.metal.laws import TimeLaw

__all__ = ["FaceLayers"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class FaceLayers:
    """One face with what covers it; every array has shape (draws,).

    The clock of a layer starts when the layer above it is gone on the face. No layer is credited
    with more than its own life (no synergy of film and zinc).

    Attributes
    ----------
    film_years : age at which the organic film no longer keeps water from the zinc [years]; 0 without a film
    zinc_um : zinc on the face [um]; 0 without zinc
    zinc_law : loss of zinc once wetted; its first-year loss refers to zinc
    base_law : loss of the base metal once bare
    """

    film_years: ArrayLike
    zinc_um: ArrayLike
    zinc_law: TimeLaw
    base_law: TimeLaw

    @property
    def protection_years(self) -> Array:
        """Age at which the base metal is first lost [years]: film gone, then zinc gone."""
        return np.asarray(self.film_years, float) + self.zinc_law.years_to(self.zinc_um)

    def zinc_left_um(self, years: ArrayLike) -> Array:
        """Zinc left [um], shape (draws, ages)."""
        zinc = _column(self.zinc_um)
        age = _row(years) - _column(self.film_years)
        return np.maximum(zinc - _by_draw(self.zinc_law).loss_um(age), 0.0)

    def base_loss_um(self, years: ArrayLike) -> Array:
        """Depth of base metal lost [um], shape (draws, ages)."""
        with np.errstate(invalid="ignore"):
            age = np.nan_to_num(_row(years) - _column(self.protection_years), nan=0.0, neginf=-1.0)
        return _by_draw(self.base_law).loss_um(age)


def _column(values: ArrayLike) -> Array:
    return np.atleast_1d(np.asarray(values, float))[:, None]


def _row(values: ArrayLike) -> Array:
    return np.atleast_1d(np.asarray(values, float))[None, :]


def _by_draw(law: TimeLaw) -> TimeLaw:
    return TimeLaw(_column(law.first_year_um), _column(law.exponent), law.straight_after_years)
