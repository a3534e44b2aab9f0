"""Metals that need no coat, and steel that has none."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from longhold.base.marks import Mark
from longhold.labels.alloys import Alloy, alloy_named, alloys, unknown_stainless
from longhold.labels.claims import NOISE, Claim
from longhold.labels.options import Found, Option, option_of_alloy
from longhold.labels.reading import LabelError
from longhold.labels.said import Said
from longhold.labels.spelling import nearest, refuse
from longhold.model.protection import Protection

__all__ = ["plain_steel", "read_metals", "weathering_steel"]

_DOUBTFUL_MARKS = frozenset({"C1", "C3", "C4", "F1", "A1", "D2", "D4", "D6", "D8"})
_MARK_COMPANY = frozenset({"alloy", "size", "dimensions", "figure", "strength", "film", "note"})
_USUAL = frozenset({"302", "303", "304", "305", "316", "410", "430"})
_STEELS = frozenset({"duplex", "hcr", "inox", "grade", "type"})
_POSSIBLE_STAINLESS = ("410", "430", "304", "316")
_OF_BOLTS = ("ASTM F593", "ASTM F594")
_POSSIBLE_DUPLEX = ("2304", "2205")


def read_metals(said: Said) -> Found:
    """Candidates for a bare metal; none where the label names no metal but steel."""
    stainless = _stainless(said)
    others = _others(said)
    if stainless.options and others.options:
        if not said.either:
            raise refuse(said, "names two metals; a part is made of one.")
        return Found((*others.options, *stainless.options), "Which of the metals?")
    return stainless if stainless.options else others


def plain_steel() -> Option:
    """Carbon steel without any coat."""
    protection = Protection(
        designation="plain steel",
        base_metal="carbon_steel",
        product_form="carbon steel without a coat",
        basis="no coat",
        source="label-itself",
        mark=Mark.VERIFIED,
    )
    return Option(protection, "bare")


def weathering_steel() -> Option:
    """Weathering steel without any coat."""
    protection = Protection(
        designation="weathering steel",
        base_metal="weathering_steel",
        product_form="weathering steel without a coat",
        basis="no coat",
        source="label-itself",
        mark=Mark.VERIFIED,
    )
    return Option(protection, "metal")


def _stainless(said: Said) -> Found:
    if _is_structural_ss(said):
        return Found()
    named = _grades(said)
    if not named:
        if said.of("stainless_word") or "stainless" in said.roles:
            return _no_grade(said)
        return Found()
    families = {alloy.family for alloy in named}
    if len(families) == 1 and not _same_system(named):
        named = [_clearest(named)]
    slashed = any("/" in claim.text for claim in said.of("bare", "type_of", "grade_of"))
    if len(named) > 1 and not said.either and not slashed:
        if len(families) > 1:
            raise refuse(
                said, f"names {' and '.join(alloy.grade for alloy in named)}; a part is of one grade."
            )
        named = [_clearest(named)]
    options = tuple(_as_said(alloy, said) for alloy in named)
    return Found(options, "Which of the grades?" if len(options) > 1 else "")


def _no_grade(said: Said) -> Found:
    unknown = Option(unknown_stainless(), "metal", rank=1)
    if said.of("not_told"):
        return Found((unknown,))
    grades = _POSSIBLE_DUPLEX if "duplex" in said.names("stainless_word") else _POSSIBLE_STAINLESS
    possible = [alloy for alloy in map(alloy_named, grades) if alloy is not None]
    options = (_as_said(alloy, said) for alloy in possible)
    return Found((unknown, *options), "Which grade (410, 304, 305, 316, A2, A4 ...)?")


def _as_said(alloy: Alloy, said: Said) -> Option:
    """With the standard of bolts that lists the grade, where the label names it."""
    option = option_of_alloy(alloy)
    if not alloy.is_of_bolts or not said.cites(*_OF_BOLTS):
        return option
    designation = f"{option.protection.designation}, {alloy.standard}"
    told = replace(option.protection, designation=designation, standard=alloy.standard)
    return replace(option, protection=told)


def _grades(said: Said) -> list[Alloy]:
    """Every grade named, each once, in order."""
    names: list[tuple[int, str]] = []
    names += [(c.start, c.name) for c in said.of("alloy") if _is_mark(said, c.name, c.extra)]
    long = [c for c in said.of("grade_of", "type_of") if len(c.name) >= 3 and not c.name.isalpha()]
    names += [(claim.start, part) for claim in long for part in claim.name.split("/")]
    names += _group_of_f593(said)
    if said.of("stainless_word", "alloy") or "stainless" in said.roles or _nothing_else(said):
        names += [
            (c.start, part)
            for c in said.of("bare", "word")
            for part in c.text.split("/")
            if _is_grade(part) and not _after_a_name(said, c, part)
        ]
    found = [alloy_named(name) for _, name in sorted(names)]
    kept = [alloy for alloy in found if alloy is not None and alloy.base_metal == "stainless"]
    _refuse_unknown(said, kept)
    return list(dict.fromkeys(kept))


def _refuse_unknown(said: Said, kept: list[Alloy]) -> None:
    """A stainless grade in shape that no table knows, and none that one does."""
    for claim in said.of("alloy"):
        unknown = alloy_named(claim.name) is None
        if unknown and not kept and (claim.extra != "named" or not said.of("stainless_word")):
            close = nearest(claim.name, [alloy.grade for alloy in alloys() if alloy.grade])
            raise LabelError(
                said.tidy.original, f"has {claim.text}, which is no grade held here.", nearest=close
            )


def _is_mark(said: Said, name: str, extra: str) -> bool:
    """Whether A2, C1 ... is a mark of ISO 3506 here: C1 is an air category too, A4 a sheet of paper."""
    if extra != "mark-":  # another system's name, or a mark with its strength, such as A2-70
        return True
    if said.of("stainless_word") or "stainless" in said.roles or "marine" in said.names("note"):
        return True
    fastener = said.item is not None and said.item.group in ("driven", "threaded", "washer")
    if name.upper() in _DOUBTFUL_MARKS or not fastener:
        company = _MARK_COMPANY if name.upper() in _DOUBTFUL_MARKS else _MARK_COMPANY | _shapes(said)
        return not any(
            c.what == "word" or (c.what not in NOISE and c.what not in company) for c in said.claims
        )
    return True


def _shapes(said: Said) -> frozenset[str]:
    """A standard of shape beside a mark speaks of a fastener: DIN 571 A4."""
    return frozenset({"standard"}) if said.roles == {"other"} else frozenset()


def _after_a_name(said: Said, claim: Claim, text: str) -> bool:
    """Whether a number that is seldom a fastener's grade follows an unknown word: 'ZAM 310' is no 310."""
    if text[:3] in _USUAL or said.of("stainless_word", "alloy") or "stainless" in said.roles:
        return False
    before = [c for c in said.claims if c.end <= claim.start]
    return bool(before) and before[-1].what == "word" and before[-1].text not in said.item_words | _STEELS


def _is_grade(text: str) -> bool:
    shaped = len(text) >= 3 and text[0].isdigit() and " " not in text  # "32 1/2" is a length
    alloy = alloy_named(text) if shaped else None
    return alloy is not None and alloy.base_metal == "stainless"


def _nothing_else(said: Said) -> bool:
    """Whether numbers are all that could name a metal."""
    return not any(
        c.what not in NOISE and c.what not in ("size", "dimensions", "strength", "note", "film")
        for c in said.claims
    )


def _group_of_f593(said: Said) -> list[tuple[int, str]]:
    if not said.cites(*_OF_BOLTS):
        return []
    found = []
    for claim in said.of("grade_of"):
        group = next((a for a in alloys() if a.standard == f"ASTM F593 group {claim.name}"), None)
        if group is not None:
            found.append((claim.start, group.grade))
    return found


def _is_structural_ss(said: Said) -> bool:
    """In A653, SS is structural steel: 'A653 SS grade 50 G90' is no stainless."""
    bare = [claim for claim in said.of("stainless_word") if claim.text == "ss"]
    if len(bare) != len(said.of("stainless_word")) or said.of("alloy"):
        return False
    return (
        bool(bare)
        and bool(said.of("sheet_class"))
        and bool(said.cites("A653") or said.of("strength", "grade_of"))
    )


def _same_system(named: Iterable[Alloy]) -> bool:
    return len({_system(alloy) for alloy in named}) == 1


def _system(alloy: Alloy) -> int:
    if alloy.grade[0].isdigit() and not alloy.grade.startswith("1."):
        return 2 if alloy.grade == "18-8" else 0
    return 1 if alloy.grade.startswith("1.") else 3


def _clearest(named: list[Alloy]) -> Alloy:
    """Of names for one family, the one that says most: steel number, then fastener mark, then family."""
    return min(named, key=lambda alloy: (_system(alloy), alloy.order))


def _others(said: Said) -> Found:
    options: list[Option] = []
    for claim in said.of("metal"):
        if claim.name == "bronze":
            raise LabelError(
                said.tidy.original,
                "says bronze without the kind; only silicon bronze is held.",
                nearest=("silicon bronze",),
            )
        alloy = alloy_named(claim.extra) if claim.extra else alloy_named(claim.name)
        alloy = alloy or alloy_named(claim.name)
        if alloy is not None:
            options.append(option_of_alloy(alloy))
    for claim in said.of("alloy"):
        alloy = alloy_named(claim.name)
        if alloy is not None and alloy.base_metal != "stainless":
            options.append(option_of_alloy(alloy))
    if "weathering" in said.names("bare_metal") or "weathering" in said.roles:
        options.append(weathering_steel())
    kinds = {option.protection.base_metal: option for option in options}
    if len(kinds) > 1 and not said.either:
        raise refuse(said, "names two metals; a part is made of one.")
    return Found(tuple(kinds.values()), "Which of the metals?" if len(kinds) > 1 else "")
