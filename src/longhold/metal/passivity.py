"""Stainless: whether its passive film is kept, stains, breaks, or may crack under stress; never a life."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, load_toml
from longhold.metal.stainless import stainless_refer

__all__ = ["Passivity", "PassivityState", "Reason", "StainlessSetting", "passivity"]

PassivityState = Literal["kept", "stained", "lost", "may_crack", "not_decided"]


@dataclass(frozen=True)
class StainlessSetting:
    """Where a stainless part is.

    Attributes
    ----------
    outdoors, pool_hall : in outdoor air; in the air of a pool hall
    chloride_mg_m2_d : yearly mean deposition outdoors [mg/(m2 d)]
    washed : whether rain may rinse it
    structural : whether it bears load
    fastens : whether it is a fastener or has a thread
    cleaning : none, specified or weekly
    hidden_shank : whether a shank of it is hidden in timber that gets wet
    distance_to_salt_m : to salt water [m]; None where not known
    sheltered_shore : whether the nearest salt water is known to have no surf
    contact : what else it lies against; empty for air and timber
    """

    outdoors: bool
    pool_hall: bool
    chloride_mg_m2_d: float
    washed: bool
    structural: bool
    cleaning: str = "none"
    hidden_shank: bool = False
    distance_to_salt_m: float | None = None
    sheltered_shore: bool = False
    contact: str = ""
    fastens: bool = False


@dataclass(frozen=True)
class Reason:
    """Why, in words, with what to do; do is empty for a note."""

    words: str
    do: str
    source: str
    mark: Mark


@dataclass(frozen=True)
class Passivity:
    """What becomes of a passive film.

    Attributes
    ----------
    rule, state : which rule decides, and the state it gives
    reasons : the deciding one first, then the others from the worst state to the best
    notes : what else is to be known: tea staining, crevices
    """

    rule: str
    state: PassivityState
    reasons: tuple[Reason, ...]
    notes: tuple[Reason, ...]

    @property
    def stops(self) -> bool:
        """Whether it is a stop: sudden cracking is not ruled out, so no life may be read from a loss."""
        return self.state == "may_crack"


def passivity(
    grade: str,
    family: str,
    form: str,
    setting: StainlessSetting,
    class_rank: int | None = None,
    class_asked: int | None = None,
) -> Passivity:
    """Whether a stainless grade keeps its passive film in a place; of all rules that speak the worst decides.

    Parameters
    ----------
    grade, family, form : of the alloy: its name, grades that resist alike, what it is in words
    class_rank, class_asked : class of EN 1993-1-4 of the grade, and that which it asks for in the place with
        washing and cleaning as they are, 1 to 5; None where not known

    >>> hall = StainlessSetting(False, True, 0.0, False, True)
    >>> passivity("316", "316 family", "austenitic", hall).rule
    'pool_stop'
    >>> passivity("1.4547", "6 % Mo", "super austenitic, 6 % Mo", hall).state
    'kept'
    """
    met = dict.fromkeys(_rules_met(grade, family, form, setting, class_rank, class_asked))
    found = sorted(met or ("kept",), key=lambda name: _worst_first().index(_rules()[name]["state"]))
    reasons = tuple(_reason(_rules()[name]) for name in found)
    notes = tuple(_reason(_notes()[name]) for name in _notes_met(form, setting))
    return Passivity(found[0], _rules()[found[0]]["state"], reasons, notes)


def _rules_met(
    grade: str, family: str, form: str, at: StainlessSetting, rank: int | None, asked: int | None
) -> Iterator[str]:
    """Every rule that speaks; of two of one state the first decides."""
    if at.pool_hall:
        yield _in_pool_hall(grade, at)
    if not family:
        yield "unknown"
    if _may_crack(family, rank, asked, at):
        yield "crack_sheltered"
    wet = at.outdoors or at.hidden_shank or at.pool_hall
    if wet and "free-machining" in form:
        yield "free_machining"
    if wet and "martensitic" in form:
        yield "martensitic"
    if wet and family == "430 family":
        yield "ferritic"
    if at.outdoors and stainless_refer(family, at.chloride_mg_m2_d, at.washed):
        yield "pitting"
    if at.contact in ("fertiliser", "pool_chemicals", "soil", "deicing_salt"):
        yield "chemicals"
    if rank is not None and asked is not None and rank < asked and at.outdoors:
        yield "class_short"


def _in_pool_hall(grade: str, at: StainlessSetting) -> str:
    if not at.structural:
        return "pool_unloaded"
    if grade in _bounds()["pool"]["grades"]:
        return "pool_allowed"
    if at.cleaning != "weekly":
        return "pool_stop"
    return "pool_fastener" if at.fastens else "pool_weekly"


def _may_crack(family: str, rank: int | None, asked: int | None, at: StainlessSetting) -> bool:
    """Whether a plain grade bears load where much salt settles and nothing that counts takes it away.

    A grade that is not told may be a plain one.
    """
    if not at.outdoors or at.washed or not at.structural or _cleaning_counts(rank, asked, at):
        return False
    bound = _bounds()["cracking"]
    plain = (not family or family in bound["families"]) and (rank is None or rank < bound["class_from"])
    return plain and bool(stainless_refer(family, at.chloride_mg_m2_d, washed=False))


def _cleaning_counts(rank: int | None, asked: int | None, at: StainlessSetting) -> bool:
    """Whether the grade is of the class that EN 1993-1-4 asks for where its cleaning is counted (F3).

    The standard credits cleaning with a factor and with no more: near the sea a plain grade falls short of
    the class asked for, cleaned or not. Where a class is not known nothing is credited.
    """
    return at.cleaning != "none" and rank is not None and asked is not None and rank >= asked


def _notes_met(form: str, at: StainlessSetting) -> Iterator[str]:
    distance = at.distance_to_salt_m
    if at.outdoors and distance is not None:
        surf = _bounds()["tea_staining"]
        if at.sheltered_shore and distance <= _bounds()["tea_staining_sheltered"]["near_m"]:
            yield "tea_sheltered"
        elif not at.sheltered_shore and distance <= surf["far_m"]:
            yield "tea_near" if distance <= surf["near_m"] else "tea_far"
    if at.hidden_shank:
        yield "crevice"
    if "martensitic" in form and at.structural:
        yield "hydrogen"


def _reason(row: Row) -> Reason:
    return Reason(row["words"], row.get("do", ""), row["source"], row["mark"])


@once
def _rules() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {"rule": str, "state": str, "words": str, "do": str}
    return {row["rule"]: row for row in load_csv("metal/passivity.csv", columns, key=("rule",))}


@once
def _notes() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {"note": str, "words": str}
    return {row["note"]: row for row in load_csv("metal/passivity_notes.csv", columns, key=("note",))}


def _worst_first() -> list[str]:
    states: list[str] = _bounds()["severity"]["worst_first"]
    return states


@once
def _bounds() -> Any:
    return load_toml("metal/passivity_bounds.toml")
