"""Readings beside the forecast, in words: what was expected, how far each moved it, and the new dates."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from longhold.base.quantities import System, show_quantity
from longhold.documents.figures import calendar, chance, film, share
from longhold.documents.lives import decided_up_to, deciding, deciding_end
from longhold.documents.words import outcome_words, plural
from longhold.forecast.causes import CAUSE_WORDS
from longhold.forecast.summary import Band

if TYPE_CHECKING:
    from longhold.assessment.findings import JointFinding
    from longhold.inspect.learn import CauseMove, ReadingFinding, Updated
    from longhold.model.reading import Reading
    from longhold.model.structure import Structure

__all__ = [
    "MEASURED_WORDS",
    "JointUpdateRow",
    "ReadingRow",
    "cause_rows",
    "joint_rows",
    "reading_rows",
    "reading_words",
    "readings_lede",
]

MEASURED_WORDS = {
    "zinc": "zinc left",
    "metal_lost": "metal lost",
    "diameter_left": "diameter left",
    "thickness_left": "thickness left",
    "rust": "share rusted",
    "chloride": "sea salt in the air",
    "moisture": "wood moisture",
    "look": "look",
}
_FILMS = ("zinc", "metal_lost")
_CLEAR_SHIFT = 0.5
_TOLD_MOVE = 0.03


@dataclass(frozen=True)
class ReadingRow:
    """One reading: where, when, what was read, what was expected of it, and what is to be said of it."""

    where: str
    date: str
    measured: str
    read: str
    expected: str
    after: str
    remark: str


@dataclass(frozen=True)
class JointUpdateRow:
    """One joint before its readings and after.

    Attributes
    ----------
    id, name, outcome : of the joint, after
    stands : how it stands, and how it stood where that is different
    end_before, end_after : when the end that decides comes
    date_before, date_after : the same by the calendar
    chance_before, chance_after : of reaching the design life
    read : number of its own readings
    """

    id: str
    name: str
    outcome: str
    stands: str
    end_before: str
    end_after: str
    date_before: str
    date_after: str
    chance_before: str
    chance_after: str
    read: int


def readings_lede(found: Updated) -> str:
    """The answer in a few sentences."""
    pairs = joint_pairs(found)
    turned = ", ".join(after.joint.id for before, after in pairs if before.outcome != after.outcome)
    said = [
        *_counted(found),
        f"The answer turns for {turned}." if turned else "No joint's answer turns.",
    ]
    most = max(pairs, key=lambda pair: _chance_moved(*pair))
    if _chance_moved(*most) < _TOLD_MOVE:
        said.append("No joint's chance of reaching the design life moves by as much as 3 in 100.")
    else:
        before, after = (chance(_chance(one)) for one in most)
        id_ = most[0].joint.id
        said.append(f"The chance of the design life moves most for {id_}: {before} before, {after} after.")
    return " ".join(said)


def _counted(found: Updated) -> Iterator[str]:
    used, kept = len(found.lesson.readings), len(found.lesson.kept)
    first = f"{plural(used, 'reading')} {'corrects' if used == 1 else 'correct'} the forecast"
    if kept == 1:
        yield f"{first}; 1 more is kept and does not."
    elif kept:
        yield f"{first}; {kept} more are kept and do not."
    else:
        yield f"{first}."
    if far := sum(one.far_off for one in found.lesson.readings):
        yield f"{far} of them {'lies' if far == 1 else 'lie'} far off what was expected."


def joint_pairs(found: Updated) -> list[tuple[JointFinding, JointFinding]]:
    """Every joint's finding before and after."""
    return list(zip(found.before.findings, found.after.findings, strict=True))


def reading_rows(found: Updated) -> list[ReadingRow]:
    """Every reading in the order of the table, those that are only kept with the reason."""
    units = found.after.structure.units
    rows = {one.index: _used_row(one, units) for one in found.lesson.readings}
    for kept in found.lesson.kept:
        reading = kept.reading
        rows[kept.index] = ReadingRow(
            _where(reading.joint, reading.piece, reading.part, reading.face),
            reading.date.isoformat(),
            MEASURED_WORDS[reading.measured],
            reading.words,
            "",
            "",
            f"Kept; does not correct the forecast: {kept.because}.",
        )
    return [rows[index] for index in sorted(rows)]


def joint_rows(found: Updated) -> list[JointUpdateRow]:
    """Every joint before and after, in the order of the structure."""
    read = {one.reading.joint: 0 for one in found.lesson.readings}
    for one in found.lesson.readings:
        read[one.reading.joint] += 1
    structure = found.after.structure
    return [_joint_row(one, other, structure, read.get(one.joint.id, 0)) for one, other in joint_pairs(found)]


def cause_rows(found: Updated) -> list[tuple[str, str, str]]:
    """What readings taught of each cause that moved: what it is, which way, how much doubt is left."""
    return [(_cause_words(one), _way(one), share(min(one.left, 1.0))) for one in found.lesson.moves]


def reading_words(reading: Reading) -> str:
    """Where, when and what was read, in one line."""
    where = _where(reading.joint, reading.piece, reading.part, reading.face)
    return f"{where}, {reading.date.isoformat()}: {MEASURED_WORDS[reading.measured]} {reading.words}"


def _used_row(one: ReadingFinding, units: System) -> ReadingRow:
    reading = one.reading
    return ReadingRow(
        _where(reading.joint, reading.piece, reading.part, reading.face),
        reading.date.isoformat(),
        MEASURED_WORDS[reading.measured],
        reading.words,
        _band(one.before, reading.measured, units),
        _band(one.after, reading.measured, units),
        ". ".join(_remarks(one, units)),
    )


def _remarks(one: ReadingFinding, units: System) -> Iterator[str]:
    if one.most_new is not None:
        counted = "It counts little" if one.likely_wild else "It is counted, not dropped"
        yield (
            f"Thicker than new: hardly any was expected to have more than {film(one.most_new, units)} then, "
            "and zinc does not grow. Clean the spot and measure again (paint and dirt count as zinc to a "
            f"gauge); check its zero, the unit and the label that is stated. {counted}"
        )
        return
    if one.far_off:
        yield (
            f"Far off: {_in_hundred(one.agrees)} were expected to be as far. Check the part, the unit and "
            "the gauge; it is counted, not dropped"
        )
    if one.likely_wild:
        yield "Fits neither the forecast nor the other readings, so it counts little"


def _in_hundred(value: float) -> str:
    return "fewer than 1 in 100" if value < 0.01 else f"{100.0 * value:.0f} in 100"


def _where(joint: str, piece: str, part: str, face: str) -> str:
    place = " ".join(word for word in (joint, f"no. {piece}" if piece else "", part) if word)
    return (f"{place}, {face.replace('_', ' ')}" if face else place) or "the site's air"


def _band(band: Band, measured: str, units: System) -> str:
    if measured == "rust":
        low, high = share(band.p10), share(band.p90)
        return low if low == high else f"{low} to {high}"
    if measured in _FILMS:
        return f"{film(band.p10, units)} to {film(band.p90, units)}"
    if measured == "chloride":
        return f"{band.p10:.0f} to {band.p90:.0f} mg/m²/d"
    low, high = (show_quantity(value, "length_mm", units) for value in (band.p10, band.p90))
    return low if low == high else f"{low} to {high}"


def _joint_row(before: JointFinding, after: JointFinding, structure: Structure, read: int) -> JointUpdateRow:
    stands = outcome_words(after.outcome)
    if before.outcome != after.outcome:
        stands = f"{stands} (before: {outcome_words(before.outcome).lower()})"
    return JointUpdateRow(
        after.joint.id,
        after.joint.name,
        after.outcome,
        stands,
        deciding_end(before),
        deciding_end(after),
        _date(before, structure),
        _date(after, structure),
        chance(_chance(before)),
        chance(_chance(after)),
        read,
    )


def _date(finding: JointFinding, structure: Structure) -> str:
    return calendar(deciding(finding)[0], structure.build_date, decided_up_to(finding))


def _chance(finding: JointFinding) -> float | None:
    return finding.strength_chance if finding.decides == "strength" else finding.protection_chance


def _chance_moved(before: JointFinding, after: JointFinding) -> float:
    was, now = _chance(before), _chance(after)
    return 0.0 if was is None or now is None else abs(now - was)


def _cause_words(move: CauseMove) -> str:
    words = CAUSE_WORDS[move.cause]
    kind, _, rest = move.scope.partition(":")
    if kind == "joint":
        *_, joint = rest.rsplit("|", 1)
        return f"{words} ({joint.replace('#', ', no. ')})"
    return f"{words} ({rest})" if rest else words


def _way(move: CauseMove) -> str:
    if abs(move.shift) < _CLEAR_SHIFT:
        return "about as taken, surer" if abs(move.shift) < _CLEAR_SHIFT / 2 else _leaning(move)
    return f"clearly {'up' if move.shift > 0 else 'down'}, by {abs(move.shift):.1f} standard deviations"


def _leaning(move: CauseMove) -> str:
    return f"a little {'up' if move.shift > 0 else 'down'}, by {abs(move.shift):.1f} standard deviations"
