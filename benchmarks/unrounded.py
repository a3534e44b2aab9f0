"""Some random sites of a portfolio with a joint at each, and how far the rounding of sites takes them off."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

TARGET = 0.9


@dataclass(frozen=True)
class Off:
    """What rounding does to joints.

    Attributes
    ----------
    known : whether the middle life of a joint is known both ways, shape (joints,)
    life : natural logarithm of the middle life with rounded sites over that without, of the known ones
    chance : how far the chance of reaching the design life is off, shape (joints,)
    outcomes : how many come to something else
    """

    known: np.ndarray
    life: np.ndarray
    chance: np.ndarray
    outcomes: int


def picked(gathered, sites: int):
    """Some sites and a joint at each: their numbers."""
    rng = np.random.default_rng(2)
    chosen = rng.choice(len(gathered.sites), min(sites, len(gathered.sites)), replace=False)
    site_of = gathered.site
    return chosen, np.array([rng.choice(np.flatnonzero(site_of == one)) for one in chosen])


def sites_alone(gathered, chosen, joints):
    """These joints, each in a structure of its own at its own site."""
    used, kind = np.unique(gathered.kind[joints], return_inverse=True)
    lines = [gathered.structures[one] for one in gathered.structure[joints].tolist()]
    return replace(
        gathered,
        structures=tuple(line._replace(site=place) for place, line in enumerate(lines)),
        sites=tuple(gathered.sites[one] for one in chosen.tolist()),
        kinds=tuple(gathered.kinds[one] for one in used.tolist()),
        structure=np.arange(len(chosen), dtype=np.int32),
        kind=kind.ravel().astype(np.int32),
        quantity=np.ones(len(chosen), dtype=np.int64),
        joint_ids=tuple(f"J{place}" for place in range(len(chosen))),
    )


def off_by(rounded, exact, chosen, kinds) -> Off:
    """How far joints at rounded sites are off.

    Parameters
    ----------
    rounded : portfolio of which the sites stand for each other
    exact : portfolio of ``sites_alone``, run without rounding
    chosen, kinds : site and kind of each joint, by their numbers in ``rounded``
    """
    from longhold.portfolio.mapping import found_for

    target = np.full(len(chosen), TARGET)
    own = np.arange(len(chosen), dtype=np.int32)
    true = found_for(own, exact.gathered.kind, target, exact.classes, exact.drawn)
    ours = found_for(chosen.astype(np.int32), kinds, target, rounded.classes, rounded.drawn)
    known = np.isfinite(true.life[:, 1]) & np.isfinite(ours.life[:, 1]) & (true.life[:, 1] > 0)
    life = np.log(ours.life[known, 1] / true.life[known, 1])
    return Off(known, life, np.abs(ours.chance - true.chance), int(np.sum(true.outcome != ours.outcome)))
