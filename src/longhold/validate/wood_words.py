"""Words of a row about metal in wood: metals, timbers, retention, moisture."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from longhold.validate.area import UnansweredError
from longhold.wood.modifications import Modification
from longhold.wood.preservatives import preservatives_in
from longhold.wood.species import species_in

__all__ = ["COPPER_TREATED", "State", "Wood", "metals_in", "metals_of", "retention_in", "state_in", "wood_in"]

COPPER_TREATED = ("CCA-C", "MCA", "CA-C", "ACQ-D", "ACZA")
_NOT_TOLD = re.compile(r"^\W*(?:none|bare|uncoated|bright|any|n/?[as]|not (?:stated|told))?\W*$", re.I)
_EVERY_METAL = ("carbon_steel", "zinc", "aluminium", "copper", "brass", "silicon_bronze", "stainless")
_UNKNOWN_METAL = re.compile(
    r"\b(?:lead|nickel|monel|titanium|magnesium|chrom\w*|tin|cadmium|epoxy|polymer|ceramic|phosphat\w*|paint\w*)\b",
    re.IGNORECASE,
)
# the first that fits a piece of text counts
_METALS = (
    ("stainless", "", r"stainless|\b(?:304|316)L?\b|\bA[24]\b"),
    (
        "zinc",
        "electroplate",
        r"electro-?\s?(?:plat|galvani|deposit)\w*|(?-i:\bEG\b)|zinc[- ]plated|plated zinc",
    ),
    ("zinc", "hot_dip", r"hot[- ]?dip\w*|\bHDG\b|galv(?:ani[sz]\w*)?\b"),
    ("zinc", "either", r"zinc[- ]coat\w*"),
    ("aluminium", "", r"alumini?um|(?-i:\bAl\b)"),
    ("silicon_bronze", "", r"bronze"),
    ("brass", "", r"\bbrass"),
    ("zinc", "hot_dip", r"\bzinc\b|(?-i:\bZn\b)"),
    ("weathering_steel", "", r"weathering steel"),
    ("carbon_steel", "", r"steel|\biron\b"),
    ("copper", "", r"\bcopper\b(?![- ](?:azole|quat|naph|hdo|treat|based|rich|preserv|arsen))"),
)
_FASTENER = re.compile(r"\b(?:nail|screw|bolt|hanger|fastener|wire|staple)s?\b", re.IGNORECASE)
_HEAT = re.compile(
    r"therm(?:ally|al|o)[- ]?(?:modifi\w*|treat\w*|wood)|heat[- ]?treat\w*|\bTMT?\b", re.IGNORECASE
)
_NO_OIL = re.compile(r"\b(?:un|non)[- ]?oiled\b|without (?:an? )?oil\w*|\bno oil\b", re.IGNORECASE)
_OIL = re.compile(r"(?<!creosote )\boil(?:ed)?\b(?![- ]?(?:born|copper|solu|base))", re.IGNORECASE)
_PLAIN = re.compile(r"\bun-?modified\b|\bnon-?modified\b", re.IGNORECASE)
_UNTREATED = re.compile(r"\bun-?treated\b|\bno preservative\b|\bwithout preservative\b", re.IGNORECASE)
_TREATED = re.compile(r"\btreated\b|\bpreservatives?\b|\bcopper[- ](?:based|rich)\b", re.IGNORECASE)
_OTHER_WOOD = re.compile(
    r"furfuryl\w*|\bDMDHEU\b|\bresin\w*|silic(?:a|on)-?treat\w*|melamine|\bwax\w*", re.IGNORECASE
)
# names too loose for a structure file, where strength hangs on the species, but enough for acidity
_LOOSE = {
    "oak": "white oak",
    "ash": "white ash",
    "radiata": "radiata pine",
    "spruce": "Norway spruce",
    "cedar": "western red cedar",
    "pine": "southern pine (loblolly)",
}
# New Zealand's hazard classes have retentions of their own; the nearest use categories stand for them
_HAZARD = {"3": "UC3B", "3.1": "UC3B", "3.2": "UC3B", "4": "UC4A", "5": "UC4B"}
_PCF_KG_M3 = 16.018463
_TEST_C = 27.0
_SOAKED_PCT = 60.0


@dataclass(frozen=True)
class Wood:
    """What a row says of a timber; several preservatives are alternatives, all of which must hold."""

    preservatives: tuple[str, ...] = ("none",)
    modification: Modification | None = None
    oiled: bool = False
    species: str = "southern pine (loblolly)"
    retention_kg_m3: float | None = None
    use_category: str | None = None


@dataclass(frozen=True)
class State:
    """Moisture and temperature of the wood."""

    moisture_pct: float
    temperature_c: float


def metals_in(text: str) -> tuple[tuple[str, str], ...]:
    """Metals named in a text, with the way their zinc was put on; several are alternatives.

    >>> metals_in("electroplated zinc in same wood"), metals_in("same metal in CCA")
    ((('zinc', 'electroplate'),), ())
    """
    found: list[tuple[str, str]] = []
    for piece in re.split(r"/|,|;|\bor\b|\band\b|\+", _without_preservatives(text)):
        for metal, coat, pattern in _METALS:
            if re.search(pattern, piece, re.IGNORECASE):
                coats = ("hot_dip", "electroplate") if coat == "either" else (coat,)
                found += [(metal, one) for one in coats]
                break
    return tuple(dict.fromkeys(found))


def metals_of(metal: str, coating: str) -> tuple[tuple[str, str], ...]:
    """Metals of a row's two cells: the coating is what meets the wood; without one, the metal.

    Raises
    ------
    UnansweredError : a metal or coating that Longhold has no rate for
    """
    if not _NOT_TOLD.match(coating):
        found = metals_in(coating)
        if not found or _UNKNOWN_METAL.search(coating):
            raise UnansweredError(f"no rate in wood is known for coating {coating!r}")
        return found
    if _UNKNOWN_METAL.search(metal):
        raise UnansweredError(f"no rate in wood is known for metal {metal!r}")
    if re.match(r"\s*(?:any|all)\b", metal, re.IGNORECASE):
        return tuple((one, "hot_dip" if one == "zinc" else "") for one in _EVERY_METAL)
    found = metals_in(metal)
    if not found and _FASTENER.search(metal):
        return (("carbon_steel", ""),)
    if not found:
        raise UnansweredError(f"no rate in wood is known for metal {metal!r}")
    return found


def wood_in(text: str, base: Wood) -> Wood | None:
    """The timber that a text names, what it leaves out taken from a base; None where it names none.

    Raises
    ------
    UnansweredError : a kind of wood that Longhold does not know

    >>> wood_in("un-oiled TM wood", Wood(("none",), "heat_treated", True)).oiled
    False
    """
    if other := _OTHER_WOOD.search(text):
        raise UnansweredError(f"wood changed by {other.group()!r} is not modeled")
    preservatives = _preservatives(text)
    modification = _modification(text)
    oiled = False if _NO_OIL.search(text) else True if _OIL.search(text) else None
    species = _species(text)
    if preservatives is None and modification is None and oiled is None and species is None:
        return None
    wood = replace(base, species=species or base.species)
    if modification is not None:
        wood = replace(wood, preservatives=("none",), modification=modification, oiled=False)
    if preservatives is not None:
        wood = replace(wood, preservatives=preservatives, modification=modification, oiled=False)
    return wood if oiled is None else replace(wood, oiled=oiled)


def retention_in(text: str) -> tuple[float | None, str | None]:
    """Retention [kg/m3] or AWPA use category named in a text; neither where it names none or several.

    >>> retention_in("0.10 or 0.06 pcf (UC3B)"), retention_in("NZ H3.2/H4"), retention_in("6.4 kg/m3")
    ((None, 'UC3B'), (None, None), (6.4, None))
    """
    kilograms = {float(n) for n in re.findall(r"(\d+(?:\.\d+)?)\s*kg\s*/\s*m", text)}
    pounds = re.findall(r"(\d*\.?\d+)\s*(?:or\s*(\d*\.?\d+)\s*)?(?:pcf|lb/ft)", text)
    kilograms |= {float(n) * _PCF_KG_M3 for pair in pounds for n in pair if n}
    if len(kilograms) == 1:
        return kilograms.pop(), None
    classes = {f"UC{n}" for n in re.findall(r"\bUC\s?([1-5][A-C]?)\b", text)}
    classes |= {_HAZARD[n] for n in re.findall(r"\bH(\d(?:\.\d)?)\b", text) if n in _HAZARD}
    return None, classes.pop() if len(classes) == 1 else None


def state_in(text: str) -> State | None:
    """Moisture and temperature that a text names, by moisture, humidity or words; None where it names none.

    >>> state_in("27C ~100% RH").moisture_pct > 28, state_in("19% MC").moisture_pct, state_in("lab")
    (True, 19.0, None)
    """
    from longhold.wood.sorption import equilibrium_moisture_pct

    degrees = re.findall(r"(-?\d+(?:\.\d+)?)\s*(?:deg\s?|°\s?)?C\b", text)
    temperature_c = float(degrees[0]) if degrees else _TEST_C
    moistures = _percentages(text, r"(?:MC\b|moisture)")
    humidities = _percentages(text, r"(?:RH\b|relative|humidity)")
    if len(moistures) == 1:
        return State(float(moistures.pop()), temperature_c)
    if (
        len(humidities) == 1
        and 0.0 <= float(next(iter(humidities))) <= 100.0
        and -30.0 <= temperature_c <= 99.0
    ):
        return State(float(equilibrium_moisture_pct(temperature_c, float(humidities.pop()))), temperature_c)
    if not moistures and not humidities and re.search(r"saturated|soak|submerg|immers", text, re.IGNORECASE):
        return State(_SOAKED_PCT, temperature_c)
    return None


def _percentages(text: str, what: str) -> set[str]:
    """Numbers that stand before a percent sign and a word, as "90" and "95" in "90, 95 % RH"."""
    number = r"\d+(?:\.\d+)?"
    row = rf"((?:{number}\s*%?\s*(?:/|,|or|and|to|-)\s*)*{number})\s*%\s*{what}"
    return {one for found in re.findall(row, text, re.IGNORECASE) for one in re.findall(number, found)}


def _preservatives(text: str) -> tuple[str, ...] | None:
    named = [one.abbreviation for one in preservatives_in(text) if one.abbreviation != "none"]
    rest = _UNTREATED.sub(" ", _PLAIN.sub(" ", _HEAT.sub(" ", text)))
    bare = ["none"] if _UNTREATED.search(text) or _PLAIN.search(text) else []
    if named:
        return tuple(dict.fromkeys([*bare, *named]))
    if re.search(r"\btreated or not\b|\bany (?:wood|timber|treatment)\b|^\s*any\s*$", text, re.IGNORECASE):
        return ("none", *COPPER_TREATED)
    if _TREATED.search(rest):
        return (*bare, *COPPER_TREATED)
    return tuple(bare) or None


def _modification(text: str) -> Modification | None:
    if re.search(r"acetylat", text, re.IGNORECASE):
        return "acetylated"
    return "heat_treated" if _HEAT.search(text) else None


def _species(text: str) -> str | None:
    named = species_in(text)
    if named:
        return named[0].name
    loose = [name for word, name in _LOOSE.items() if re.search(rf"\b{word}\b", text, re.IGNORECASE)]
    return loose[0] if loose else None


def _without_preservatives(text: str) -> str:
    """The text without names such as copper azole, whose metal is not the fastener's."""
    for one in preservatives_in(text):
        text = text.replace(one.name, " ")
    return re.sub(
        r"(?:microni[sz]ed|dispersed|acid|alkaline|soluble)[- ](?:copper|Cu)\b", " ", text, flags=re.I
    )
