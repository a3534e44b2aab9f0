"""What a label promises, laid out for a person; whoever shows it chooses the look."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from longhold.base.marks import Mark
from longhold.base.sources import register
from longhold.base.trace import Section
from longhold.labels.amount_steps import amount_steps
from longhold.labels.conversions import convert
from longhold.labels.read import read_label
from longhold.labels.reading import LabelReading, Reading
from longhold.labels.several import PartLabel, read_parts
from longhold.model.protection import Layer

__all__ = ["NOT_UNDERSTOOD", "Explanation", "Heading", "explain"]

NOT_UNDERSTOOD = "Not understood, and left out"


@dataclass(frozen=True)
class Heading:
    """A heading with what stands under it.

    Attributes
    ----------
    title : the heading
    lines : pairs of a name and what is said of it; the name is blank where a line speaks for itself
    calculation : how the amounts among them come about; None where there is none
    """

    title: str
    lines: tuple[tuple[str, str], ...]
    calculation: Section | None = None


@dataclass(frozen=True)
class Explanation:
    """Headings in order; as text it reads by itself."""

    headings: tuple[Heading, ...]

    def __iter__(self) -> Iterator[Heading]:
        return iter(self.headings)

    def __str__(self) -> str:
        width = max((len(name) for heading in self for name, _ in heading.lines), default=0)
        blocks = []
        for heading in self:
            rows = [f"  {name:<{width}}  {text}" if name else f"  {text}" for name, text in heading.lines]
            blocks.append("\n".join([heading.title, *rows]))
        return "\n\n".join(blocks)


def explain(label: str | LabelReading) -> Explanation:
    """Everything that a label says and does not say.

    Parameters
    ----------
    label : the words of the label, or what ``read_label`` made of them

    Raises
    ------
    LabelError : where the words cannot be read

    >>> [heading.title for heading in explain("Z100")]
    ['EN 10346 Z100', 'or: AS 1397 Z100', 'To settle', 'Not promised', 'Caution']
    """
    if isinstance(label, str):
        parts = read_parts(label)
        if len(parts) > 1:
            return Explanation(tuple(_of_parts(parts)))
        label = parts[0].told or read_label(label)
    return Explanation(tuple(_headings(label)))


def _of_parts(parts: Sequence[PartLabel]) -> Iterator[Heading]:
    """Headings of every part of a text, each under its part."""
    for one in parts:
        where = f"{one.kind}: "
        if one.refused is not None:
            yield Heading(f"{where}not readable", (("Words", one.text), ("", f"It {one.refused.why}")))
        if one.told is not None:
            yield from (replace(each, title=f"{where}{each.title}") for each in _headings(one.told))


def _headings(told: LabelReading) -> list[Heading]:
    headings = [
        Heading(
            f"{'or: ' if index else ''}{one.protection.designation}",
            tuple(_lines(one, told.text)),
            amount_steps(one),
        )
        for index, one in enumerate(told.readings)
    ]
    if told.question:
        headings.append(_plain("To settle", (told.question,)))
    if told.not_promised:
        headings.append(_plain("Not promised", told.not_promised))
    if told.cautions:
        headings.append(_plain("Caution", told.cautions))
    if told.readings[0].ignored:
        headings.append(_plain(NOT_UNDERSTOOD, (", ".join(told.readings[0].ignored),)))
    return headings


def _plain(title: str, lines: tuple[str, ...]) -> Heading:
    return Heading(title, tuple(("", line) for line in lines))


def _lines(reading: Reading, text: str) -> Iterator[tuple[str, str]]:
    protection = reading.protection
    yield "Read from", " | ".join(text[start:end].strip() for start, end in reading.spans)
    edition = f", edition {protection.edition}" if protection.edition.strip("-") else ""
    yield "Metal", f"{protection.base_metal.replace('_', ' ')} {protection.grade}".strip()
    yield "Standard", f"{protection.standard}{edition}" if protection.standard else "none named"
    if protection.product_form:
        yield "What it is", _signs(protection.product_form)
    if reading.as_written:
        yield "As written", _signs(reading.as_written)
    yield "Counts", reading.counted or "nothing"
    yield "Basis", _signs(protection.basis)
    if reading.coat is not None:
        yield from _coat_lines(reading.coat)
    if protection.topcoat is not None:
        yield "Topcoat", _film(protection.topcoat)
    if reading.alloy is not None:
        yield from _alloy_lines(reading)
    if reading.item:
        yield "Part", ", ".join(part for part in (reading.item, reading.size_text) if part)
    yield "Source", _source(protection.source, protection.mark)
    if reading.coat is not None and reading.coat.source != protection.source:
        yield "Source of figures", _source(reading.coat.source, reading.coat.mark)


def _coat_lines(coat: Layer) -> Iterator[tuple[str, str]]:
    yield "Coat", f"{coat.kind.replace('_', ' ')}, {_PUT_ON[coat.process]}"
    yield "Expected on one face", _amount(coat.nominal_g_m2, coat.nominal_um)
    yield "Least on one face", _amount(coat.least_g_m2, coat.least_um)
    if coat.density_g_cm3 is not None:
        yield "Mass for each µm", f"{coat.density_g_cm3:g} g/m²"


# what a label says of itself was read by nobody but the user: it has no mark
_THE_LABEL = "label-itself"
_PUT_ON = {
    "mill_dip": "hot-dip before anything is made of the sheet or wire",
    "dip_after_making": "hot-dip after making",
    "spun_dip": "hot-dip after making, then spun",
    "electroplate": "electroplated",
    "mechanical": "mechanically deposited",
    "thermal_diffusion": "thermally diffused",
    "sprayed": "sprayed",
    "painted": "painted",
    "not_told": "how it was put on is not stated",
}


def _amount(mass_g_m2: float | None, thickness_um: float | None) -> str:
    parts = []
    if mass_g_m2 is not None:
        parts.append(f"{convert(mass_g_m2, 'g/m2', 'oz/ft2'):.2f} oz/ft² ({mass_g_m2:.0f} g/m²)")
    if thickness_um is not None:
        parts.append(f"{thickness_um:.1f} µm ({convert(thickness_um, 'um', 'mil'):.2f} mil)")
    return ", ".join(parts) or "not stated"


def _signs(text: str) -> str:
    """What a table writes with the signs of a keyboard, as it is printed.

    >>> _signs("t <= 4.76 mm, 8 um, 0.9 oz/ft2")
    't ≤ 4.76 mm, 8 µm, 0.9 oz/ft²'
    """
    text = text.replace("<=", "≤").replace(">=", "≥").replace("oz/ft2", "oz/ft²").replace("g/m2", "g/m²")
    return re.sub(r"\bum\b", "µm", text)


def _film(film: Layer) -> str:
    if film.nominal_um is None:
        return "organic, thickness not stated"
    least = "" if film.least_um is None else f", at least {film.least_um:g} µm"
    return f"organic, {film.nominal_um:g} µm ({convert(film.nominal_um, 'um', 'mil'):.2f} mil){least}"


def _alloy_lines(reading: Reading) -> Iterator[tuple[str, str]]:
    alloy = reading.alloy
    if alloy is None:
        return
    yield "Family", alloy.family
    if alloy.base_metal == "stainless":
        known = "not held" if alloy.pren is None else f"{alloy.pren:g} (a rank, no rate)"
        yield "Pitting resistance number", known


def _source(source: str, mark: Mark) -> str:
    if source == _THE_LABEL:
        return "the label itself"
    known = register().get(source)
    return f"{known.title if known else source} [{mark.value}]"
