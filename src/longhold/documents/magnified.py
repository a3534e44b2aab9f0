"""The governing face magnified: what was there when new, what is left, and what is missing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

from longhold.base.quantities import System
from longhold.documents.figures import figure, film, film_units
from longhold.documents.svg import path, tag, text_lines, wrap
from longhold.documents.words import metal_words

if TYPE_CHECKING:
    from longhold.assessment.findings import FaceFinding, PartFinding
    from longhold.documents.charts import Setting
    from longhold.forecast.summary import Curve

__all__ = ["Spot", "magnified", "value_at"]

_LEFT, _WIDE = 24.0, 116.0
_OUTSIDE, _DEEP, _TALL = 24.0, 26.0, 96.0
_WORDS_LEFT = 156.0
_LEAST_SHOWN_UM = 15.0
_BARS = (500, 200, 100, 50, 20, 10, 5, 2, 1, 0.5, 0.2, 0.1)


@dataclass(frozen=True)
class Spot:
    """The point of the section that is magnified."""

    x: float
    y: float


def value_at(curve: Curve, age: float) -> tuple[float, float, float]:
    """P10, P50 and P90 of a curve at an age, read off straight between its points."""
    ages = curve.years
    after = next((i for i, t in enumerate(ages) if t >= age), len(ages) - 1)
    before = max(after - 1, 0)
    gap = ages[after] - ages[before]
    part = 1.0 if gap <= 0 else min(max((age - ages[before]) / gap, 0.0), 1.0)

    def between(values: tuple[float, ...]) -> float:
        return values[before] + part * (values[after] - values[before])

    return between(curve.p10), between(curve.p50), between(curve.p90)


def magnified(
    part: PartFinding,
    face: FaceFinding,
    spot: Spot,
    setting: Setting,
    *,
    top: float,
    px_per_mm: float,
    solid: float | None,
    through: Sequence[tuple[float, float]] = (),
) -> Markup:
    """The face at the design life, 180 units high, with a leader from its spot on the section.

    Parameters
    ----------
    part, face : whose face it is
    spot : where the face lies on the section
    through : where its leader bends on the way down, past the names of the timbers
    setting : design life and units
    top : upper edge of the magnified part on the drawing
    px_per_mm : scale of the section, to state the factor
    solid : metal under the face until there is none [um]; None where it is not known
    """
    zinc_new = face.zinc_left.p50[0] if face.zinc_left is not None else 0.0
    zinc_left = value_at(face.zinc_left, setting.design_life)[1] if face.zinc_left is not None else 0.0
    lost = face.base_loss_um
    thick = solid if solid is not None else float("inf")
    gone = min(lost.p50, thick)
    shown_um = max(zinc_new + min(max(lost.p90, lost.p50), thick), _LEAST_SHOWN_UM)
    px = _TALL / shown_um
    box_top = top + 30.0
    surface = box_top + _OUTSIDE + zinc_new * px
    floor = box_top + _OUTSIDE + _TALL + _DEEP
    last = through[-1][0] if through else _LEFT + _WIDE / 2
    meets = min(max(last, _LEFT + 6.0), _LEFT + _WIDE - 6.0)
    parts = [
        tag("circle", cx=spot.x, cy=spot.y, r=5, class_="spot"),
        tag("path", d=path([(spot.x, spot.y + 5), *through, (meets, box_top)]), class_="leader"),
        _outside(face, box_top),
        _block(surface + gone * px, floor if gone < thick else surface + gone * px, "steel"),
        _block(surface + min(lost.p10, thick) * px, surface + min(lost.p90, thick) * px, "unsure"),
        _block(surface - zinc_left * px, surface, "zinc"),
        _missing(surface - zinc_new * px, surface - zinc_left * px),
        _missing(surface, surface + gone * px),
        tag("rect", x=_LEFT, y=box_top, width=_WIDE, height=floor - box_top, class_="lens"),
        _scale_bar(px, floor, setting.system),
    ]
    factor = figure(1000 * px / px_per_mm, 2)
    title = wrap(f"{part.kind_words}, {face.words}", 34, 1)
    scale = f"at {setting.design_life:g} years, {factor} × the scale above"
    parts.append(text_lines(title, _WORDS_LEFT, box_top + 2, class_="label strong"))
    parts.append(text_lines([scale], _WORDS_LEFT, box_top + 16, class_="label soft"))
    parts.append(_notes(part, face, zinc_new, zinc_left, surface, px, setting, box_top, thick))
    return Markup("").join(parts)


def _notes(
    part: PartFinding,
    face: FaceFinding,
    zinc_new: float,
    zinc_left: float,
    surface: float,
    px: float,
    setting: Setting,
    box_top: float,
    thick: float,
) -> Markup:
    """The words beside the lens, each with a line to what it tells of, kept apart from each other."""
    metal = metal_words(part.protection.base_metal)
    lost = face.base_loss_um
    notes: list[tuple[float, list[str]]] = []
    if zinc_new > 0:
        gone = "none is left" if zinc_left <= 0 else f"{film(zinc_left, setting.system)} is left"
        notes.append(
            (surface - zinc_new * px / 2, [f"zinc {film(zinc_new, setting.system)} when new;", gone])
        )
    through = lost.p50 >= thick
    told = (
        f"{metal}: all {film(thick, setting.system)} gone"
        if through
        else f"{metal} lost: {film(lost.p50, setting.system)}"
    )
    unit, per_um = film_units(setting.system)[0]
    late = "all of it" if lost.p90 >= thick else f"{figure(per_um * lost.p90)} {unit}"
    early = figure(per_um * lost.p10) + ("" if late.endswith(unit) else f" {unit}")
    spread = f"8 draws in 10: {early} to {late}" if lost.p10 < thick else "in 9 draws of 10"
    notes.append((surface + min(lost.p50, thick) * px / 2, [told, spread]))
    if not through:
        notes.append((box_top + _OUTSIDE + _TALL + 0.6 * _DEEP, [f"{metal} left"]))
    parts, free = [], box_top + 36.0
    for place, lines in notes:
        y = max(place, free)
        parts.append(tag("path", d=path([(_LEFT + _WIDE, place), (_WORDS_LEFT - 4, y)]), class_="leader"))
        parts.append(text_lines(lines, _WORDS_LEFT, y + 4, class_="label"))
        free = y + 13.0 * len(lines) + 6.0
    return Markup("").join(parts)


def _outside(face: FaceFinding, top: float) -> Markup:
    kind = "air" if face.touches == "air" else "timber"
    beside = face.against or kind
    whole = tag("rect", x=_LEFT, y=top, width=_WIDE, height=_OUTSIDE + _TALL, class_=f"beside-{kind}")
    return whole + tag("text", beside, x=_LEFT + 6, y=top + 15, class_="label")


def _block(top: float, bottom: float, kind: str) -> Markup:
    return tag("rect", x=_LEFT, y=top, width=_WIDE, height=max(bottom - top, 0.0), class_=f"lens-{kind}")


def _missing(top: float, bottom: float) -> Markup:
    if bottom - top < 0.5:
        return Markup("")
    return tag("rect", x=_LEFT, y=top, width=_WIDE, height=bottom - top, class_="missing")


def _scale_bar(px: float, floor: float, system: System) -> Markup:
    unit, per_um = film_units(system)[0]
    length = next(one for one in _BARS if one / per_um * px <= 60 or one == _BARS[-1])
    y, right = floor + 10, _LEFT + length / per_um * px
    bar = path([(_LEFT, y - 3), (_LEFT, y + 3), (_LEFT, y), (right, y), (right, y - 3), (right, y + 3)])
    return tag("path", d=bar, class_="axis open") + tag(
        "text", f"{length:g} {unit}", x=right + 6, y=y + 4, class_="tick"
    )
