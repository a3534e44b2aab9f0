"""Labels beside each other, and designations that meet a demand: rows of words for terminal and picture."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from math import ceil
from typing import TYPE_CHECKING, Any

from longhold.base.marks import Mark, weakest
from longhold.base.quantities import System
from longhold.documents.axes import nice_most
from longhold.labels.compare import AS_WRITTEN
from longhold.labels.conversions import convert, ratio

if TYPE_CHECKING:
    from longhold.labels.compare import Compared, Promise
    from longhold.labels.demand import Demand, Group

__all__ = [
    "UNIT_NAMES",
    "UNIT_WORDS",
    "CoatBar",
    "amounts",
    "bar_cells",
    "bar_most",
    "coat_bars",
    "coat_heads",
    "coat_notes",
    "coat_table",
    "comparison_json",
    "demand_json",
    "demand_words",
    "meets_words",
    "shown",
    "thickness_columns",
    "weakest_words",
]

coat_heads = (
    "Label",
    "Read as",
    "Metal and coat",
    "Standard; what its figure counts",
    "Least on one face",
    "Expected on one face",
    "Topcoat, alloy",
)
_UNITS = (("um", "µm"), ("mil", "mil"), ("g/m2", "g/m²"), ("oz/ft2", "oz/ft²"))
UNIT_WORDS = dict(_UNITS)
UNIT_NAMES = tuple(UNIT_WORDS.values())
_HOW = {
    "least": "yes, even at its least",
    "both": "yes, mean and single",
    "expected": "only as expected",
    "mean only": "mean yes, single no",
    "just misses": "just misses",
}
_NO_LEAST = {"expected": "as expected, no least", "mean only": "mean yes, single not stated"}


@dataclass(frozen=True)
class CoatBar:
    """One reading of one label as a bar.

    Attributes
    ----------
    label : the label as handed in; blank for a second reading of the same label
    name : what it is read as, or why it cannot be
    least_um, expected_um : on one face [um]; None where not stated or where there is no coat
    least, expected : the same in um, mil, g/m2, oz/ft2 as words; blank where not stated
    words : told where there is no bar; beside one, what the coat is where it is not plain zinc
    """

    label: str
    name: str
    least_um: float | None = None
    expected_um: float | None = None
    least: tuple[str, ...] = ("", "", "", "")
    expected: tuple[str, ...] = ("", "", "", "")
    words: str = ""


def thickness_columns(system: System) -> tuple[int, int]:
    """Places of µm and mil among the figures of an amount, that of the system first.

    >>> [UNIT_NAMES[number] for number in thickness_columns("us")]
    ['mil', 'µm']
    """
    return (1, 0) if system == "us" else (0, 1)


def shown(value: float | None, unit: str) -> str:
    """A figure as the standards print such: um to a tenth, mil and oz/ft2 to a hundredth, g/m2 whole.

    >>> shown(27.4, "um"), shown(36.0, "um"), shown(0.925, "oz/ft2"), shown(195.3, "g/m2"), shown(None, "um")
    ('27.4', '36', '0.93', '195', '')
    """
    if value is None:
        return ""
    if unit == "um":
        return f"{value:.1f}".removesuffix(".0")
    return f"{value + 1e-9:.0f}" if unit == "g/m2" else f"{value + 1e-9:.2f}"


def amounts(mass_g_m2: float | None, thickness_um: float | None) -> tuple[str, ...]:
    """One amount in um, mil, g/m2 and oz/ft2; each pair from the standard's own figure.

    >>> amounts(195.3, 27.4)
    ('27.4', '1.08', '195', '0.64')
    """
    values = (
        thickness_um,
        None if thickness_um is None else convert(thickness_um, "um", "mil"),
        mass_g_m2,
        None if mass_g_m2 is None else convert(mass_g_m2, "g/m2", "oz/ft2"),
    )
    return tuple(shown(value, unit) for value, (unit, _) in zip(values, _UNITS, strict=True))


def coat_bars(found: Sequence[Compared]) -> tuple[CoatBar, ...]:
    """A bar for every reading, in the order of the labels."""
    bars = []
    for one in found:
        if not one.promises:
            bars.append(CoatBar(one.text, "cannot be read", words=f"it {one.refused}"))
        for index, promise in enumerate(one.promises):
            bars.append(_bar("" if index else one.text, promise))
    return tuple(bars)


def _bar(label: str, promise: Promise) -> CoatBar:
    return CoatBar(
        label=label,
        name=promise.designation,
        least_um=promise.least_um,
        expected_um=promise.expected_um,
        least=amounts(promise.least_g_m2, promise.least_um),
        expected=amounts(promise.expected_g_m2, promise.expected_um),
        words=_bar_words(promise),
    )


def _bar_words(promise: Promise) -> str:
    if not promise.coat:
        rank = "" if promise.pren is None else f", PREN {promise.pren:g}"
        return f"no coat: {promise.metal}{rank}"
    if promise.expected_um is None:
        return f"{promise.coat}, amount not stated"
    return "" if promise.coat == "zinc" else promise.coat


def bar_most(bars: Sequence[CoatBar]) -> float:
    """End of the scale [um] that holds every bar.

    >>> bar_most([CoatBar("", "", expected_um=43.0)])
    50.0
    """
    return nice_most(max((bar.expected_um or bar.least_um or 0.0 for bar in bars), default=0.0))


def coat_table(found: Sequence[Compared]) -> list[tuple[str, ...]]:
    """Rows of words under ``coat_heads``."""
    rows: list[tuple[str, ...]] = []
    for one in found:
        if not one.promises:
            rows.append((one.text, f"cannot be read: it {one.refused}", *[""] * (len(coat_heads) - 2)))
        for index, promise in enumerate(one.promises):
            several = f"reading {index + 1}: " if len(one.promises) > 1 else ""
            name = "as written" if promise.designation == one.text else promise.designation
            rows.append((one.text, several + name, *_cells(promise)))
    return rows


def _cells(promise: Promise) -> tuple[str, ...]:
    counts = promise.counted and f"counts {promise.counted.replace('total', 'the total')}"
    last = [promise.family]
    if promise.pren is not None:
        last.append(f"PREN {promise.pren:g}, a rank")
    if promise.has_topcoat:
        last.insert(0, _film(promise.topcoat_um))
    least, expected = (
        _face(words, amounts(mass, um), promise)
        for words, mass, um in (
            (promise.least_is, promise.least_g_m2, promise.least_um),
            (promise.expected_is, promise.expected_g_m2, promise.expected_um),
        )
    )
    return (
        f"{promise.coat} on {promise.metal}" if promise.coat else promise.metal,
        "; ".join(part for part in (promise.standard or "none named", counts) if part),
        least,
        expected,
        ", ".join(part for part in last if part) or "none stated",
    )


def _face(kind: str, figures: tuple[str, ...], promise: Promise) -> str:
    told = [f"{value} {word}" for value, (_, word) in zip(figures, _UNITS, strict=True) if value]
    if not told:
        return "not stated" if promise.coat else "no coat"
    return f"{', '.join(told)} ({kind})" if kind else ", ".join(told)


def _film(thickness_um: float | None) -> str:
    if thickness_um is None:
        return "organic, thickness not stated"
    return f"organic, {shown(thickness_um, 'um')} µm ({convert(thickness_um, 'um', 'mil'):.2f} mil)"


def coat_notes(found: Sequence[Compared]) -> list[str]:
    """What a reader of the chart has to know: open questions, unlike coats, the weakest mark."""
    notes = [f"{one.text}: {one.question}" for one in found if one.question]
    promises = [promise for one in found for promise in one.promises]
    coats = {promise.coat for promise in promises if promise.coat}
    bare = any(promise.family for promise in promises)
    if len(coats) > 1 or (coats and bare):
        other = ", and an alloy has no coat to measure" if bare else ""
        notes.append(f"A micrometer of one coat does not last as long as a micrometer of another{other}.")
    if coats:
        notes.append("Thickness and mass are each standard's own pair; neither is computed across standards.")
    if any(promise.expected_is == AS_WRITTEN or promise.least_is == AS_WRITTEN for promise in promises):
        notes.append(
            f"An amount written on a label is converted at {ratio():g} g/m² for a micrometer of zinc."
        )
    notes.append(weakest_words(promise.mark for promise in promises))
    return notes


def weakest_words(marks: Iterable[Mark]) -> str:
    """What the weakest of some figures rests on.

    >>> weakest_words([Mark.VERIFIED, Mark.MEMORY])
    'The weakest figure here rests on values from memory, not read in a source [memory].'
    """
    mark = weakest(marks)
    return f"The weakest figure here rests on {mark.in_words} [{mark.value}]."


def comparison_json(found: Sequence[Compared]) -> dict[str, Any]:
    """The same as plain objects."""
    labels = []
    for one in found:
        plain = asdict(one)
        del plain["problems"]
        labels.append(plain)
    return {"schema_version": "1", "kind": "longhold comparison", "labels": labels}


def demand_words(demand: Demand) -> str:
    """What is asked of one face, in words.

    >>> from longhold.labels.demand import read_demand
    >>> demand_words(read_demand("275 g/m2 both faces"))
    '137.5 g/m² on one face (half of the total of both faces)'
    """
    places = 4 if demand.unit in ("oz/ft2", "mil") else 1
    number = f"{round(demand.amount, places):g}"
    half = " (half of the total of both faces)" if demand.halved else ""
    single = demand.single
    each = "" if single is None else f" as a mean, {round(single, places):g} in any one reading,"
    return f"{number} {UNIT_WORDS[demand.unit]}{each} on one face{half}"


def meets_words(how: str, least: float | None) -> str:
    """How a designation meets a demand."""
    if least is None and how in _NO_LEAST:
        return _NO_LEAST[how]
    return _HOW[how]


def demand_json(demand: Demand, groups: Sequence[Group]) -> dict[str, Any]:
    """The same as plain objects; figures in the unit of the demand."""
    return {
        "schema_version": "1",
        "kind": "longhold demand",
        "demand": asdict(demand),
        "groups": [
            {
                "form": group.form,
                "standard": group.standard,
                "least_is": group.least_is,
                "expected_is": group.expected_is,
                "mark": group.mark.value,
                "designations": [
                    {
                        "designation": one.designation,
                        "how": one.how,
                        "least": one.least,
                        "expected": one.expected,
                        "unit": demand.unit,
                        "source": one.coat.source,
                        "mark": one.coat.mark.value,
                    }
                    for one in group.candidates
                ],
            }
            for group in groups
        ],
    }


def bar_cells(value: float, most: float, cells: int) -> int:
    """Cells of a terminal that a value fills: at least one for anything above zero."""
    return 0 if value <= 0 else max(1, ceil(value / most * cells - 0.5))
