"""What a change of the standard hardware would do: the joints that it touches, before and after."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import get_args

import numpy as np

from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.model.parts import Part
from longhold.model.sizes import PartKind
from longhold.model.structure import Structure
from longhold.portfolio.engine import Engine
from longhold.portfolio.gathering import Gathered
from longhold.portfolio.joints import Totals, totals_of
from longhold.portfolio.line import Portfolio, Progress, run_instead
from longhold.portfolio.mapping import weakest_at

__all__ = ["Change", "Changed", "change_of", "changed_by"]

_FAMILIES = {"fasteners": True, "connectors": False}


@dataclass(frozen=True)
class Change:
    """Other hardware for one family.

    Attributes
    ----------
    family : a kind of part, or fasteners or connectors for all of them
    label : what its label is to be
    """

    family: str
    label: str

    def touches(self, part: Part) -> bool:
        """Whether a part is changed."""
        if self.family in _FAMILIES:
            return part.is_fastener == _FAMILIES[self.family]
        return part.kind == self.family

    def made(self, kind: Structure) -> Structure:
        """A kind of joint with the other hardware."""
        joint = kind.joints[0]
        parts = [
            part.model_copy(update={"label": self.label}) if self.touches(part) else part
            for part in joint.parts
        ]
        return kind.model_copy(update={"joints": [joint.model_copy(update={"parts": parts})]})


@dataclass(frozen=True)
class Changed:
    """The joints that a change touches, before and after.

    Attributes
    ----------
    change : which
    joints : how many
    fails, refer, holds : joints before and after
    ends : joints expected to end before the design life, before and after
    renewals : expected within the design life, before and after
    mark : weakest mark that any of it rests on; None where nothing was assessed
    """

    change: Change
    joints: int
    fails: tuple[int, int]
    refer: tuple[int, int]
    holds: tuple[int, int]
    ends: tuple[float, float]
    renewals: tuple[float, float]
    mark: Mark | None


def change_of(text: str) -> Change:
    """A change as it is written: FAMILY=LABEL.

    Raises
    ------
    InputError : it is not, or there is no such family

    >>> change_of("nail=304 stainless")
    Change(family='nail', label='304 stainless')
    """
    family, _, label = (one.strip() for one in text.partition("="))
    known = (*_FAMILIES, *get_args(PartKind))
    if not label or family not in known:
        said = "must be FAMILY=LABEL."
        do = f'Such as "nail=304 stainless". Families are {", ".join(known)}.'
        raise InputError(Problem("--instead", text, said, do))
    return Change(family, label)


def changed_by(
    change: Change, portfolio: Portfolio, out: Path, engine: Engine, progress: Progress | None = None
) -> Changed:
    """What a change does.

    Raises
    ------
    InputError : the label cannot be read, or no joint has such a part
    """
    gathered = portfolio.gathered
    touched = [any(change.touches(part) for part in kind.joints[0].parts) for kind in gathered.kinds]
    here = np.array(touched, dtype=bool)[gathered.kind]
    if not here.any():
        said = "no joint has such a part."
        raise InputError(Problem("--instead", change.family, said, "Choose a family that is there."))
    before = replace(portfolio, gathered=_only(gathered, here))
    kinds = tuple(
        change.made(kind) if out_there else kind
        for kind, out_there in zip(gathered.kinds, touched, strict=True)
    )
    after = run_instead(portfolio, replace(before.gathered, kinds=kinds), out, engine, progress)
    return _held_side_by_side(change, totals_of(before), totals_of(after))


def _only(gathered: Gathered, here: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> Gathered:
    at = np.flatnonzero(here)
    return replace(
        gathered,
        structure=gathered.structure[at],
        kind=gathered.kind[at],
        quantity=gathered.quantity[at],
        joint_ids=tuple(gathered.joint_ids[one] for one in at.tolist()),
    )


def _held_side_by_side(change: Change, before: Totals, after: Totals) -> Changed:
    def whole(name: str) -> tuple[int, int]:
        return int(getattr(before, name).sum()), int(getattr(after, name).sum())

    return Changed(
        change,
        int(before.joints.sum()),
        whole("fails"),
        whole("refer"),
        whole("holds"),
        (float(before.ended.sum()), float(after.ended.sum())),
        (float(before.renewals.sum()), float(after.renewals.sum())),
        weakest_at(np.concatenate([before.mark, after.mark])),
    )
