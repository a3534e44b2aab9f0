"""Loss of metal that lies against soil, concrete or chemicals instead of air; or why none is computed."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, optional_number
from longhold.base.trace import Trace, note
from longhold.forecast.causes import Causes
from longhold.metal.laws import TimeLaw
from longhold.model.contact import ContactKind
from longhold.model.protection import Protection

__all__ = ["contact_law", "contact_refer"]


def contact_law(metal: str, contact: ContactKind, causes: Causes, trace: Trace | None = None) -> TimeLaw:
    """Law of loss of a metal against something else than air, per draw.

    A mean rate over the first n years, then a share of it: r t^b up to n, then straight on, with b that share
    and r = n^(1-b) times the mean rate, so that both figures are met.

    Raises
    ------
    KeyError : for a metal and contact without a rate; ask ``contact_refer`` first
    """
    row = _rows()[contact, metal]
    if row["early_median_um_yr"] is None:
        raise KeyError((contact, metal))
    low, middle, high = (row[f"early_{name}_um_yr"] for name in ("low", "median", "high"))
    early = causes.between("soil", "site", low, high, middle)
    years, share = row["early_years"], row["later_share"]
    note(
        trace,
        row["words"],
        "r_c",
        f"mean over {years:g} years, then {share:g} r_c",
        {"low": f"{low:g} um/yr", "high": f"{high:g} um/yr"},
        float(np.median(early)),
        "um/yr",
        row["source"],
        row["mark"],
    )
    return TimeLaw(early * years ** (1.0 - share), share, years)


def contact_refer(protection: Protection, contact: ContactKind) -> str:
    """Why a part's loss against something else is not computed, with what to do; empty where it is.

    >>> from longhold.model.protection import Protection
    >>> contact_refer(Protection("steel", "carbon_steel"), "soil")
    ''
    >>> contact_refer(Protection("copper", "copper"), "concrete")[:33]
    'copper is practically not attacke'
    """
    metals = (["zinc"] if protection.zinc is not None else []) + [str(protection.base_metal)]
    for metal in metals:
        row = _rows()[contact, metal]
        if row["early_median_um_yr"] is None:
            return f"{row['words']}: {row['do']}"
    return ""


@once
def _rows() -> Mapping[tuple[str, str], Row]:
    columns: dict[str, Parser] = {
        "contact": str,
        "metals": str,
        "early_low_um_yr": optional_number,
        "early_median_um_yr": optional_number,
        "early_high_um_yr": optional_number,
        "early_years": optional_number,
        "later_share": optional_number,
        "words": str,
        "do": str,
    }
    rows = load_csv("metal/contact.csv", columns, key=("contact", "metals"))
    return {
        (contact, metal): row
        for row in rows
        for contact in row["contact"].split("|")
        for metal in row["metals"].split("|")
    }
