"""Which column of a list is which: as its user said, or proposed by the words of its heads."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from longhold.base.asked_on import told_here
from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import load_csv
from longhold.intake.offer_numbers import currency_codes
from longhold.intake.workbook import Row, column_letters
from longhold.model.offer_list import COLUMNS, NEEDED, ListColumns

__all__ = [
    "MAY_BE_A_SIGN",
    "Proposal",
    "find_head",
    "heads_of",
    "kind_of",
    "known_heads",
    "places_in",
    "propose",
    "same_head",
]

MAY_BE_A_SIGN = "currency"
"""The one needed column that a list may say otherwise: by a sign beside each price."""
_LOOKED_THROUGH = 40
"""Rows that may stand above the heads: a title, an address, blank rows."""


def heads_of(row: Row) -> tuple[str, ...]:
    """Heads in a row; a column without one is known by its letter."""
    return tuple(
        f"column {column_letters(at)}" if cell.is_empty or cell.fault else " ".join(str(cell.value).split())
        for at, cell in enumerate(row.cells)
    )


def same_head(text: str) -> str:
    """A head without what people write in two ways: case, points, dashes, blanks.

    >>> same_head("Art.-Nr. "), same_head("PRICE  (EUR)")
    ('art nr', 'price eur')
    """
    return " ".join(re.findall(r"[^\W_]+", text.casefold()))


def places_in(heads: Sequence[str], how: ListColumns) -> tuple[dict[str, int], list[Problem]]:
    """Where each of our columns stands among some heads, and what is wrong with them."""
    plain = [same_head(head) for head in heads]
    place: dict[str, int] = {}
    problems = []
    for name in COLUMNS:
        said = how.columns.get(name)
        wanted = same_head(said if said is not None else name)
        found = [at for at, head in enumerate(plain) if head == wanted]
        if len(found) > 1:
            at = " and ".join(column_letters(one) for one in found)
            do = told_here(
                command="Rename one, or name the column: "
                f"--column {name}='column {column_letters(found[0])}'",
                page="Give one of them another head, then send the list again.",
            )
            problems.append(Problem("the file", heads[found[0]], f"is the head of columns {at}.", do))
        elif found:
            place[name] = found[0]
        elif said is not None and (letters := re.fullmatch(r"column ([a-z]{1,3})", wanted)):
            place[name] = _index(letters[1])
        elif said is not None:
            listed = ", ".join(heads)
            where = told_here(command="--column", page=name)
            problems.append(Problem(where, said, f"is no head; heads are {listed}."))
    if missing := [
        name for name in NEEDED if not (name in place or name in how.fixed or name == MAY_BE_A_SIGN)
    ]:
        do = told_here(
            command=f"If it has another head: --column {missing[0]}=HEAD. Heads are {', '.join(heads)}. "
            "'longhold offers LIST --remember NAME' finds out which is which, once.",
            page=f"Read it in another way: say which column is which. Heads are {', '.join(heads)}.",
            program=f"Give each column the name that it has here as its head. Heads are {', '.join(heads)}.",
        )
        if not problems:
            problems.append(Problem("the file", None, f"has no column {' or '.join(missing)}.", do))
    return place, problems


def _index(letters: str) -> int:
    at = 0
    for letter in letters:
        at = at * 26 + ord(letter) - ord("a") + 1
    return at - 1


def find_head(rows: Sequence[Row], hows: Sequence[ListColumns]) -> tuple[int, ListColumns, dict[str, int]]:
    """The head row among the first rows of a list, the way of reading that fits it, and where columns stand.

    Raises
    ------
    InputError : no way of reading fits any row; said of the row that comes nearest
    """
    nearest: tuple[int, list[Problem]] | None = None
    for how in hows:
        for at, row in enumerate(rows[:_LOOKED_THROUGH]):
            place, problems = places_in(heads_of(row), how)
            if not problems:
                return at, how, place
            known = len(place) * 100 + len(heads_of(row)) - at
            if nearest is None or known > nearest[0]:
                nearest = known, problems
    raise InputError(*(nearest[1] if nearest else [Problem("the file", None, "holds no row.")]))


@dataclass
class Proposal:
    """What the heads of a list say by themselves.

    Attributes
    ----------
    at : index of the head row among the rows looked at
    heads : of the list
    columns : ours to theirs, where one head alone fits
    unclear : ours to several of theirs that fit as well
    fixed : what a head or the prices say for the whole list, such as its currency
    kinds : their words for kinds, as far as they are known
    unknown_kinds : their words for kinds that are not
    """

    at: int
    heads: tuple[str, ...]
    columns: dict[str, str] = field(default_factory=dict)
    unclear: dict[str, list[str]] = field(default_factory=dict)
    fixed: dict[str, str] = field(default_factory=dict)
    kinds: dict[str, str] = field(default_factory=dict)
    unknown_kinds: list[str] = field(default_factory=list)


def propose(rows: Sequence[Row]) -> Proposal:
    """What the first rows of a list say of its columns by the words of its heads; never a guess between two.

    >>> from longhold.intake.workbook import Cell
    >>> rows = [Row(1, tuple(map(Cell, ["Art.-Nr.", "Artikelbezeichnung", "Preis (EUR)"])))]
    >>> found = propose(rows)
    >>> found.columns, found.fixed
    ({'item': 'Art.-Nr.', 'label': 'Artikelbezeichnung', 'price': 'Preis (EUR)'}, {'currency': 'EUR'})
    """
    best = max(
        range(min(len(rows), _LOOKED_THROUGH)), key=lambda at: (_known_heads(rows[at]), -at), default=0
    )
    found = Proposal(best, heads_of(rows[best]) if rows else ())
    fits: dict[str, list[tuple[int, str]]] = {}
    for head in found.heads:
        name, exact = _column_of(head)
        if name:
            fits.setdefault(name, []).append((exact, head))
    for name, several in fits.items():
        strongest = max(exact for exact, _ in several)
        heads = [head for exact, head in several if exact == strongest]
        if len(heads) == 1:
            found.columns[name] = heads[0]
        else:
            found.unclear[name] = heads
    if "currency" not in found.columns and "price" in found.columns:
        found.fixed = _currency_in(found.columns["price"])
    if not {"currency"} & {*found.columns, *found.unclear, *found.fixed}:
        found.columns.update(_currency_column(found, rows[best + 1 :]))
    _propose_kinds(found, rows[best + 1 :])
    return found


def _known_heads(row: Row) -> int:
    return len({name for head in heads_of(row) if (name := _column_of(head)[0])})


def _column_of(head: str) -> tuple[str, int]:
    """Our column that a head names, and how surely: 2 word for word, 1 among other words; "" for none."""
    plain = same_head(head)
    if plain in known_heads():
        return known_heads()[plain], 2
    inside = [
        known for known in known_heads() if len(known) > 2 and re.search(rf"\b{re.escape(known)}\b", plain)
    ]
    longest = max(map(len, inside), default=0)
    named = {known_heads()[known] for known in inside if len(known) == longest}
    return (named.pop(), 1) if len(named) == 1 else ("", 0)


def _currency_in(head: str) -> dict[str, str]:
    codes = {word for word in re.findall(r"\b[A-Z]{3}\b", head) if word in currency_codes()}
    if not codes:
        codes = {
            code for code, sign in currency_codes().items() if sign and not sign.isalpha() and sign in head
        }
    return {"currency": codes.pop()} if len(codes) == 1 else {}


def _currency_column(found: Proposal, rows: Sequence[Row]) -> dict[str, str]:
    """The one column of which every cell that is filled in is a currency, whatever its head."""
    of_currencies = []
    for at, head in enumerate(found.heads):
        texts = [
            str(row.cells[at].value).strip()
            for row in rows
            if at < len(row.cells) and not row.cells[at].is_empty
        ]
        if texts and all(text in currency_codes() for text in texts):
            of_currencies.append(head)
    return {"currency": of_currencies[0]} if len(of_currencies) == 1 else {}


def kind_of(text: str, kinds: Mapping[str, str]) -> str | None:
    """Our kind of part for a supplier's word: by what its user said, else by the words that are known."""
    plain = same_head(text)
    said = {same_head(word): kind for word, kind in kinds.items()}
    return said.get(plain) or _kinds().get(plain)


def _propose_kinds(found: Proposal, rows: Sequence[Row]) -> None:
    head = found.columns.get("kind")
    if head is None:
        return
    at = found.heads.index(head)
    words = {
        str(row.cells[at].value).strip() for row in rows if at < len(row.cells) and not row.cells[at].is_empty
    }
    for word in sorted(words):
        kind = kind_of(word, {})
        if kind is None:
            found.unknown_kinds.append(word)
        elif same_head(word) != same_head(kind):
            found.kinds[word] = kind


@once
def known_heads() -> Mapping[str, str]:
    """Heads of suppliers' lists that are known, as ``same_head`` writes them, and our column of each."""
    rows = load_csv("intake/offer_heads.csv", {"head": str, "column": str}, key=("head",))
    return {same_head(row["head"]): row["column"] for row in rows}


@once
def _kinds() -> Mapping[str, str]:
    rows = load_csv("intake/offer_kinds.csv", {"word": str, "kind": str}, key=("word",))
    ours = {same_head(row["kind"]): row["kind"] for row in rows}
    return {**{same_head(row["word"]): row["kind"] for row in rows}, **ours}
