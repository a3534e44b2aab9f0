"""Species of wood: density for the strength rooms, acidity for the metal."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from longhold.base.marks import Mark, weakest
from longhold.base.recent import once
from longhold.base.tables import load_csv, optional_number
from longhold.wood.bands import Band, load_bands
from longhold.wood.checks import known, plain, unambiguous
from longhold.wood.named import named_in

__all__ = ["Species", "find_species", "species_in", "species_table"]


@dataclass(frozen=True)
class Species:
    """One species or group of species.

    Attributes
    ----------
    name : as the tables write it
    latin : botanical name
    wood : softwood or hardwood, as botany has it
    gravity_green : specific gravity, oven-dry mass and green volume [-]; None if not known
    gravity_12_pct : specific gravity at 12 % moisture [-]; None if not known
    gravity_design : specific gravity G of the NDS, oven-dry mass and volume [-]; None if not known
    ph_least, ph_most : acidity of the wood; depends on the method by as much as one unit; None if not known
    acidity : key of its factor in the table of acidity; empty if not judged
    adds_to_copper : whether its extractives add to the loss in copper-treated wood too (read for cedar)
    source, mark : of gravity and pH; the factor is our own
    """

    name: str
    latin: str
    wood: str
    gravity_green: float | None
    gravity_12_pct: float | None
    gravity_design: float | None
    ph_least: float | None
    ph_most: float | None
    acidity: str
    adds_to_copper: bool
    source: str
    mark: Mark

    @property
    def gravity(self) -> float | None:
        """Specific gravity, at 12 % moisture if known, else the NDS's or that of green wood [-]."""
        return self.gravity_12_pct or self.gravity_design or self.gravity_green

    @property
    def acid_band(self) -> Band | None:
        """Factor on the loss rate in this wood untreated, against wood not acid; None if not judged."""
        return load_bands("acidity")[self.acidity] if self.acidity else None

    @property
    def weakest_mark(self) -> Mark:
        """Weakest mark of the record, counting our factor for its acidity."""
        return weakest([self.mark, Mark.OWN]) if self.acidity else self.mark


def find_species(text: str, *, where: str = "species") -> Species:
    """The species of a common, botanical or trade-group name.

    Parameters
    ----------
    text : such as "southern pine", "SYP", "DF-L", "Pinus radiata"; case, blanks and hyphens do not count
    where : path inside the input, for the refusal

    Returns
    -------
    the species; sources ``wood-species-memory`` and ``wood-species-europe`` (memory), and ``wood-ph-survey``
    (verified, pH only)

    Raises
    ------
    InputError : not in the table, with the nearest names

    >>> find_species("SYP").gravity_design
    0.55
    >>> find_species("douglas fir").name
    'Douglas-fir (coast)'
    """
    names, shown = _names()
    return known(where, text, "species", names, spellings=shown, main=_table())


def species_in(text: str) -> tuple[Species, ...]:
    """The species that a longer text names, such as "CCA in radiata pine, outside"; empty if none.

    >>> [one.name for one in species_in("heat-treated Norway spruce")]
    ['Norway spruce']
    """
    names, shown = _names()
    return tuple(dict.fromkeys(names[plain(one)] for one in named_in(text, shown)))


def species_table() -> Mapping[str, Species]:
    """Every species by the name that the tables give it.

    >>> len(species_table())
    33
    """
    return _table()


@once
def _table() -> Mapping[str, Species]:
    judged = {
        row["name"]: (row["acidity"], row["adds_to_copper"] == "yes")
        for row in load_csv(
            "wood/species_acidity.csv",
            {"name": str, "acidity": str, "adds_to_copper": str},
            key=("name",),
        )
    }
    numbers = ("gravity_green", "gravity_12_pct", "gravity_design", "ph_least", "ph_most")
    rows = load_csv(
        "wood/species.csv",
        {"name": str, "latin": str, "wood": str, **dict.fromkeys(numbers, optional_number)},
        key=("name",),
    )
    found = {}
    for row in rows:
        acidity, adds = judged.get(row["name"], ("", False))
        found[row["name"]] = Species(**row, acidity=acidity, adds_to_copper=adds)
    return MappingProxyType(found)


def _names_one_species(latin: str) -> bool:
    return " " in latin and not latin.endswith("spp.")


@once
def _names() -> tuple[Mapping[str, Species], tuple[str, ...]]:
    table = _table()
    aliases = load_csv("wood/species_names.csv", {"spelling": str, "name": str}, key=("spelling",))
    pairs = [(row["spelling"], table[row["name"]]) for row in aliases]
    pairs += list(table.items())
    pairs += [(one.latin, one) for one in table.values() if _names_one_species(one.latin)]
    return unambiguous("species_names", pairs), tuple(spelling for spelling, _ in pairs)
