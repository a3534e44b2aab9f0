"""An end tag, or a deck without one, in words: what is in the wood, and what that does to metal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from longhold.base.errors import InputError
from longhold.base.marks import Mark, weakest
from longhold.documents.figures import figure
from longhold.labels.conversions import ratio
from longhold.labels.limits import limit
from longhold.labels.tag_tables import dated_treatments, treatment_tests
from longhold.wood.bands import Band
from longhold.wood.preservatives import (
    Preservative,
    copper_kg_m3,
    find_preservative,
    reference_copper_kg_m3,
)
from longhold.wood.treatments import retention_factor, treatment_bands

if TYPE_CHECKING:
    from longhold.labels.old_decks import PossibleTreatment
    from longhold.labels.tags import TagReading

__all__ = [
    "InWood",
    "Section",
    "in_wood",
    "tag_json",
    "tag_sections",
    "unknown_heads",
    "unknown_json",
    "unknown_rows",
    "unknown_words",
]

Section = tuple[str, tuple[tuple[str, str], ...]]
_LESS = "less than that"
_SHORT = "the tag has less than is listed for its category: read it again, or ask the treater"
_ABOVE, _GROUND = "UC3B", "UC4A"
unknown_heads = ("Treatment", "By its dates", "Copper in the wood", "Metal in it is lost", "Known")


@dataclass(frozen=True)
class InWood:
    """What one preservative does to metal in the wood.

    Attributes
    ----------
    designation, name : as the table of preservatives writes them
    held : whether its composition is held; the rest is empty where it is not
    copper_kg_m3 : least and most copper [kg/m3]: at the tag's retention or category, else from above ground
        to ground contact; None where it is not known
    listed : its listed retention for each category in question, in words
    rate : loss of metal in it against CCA: middle, low, high; None where it is not held
    mark : weakest of all that
    """

    designation: str
    name: str
    held: bool
    copper_kg_m3: tuple[float, float] | None = None
    listed: str = ""
    rate: tuple[float, float, float] | None = None
    mark: Mark = Mark.VERIFIED


def in_wood(
    designation: str, *, retention_kg_m3: float | None = None, categories: Sequence[str] = ()
) -> InWood:
    """The preservative of a tag joined with what is known of it in wood.

    Parameters
    ----------
    designation : such as ACQ-D; a CCA of another type than C, for one, is not held
    retention_kg_m3 : on the tag [kg/m3]
    categories : AWPA use categories on the tag

    >>> found = in_wood("ACQ-D", retention_kg_m3=2.4)
    >>> round(found.copper_kg_m3[0], 2), round(found.rate[0], 2)
    (1.28, 1.57)
    """
    try:
        known = find_preservative(designation)
    except InputError:
        return InWood(designation, "its composition is not held here", held=False)
    band = treatment_bands()[known.family]
    wanted = [one for one in categories if one in known.retentions] or [_ABOVE, _GROUND]
    listed = {one: known.retentions[one] for one in wanted if one in known.retentions}
    copper = _copper(known, retention_kg_m3, [one.kg_m3 for one in listed.values()])
    marks = [known.mark, band.mark, *([] if retention_kg_m3 else (one.mark for one in listed.values()))]
    return InWood(
        designation=known.abbreviation,
        name=known.name,
        held=True,
        copper_kg_m3=copper,
        listed=", ".join(_listed(name, one.kg_m3, retention_kg_m3) for name, one in listed.items()),
        rate=_rate(known, band, copper),
        mark=weakest(marks),
    )


def _rate(known: Preservative, band: Band, copper: tuple[float, float] | None) -> tuple[float, float, float]:
    """Loss against CCA at the copper in question: middle, low, high."""
    reference = reference_copper_kg_m3(known)
    if copper is None or reference is None:
        return band.median, band.p05, band.p95
    least, most = (float(retention_factor(one, reference)) for one in copper)
    return band.median * (least * most) ** 0.5, band.p05 * least, band.p95 * most


def _listed(category: str, listed_kg_m3: float, told_kg_m3: float | None) -> str:
    """A listed retention, and how the tag's own stands to it."""
    words = f"{_retention(listed_kg_m3)} for {category}"
    if told_kg_m3 is None:
        return words
    share = told_kg_m3 / listed_kg_m3
    near = limit("tag", "same_retention")
    told = _LESS if share < 1 - near else "more than that" if share > 1 + near else "just that"
    return f"{words}: the tag has {told}"


def _copper(known: Preservative, told_kg_m3: float | None, listed: list[float]) -> tuple[float, float] | None:
    if not known.contains_copper:
        return 0.0, 0.0
    amounts = [told_kg_m3] if told_kg_m3 is not None else listed
    if not amounts:
        return None
    copper = [float(copper_kg_m3(known, retention_kg_m3=one)) for one in amounts]
    return min(copper), max(copper)


def tag_sections(tag: TagReading, built: int | None = None) -> list[Section]:
    """The tag in headings with lines; ``built`` is the year of building, where it is known."""
    awpa = [one.name for one in tag.categories if one.system == "AWPA"]
    sections: list[Section] = [("What the tag says", tuple(_told(tag)))]
    count, short = len(tag.preservatives), 0
    for index, designation in enumerate(tag.preservatives, start=1):
        found = in_wood(designation, retention_kg_m3=tag.retention_kg_m3, categories=awpa)
        title = f"reading {index} of {count}: {designation}" if count > 1 else designation
        sections.append((title, tuple(_lines(found, built))))
        short += len(awpa) == 1 and found.held and _LESS in found.listed
    for title, words in (
        ("To settle", tag.questions),
        ("Caution", (*([_SHORT] if short and short == count else []), *tag.cautions)),
        ("Not understood, and left out", (", ".join(tag.ignored),) if tag.ignored else ()),
    ):
        if words:
            sections.append((title, tuple(("", line) for line in words)))
    return sections


def _told(tag: TagReading) -> Iterator[tuple[str, str]]:
    yield "Read from", " | ".join(tag.text[start:end].strip() for start, end in tag.spans)
    yield "Preservative", " or ".join(tag.preservatives) or "not stated"
    kilos = tag.retention_kg_m3
    yield (
        "Retention",
        tag.retention_text
        and (_retention(kilos) if kilos is not None else f"{tag.retention_text}, unit not stated"),
    )
    for one in tag.categories:
        yield f"Category {one.name}", f"{one.words} ({one.system}) [{one.mark.value}]"
    yield "For", ", ".join(tag.exposures)
    yield "Not for", ", ".join(tag.denied)
    yield "Drying", tag.drying
    yield "Standards and reports", ", ".join(tag.standards)
    yield "Year on it", str(tag.year) if tag.year else ""


def _lines(found: InWood, built: int | None) -> Iterator[tuple[str, str]]:
    yield "Name", found.name
    if not found.held:
        return
    yield "Listed retention", found.listed
    yield "Copper in the wood", copper_words(found)
    yield "Metal in it is lost", rate_words(found)
    yield "Rests on", f"{found.mark.in_words} [{found.mark.value}]"
    yield "Dates", _date_words(found.designation, built)


def copper_words(found: InWood) -> str:
    """Copper in the treated zone.

    >>> copper_words(InWood("CCA-C", "", True, (0.591, 0.947)))
    '0.59 to 0.95 kg/m³'
    """
    if found.copper_kg_m3 is None:
        return "not known" if found.held else "not held"
    low, high = (figure(value) for value in found.copper_kg_m3)
    if high == "0":
        return "none"
    return f"{low} kg/m³" if low == high else f"{low} to {high} kg/m³"


def rate_words(found: InWood) -> str:
    """Loss of metal in the wood against CCA.

    >>> rate_words(InWood("ACQ-D", "", True, rate=(2.0, 2.0, 2.0)))
    '2 times as fast as in CCA'
    """
    if found.rate is None:
        return "not held"
    middle, low, high = found.rate
    if found.designation.startswith("CCA"):
        return "at the rate with which the others are compared"
    words = "as fast as in CCA" if middle == 1.0 else f"{middle:.2g} times as fast as in CCA"
    return words if low == high else f"{words} ({low:.2g} to {high:.2g})"


def unknown_rows(found: Sequence[PossibleTreatment], built: int | None) -> list[tuple[str, ...]]:
    """A row for every treatment that remains possible."""
    rows: list[tuple[str, ...]] = []
    for one in found:
        known = in_wood(one.treatment.designation)
        rows.append(
            (
                _named(known),
                _fits(one, built),
                copper_words(known),
                rate_words(known),
                f"{one.treatment.words} [{one.treatment.mark.value}]",
            )
        )
    return rows


def _named(known: InWood) -> str:
    if known.designation == "none":
        return "untreated"
    short = known.designation == known.name
    return known.name if short else f"{known.designation}, {known.name}"


def _fits(one: PossibleTreatment, built: int | None) -> str:
    if one.treatment.first_year is None and one.treatment.last_year is None:
        return "no date held"
    return "open" if built is None else "fits" if one.likely else "unlikely"


def unknown_words(found: Sequence[PossibleTreatment], built: int | None) -> list[str]:
    """The answer above the table, and what to reckon with until it is settled."""
    likely = [in_wood(one.treatment.designation) for one in found if one.likely]
    hardest = max(likely, key=lambda one: one.rate[0] if one.rate else 0.0)
    names = ", ".join("untreated" if one.designation == "none" else one.designation for one in likely)
    when = "With no year of building" if built is None else f"For a deck built in {built}"
    hard = [o.designation for o in likely if o.rate and hardest.rate and o.rate[0] == hardest.rate[0]]
    return [
        f"{when} these remain: {names}.",
        f"Until it is settled, reckon with what is hardest on metal: {', '.join(hard)};"
        f" in {'these' if len(hard) > 1 else 'it'} metal is lost {rate_words(hardest)}.",
    ]


def _date_words(designation: str, built: int | None) -> str:
    row = next((one for one in dated_treatments() if one.designation == designation), None)
    if row is None or built is None:
        return ""
    late = row.last_year is not None and built > row.last_year
    early = row.first_year is not None and built < row.first_year
    odd = f"does not fit a deck built in {built}: " if late or early else ""
    return f"{odd}{row.words} [{row.mark.value}]"


def tag_json(tag: TagReading) -> dict[str, Any]:
    """The same as plain objects."""
    awpa = [one.name for one in tag.categories if one.system == "AWPA"]
    wood = [
        asdict(in_wood(one, retention_kg_m3=tag.retention_kg_m3, categories=awpa))
        for one in tag.preservatives
    ]
    return {"schema_version": "1", "kind": "longhold tag", "tag": asdict(tag), "in_wood": wood}


def unknown_json(found: Sequence[PossibleTreatment], built: int | None) -> dict[str, Any]:
    """A deck without a tag as plain objects."""
    return {
        "schema_version": "1",
        "kind": "longhold unknown treatment",
        "built": built,
        "possible": [
            {
                "likely": one.likely,
                **asdict(one.treatment),
                "in_wood": asdict(in_wood(one.treatment.designation)),
            }
            for one in found
        ],
        "tests": [asdict(one) for one in treatment_tests()],
    }


def _retention(kg_m3: float) -> str:
    return f"{figure(kg_m3 / ratio('lb/ft3'))} lb/ft³ ({figure(kg_m3)} kg/m³)"
