"""Many structures as columns: sites and kinds of joint held once, joints as numbers that point to them."""

from __future__ import annotations

import hashlib
import pickle
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import compress
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from longhold.model.site import Site
from longhold.model.structure import Joint, Structure

__all__ = ["OF_STRUCTURE", "Gathered", "Gathering", "NotAssessed", "StructureLine", "kind_of_joint"]

Whole = NDArray[np.int32]
_JOINT = "joint"
OF_STRUCTURE = {"name", "note", "build_date", "site", "joints", "timbers"}


class NotAssessed(NamedTuple):
    """A structure that cannot be used, and why."""

    source: str
    message: str


class StructureLine(NamedTuple):
    """One structure of a portfolio.

    Attributes
    ----------
    name, source : of the structure; where it was read
    site : number of its site
    built_year : year in which it was or will be built; None where not stated
    design_life, target_chance : as described [years], [-]
    """

    name: str
    source: str
    site: int
    built_year: int | None
    design_life: float
    target_chance: float


@dataclass(frozen=True)
class Gathered:
    """A portfolio as the engine takes it.

    Attributes
    ----------
    structures : one line each
    sites : each once, however many structures stand there
    kinds : structures of one joint, each kind of joint once; their site is that of the first such joint
    structure, kind : of every joint, shape (joints,)
    quantity : of every joint
    joint_ids : of every joint, in its structure
    not_assessed : structures that cannot be used
    """

    structures: tuple[StructureLine, ...]
    sites: tuple[Site, ...]
    kinds: tuple[Structure, ...]
    structure: Whole
    kind: Whole
    quantity: NDArray[np.int64]
    joint_ids: tuple[str, ...]
    not_assessed: tuple[NotAssessed, ...] = ()

    @property
    def site(self) -> Whole:
        """Site of every joint, shape (joints,)."""
        of_structure = np.array([line.site for line in self.structures], dtype=np.int32)
        return of_structure[self.structure] if len(of_structure) else of_structure

    @property
    def key(self) -> str:
        """One key for everything that the results depend on."""
        digest = hashlib.sha256(repr(self.structures).encode())
        for record in (*self.sites, *self.kinds):
            digest.update(record.model_dump_json(exclude_unset=True).encode())
        for column in (self.structure, self.kind, self.quantity):
            digest.update(np.ascontiguousarray(column).tobytes())
        digest.update("\0".join(self.joint_ids).encode())
        return digest.hexdigest()

    def without(self, why: Mapping[int, str]) -> tuple[Gathered, Whole, Whole]:
        """The same without some structures, and which of its sites and of its kinds are left.

        Parameters
        ----------
        why : number of each such structure -> what to say of it
        """
        gone = np.zeros(len(self.structures), dtype=bool)
        gone[list(why)] = True
        kept = ~gone[self.structure]
        lines = [line for line, out in zip(self.structures, gone, strict=True) if not out]
        sites, site = np.unique([line.site for line in lines], return_inverse=True)
        kinds, kind = np.unique(self.kind[kept], return_inverse=True)
        told = (NotAssessed(self.structures[place].source, why[place]) for place in sorted(why))
        left = Gathered(
            tuple(line._replace(site=int(at)) for line, at in zip(lines, site.ravel(), strict=True)),
            tuple(self.sites[one] for one in sites.tolist()),
            tuple(self.kinds[one] for one in kinds.tolist()),
            (np.cumsum(~gone) - 1)[self.structure[kept]].astype(np.int32),
            kind.ravel().astype(np.int32),
            self.quantity[kept],
            tuple(compress(self.joint_ids, kept)),
            (*self.not_assessed, *told),
        )
        return left, sites.astype(np.int32), kinds.astype(np.int32)


@dataclass
class Gathering:
    """Takes structures one after the other and gives them as columns."""

    structures: list[StructureLine] = field(default_factory=list)
    not_assessed: list[NotAssessed] = field(default_factory=list)
    _sites: dict[str, int] = field(default_factory=dict)
    _site_of: list[Site] = field(default_factory=list)
    _kinds: dict[str, int] = field(default_factory=dict)
    _kind_of: list[Structure] = field(default_factory=list)
    _joints: list[tuple[int, int, int]] = field(default_factory=list)
    _ids: list[str] = field(default_factory=list)

    def add(self, structure: Structure, source: str) -> None:
        """One structure more."""
        shared = structure.model_dump_json(exclude=OF_STRUCTURE, exclude_unset=True)
        number = len(self.structures)
        self.structures.append(line_of(structure, source, self.site(structure.site)))
        for joint in structure.joints:
            self._joints.append((number, self._kind(structure, joint, shared), joint.quantity))
            self._ids.append(joint.id)

    def refuse(self, source: str, message: str) -> None:
        """One structure that cannot be read."""
        self.not_assessed.append(NotAssessed(source, message))

    def gathered(self) -> Gathered:
        """Everything taken so far."""
        columns = np.array(self._joints, dtype=np.int64).reshape(-1, 3)
        return Gathered(
            tuple(self.structures),
            tuple(self._site_of),
            tuple(self._kind_of),
            columns[:, 0].astype(np.int32),
            columns[:, 1].astype(np.int32),
            columns[:, 2],
            tuple(self._ids),
            tuple(self.not_assessed),
        )

    def site(self, site: Site) -> int:
        """Number of a site; sites of one description are one, whatever their names."""
        key = site.model_dump_json(exclude={"name"}, exclude_unset=True)
        if key not in self._sites:
            self._sites[key] = len(self._site_of)
            self._site_of.append(site)
        return self._sites[key]

    def _kind(self, structure: Structure, joint: Joint, shared: str) -> int:
        alone = kind_of_joint(structure, joint)
        timbers = "".join(
            f"{name}{timber.model_dump_json(exclude_unset=True)}" for name, timber in alone.timbers.items()
        )
        key = f"{shared}{timbers}{alone.joints[0].model_dump_json(exclude_unset=True)}"
        if key not in self._kinds:
            self._kinds[key] = len(self._kind_of)
            self._kind_of.append(pickle.loads(pickle.dumps(alone)))  # noqa: S301  our own, cut off from its structure
        return self._kinds[key]


def line_of(structure: Structure, source: str, site: int) -> StructureLine:
    """What is kept of a structure besides its joints."""
    built = structure.build_date
    return StructureLine(
        structure.name,
        source,
        site,
        None if built is None else built.year,
        structure.design_life,
        structure.target_chance,
    )


def kind_of_joint(structure: Structure, joint: Joint) -> Structure:
    """A structure of this joint alone, without what tells it from its like: name, number, elements."""
    parts = [part.model_copy(update={"elements": []}) if part.elements else part for part in joint.parts]
    alone = joint.model_copy(update={"id": _JOINT, "name": _JOINT, "quantity": 1, "parts": parts})
    names = [joint.main] if joint.side in (None, joint.main) else [joint.main, str(joint.side)]
    return structure.model_copy(
        update={
            "name": _JOINT,
            "note": "",
            "build_date": None,
            "timbers": {name: structure.timbers[name] for name in names},
            "joints": [alone],
        }
    )
