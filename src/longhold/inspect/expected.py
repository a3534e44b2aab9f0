"""What the forecast expects each reading to be, draw by draw."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.faces import FaceRun
from longhold.assessment.parts import faces_of_parts
from longhold.assessment.shared import Setting
from longhold.assessment.site import site_exposure
from longhold.forecast.causes import Causes
from longhold.forecast.exposure import AirLaw
from longhold.inspect.observed import Observed, OnPart
from longhold.inspect.spreads import spread

__all__ = ["Forward"]

Array = NDArray[np.float64]
_UM_PER_MM = 1000.0
_LEAST_SHARE = 1e-9


@dataclass(frozen=True)
class Forward:
    """From draws of the causes to what each reading is expected to be.

    Attributes
    ----------
    setting : of the structure before its readings
    observed : the readings
    air_law : as in ``assess``
    """

    setting: Setting
    observed: Sequence[Observed]
    air_law: AirLaw

    def expected(self, causes: Causes) -> list[Array | None]:
        """What each reading is expected to be, in its unit, shape (draws,); None where it is not computed.

        Zinc and metal lost are means over the face, a size is that of the whole part, rust is the share of
        the face on which metal is being lost, chloride is the mean over the years.
        """
        prepared, runs = self.setting.prepared, self.setting.exposure.wood_runs
        setting = replace(self.setting, exposure=site_exposure(prepared.site, causes, self.air_law, runs))
        drawn: dict[str, Mapping[str, tuple[FaceRun, ...]]] = {}
        found: list[Array | None] = []
        for one in self.observed:
            if not isinstance(one, OnPart):
                load = setting.exposure.air_load.chloride_mg_m2_d
                found.append(causes.lognormal("chloride", "site", load.median, load.sd_ln))
                continue
            if one.own_key not in drawn:
                drawn[one.own_key] = self._faces(one, setting)
            faces = drawn[one.own_key][one.part.id]
            found.append(_expected(one, faces) if faces else None)
        return found

    def computed(self, causes: Causes) -> list[Array]:
        """The same of readings that are all computed.

        Raises
        ------
        ValueError : where one is not
        """
        found = [one for one in self.expected(causes) if one is not None]
        if len(found) != len(self.observed):
            raise ValueError("a reading is of a part that is not computed")
        return found

    def _faces(self, one: OnPart, setting: Setting) -> Mapping[str, tuple[FaceRun, ...]]:
        """The faces that are read on one piece, at the ages of its readings."""
        on_parts = (other for other in self.observed if isinstance(other, OnPart))
        alike = [other for other in on_parts if other.own_key == one.own_key]
        here = replace(
            setting,
            ages=np.array(sorted({other.age for other in alike})),
            own_keys={one.joint.id: one.own_key},
        )
        read: dict[str, set[str] | None] = {other.part.id: set() for other in alike}
        for other in alike:
            names = read[other.part.id]
            read[other.part.id] = None if names is None or other.face is None else {*names, other.face.face}
        return faces_of_parts(one.joint, here, read)


def _expected(one: OnPart, faces: Sequence[FaceRun]) -> Array:
    reading, measures, age = one.reading, one.part.measures, np.array([one.age])
    asked = [run for run in faces if one.face is None or run.case.face.face == one.face.face]
    layers = asked[0].layers
    if reading.measured == "zinc":
        return layers.zinc_left_um(age)[:, 0]
    if reading.measured == "rust":
        share = layers.rusted_share(age, spread("life_on_face"))[:, 0]
        return np.asarray(np.clip(share, _LEAST_SHARE, 1.0))
    if reading.measured == "thickness_left":
        both_um = sum((run.layers.base_loss_um(age)[:, 0] for run in asked), np.zeros(1))
        return np.asarray((reading.size_new or measures.thickness_mm or 0.0) - both_um / _UM_PER_MM)
    lost_um = layers.base_loss_um(age)[:, 0]
    if reading.measured == "diameter_left":
        return np.asarray((reading.size_new or measures.diameter_mm or 0.0) - 2.0 * lost_um / _UM_PER_MM)
    return lost_um
