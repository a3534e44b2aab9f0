"""Layers in sequence on one face: film, then zinc, then the base metal; spots where a layer is missing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr

from longhold.metal.laws import TimeLaw

__all__ = ["FaceLayers", "Spot"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Spot:
    """A share of a face whose layers end sooner; every array has shape (draws,) or is a number.

    Attributes
    ----------
    area_share : of the face [-], 0 to 1; the shares of one face add up to at most 1
    film_years : age at which the film there no longer keeps water out [years]
    zinc_um : zinc there [um]
    scattered : whether it is many small holes all over the face, none of which spans a section
    """

    area_share: ArrayLike
    film_years: ArrayLike
    zinc_um: ArrayLike
    scattered: bool = False


@dataclass(frozen=True)
class FaceLayers:
    """One face with what covers it; every array has shape (draws,).

    The clock of a layer starts when the layer above it is gone there. Unless a factor is given, no layer is
    credited with more than its own life.

    Attributes
    ----------
    film_years : age at which the organic film no longer keeps water from the zinc [years]; 0 without a film
    zinc_um : zinc on the face [um]; 0 without zinc
    zinc_law : loss of zinc once wetted; its first-year loss refers to zinc
    base_law : loss of the base metal once bare
    spots : parts of the face where layers end sooner
    duplex_factor : life of film and zinc together over the sum of both [-], 1 or more; spots have none of it

    Losses are means over the face unless the worst spot is asked for; protection ends where it ends first.
    """

    film_years: ArrayLike
    zinc_um: ArrayLike
    zinc_law: TimeLaw
    base_law: TimeLaw
    spots: tuple[Spot, ...] = ()
    duplex_factor: ArrayLike = 1.0

    @property
    def sound_years(self) -> Array:
        """Age at which base metal is first lost where no layer is missing: k (film + zinc) [years]."""
        together = np.asarray(self.film_years, float) + self.zinc_law.years_to(self.zinc_um)
        return np.asarray(np.asarray(self.duplex_factor, float) * together)

    @property
    def whole_face_years(self) -> Array:
        """Age at which base metal shows on the whole face, not only in spots [years]."""
        ends = self.sound_years
        for spot in self.spots:
            ends = np.where(
                np.asarray(spot.area_share, float) >= 1.0, np.minimum(ends, self._ends(spot)), ends
            )
        return np.asarray(ends)

    @property
    def protection_years(self) -> Array:
        """Age at which the base metal is first lost anywhere on the face [years]."""
        ends = self.sound_years
        for spot in self.spots:
            met = np.asarray(spot.area_share, float) > 0.0
            ends = np.where(met, np.minimum(ends, self._ends(spot)), ends)
        return np.asarray(ends)

    def zinc_left_um(self, years: ArrayLike) -> Array:
        """Zinc left, mean over the face [um], shape (draws, ages)."""
        total: Array | float = 0.0
        for share, film, zinc, k in self._areas():
            age = _row(years) / _column(k) - _column(film)
            total = total + share * np.maximum(_column(zinc) - _by_draw(self.zinc_law).loss_um(age), 0.0)
        return np.asarray(total)

    def base_loss_um(self, years: ArrayLike) -> Array:
        """Depth of base metal lost, mean over the face [um], shape (draws, ages)."""
        total: Array | float = 0.0
        for share, film, zinc, k in self._areas():
            total = total + share * self._lost_um(years, film, zinc, k)
        return np.asarray(total)

    def worst_loss_um(self, years: ArrayLike) -> Array:
        """Depth of base metal lost, mean along a section through where most is lost [um], (draws, ages).

        What bends, or tears across a section, gives at its thinnest place and not at its mean. A spot that is
        told lies all across that section. Holes scattered over a face take of a line across it the share that
        they take of the face (Delesse and Rosiwal: line fraction equals area fraction).
        """
        worst: Array = np.zeros((1, 1))
        scattered_um: Array | float = 0.0
        scattered_share: Array | float = 0.0
        for spot, (share, film, zinc, k) in zip((*self.spots, None), self._areas(), strict=True):
            here = np.where(share > 0.0, self._lost_um(years, film, zinc, k), 0.0)
            if spot is None or spot.scattered:
                scattered_um = scattered_um + share * here
                scattered_share = scattered_share + share
            else:
                worst = np.maximum(worst, here)
        return np.maximum(worst, scattered_um / np.maximum(scattered_share, 1e-12))

    def rusted_share(self, years: ArrayLike, spread_ln: float) -> Array:
        """Share of the face on which base metal is being lost [-], shape (draws, ages).

        Parameters
        ----------
        years : ages [years], above 0
        spread_ln : standard deviation of the logarithm of the age at which it begins, from spot to spot
        """
        total: Array | float = 0.0
        for share, film, zinc, k in self._areas():
            ends = _column(np.asarray(k, float) * (np.asarray(film, float) + self.zinc_law.years_to(zinc)))
            with np.errstate(divide="ignore"):
                total = total + share * ndtr((np.log(_row(years)) - np.log(ends)) / spread_ln)
        return np.asarray(total)

    def _lost_um(self, years: ArrayLike, film: ArrayLike, zinc: ArrayLike, k: ArrayLike) -> Array:
        ends = np.asarray(k, float) * (np.asarray(film, float) + self.zinc_law.years_to(zinc))
        with np.errstate(invalid="ignore"):
            age = np.nan_to_num(_row(years) - _column(ends), nan=0.0, neginf=-1.0)
        return np.asarray(_by_draw(self.base_law).loss_um(age))

    def _ends(self, spot: Spot) -> Array:
        return np.asarray(spot.film_years, float) + self.zinc_law.years_to(spot.zinc_um)

    def _areas(self) -> Iterator[tuple[Array, ArrayLike, ArrayLike, ArrayLike]]:
        """Share as a column, film, zinc and factor of every area: the spots, then the sound rest."""
        rest: Array | float = 1.0
        for spot in self.spots:
            share = _column(spot.area_share)
            rest = rest - share
            yield share, spot.film_years, spot.zinc_um, 1.0
        yield np.maximum(_column(rest) if np.ndim(rest) == 0 else np.asarray(rest), 0.0), *self._sound()

    def _sound(self) -> tuple[ArrayLike, ArrayLike, ArrayLike]:
        return self.film_years, self.zinc_um, self.duplex_factor


def _column(values: ArrayLike) -> Array:
    return np.atleast_1d(np.asarray(values, float))[:, None]


def _row(values: ArrayLike) -> Array:
    return np.atleast_1d(np.asarray(values, float))[None, :]


def _by_draw(law: TimeLaw) -> TimeLaw:
    return TimeLaw(_column(law.first_year_um), _column(law.exponent), law.straight_after_years)
