"""Which columns of an order or a delivery say what, by the words of their heads."""

from __future__ import annotations

from collections.abc import Mapping

from longhold.base.asked_on import told_here
from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import load_csv
from longhold.intake.offer_columns import heads_of, known_heads, same_head
from longhold.intake.workbook import Row, column_letters

__all__ = ["ORDER_COLUMNS", "one_place_each", "places_of"]

ORDER_COLUMNS = (
    *("item", "kind", "size", "label", "quantity", "needed", "packs", "pack"),
    *("certificate", "edition", "joints", "photo", "price", "currency"),
)
"""What a line of an order or a delivery may say."""


def places_of(row: Row, columns: Mapping[str, str]) -> dict[str, list[int]]:
    """Where our columns stand among the heads of a row, each with every head that means it.

    Parameters
    ----------
    columns : our name of a column -> its head in the file, which alone means it then
    """
    said = {same_head(head): name for name, head in columns.items()}
    found: dict[str, list[int]] = {}
    for at, head in enumerate(heads_of(row)):
        plain = same_head(head)
        name = said.get(plain) or _heads().get(plain) or _price_head(plain)
        if name in ORDER_COLUMNS and (name not in columns or plain in said):
            found.setdefault(name, []).append(at)
    return found


def one_place_each(row: Row, columns: Mapping[str, str]) -> dict[str, int]:
    """Where our columns stand among the heads of a row.

    Raises
    ------
    InputError : several heads mean the same column
    """
    found, heads = places_of(row, columns), heads_of(row)
    problems = [_several(name, at, heads) for name, at in found.items() if len(at) > 1]
    if problems:
        raise InputError(*problems)
    return {name: at for name, (at,) in found.items()}


def _several(name: str, places: list[int], heads: tuple[str, ...]) -> Problem:
    told = [f"{column_letters(at)} ({heads[at]})" for at in places]
    allowed = f"has {len(told)} columns that say the {name}: {', '.join(told[:-1])} and {told[-1]}."
    do = "Which one counts? Give the others another head"
    if len({same_head(heads[at]) for at in places}) == len(places):
        do += told_here(command=f", or name it: --column {name}=HEAD", page="")
    return Problem("the file", None, allowed, f"{do}.")


def _price_head(plain: str) -> str:
    return "price" if plain.startswith("price of a pack") else ""


@once
def _heads() -> Mapping[str, str]:
    rows = load_csv("intake/delivery_heads.csv", {"head": str, "column": str}, key=("head",))
    return {**known_heads(), **{same_head(row["head"]): row["column"] for row in rows}}
