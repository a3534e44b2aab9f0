"""Which parts of a joint touch, and with what area near where they do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import inf

from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number
from longhold.forecast.beside import Beside, Patch, Rim, couple_metal, metal_once_bare
from longhold.forecast.faces import faces_of
from longhold.model.damage import damages
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint, Structure

__all__ = ["beside_by_face", "bridging_contact", "why_apart"]

Pairs = Sequence[tuple[Part, Protection]]


def beside_by_face(
    joint: Joint, pairs: Pairs, structure: Structure
) -> Mapping[tuple[str, str], tuple[Beside, ...]]:
    """What touches each face, by id of the part and face, with each metal that it comes to show; isolated
    parts not.

    Parts of one metal family count too: one may lose its zinc while the other still has some. From what age
    on is left open, see ``longhold.assessment.later_metal``.

    Heads meet sheet and washers in the air; shanks meet them in the timber under them; washers meet sheet.
    """
    found: dict[tuple[str, str], tuple[Beside, ...]] = {}
    for part, protection in pairs:
        others = [
            (other, shown)
            for other, shown in pairs
            if other is not part and _may_harm(protection, shown) and not why_apart(joint, part, other)
        ]
        for face in faces_of(part.kind):
            met = tuple(_met(joint, part, face.touches, face.trapped, others, structure))
            if met:
                found[part.id, face.face] = met
    return found


def why_apart(joint: Joint, one: Part, other: Part) -> str:
    """Why no current of two parts is computed, for people; empty where they touch and sizes are known."""
    if one.isolated or other.isolated:
        return "insulation keeps them apart"
    fastener = next((part for part in (one, other) if part.is_fastener), None)
    if one.is_fastener and other.is_fastener:
        return "fasteners do not touch each other, and what passes by another part is not computed"
    if "nail_plate" in (one.kind, other.kind):
        return "where a nail plate touches other metal is not known"
    if fastener is None:
        if "washer" not in (one.kind, other.kind):
            return "whether two sheets touch is not known"
        fastener = _held_by(joint)
    if fastener is None or not fastener.measures.diameter_mm:
        return "the diameter of the fastener is not known"
    return ""


def bridging_contact(one: Part, other: Part) -> str:
    """What either of two parts lies against, joining them in a way that no law here describes; or empty."""
    return next((part.contact.replace("_", " ") for part in (one, other) if part.contact), "")


def _met(
    joint: Joint, part: Part, touches: str, trapped: bool, others: Pairs, structure: Structure
) -> Iterator[Beside]:
    for other, shown in others:
        away = 0.0
        if touches == "air" and (part.contact or other.contact):
            continue  # what joins them there is no film of water
        if touches == "air":
            own, theirs = _in_air(joint, part, other), _in_air(joint, other, part)
        elif part.is_fastener or other.is_fastener:
            away = _away_mm(joint, part, other, structure) if trapped and part.is_fastener else 0.0
            own, theirs = _in_wood(part, other), _in_wood(other, part)
        else:
            continue  # washer and sheet meet in the air, not in the timber
        new, bare = couple_metal(shown), metal_once_bare(shown)
        yield Beside(other.id, other.kind_words, new, own, theirs, away)
        if bare != new:
            rim, share = _rim(joint, other, shown, touches), _bare_share(other, touches)
            yield Beside(
                other.id,
                other.kind_words,
                bare,
                own,
                theirs,
                away,
                later=True,
                from_years=inf,
                rim=rim,
                bare_share=share,
            )


def _rim(joint: Joint, part: Part, protection: Protection, touches: str) -> Rim | None:
    """The bare rim of the hole that a fastener goes through, in a part under zinc; None where it has zinc.

    Sheet coated at the mill is bare at every hole; what is dipped after making is bare where it was drilled
    on site. A hole of no stated width is as wide as the fastener. In the air the head covers it.
    """
    mill_dip = protection.zinc is not None and protection.zinc.process == "mill_dip"
    thickness, fastener = part.measures.thickness_mm, _held_by(joint)
    bare = not part.is_fastener and (mill_dip or "drilled_hole" in part.damage)
    if not bare or fastener is None or not thickness:
        return None
    radius = (part.hole_diameter or fastener.measures.diameter_mm or 0.0) / 2.0
    head = _washer_mm(fastener) if any(one.kind == "washer" for one in joint.parts) else _head_mm(fastener)
    return Rim(radius, thickness, max(head / 2.0 - radius, 0.0) if touches == "air" else 0.0)


def _bare_share(part: Part, touches: str) -> float:
    """Share of a part's faces in one medium that damage leaves bare in spots; of a whole face it is none."""
    here = {face.face for face in faces_of(part.kind) if (face.touches == "air") == (touches == "air")}
    told = [damages()[name] for name in part.damage]
    shares = [one.area_share for one in told if one.zinc_gone and here & set(one.faces)]
    return max((share for share in shares if share < 1.0), default=0.0)


def _may_harm(protection: Protection, other: Protection) -> bool:
    """Whether at some age the two may show different metals."""
    shown = {couple_metal(protection), metal_once_bare(protection)}
    return shown != {couple_metal(other), metal_once_bare(other)} or len(shown) > 1


def _in_air(joint: Joint, part: Part, other: Part) -> Patch:
    """What of a part lies bare in the air where another one touches it."""
    if part.is_fastener:
        radius = _head_mm(part) / 2.0
        height = float(_heads()[part.kind]["height_ratio"]) * (part.measures.diameter_mm or 0.0)
        return Patch("disc", radius, side_mm=height)
    if other.is_fastener:
        limit = _washer_mm(other) / 2.0 if part.kind == "washer" else inf
        return Patch("ring", _head_mm(other) / 2.0, max(limit, _head_mm(other) / 2.0))
    fastener = _held_by(joint)
    radius = 0.0 if fastener is None else _washer_mm(fastener) / 2.0
    return Patch("disc" if part.kind == "washer" else "ring", radius)


def _in_wood(part: Part, other: Part) -> Patch:
    """What of a part touches timber where another one touches it: a shank, or sheet around it."""
    if part.is_fastener:
        radius = (part.measures.diameter_mm or 0.0) / 2.0
        return Patch("cylinder", radius, part.measures.length_mm or inf)
    radius = (other.measures.diameter_mm or 0.0) / 2.0
    limit = _washer_mm(other) / 2.0 if part.kind == "washer" else inf
    return Patch("ring", radius, max(limit, radius))


def _away_mm(joint: Joint, part: Part, other: Part, structure: Structure) -> float:
    """Timber between the joint line and a washer under the head [mm]; sheet is taken to lie at the line."""
    washer = "washer" in (part.kind, other.kind)
    return structure.timbers[joint.side].thickness_mm if washer and joint.side else 0.0


def _held_by(joint: Joint) -> Part | None:
    return next((part for part in joint.parts if part.is_fastener and part.measures.diameter_mm), None)


def _head_mm(part: Part) -> float:
    ratio = float(_heads()[part.kind]["diameter_ratio"])
    return part.measures.head_diameter_mm or ratio * (part.measures.diameter_mm or 0.0)


def _washer_mm(fastener: Part) -> float:
    return float(_heads()["washer"]["diameter_ratio"]) * (fastener.measures.diameter_mm or 0.0)


@once
def _heads() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {"kind": str, "diameter_ratio": number, "height_ratio": number}
    return {row["kind"]: row for row in load_csv("metal/heads.csv", columns, key=("kind",))}
