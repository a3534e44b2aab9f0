"""Preservatives: what is in them, how much copper that puts into the wood, and their family for the rate."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark, weakest
from longhold.base.recent import once
from longhold.base.tables import load_csv, number, yes_no
from longhold.wood.checks import checked, known, unambiguous
from longhold.wood.named import named_in

__all__ = [
    "Preservative",
    "Retention",
    "copper_kg_m3",
    "find_preservative",
    "preservative_table",
    "preservatives_in",
    "reference_copper_kg_m3",
    "treatment_family",
]

_MOST_RETENTION_KG_M3 = 400.0


@dataclass(frozen=True)
class Retention:
    """Listed retention of one preservative for one use category.

    Attributes
    ----------
    kg_m3 : retention as the preservative's own basis counts it [kg/m3]
    words : a caution, or what stands in for what; may be empty
    source, mark : of the figure
    """

    kg_m3: float
    words: str
    source: str
    mark: Mark


@dataclass(frozen=True)
class Preservative:
    """One preservative, or none.

    Attributes
    ----------
    abbreviation, name : as the tables write them; ``none`` for untreated wood
    family : none, borate, CCA, micronized, copper azole, ACQ, ACZA, oil, organic, FRT (our grouping)
    carrier : what it is dissolved in
    contains_copper : whether there is copper in it
    actives : composition in words
    copper_fraction : kg of copper in a kg of stated retention [-]
    retentions : AWPA use category -> retention, for those with copper
    note : what is said of its effect on metal
    source, mark : of composition
    assumptions : what had to be assumed to read the name; empty for an exact name
    """

    abbreviation: str
    name: str
    family: str
    carrier: str
    contains_copper: bool
    actives: str
    copper_fraction: float
    retentions: Mapping[str, Retention]
    note: str
    source: str
    mark: Mark
    assumptions: tuple[str, ...] = ()

    def retention(self, use_category: str, *, where: str = "use_category") -> Retention:
        """Listed retention for an AWPA use category; a stand-in is said in its words.

        Raises
        ------
        InputError : no retention is listed for this use category, nor for one that stands for it
        """
        stand_in = _use_categories().get(use_category)
        if stand_in is None or stand_in[0] not in self.retentions:
            listed = ", ".join(self.retentions) or "none"
            raise InputError(
                Problem(
                    where,
                    use_category,
                    f"no retention of {self.abbreviation} is listed for it (listed are: {listed}).",
                    "Give the retention on the end tag.",
                )
            )
        listed_for, words, mark = stand_in
        found = self.retentions[listed_for]
        if listed_for == use_category:
            return found
        return replace(found, words=words, mark=weakest([found.mark, mark]))


def find_preservative(text: str, *, where: str = "preservative") -> Preservative:
    """The preservative of an abbreviation or common spelling.

    "ACQ" alone is read as ACQ-D and "CA" or "CuAz" alone as CA-C; the assumption is listed in the result.

    Parameters
    ----------
    text : such as "ACQ-D", "micronized copper azole", "borate", "none"; case, blanks and hyphens do not count
    where : path inside the input, for the refusal

    Raises
    ------
    InputError : not in the table, with the nearest names

    >>> find_preservative("CuAz").abbreviation
    'CA-C'
    >>> find_preservative("untreated").family
    'none'
    """
    names, shown = _names()
    abbreviation, assumption = known(where, text, "preservative", names, spellings=shown, main=_table())
    found = _table()[abbreviation]
    return replace(found, assumptions=(assumption,)) if assumption else found


def preservatives_in(text: str) -> tuple[Preservative, ...]:
    """The preservatives that a longer text names, in its order; empty if none.

    >>> [one.abbreviation for one in preservatives_in("CuAz / ACQ, H3.2")]
    ['CA-C', 'ACQ-D']
    """
    _, shown = _names()
    found = dict.fromkeys(find_preservative(one).abbreviation for one in named_in(text, shown))
    return tuple(_table()[abbreviation] for abbreviation in found)


def preservative_table() -> Mapping[str, Preservative]:
    """Every preservative by abbreviation.

    >>> preservative_table()["CCA-C"].copper_fraction
    0.1478
    """
    return _table()


def treatment_family(text: str) -> str:
    """Family of a preservative by any of its names: the key of the table of multipliers.

    >>> treatment_family("micronized copper azole"), treatment_family("SBX")
    ('micronized', 'borate')
    """
    return find_preservative(text).family


def copper_kg_m3(
    preservative: Preservative,
    *,
    retention_kg_m3: ArrayLike | None = None,
    use_category: str | None = None,
) -> NDArray[np.float64]:
    """Copper in the treated zone.

    copper = fraction of the preservative's retention that is copper x retention.

    Parameters
    ----------
    preservative : from ``find_preservative``
    retention_kg_m3 : retention on the end tag [kg/m3], on the preservative's own basis
    use_category : AWPA use category, whose listed retention is taken; exactly one of the two must be given

    Returns
    -------
    copper [kg/m3]; zero for a preservative without copper

    Raises
    ------
    InputError : neither or both given, out of range, or no retention listed

    Notes
    -----
    Sources ``wood-handbook-ch15``, ``wood-epa-cca`` (verified), others memory: see the record.

    >>> round(float(copper_kg_m3(find_preservative("ACQ-D"), use_category="UC4A")), 2)
    3.43
    """
    if (retention_kg_m3 is None) == (use_category is None):
        raise InputError(
            Problem("retention_kg_m3, use_category", None, "needs exactly one: retention, or use category")
        )
    if retention_kg_m3 is None:
        if not preservative.contains_copper:
            return np.zeros(())
        retention_kg_m3 = preservative.retention(str(use_category)).kg_m3
    retention = checked("retention_kg_m3", retention_kg_m3, 0.0, _MOST_RETENTION_KG_M3, "kg/m3")
    return np.asarray(preservative.copper_fraction * retention)


def reference_copper_kg_m3(preservative: Preservative) -> float | None:
    """Copper to which the multiplier of the family refers [kg/m3]; None without copper.

    Geometric mean of the copper at the above-ground (UC3B) and ground-contact (UC4A) retentions, or of
    whichever of the two is listed (mark own).

    >>> reference = reference_copper_kg_m3(find_preservative("ACQ-D"))
    >>> round(reference or 0, 2)
    2.1
    """
    listed = [preservative.retentions[u].kg_m3 for u in ("UC3B", "UC4A") if u in preservative.retentions]
    if not listed:
        return None
    return preservative.copper_fraction * float(np.exp(np.mean(np.log(listed))))


@once
def _table() -> Mapping[str, Preservative]:
    families = {
        row["abbreviation"]: row["family"]
        for row in load_csv(
            "wood/preservative_families.csv", {"abbreviation": str, "family": str}, key=("abbreviation",)
        )
    }
    retentions: dict[str, dict[str, Retention]] = {}
    for row in load_csv(
        "wood/retentions.csv",
        {
            "abbreviation": str,
            "use_category": str,
            "retention_kg_m3": number,
            "retention_pcf": number,
            "note": str,
        },
        key=("abbreviation", "use_category"),
    ):
        retentions.setdefault(row["abbreviation"], {})[row["use_category"]] = Retention(
            row["retention_kg_m3"], row["note"], row["source"], row["mark"]
        )
    words = dict.fromkeys(("abbreviation", "name", "carrier", "actives", "note"), str)
    rows = load_csv(
        "wood/preservatives.csv",
        {**words, "contains_copper": yes_no, "copper_fraction": number},
        key=("abbreviation",),
    )
    return MappingProxyType(
        {
            row["abbreviation"]: Preservative(
                **row,
                family=families[row["abbreviation"]],
                retentions=MappingProxyType(retentions.get(row["abbreviation"], {})),
            )
            for row in rows
        }
    )


@once
def _names() -> tuple[Mapping[str, tuple[str, str]], tuple[str, ...]]:
    columns = {"spelling": str, "abbreviation": str, "assumption": str}
    aliases = load_csv("wood/preservative_names.csv", columns, key=("spelling",))
    pairs = [(key, (key, "")) for key in _table()] + [(one.name, (key, "")) for key, one in _table().items()]
    pairs += [(row["spelling"], (row["abbreviation"], row["assumption"])) for row in aliases]
    return unambiguous("preservative_names", pairs), tuple(spelling for spelling, _ in pairs)


@once
def _use_categories() -> Mapping[str, tuple[str, str, Mark]]:
    columns = {"use_category": str, "stands_for": str, "words": str}
    rows = load_csv("wood/use_categories.csv", columns, key=("use_category",))
    return MappingProxyType(
        {row["use_category"]: (row["stands_for"], row["words"], row["mark"]) for row in rows}
    )
