"""Charts of one finding: layers over the years, strength over the years, the end of life on a line."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isfinite
from typing import TYPE_CHECKING

from markupsafe import Markup

from longhold.base.quantities import System
from longhold.documents.axes import Frame, Scale, film_scales, nice_most
from longhold.documents.figures import BEYOND_YEARS, figure, film_units, in_years, lost, share, years
from longhold.documents.svg import path, tag, text_lines, wrap
from longhold.documents.words import upper_first
from longhold.forecast.summary import Band, Curve

if TYPE_CHECKING:
    from longhold.assessment.findings import FaceFinding, StrengthFinding
    from longhold.model.structure import Structure

__all__ = ["Setting", "capped", "curve_rows", "layers_chart", "life_line", "strength_chart"]

_WIDTH = 360
_LEFT = 40.0
_PER_CENT = (Scale("% of new", 100.0),)
_WORDS_HIGH = 17.0
_MOST_OF_NEW = 4.0
_ROOM_FOR_WORDS = 1.2
_ROWS_SHOWN = 11
_WORDS_LEFT_FROM = 0.45
_ABOVE, _UNDER, _LETTER = -8.0, 15.0, 7.8
_LETTER_OF_TITLE, _LETTER_OF_LIFE, _GAP = 5.4, 5.8, 6.0


@dataclass(frozen=True)
class Setting:
    """What every chart of a structure shares.

    Attributes
    ----------
    design_life : asked life [years]
    built : year of building, None where not given
    system : units for people
    """

    design_life: float
    built: int | None
    system: System

    @classmethod
    def of(cls, structure: Structure) -> Setting:
        """That of a described structure."""
        built = None if structure.build_date is None else structure.build_date.year
        return cls(structure.design_life, built, structure.units)


def layers_chart(
    face: FaceFinding, metal: str, setting: Setting, *, solid: float | None = None, small: bool = False
) -> Markup:
    """Zinc left above, base metal lost below, against age, each with its band.

    Parameters
    ----------
    face : the face
    metal : the base metal as people call it
    setting : design life, year of building, units
    solid : metal under the face until there is none [um]; None where it is not known
    small : lower panels, for a row of small multiples
    """
    scales = film_scales(setting.system)
    width = _WIDTH - _LEFT - (44.0 if len(scales) > 1 else 14.0)
    height = 62.0 if small else 92.0
    top, parts = 22.0, []
    x_most = _span(face.base_loss, setting)
    if face.zinc_left is not None:
        frame = Frame(_LEFT, top, width, height, x_most, nice_most(max(face.zinc_left.p90)))
        parts += [frame.value_axis("Zinc left", scales), _curve(frame, face.zinc_left)]
        parts += [_film_mark(frame, face.film_years), _zinc_words(frame, face, setting.system)]
        top = frame.bottom + 28.0
    thick = solid if solid is not None else float("inf")
    worst = max(max(face.base_loss.p90), 1.0)
    all_gone = worst >= thick
    most = thick / (1.0 - _WORDS_HIGH / height) if all_gone else nice_most(worst)
    frame = Frame(_LEFT, top, width, height, x_most, most, downward=True)
    first = _capital(metal)
    parts += [frame.value_axis(f"{first} lost", scales), _curve(frame, capped(face.base_loss, thick))]
    if all_gone:
        parts += _all_there_is(frame, thick, setting)
    at_life = _loss_at(face.base_loss_um, setting)
    if face.base_loss_um.p50 < thick:
        parts.append(_dot(frame, setting.design_life, face.base_loss_um.p50, at_life, below=True))
    highest = f"{first} lost" if face.zinc_left is None else "Zinc left"
    parts.append(_design_line(frame, setting, f"{highest}, {scales[0].unit}", top=22.0))
    parts.append(frame.years_axis(setting.built))
    told = ", or ".join(lost(face.base_loss_um, solid, setting.system))
    band = face.protection_years
    ends = "no protection to lose" if band is None else f"protection ends {in_years(band)}"
    words = f"{_capital(face.words)}: {ends}; "
    words += f"{metal} lost at {setting.design_life:g} years {told}."
    return _chart(frame.bottom + (52 if setting.built else 38), words, parts)


def strength_chart(found: StrengthFinding, setting: Setting) -> Markup:
    """Strength left in per cent of new against age, with its band and the ratio at which it ends.

    A demand above the strength when new has its line above the curve; where it lies too far above, words at
    the top say so.
    """
    most = _most_shown(found.ends_at)
    frame = Frame(_LEFT, 24.0, _WIDTH - _LEFT - 14.0, 190.0, _span(found.curve, setting), most)
    parts = [frame.value_axis("Strength left", _PER_CENT), _curve(frame, found.curve)]
    if isfinite(found.ends_at):
        y = frame.y(found.ends_at)
        parts.append(tag("line", x1=frame.left, x2=frame.right, y1=y, y2=y, class_="limit"))
        lines = wrap(_limit_words(found), 48 if found.below_when_new else 34, 2)
        above = y - 6 - 13 * (len(lines) - 1)
        under = found.ratio.p50 > found.ends_at or found.ends_at > most
        if under:
            parts.append(text_lines(lines, frame.left + 6, y + 15, class_="label"))
        else:  # the curve has fallen below the line on its way to the right: words there stay clear of it
            parts.append(text_lines(lines, frame.right - 4, above, class_="label end"))
    at_life = f"{share(found.ratio.p50)} at {setting.design_life:g} years"
    drop = _clear_drop(frame, found, setting, at_life)
    parts.append(_dot(frame, setting.design_life, found.ratio.p50, at_life, below=True, drop=drop))
    parts.append(_design_line(frame, setting, f"Strength left, {_PER_CENT[0].unit}", top=24.0))
    parts.append(frame.years_axis(setting.built))
    words = f"Strength left: {at_life} ({share(found.ratio.p10)} to {share(found.ratio.p90)})."
    if found.below_when_new:
        words += f" {_capital(_limit_words(found))}."
    return _chart(frame.bottom + (52 if setting.built else 38), words, parts)


def _clear_drop(frame: Frame, found: StrengthFinding, setting: Setting, words: str) -> float:
    """How far below the dot its words stand clear of the falling curve and of the line of its end."""
    dot = frame.y(found.ratio.p50)
    limit = frame.y(found.ends_at) if isfinite(found.ends_at) else -_WIDTH
    lowest = dot
    if not _at_right(frame, setting):
        if dot + _ABOVE > frame.top + 12 and not dot + _ABOVE - 12 < limit < dot + _ABOVE + 4:
            return _ABOVE
        end = frame.x(setting.design_life) + 8 + _LETTER * len(words)
        beside = zip(found.curve.years, found.curve.p50, strict=True)
        lowest = max([dot, *(frame.y(left) for age, left in beside if frame.x(age) <= end)])
    usual = lowest - dot + _UNDER
    near = dot + usual - 13 < limit < dot + usual + 4
    return limit - dot + 2 * _UNDER if near else usual


def _most_shown(ends_at: float) -> float:
    """The highest share of new on the chart: all of it, and a demand above that as far as it can be shown."""
    return (
        1.0
        if ends_at <= 1.0 or not isfinite(ends_at)
        else nice_most(_ROOM_FOR_WORDS * min(ends_at, _MOST_OF_NEW))
    )


def _limit_words(found: StrengthFinding) -> str:
    if found.below_when_new:
        shown = f"{found.ends_words} is {share(found.ends_at)} of what it carries new"
        return f"{shown}{', above this chart' if found.ends_at > _most_shown(found.ends_at) else ''}"
    told = (
        found.ends_words if "%" in found.ends_words else f"{found.ends_words}, {share(found.ends_at)} of new"
    )
    return f"ends at {told}"


def life_line(band: Band | None, design_life: float, words: str) -> Markup:
    """One end of life as a bar from P10 to P90 on a line from zero to twice the design life."""
    width, most = 220.0, 2 * design_life
    frame = Frame(4.0, 4.0, width - 18.0, 14.0, most, 1.0)
    middle = frame.top + frame.height / 2
    parts = [tag("line", x1=frame.left, x2=frame.right, y1=middle, y2=middle, class_="axis")]
    if band is not None:
        low, high = frame.x(band.p10), frame.x(band.p90)
        parts.append(
            tag("rect", x=low, y=frame.top + 1, width=max(high - low, 2.0), height=12, class_="life-band")
        )
        if band.p90 > most:
            tip = frame.right
            parts.append(
                tag("path", d=path([(tip, 3), (tip + 9, middle), (tip, 19)], close=True), class_="life-on")
            )
        if band.p50 <= most:
            x = frame.x(band.p50)
            parts.append(tag("line", x1=x, x2=x, y1=2, y2=20, class_="median"))
    x = frame.x(design_life)
    parts.append(tag("line", x1=x, x2=x, y1=0, y2=22, class_="limit"))
    for age, text in ((0.0, "0"), (design_life, f"design life {design_life:g}"), (most, f"{most:g}")):
        parts.append(tag("text", text, x=frame.x(age), y=33, class_="tick mid" if age else "tick"))
    return tag(
        "svg",
        *parts,
        viewBox="0 0 220 36",
        role="img",
        aria_label=words,
        class_="life",
        preserveAspectRatio="xMinYMid",
    )


def curve_rows(curve: Curve, design_life: float) -> list[tuple[float, float, float, float]]:
    """Rows (age, P10, P50, P90) of a data table: evenly thinned, the design life always among them."""
    count = len(curve.years)
    step = max(1, -(-count // _ROWS_SHOWN))
    kept = {*range(0, count, step), count - 1}
    nearest = min(range(count), key=lambda i: abs(curve.years[i] - design_life))
    kept.add(nearest)
    return [(curve.years[i], curve.p10[i], curve.p50[i], curve.p90[i]) for i in sorted(kept)]


def capped(curve: Curve, most: float) -> Curve:
    """The curve with nothing above a value, such as the metal that there is."""
    rows = ([min(value, most) for value in values] for values in (curve.p10, curve.p50, curve.p90))
    low, middle, high = (tuple(row) for row in rows)
    return replace(curve, p10=low, p50=middle, p90=high)


def _all_there_is(frame: Frame, thick: float, setting: Setting) -> tuple[Markup, Markup]:
    """The line past which nothing is left; its words below it, where no curve runs, clear of the dot's."""
    y, told = frame.y(thick), f"all there is: {_first(thick, setting.system)}"
    x, kind = (frame.right - 4, "label end") if _at_right(frame, setting) else (frame.left + 4, "label")
    line = tag("line", x1=frame.left, x2=frame.right, y1=y, y2=y, class_="limit")
    return line, tag("text", told, x=x, y=y + 13, class_=kind)


def _at_right(frame: Frame, setting: Setting) -> bool:
    """Whether the design life lies so far to the right that its words stand left of it."""
    return frame.x(setting.design_life) > frame.left + _WORDS_LEFT_FROM * frame.width


def _span(curve: Curve, setting: Setting) -> float:
    return max(curve.years[-1], setting.design_life)


def _curve(frame: Frame, curve: Curve) -> Markup:
    high = [(frame.x(t), frame.y(v)) for t, v in zip(curve.years, curve.p90, strict=True)]
    low = [(frame.x(t), frame.y(v)) for t, v in zip(curve.years, curve.p10, strict=True)]
    middle = [(frame.x(t), frame.y(v)) for t, v in zip(curve.years, curve.p50, strict=True)]
    return tag("path", d=path([*high, *reversed(low)], close=True), class_="band") + tag(
        "path", d=path(middle), class_="median"
    )


def _dot(
    frame: Frame, age: float, value: float, words: str, *, below: bool, drop: float | None = None
) -> Markup:
    x, y = frame.x(age), frame.y(value)
    left = x > frame.left + _WORDS_LEFT_FROM * frame.width
    place = x - 8 if left else x + 8
    offset = drop if drop is not None else _UNDER if below and left else _ABOVE
    height = min(max(y + offset, frame.top + 12), frame.bottom - 5)
    return tag("circle", cx=x, cy=y, r=3.5, class_="dot") + tag(
        "text", words, x=place, y=height, class_="label strong end" if left else "label strong"
    )


def _design_line(frame: Frame, setting: Setting, title: str, top: float) -> Markup:
    """The line of the design life; its words over it, or right of the title of the axis."""
    x = frame.x(setting.design_life)
    words = f"design life, {setting.design_life:g} years"
    half = _LETTER_OF_LIFE * len(words) / 2
    clear = max(_LETTER_OF_TITLE * len(title) + _GAP + half, min(x, frame.right - half))
    return tag("line", x1=x, x2=x, y1=top, y2=frame.bottom, class_="limit") + tag(
        "text", words, x=clear, y=top - 7, class_="label mid"
    )


def _zinc_words(frame: Frame, face: FaceFinding, system: System) -> Markup:
    band = face.protection_years
    if band is None or face.zinc_left is None:
        return Markup("")
    if band.p10 > BEYOND_YEARS or face.zinc_left.p50[-1] > 0.35 * frame.y_most:
        left = f"{_first(face.zinc_left.p50[-1], system)} left at {face.zinc_left.years[-1]:g} years"
        return tag("text", left, x=frame.left + 6, y=frame.bottom - 6, class_="label strong")
    told = in_years(band)
    told = f"lasts {told.removeprefix('in ')}" if told.startswith("in more") else f"gone {told}"
    return tag("text", told, x=frame.right - 4, y=frame.top + 13, class_="label strong end")


def _film_mark(frame: Frame, film: Band | None) -> Markup:
    if film is None or film.p10 > frame.x_most:
        return Markup("")
    low, high = frame.x(film.p10), frame.x(film.p90)
    y = frame.bottom - 5
    return tag("rect", x=low, y=y - 3, width=max(high - low, 2.0), height=5, class_="film") + tag(
        "text", f"topcoat gone: {years(film)}", x=low, y=y - 8, class_="label"
    )


def _loss_at(band: Band, setting: Setting) -> str:
    return f"{_first(band.p50, setting.system)} at {setting.design_life:g} years"


def _first(value_um: float, system: System) -> str:
    """A thickness in the unit of the left axis alone; the right axis tells the other."""
    unit, per_um = film_units(system)[0]
    return f"{figure(per_um * value_um)} {unit}"


def _capital(text: str) -> str:
    return upper_first(text)


def _chart(height: float, words: str, parts: list[Markup]) -> Markup:
    return tag(
        "svg", *parts, viewBox=f"0 0 {_WIDTH} {height:.0f}", role="img", aria_label=words, class_="chart"
    )
