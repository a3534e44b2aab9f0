"""What the joints of one assessment share, and what answers it keeps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.faces import FaceRun, run_face
from longhold.assessment.facings import rain_from
from longhold.assessment.findings import JointFinding
from longhold.assessment.prepare import Prepared
from longhold.assessment.rule_facts import air_category
from longhold.assessment.strength_run import StrengthRun
from longhold.base.recent import Recent
from longhold.codes.answers import CodeAnswer
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.face import FaceCase
from longhold.model.structure import Joint, Structure

__all__ = ["Setting", "kind_key"]

Array = NDArray[np.float64]
_KEPT_BYTES = 256_000_000
_CURVES_OF_STRENGTH = 4


@dataclass(frozen=True)
class Setting:
    """What the joints of one assessment share.

    Attributes
    ----------
    structure, prepared : as described, and as the middle sees it
    exposure, middle : with all draws, and with the middle values whose calculation is printed
    ages : at which curves are kept [years]
    code_answers : answers of the code already given, by facts
    findings : joints already answered, by all that tells them apart
    own_keys : joint id -> key of the draws that are its own, where a reading tells it from its like
    """

    structure: Structure
    prepared: Prepared
    exposure: SiteExposure
    middle: SiteExposure
    ages: Array
    code_answers: dict[tuple[bool, frozenset[tuple[str, Any]]], CodeAnswer] = field(default_factory=dict)
    findings: dict[str, JointFinding] = field(default_factory=dict)
    own_keys: Mapping[str, str] = field(default_factory=dict)

    @cached_property
    def strength_runs(self) -> Recent[tuple[str, StrengthRun]]:
        """Strength already computed, with the id of the joint that it was computed for."""
        return Recent(_KEPT_BYTES // (_CURVES_OF_STRENGTH * self._bytes_of_curves))

    @cached_property
    def _face_runs(self) -> Recent[FaceRun]:
        return Recent(_KEPT_BYTES // self._bytes_of_curves)

    @property
    def _bytes_of_curves(self) -> int:
        return 8 * self.exposure.causes.count * len(self.ages)

    def face_run(self, case: FaceCase) -> FaceRun:
        """Draws of a face; equal faces, of other joints and under other offers too, are drawn once."""
        return self._face_runs.get(case.identity, lambda: run_face(case, self.exposure, self.ages))

    def own_key(self, joint: Joint) -> str:
        """What a joint's own wetness hangs on: its ``kind_key``, or the joint itself once it is read."""
        return self.own_keys.get(joint.id) or kind_key(joint)

    @cached_property
    def air(self) -> str:
        """Category of the site's air, for rules that ask for it; empty where it is not known."""
        return air_category(self.prepared)


def kind_key(joint: Joint) -> str:
    """Where a joint stands and which timbers meet there: what its own wetness hangs on.

    Joints alike in that share the draw, so that alternatives for one joint are compared on the same draws.
    """
    return f"{joint.place}|{rain_from(joint)}|{joint.main}|{joint.side}"
