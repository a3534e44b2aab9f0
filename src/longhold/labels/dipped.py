"""Zinc put on by dipping the finished part: A123, A153, F2329, EN ISO 1461, ISO 10684 and their kin."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from longhold.labels.bands import ANY, Band, write_band
from longhold.labels.catalogue import Coat, Step, by_size, coats_of
from longhold.labels.items import Item
from longhold.labels.metals import plain_steel
from longhold.labels.options import Found, Option, option_of
from longhold.labels.said import Said
from longhold.labels.spelling import refuse

__all__ = ["a153_by_size", "read_dipped"]


def read_dipped(said: Said) -> Found:
    """Candidates for parts dipped after making; none where the label names no such standard."""
    found = [_READERS[code](said) for code in said.cites(*_READERS) if code != "F1667"]
    if not found and "F1667" in said.cites("F1667"):
        found = [_f1667(said)]
    if not found and "tzn" in said.names("process"):
        found = [_iso10684()]
    if not found and said.of("hdg_mass"):
        found = [_hdg_mass(said)]
    found = [part for part in found if part.options]
    if len(found) > 1:
        names = " or ".join(part.options[0].protection.standard for part in found)
        return Found(tuple(o for part in found for o in part.options), f"Which standard holds: {names}?")
    return found[0] if found else Found()


# --- A123: grade, or category and thickness ------------------------------------------------------


def _a123(said: Said) -> Found:
    grades = {coat.token: coat for coat in coats_of("A123")}
    named = [name for name in said.names("grade_of") if name.isdigit() and len(name) > 1]
    if named:
        row = grades.get(f"grade {named[0]}")
        if row is None:
            known = ", ".join(token.split()[1] for token in grades)
            raise refuse(said, f"has grade {named[0]}, but the grades of ASTM A123 are {known}.")
        return Found((option_of(row, "dip"),))
    items = said.item.a123 if said.item else ()
    if said.figures and (not items or said.size.measure == ANY):
        return Found(tuple(option_of(row, "dip") for row in grades.values()))
    steps = by_size("A123", items, said.size.measure, edition=said.edition("A123"))
    if not items or said.size.measure == ANY:
        return _grades_possible(grades, steps, said)
    options = tuple(_a123_option(grades[step.token], step) for step in steps)
    return Found(
        _once(options), "Which category of ASTM A123 is the part?" if len(_once(options)) > 1 else ""
    )


def _a123_option(row: Coat, step: Step) -> Option:
    option = option_of(row, "dip", step)
    edition = step.edition if step.edition.isdigit() else "before 2024"
    where = "ASTM A123" if step.edition.isdigit() else "ASTM A123-17"
    protection = replace(
        option.protection,
        designation=f"{where}, {step.item} {write_band(step.band)}",
        edition=edition,
        product_form=f"{step.item}, {write_band(step.band)}, dipped after fabrication",
    )
    return replace(option, protection=protection, as_written=f"{step.token}: {row.as_written}")


def _grades_possible(grades: dict[str, Coat], steps: Sequence[Step], said: Said) -> Found:
    wanted = {step.token for step in steps} or set(grades)
    options = tuple(option_of(row, "dip") for token, row in grades.items() if token in wanted)
    ask = []
    if not (said.item and said.item.a123):
        ask.append("what kind of piece (plate, bar, shape, pipe, wire, casting)")
    if said.size.measure == ANY:
        ask.append("how thick its steel is")
    return Found(
        options, f"ASTM A123 sets the grade by category and thickness: {' and '.join(ask)}?" if ask else ""
    )


# --- A153: class, or kind and size of part -------------------------------------------------------


def _a153(said: Said) -> Found:
    rows = {coat.token: coat for coat in coats_of("A153")}
    named = _a153_letters(said)
    if named:
        chosen = [
            row
            for token, row in rows.items()
            if token == f"class {named}" or token.startswith(f"class {named}-")
        ]
        if not chosen:
            raise refuse(
                said, f"has class {named}, but the classes of ASTM A153 are A, B-1, B-2, B-3, C and D."
            )
        return _against_size(said, chosen)
    steps = a153_by_size(said.item, said.size.measure, said.size.length)
    options = tuple(option_of(rows[token], "dip") for token in dict.fromkeys(step.token for step in steps))
    question = (
        "Which class of ASTM A153? Kind and size of the part settle it: what is it, and how thick and long?"
    )
    return Found(options, question if len(options) > 1 else "")


def a153_by_size(item: Item | None, size: Band = ANY, length: Band = ANY) -> tuple[Step, ...]:
    """The lines of A153 Table 1 that may hold for a part."""
    return by_size("A153", item.a153 if item else (), size, length)


def _a153_letters(said: Said) -> str:
    """The class named: after 'class', or as a letter straight after the standard."""
    named = (name for name in said.names("class_of") if name[:1].isalpha() and name not in ("I", "II", "III"))
    return next(named, said.letter_beside("A153"))


def _against_size(said: Said, chosen: list[Coat]) -> Found:
    """Keeps the class as named; where kind and size of the part lead to another, shows both."""
    if said.item is None or not said.item.a153:
        more = len(chosen) > 1
        return Found(
            tuple(option_of(row, "dip") for row in chosen), "Which of B-1, B-2 and B-3?" if more else ""
        )
    steps = a153_by_size(said.item, said.size.measure, said.size.length)
    tokens = {step.token for step in steps}
    both = [row for row in chosen if row.token in tokens]
    if both or not tokens:
        return Found(
            tuple(option_of(row, "dip") for row in both or chosen), "Which of them?" if len(both) > 1 else ""
        )
    rows = [row for row in coats_of("A153") if row in chosen or row.token in tokens]
    names = " or ".join(sorted(token for token in tokens))
    question = (
        f"The label says {chosen[0].token}, but by its kind and size the part is {names}: which was tested?"
    )
    return Found(tuple(option_of(row, "dip") for row in rows), question)


# --- standards whose rows carry their own kind and size -----------------------------------------


def _rows_by_size(said: Said, code: str, items: Iterable[str]) -> tuple[Coat, ...]:
    wanted = set(items)
    return tuple(
        c for c in coats_of(code) if (not wanted or c.item in wanted) and c.band.meets(said.size.measure)
    )


def _f2329(said: Said) -> Found:
    if said.item is not None and (said.item.group == "driven" or said.item.kind == "rivet"):
        raise refuse(
            said, "asks for ASTM F2329, which leaves out nails and rivets; a nail is ASTM A153 class D."
        )
    rows = _rows_by_size(said, "F2329", ())
    return Found(
        tuple(option_of(row, "dip") for row in rows), "How thick is the fastener?" if len(rows) > 1 else ""
    )


def _iso1461(said: Said) -> Found:
    items = _iso1461_items(said)
    rows = _rows_by_size(said, "ISO1461", items)
    question = "How thick is the steel, and was the part spun after dipping?" if len(rows) > 1 else ""
    return Found(tuple(option_of(row, "dip") for row in rows), question)


def _iso1461_items(said: Said) -> tuple[str, ...]:
    item = said.item
    if said.of("spun") or "centrifuged" in said.words:
        return (
            ("centrifuged threads",)
            if (item and item.group == "threaded") or "threads" in said.words
            else ("centrifuged article",)
        )
    if item is None:
        return ("steel",)
    return item.iso1461


def _iso10684() -> Found:
    return Found(tuple(option_of(row, "dip") for row in coats_of("ISO10684")))


def _as4680(said: Said) -> Found:
    if said.of("hdg_mass"):
        return _hdg_mass(said)
    item = said.item
    spun = bool(said.of("spun")) or (item is not None and item.iso1461[:1] not in (("steel",), ("casting",)))
    rows = _rows_by_size(said, "AS4680", ("centrifuged article",) if spun else ("steel",))
    return Found(
        tuple(option_of(row, "dip") for row in rows), "How thick is the steel?" if len(rows) > 1 else ""
    )


def _hdg_mass(said: Said) -> Found:
    mass = said.of("hdg_mass")[0].number or 0.0
    rows = [coat for coat in coats_of("AS4680") if coat.token == f"HDG{mass:.0f}"]
    if not rows:
        known = ", ".join(coat.token for coat in coats_of("AS4680") if coat.token)
        raise refuse(said, f"has HDG{mass:.0f}; the systems held here are {known}.")
    sized = _rows_by_size(said, "AS4680", (rows[0].item,))
    if said.size.measure == ANY or rows[0] in sized or not sized:
        return Found((option_of(rows[0], "dip"),))
    names = " or ".join(row.token for row in sized)
    question = f"The label says HDG{mass:.0f}, but steel of that thickness takes {names}: which was tested?"
    return Found(tuple(option_of(row, "dip") for row in (rows[0], *sized)), question)


def _a767(said: Said) -> Found:
    numerals = {"1": "I", "2": "II"}
    named = [numerals.get(name, name) for name in said.names("class_of")]
    if named and named[0] not in ("I", "II"):
        raise refuse(said, f"has class {named[0]}, but the classes of ASTM A767 are I and II.")
    thin = "bar_number" in said.names("size")
    rows = [c for c in coats_of("A767") if not named or c.token.split()[1] == named[0]]
    rows = [c for c in rows if c.token.endswith(" II") or ("no. 3" in c.token) == thin]
    return Found(
        tuple(option_of(row, "dip") for row in rows), "Class I or class II?" if len(rows) > 1 else ""
    )


def _a53(said: Said) -> Found:
    return Found(
        (option_of(coats_of("A53")[0], "dip"),), "" if said.of("process") else "Galvanized, or black?"
    )


def _f1667(said: Said) -> Found:
    """The nail standard: its finish is what the other words say."""
    said_how = set(said.names("process"))
    rows = coats_of("F1667")
    if "hot_dip" in said_how:
        rows = tuple(row for row in rows if row.process == "spun_dip")
    elif "electro" in said_how:
        rows = tuple(row for row in rows if row.process == "electroplate")
    elif said.of("alloy", "stainless_word", "metal", "bare_metal", "flake", "film") or said_how & {
        "mechanical"
    }:
        return Found()
    options = tuple(option_of(row, "dip") for row in rows)
    if len(options) > 1:
        bare = replace(plain_steel(), group="dip")
        return Found((bare, *options), "ASTM F1667 covers bright, plated and hot-dip nails: which finish?")
    return Found(options)


def _once(options: Iterable[Option]) -> tuple[Option, ...]:
    """Candidates with the same layers count once."""
    kept: dict[object, Option] = {}
    for option in options:
        kept.setdefault(option.protection.layers, option)
    return tuple(kept.values())


_READERS: dict[str, Callable[[Said], Found]] = {
    "A123": _a123,
    "A153": _a153,
    "F2329": _f2329,
    "ISO1461": _iso1461,
    "ISO10684": lambda _: _iso10684(),
    "AS4680": _as4680,
    "A767": _a767,
    "A53": _a53,
    "F1667": _f1667,
}
