"""From what a part is to the facts that rules ask about: its protection, its kind, the wood's treatment."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, optional_number, yes_no
from longhold.codes.vocabulary import vocabulary
from longhold.model.protection import Layer, Protection, metal_family

__all__ = [
    "FINISH_FACTS",
    "complete_facts",
    "facts_from_item",
    "facts_from_partner",
    "facts_from_protection",
    "facts_from_treatment",
]

G_M2_PER_OZ_FT2 = 28.349523125 / 0.3048**2

FINISH_FACTS = (
    "finish",
    "zinc_standard",
    "a153_class",
    "b695_class",
    "a123_oz_ft2",
    "mill_total_g_m2",
    "electroplated_um",
    "zinc_least_um",
    "stainless_type",
    "stainless_family",
    "grade_crc_rank",
    "metal_family",
    "galvanic_order",
    "same_family",
)
_BY_PROCESS = {
    "mill_dip": "mill_zinc_sheet",
    "dip_after_making": "hot_dip_zinc",
    "spun_dip": "hot_dip_zinc",
    "electroplate": "electroplated_zinc",
    "mechanical": "mechanical_zinc",
    "thermal_diffusion": "thermal_diffusion_zinc",
    "sprayed": "sprayed_zinc",
}
_UNDER_FILM = ("hot_dip_zinc", "mill_zinc_sheet", "mechanical_zinc")
_A153 = re.compile(r"A153(?!\d).*?(?:class[ _-]*|[ _-])([ABCD])(?![a-z])", re.IGNORECASE)
_B695 = re.compile(r"B695(?!\d).*?(?:class[ _-]*|[ _-])(\d+)", re.IGNORECASE)


def facts_from_protection(protection: Protection) -> dict[str, Any]:
    """The facts about a finish, from what its designation promises.

    A film counts for nothing by itself: over zinc that a code can name (hot-dip, mill sheet or mechanically
    deposited, to a standard) the part keeps the facts of that zinc; over any other zinc it is
    ``topcoat_over_zinc``, which no clause lists. A figure that the designation does not promise is left out.

    Parameters
    ----------
    protection : base metal and layers of one face

    Returns
    -------
    Facts by name: always ``finish`` and ``metal_family``; the rest where it applies and is told.

    >>> facts_from_protection(Protection("304", "stainless", grade="304"))["stainless_type"]
    '304'
    """
    base = protection.base_metal
    family = {"metal_family": metal_family(protection)}
    if base == "stainless":
        return {"finish": "stainless"} | family | _grade_facts(protection.grade)
    if base not in ("carbon_steel", "weathering_steel"):
        return {"finish": base} | family
    coat = next((layer for layer in protection.layers if layer.kind != "organic"), None)
    if coat is None:
        bare = "plain_steel" if base == "carbon_steel" else base
        return {"finish": "film_on_steel" if protection.layers else bare} | family
    return _zinc_facts(protection, coat) | family


def facts_from_partner(protection: Protection) -> dict[str, Any]:
    """The facts about the metal that a part touches, from its protection.

    >>> facts_from_partner(Protection("copper", "copper"))["partner_metal_family"]
    'copper'
    """
    own = facts_from_protection(protection)
    shown = _shown_metal(own["finish"], own.get("stainless_type")) | own
    wanted = ("metal_family", "galvanic_order")
    return {"has_partner": True} | {f"partner_{name}": shown[name] for name in wanted if name in shown}


def facts_from_treatment(text: str) -> dict[str, Any]:
    """The facts about a treatment, from its name, with a hazard class of NZS 3640 after it or not.

    Raises
    ------
    InputError : for a treatment that the table does not hold

    >>> facts_from_treatment("CuAz_H3.2")
    {'treatment': 'ca', 'hazard_class': 'H3.2'}
    """
    name, _, hazard = text.strip().partition("_H")
    slug = re.sub(r"[ /-]+", "_", name.strip().lower())
    found = _treatments().get(slug)
    if found is None:
        raise InputError(Problem("treatment", text, f"must be one of {', '.join(sorted(_treatments()))}."))
    facts: dict[str, Any] = {"treatment": found["treatment"]}
    if hazard:
        facts["hazard_class"] = f"H{hazard}"
    return facts


def facts_from_item(text: str) -> dict[str, Any]:
    """The facts about a kind of part, from its name.

    Raises
    ------
    InputError : for an item that the table does not hold

    >>> facts_from_item("lag_screw")["part_kind"]
    'fastener'
    """
    slug = re.sub(r"[ /-]+", "_", text.strip().lower())
    row = _items().get(slug)
    if row is None:
        raise InputError(Problem("item", text, f"must be one of {', '.join(sorted(_items()))}."))
    return {
        "item": row["item"],
        "part_kind": row["part_kind"],
        "driven": row["driven"],
        "threaded": row["threaded"],
    }


def complete_facts(facts: Mapping[str, Any]) -> dict[str, Any]:
    """The facts, with those that follow from the item, the treatment and the finish; what is told stays.

    >>> complete_facts({"treatment": "zb"})["borate_treated"]
    True
    """
    more: dict[str, Any] = {}
    if "item" in facts:
        more |= facts_from_item(facts["item"])
    if "treatment" in facts:
        row = _treatments()[facts["treatment"]]
        more |= {name: row[name] for name in _TREATMENT_FACTS}
    more |= _shown_metal(facts.get("finish"), facts.get("stainless_type"))
    whole = more | dict(facts)
    if "metal_family" in whole and "partner_metal_family" in whole:
        whole["same_family"] = whole["metal_family"] == whole["partner_metal_family"]
    return whole


_TREATMENT_FACTS = ("preservative_treated", "fire_retardant_treated", "borate_treated", "copper_treated")


def _zinc_facts(protection: Protection, coat: Layer) -> dict[str, Any]:
    finish = _coat_name(coat)
    standard = _standard(protection.standard)
    facts: dict[str, Any] = {"finish": finish}
    if protection.topcoat is not None and not (finish in _UNDER_FILM and standard):
        facts["finish"] = finish = "topcoat_over_zinc"
    if standard:
        facts["zinc_standard"] = standard
    written_um = coat.least_um if coat.least_um is not None else coat.nominal_um
    if written_um is not None:
        facts["zinc_least_um"] = written_um
        if finish == "electroplated_zinc":
            facts["electroplated_um"] = written_um
    if finish == "mill_zinc_sheet" and coat.nominal_g_m2 is not None:
        facts["mill_total_g_m2"] = 2.0 * coat.nominal_g_m2
    if standard == "ASTM A153" and (match := _A153.search(protection.designation)):
        facts["a153_class"] = match[1].upper()
    if standard == "ASTM B695" and (match := _B695.search(protection.designation)):
        facts["b695_class"] = float(match[1])
    if standard == "ASTM A123" and coat.nominal_g_m2 is not None:
        facts["a123_oz_ft2"] = 2.0 * coat.nominal_g_m2 / G_M2_PER_OZ_FT2
    return facts


def _coat_name(coat: Layer) -> str:
    if coat.kind == "zinc_flake":
        return "zinc_flake"
    if coat.kind in ("zinc_aluminium_5", "aluminium_zinc_55", "zinc_magnesium") or (
        coat.kind == "zinc_iron" and coat.process == "mill_dip"
    ):
        return "mill_alloy_sheet"
    return _BY_PROCESS.get(coat.process, "zinc_process_not_told")


def _standard(text: str) -> str:
    """The standard's number, as the vocabulary writes it; empty if none is told."""
    if not text:
        return ""
    squeezed = re.sub(r"[^A-Z0-9]", "", text.upper())
    known = [name for name in vocabulary()["zinc_standard"].values if name != "other"]
    return next((name for name in known if re.sub(r"[^A-Z0-9]", "", name) in squeezed), "other")


def _grade_facts(grade: str) -> dict[str, Any]:
    words = re.split(r"[ /-]+", grade.strip().upper())
    if words == [""]:
        return {}
    row = next((_grades()[word] for word in words if word in _grades()), None)
    if row is None:
        return {"stainless_type": "other"}
    facts = {"stainless_type": row["stainless_type"], "stainless_family": row["stainless_family"]}
    return facts if row["crc_rank"] is None else facts | {"grade_crc_rank": row["crc_rank"]}


def _shown_metal(finish: str | None, stainless_type: str | None) -> dict[str, Any]:
    rows = [
        r for r in _metals() if r["finish"] == finish and r["stainless_type"] in ("", stainless_type or "")
    ]
    if not rows:
        return {}
    row = rows[-1]
    facts = {"metal_family": row["metal_family"]}
    return facts if row["galvanic_order"] is None else facts | {"galvanic_order": row["galvanic_order"]}


@once
def _items() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {
        "item": str,
        "also": str,
        "part_kind": str,
        "driven": yes_no,
        "threaded": yes_no,
    }
    return _by_name(load_csv("codes/items.csv", columns, key=("item",)), "item")


@once
def _treatments() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {"treatment": str, "also": str} | dict.fromkeys(_TREATMENT_FACTS, yes_no)
    return _by_name(load_csv("codes/treatments.csv", columns, key=("treatment",)), "treatment")


@once
def _grades() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {
        "grade": str,
        "stainless_type": str,
        "stainless_family": str,
        "crc_rank": optional_number,
    }
    rows = load_csv("codes/grades.csv", columns, key=("grade",))
    return {row["grade"].upper(): row for row in rows}


@once
def _metals() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {
        "finish": str,
        "stainless_type": str,
        "metal_family": str,
        "galvanic_order": optional_number,
    }
    return load_csv("codes/metals.csv", columns, key=("finish", "stainless_type"))


def _by_name(rows: tuple[Row, ...], name: str) -> dict[str, Row]:
    return {slug: row for row in rows for slug in (row[name], *row["also"].split())}
