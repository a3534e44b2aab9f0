"""How the amounts that a label is read as come about: what a source gives, and what is converted."""

from __future__ import annotations

import re
from collections.abc import Iterator

from longhold.base.marks import Mark
from longhold.base.trace import Section, Step
from longhold.labels.conversions import convert, ratio_of, ratio_row
from longhold.labels.reading import Reading
from longhold.model.protection import Layer

__all__ = ["amount_steps"]

_WRITES_MASS = re.compile(r"g/m2|g/m²|oz")


def amount_steps(reading: Reading) -> Section | None:
    """The calculation of the amounts on one face; None where the reading has no amount.

    Parameters
    ----------
    reading : one thing that a label may promise

    >>> from longhold.labels.read import read_label
    >>> found = amount_steps(read_label("ASTM A653 G185").readings[0])
    >>> [(step.symbol, round(step.value, 2), step.source) for step in found.steps()][:2]
    [('m_expected', 282.3, 'a653-15-table1'), ('w_expected', 0.93, 'a879-06')]
    """
    coat = reading.coat
    steps = [] if coat is None else [*_of_coat(coat, reading)]
    return Section(reading.protection.designation, list(steps)) if steps else None


def _of_coat(coat: Layer, reading: Reading) -> Iterator[Step]:
    note = _written(reading)
    for word, mass, thickness in (
        ("expected", coat.nominal_g_m2, coat.nominal_um),
        ("least", coat.least_g_m2, coat.least_um),
    ):
        if coat.source == _THE_LABEL:
            yield from _tied(coat, word, mass, thickness, reading, note)
        if mass is not None:
            if coat.source != _THE_LABEL:
                yield _given(coat, f"{word} mass on one face", f"m_{word}", mass, "g/m2", note)
            yield _converted("the same in ounces", ("m", "w", word), mass, "g/m2", "oz/ft2")
        if thickness is not None:
            if coat.source != _THE_LABEL:
                yield _given(coat, f"{word} thickness on one face", f"t_{word}", thickness, "um")
            yield _converted("the same in mil", ("t", "s", word), thickness, "um", "mil")
        note = ""


# what a label says of itself was read by nobody but the user, so that it is no step with a mark
_THE_LABEL = "label-itself"


def _tied(
    coat: Layer, word: str, mass: float | None, thickness: float | None, reading: Reading, note: str
) -> Iterator[Step]:
    """The one of mass and thickness that the label does not write, from the one that it does."""
    row = None if coat.density_g_cm3 is None else ratio_of(coat.density_g_cm3)
    if row is None or mass is None or thickness is None:
        return
    tie = {"k": f"{row['value']:g} g/m2 for each um"}
    source, mark = row["source"], Mark(row["mark"])
    if _WRITES_MASS.search(reading.as_written):
        given = {f"m_{word}": f"{mass:.4g} g/m2", **tie}
        what, name, equation = f"{word} thickness on one face", f"t_{word}", f"t_{word} = m_{word} / k"
        yield Step(what, name, equation, given, thickness, "um", source, mark, note)
    else:
        given = {f"t_{word}": f"{thickness:.4g} um", **tie}
        what, name, equation = f"{word} mass on one face", f"m_{word}", f"m_{word} = t_{word} k"
        yield Step(what, name, equation, given, mass, "g/m2", source, mark, note)


def _written(reading: Reading) -> str:
    counted = f" It counts {reading.counted}." if reading.counted else ""
    written = f"As written: {reading.as_written}.{counted}" if reading.as_written else counted.strip()
    return f"{written} Basis: {reading.protection.basis}.".strip()


def _given(coat: Layer, what: str, symbol: str, value: float, unit: str, note: str = "") -> Step:
    return Step(what, symbol, "", {}, value, unit, coat.source, coat.mark, note)


def _converted(what: str, symbols: tuple[str, str, str], value: float, unit: str, wanted: str) -> Step:
    given, found, word = symbols
    row = ratio_row(wanted)
    inputs = {f"{given}_{word}": f"{value:.4g} {unit}", "k": f"{row['value']:g} {unit} for each {wanted}"}
    return Step(
        what,
        f"{found}_{word}",
        f"{found}_{word} = {given}_{word} / k",
        inputs,
        convert(value, unit, wanted),
        wanted,
        row["source"],
        Mark(row["mark"]),
    )
