"""The line of a portfolio: sites, classes, draws, and every joint mapped to its draws."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TypeVar

import numpy as np

from longhold.assessment.facings import rain_from
from longhold.assessment.prepare import Prepared, prepare
from longhold.base.errors import InputError, Problem
from longhold.base.version import VERSION
from longhold.forecast.faces import faces_of
from longhold.forecast.wood_rate import WoodContact, kind_of
from longhold.forecast.wood_runs import TimberKind
from longhold.model.structure import Joint, Structure
from longhold.model.surroundings import places
from longhold.portfolio.classes import Limits, SiteClasses, classify, own_classes
from longhold.portfolio.drawing import ClassWork, Combination, Terms, draw_class
from longhold.portfolio.engine import Engine
from longhold.portfolio.gathering import Gathered
from longhold.portfolio.keeping import Folder
from longhold.portfolio.mapping import Drawn, drawn_of
from longhold.portfolio.sites import SiteFacts, locate_sites
from longhold.portfolio.works import works

__all__ = ["Portfolio", "Progress", "run_instead", "run_portfolio"]

Progress = Callable[[str, int, int], None]
Item = TypeVar("Item")
Answer = TypeVar("Answer")
_SITES_AT_ONCE = 50
_KINDS_AT_ONCE = 20
_LEAST_BATCHES = 8


@dataclass(frozen=True)
class Portfolio:
    """A portfolio with everything drawn that its joints need.

    Attributes
    ----------
    gathered : what was handed in, without what cannot be used
    classes : which sites stand for which
    drawn : every combination
    terms : of the draws
    limits : for which sites were rounded; None where none was
    """

    gathered: Gathered
    classes: SiteClasses
    drawn: Drawn
    terms: Terms
    limits: Limits | None


def run_portfolio(
    gathered: Gathered,
    out: Path,
    engine: Engine,
    terms: Terms,
    limits: Limits | None,
    progress: Progress | None = None,
) -> tuple[Portfolio, Folder]:
    """Draw everything that the joints of a portfolio need, going on where an earlier run stopped.

    Parameters
    ----------
    gathered : the portfolio
    out : folder of the results
    engine : where the work is done
    terms : of the draws
    limits : how much is computed at most, for which sites are rounded; None lets every site stand for itself
    progress : called with what is done, how much of it, and how much in all

    Raises
    ------
    InputError : the folder holds something else
    """
    folder, tell = _folder(out, gathered, terms, limits), progress or _silent
    usable, facts, timbers = _usable(gathered, engine, tell)
    if not usable.structures:
        raise InputError(*(Problem(one.source, None, one.message) for one in usable.not_assessed))
    classes = (
        own_classes(len(usable.sites))
        if limits is None
        else classify(facts, len(usable.kinds), len(frozenset().union(*timbers)), limits)
    )
    combinations = _all_drawn(list(works(usable, classes, timbers)), folder, engine, terms, tell)
    drawn = drawn_of(combinations, len(classes.rungs), len(usable.kinds))
    return Portfolio(usable, classes, drawn, terms, limits), folder


def run_instead(
    portfolio: Portfolio,
    changed: Gathered,
    out: Path,
    engine: Engine,
    progress: Progress | None = None,
) -> Portfolio:
    """Draw the joints of a portfolio with other hardware, at the same sites and in the same draws.

    Parameters
    ----------
    portfolio : as it is
    changed : some of its joints with other kinds, at all of its sites
    out : folder of what is drawn

    Raises
    ------
    InputError : the other hardware cannot be read
    """
    kinds = [kind.at(portfolio.gathered.sites[0]) for kind in changed.kinds]
    looked_at = _looked_at(kinds)
    if faults := list(dict.fromkeys(fault for fault, _ in looked_at if fault)):
        raise InputError(*(Problem("--instead", None, fault) for fault in faults))
    folder = _folder(out, changed, portfolio.terms, portfolio.limits)
    timbers = [simulated for _, simulated in looked_at]
    asked = list(works(changed, portfolio.classes, timbers))
    combinations = _all_drawn(asked, folder, engine, portfolio.terms, progress or _silent)
    drawn = drawn_of(combinations, len(portfolio.classes.rungs), len(changed.kinds))
    return replace(portfolio, gathered=changed, drawn=drawn)


def _folder(out: Path, gathered: Gathered, terms: Terms, limits: Limits | None) -> Folder:
    about = {
        "portfolio": gathered.key,
        "draws": terms.draws,
        "seed": terms.seed,
        "version": VERSION,
        "limits": None if limits is None else [limits.exposures, limits.combinations],
    }
    return Folder(out, about)


def _silent(*_: object) -> None:
    """Progress that nobody watches."""


def _usable(
    gathered: Gathered, engine: Engine, tell: Progress
) -> tuple[Gathered, list[SiteFacts], list[frozenset[TimberKind]]]:
    """The portfolio without what cannot be used, the facts of its sites, and the timbers of its kinds."""
    facts: dict[int, SiteFacts | str] = {}
    for at, found in _in_batches(locate_sites, gathered.sites, _SITES_AT_ONCE, "sites", engine, tell):
        facts |= dict(enumerate(found, at))
    good = next((site for at, site in enumerate(gathered.sites) if not isinstance(facts[at], str)), None)
    faults: dict[int, str] = {}
    timbers: dict[int, frozenset[TimberKind]] = {}
    if good is not None:
        asked = [kind.at(good) for kind in gathered.kinds]
        for at, told in _in_batches(_looked_at, asked, _KINDS_AT_ONCE, "kinds of joint", engine, tell):
            faults |= {place: fault for place, (fault, _) in enumerate(told, at) if fault}
            timbers |= {place: simulated for place, (_, simulated) in enumerate(told, at)}
    why: dict[int, str] = {}
    for place, line in enumerate(gathered.structures):
        if isinstance(fact := facts[line.site], str):
            why[place] = fact
    bad = np.flatnonzero(np.isin(gathered.kind, list(faults)))
    for joint in bad.tolist():
        said = f"joint {gathered.joint_ids[joint]}: {faults[int(gathered.kind[joint])]}"
        why.setdefault(int(gathered.structure[joint]), said)
    usable, sites, kinds = gathered.without(why)
    kept = [one for at in sites.tolist() if not isinstance(one := facts[at], str)]
    return usable, kept, [timbers[kind] for kind in kinds.tolist()]


def _in_batches(
    do: Callable[[Sequence[Item]], list[Answer]],
    items: Sequence[Item],
    size: int,
    words: str,
    engine: Engine,
    tell: Progress,
) -> Iterator[tuple[int, list[Answer]]]:
    # smaller batches where there are few, so that no worker waits for the only one
    starts = range(0, len(items), size := max(min(size, len(items) // _LEAST_BATCHES), 1))
    done = 0
    for place, found in engine.each(do, [items[start : start + size] for start in starts]):
        done += len(found)
        tell(words, done, len(items))
        yield starts[place], found


def _looked_at(kinds: Sequence[Structure]) -> list[tuple[str, frozenset[TimberKind]]]:
    """What is wrong with each kind of joint, empty where nothing is, and the timbers simulated for it."""
    found: list[tuple[str, frozenset[TimberKind]]] = []
    for kind in kinds:
        try:
            prepared = prepare(kind)
        except InputError as error:
            found.append(("; ".join(map(_said, error.problems)), frozenset()))
        else:
            found.append(("", frozenset(_simulated(kind.joints[0], prepared))))
    return found


def _simulated(joint: Joint, prepared: Prepared) -> Iterator[TimberKind]:
    place = places()[joint.place]
    if not place.computed:
        return
    traps = {True} | {face.trapped for part in joint.parts for face in faces_of(part.kind)}
    for timber in prepared.timbers_met(joint):
        for trapped in traps:
            kind = kind_of(WoodContact(place, timber, trapped, rain_from(joint), "shank"))
            if kind is not None:
                yield kind


def _said(problem: Problem) -> str:
    """A problem of a joint taken alone, whose place in its structure is told beside it."""
    return str(replace(problem, where=problem.where.replace("joints[0].", "").split(" (joint")[0]))


def _all_drawn(
    asked: Sequence[ClassWork], folder: Folder, engine: Engine, terms: Terms, tell: Progress
) -> list[Combination]:
    found: list[Combination] = []
    left: list[ClassWork] = []
    for work in asked:
        kept = folder.kept_class(work.name)
        if kept is None:
            left.append(work)
        else:
            found += kept
    left.sort(key=lambda work: -work.size)
    total, done = len(found) + sum(work.pairs for work in left), len(found)
    tell("combinations", done, total)
    for place, drawn in engine.each(partial(draw_class, terms=terms), left):
        folder.keep_class(left[place].name, drawn)
        found += drawn
        done += left[place].pairs
        tell("combinations", done, total)
    return found
