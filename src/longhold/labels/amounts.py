"""Amounts of a coat as people write them: in inches like a size, or on both faces and on one at once."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from longhold.labels.catalogue import coats_of
from longhold.labels.claims import Claim
from longhold.labels.conversions import convert
from longhold.labels.grammar import read_number
from longhold.labels.limits import limit

__all__ = ["as_typed", "at_odds", "by_face", "coat_not_size", "grams_alone", "in_one_basis"]

_COATED = frozenset(
    {"standard", "sheet_class", "per_side", "iron_zinc", "service_condition", "zinc_number", "flake"}
    | {"process", "after", "hdg_mass", "film"}
)
_BARE_METAL = frozenset({"alloy", "stainless_word", "metal"})
_BOUND = re.compile(r"(?P<sense>\D*?) ?(?P<value>(?:\d+[.,/ -])*\.?\d+) ?(?P<unit>[a-z]+)\.?")
_MOST = re.compile(r"under|below|less|up to|thinner|<")


def coat_not_size(claims: Sequence[Claim]) -> list[Claim]:
    """The claims, with lengths that are the thickness of a coat made so: 0.0017 in beside zinc is 43 um.

    A length is a coat's where something speaks of a coat and either no part is so thin (``coats_to_mm`` of
    ``limits.toml``) or "per face" stands straight after it.
    """
    if not _speaks_of_coat(claims):
        return list(claims)
    after: list[Claim | None] = [*claims[1:], None]
    return [_as_coat(claim, following) for claim, following in zip(claims, after, strict=True)]


def grams_alone(claims: Sequence[Claim]) -> list[Claim]:
    """The claims, with "600g" beside words of zinc made a mass: it has the shape of a class that is none."""
    known = {coat.token for code in ("A653-S2", "A879") for coat in coats_of(code)}
    found: list[Claim] = []
    for claim in claims:
        lone = claim.what == "per_side" and claim.text.endswith("g") and "/" not in claim.name
        beside = bool(found) and found[-1].what in ("process", "after")
        if lone and beside and claim.name not in known:
            amount = float(claim.name.rstrip("G"))
            claim = replace(claim, what="figure", name="mass", number=amount, extra="")
        found.append(claim)
    return found


def at_odds(figures: Sequence[Claim]) -> tuple[Claim, ...]:
    """Figures of one kind and sense that are not the same amount: "45 um, 60 um"; none where all agree."""
    for first in figures:
        alike = [one for one in figures if (one.name, one.extra) == (first.name, first.extra)]
        numbers = [one.number or 0.0 for one in alike]
        if max(numbers) - min(numbers) > limit("figures", "tolerance") * max(numbers):
            return tuple(alike)
    return ()


def as_typed(figure: Claim) -> str:
    """A figure as the label writes it, in its own unit."""
    return figure.text.replace(' "', '"').replace(" -", "-")


def _speaks_of_coat(claims: Sequence[Claim]) -> bool:
    kinds = {claim.what for claim in claims}
    return bool(kinds & _COATED) and ("film" in kinds or not kinds & _BARE_METAL)


def _as_coat(claim: Claim, following: Claim | None) -> Claim:
    faced = following is not None and following.what == "basis" and following.name == "one"
    length = _bound(claim) if claim.name == "bound" else _low_end(claim) if claim.name == "range" else claim
    thin = length.number is not None and 0.0 < length.number <= limit("sizes", "coats_to_mm")
    if length.name != "length" or length.number is None or not (thin or faced):
        return claim
    return replace(length, name="film", number=round(convert(length.number, "mm", "um"), 9))


def _low_end(claim: Claim) -> Claim:
    """A range of coats promises its lower end; unchanged where it has no value, or is no coat's."""
    ends = [read_number(end) for end in re.findall(r"\d*\.?\d+", claim.text)]
    factor = convert(1.0, "in" if "in" in claim.text else "mm", "mm")
    sizes = [end * factor for end in ends if end is not None]
    if len(sizes) < 2 or max(sizes) > limit("sizes", "coats_to_mm"):
        return claim
    return replace(claim, what="qualified", name="length", number=min(sizes), extra="least")


def _bound(claim: Claim) -> Claim:
    """A size said to be over or under something as a figure [mm]; unchanged where it has no value."""
    match = _BOUND.fullmatch(claim.text)
    value = read_number(match["value"]) if match else None
    if match is None or value is None:
        return claim
    unit = "in" if match["unit"].startswith("in") else "mm"
    sense = "most" if _MOST.match(match["sense"]) else "least"
    return replace(claim, what="qualified", name="length", number=convert(value, unit, "mm"), extra=sense)


def by_face(figures: Sequence[Claim], bases: Sequence[Claim]) -> list[Claim]:
    """Figures all on one face, where the label writes some for both faces and some for one.

    Each takes the words beside it: those that follow, or those before where the label starts with them.
    A total is halved, and its text says so.
    """
    first = min((claim.start for claim in bases), default=0)
    leads = first < min((figure.start for figure in figures), default=0)
    told = []
    for figure in figures:
        before = [claim for claim in bases if claim.start < figure.start]
        behind = [claim for claim in bases if claim.start > figure.start]
        beside = (before[-1:] or behind[:1]) if leads else (behind[:1] or before[-1:])
        if beside and beside[0].name == "both":
            half = None if figure.number is None else figure.number / 2.0
            told.append(replace(figure, number=half, text=f"half of {figure.text}"))
        else:
            told.append(figure)
    return told


def in_one_basis(figures: Sequence[Claim]) -> tuple[tuple[Claim, ...], tuple[Claim, ...]]:
    """Figures on one face without those that say the same again; and the first two that clash, if any do."""
    kept: list[Claim] = []
    for figure in sorted(figures, key=lambda claim: claim.text.startswith("half of ")):
        same = next((k for k in kept if (k.name, k.extra) == (figure.name, figure.extra)), None)
        if same is None:
            kept.append(figure)
        elif abs((same.number or 0.0) - (figure.number or 0.0)) > limit("figures", "tolerance") * (
            same.number or 0.0
        ):
            return (), (same, figure)
    return tuple(kept), ()
