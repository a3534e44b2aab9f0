"""From claims to readings: which families of designations speak, whether they agree, what is open."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from longhold.base.quantities import DIMENSIONS
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv
from longhold.labels.claims import Claim
from longhold.labels.deposited import read_deposited, read_wire
from longhold.labels.dipped import read_dipped
from longhold.labels.editions import check_editions, edition_question
from longhold.labels.figures import settle_figures
from longhold.labels.films import under_film
from longhold.labels.loose import read_loose
from longhold.labels.metals import plain_steel, read_metals
from longhold.labels.options import Found, Option
from longhold.labels.process import settle_basis, settle_process
from longhold.labels.reading import LabelError
from longhold.labels.said import Said
from longhold.labels.sheet import read_sheet
from longhold.labels.spelling import check_spelling, nearest, refuse

__all__ = ["weigh"]

_KEY_WORDS = (
    "stainless",
    "galvanized",
    "galvanised",
    "weathering",
    "electroplated",
    "sherardized",
    "galvannealed",
)
_BARE_BY_ITSELF = frozenset({"plain", "bright", "carbon steel", "mild steel", "black steel"})
_WORDS_LOOKED_AT = 12
_COATS: tuple[Callable[[Said], Found], ...] = (read_sheet, read_dipped, read_deposited, read_wire)


def weigh(said: Said) -> Found:
    """Everything that a label may promise, least protective first, and what settles it.

    Raises
    ------
    LabelError : where it says nothing usable, is misspelt, or is at odds with itself
    """
    check_spelling(said)
    check_editions(said)
    _check_amounts(said)
    _refuse_elsewhere(said)
    coats = _coats(said)
    metals = read_metals(said)
    if coats.options and metals.options:
        found = _metal_and_coat(said, coats, metals)
    else:
        found = coats if coats.options else metals
    if not found.options:
        found = _bare(said)
    _refuse_other_coats(said, found)
    found = _sorted(under_film(said, found))
    question = _sheet_on_fastener(said, found) or found.question or edition_question(said)
    return replace(found, question=question)


def _check_amounts(said: Said) -> None:
    for figure in (*said.figures, *said.film_figures):
        rule = DIMENSIONS["coating_g_m2" if figure.name == "mass" else "film_um"]
        if figure.number is not None and not rule.least <= figure.number <= rule.most:
            raise refuse(
                said, f"has {figure.text}; no coat is above {rule.most:g} {rule.inside.replace('**', '')}."
            )


def _refuse_elsewhere(said: Said) -> None:
    """A class of a country whose standards are not held is not read as if it were one of ours."""
    named = [claim.text.upper() for claim in said.of("unheld_standard")]
    if named and not said.figures and not said.of("process", "after") and not said.standards:
        raise LabelError(
            said.tidy.original,
            f"names {' '.join(named)}, which is not held here.",
            do="Ask for the standard's least mass or thickness on one face, and write that.",
        )


def _sheet_on_fastener(said: Said, found: Found) -> str:
    """A nail or screw is not made of coated sheet: a class of sheet says nothing of it."""
    item, first = said.item, found.options[0]
    if item is None or item.group not in ("driven", "threaded") or first.group != "sheet":
        return ""
    if first.coat is None or first.coat.process != "mill_dip":
        return ""
    return (
        f"{first.protection.designation} is a class of coated sheet, and the part is a {item.kind}:"
        " what is its own finish (ASTM A153, F2329, B695, A641)?"
    )


def _coats(said: Said) -> Found:
    found = [part for part in (read(said) for read in _COATS) if part.options]
    if not found:
        loose = read_loose(said)
        return settle_basis(said, loose) if loose.options else loose
    if len(found) > 1:
        return _several(said, found)
    return settle_basis(said, settle_process(said, settle_figures(said, found[0])))


def _several(said: Said, found: list[Found]) -> Found:
    """Coats of two families: both stay open in an order of work or an alternative; else refused."""
    options = tuple(option for part in found for option in part.options)
    names = list(dict.fromkeys(map(_named, found)))
    if said.either or said.of("after"):
        return Found(options, f"Which finish is on the part as delivered: {' or '.join(names)}?")
    raise refuse(said, f"names two finishes, {' and '.join(names)}; read each part by itself.")


def _named(part: Found) -> str:
    protection = part.options[0].protection
    return protection.designation if len(part.options) == 1 else protection.standard or protection.designation


def _metal_and_coat(said: Said, coats: Found, metals: Found) -> Found:
    base = metals.options[0].protection.base_metal
    if base == "weathering_steel":
        options = tuple(
            replace(
                option,
                protection=replace(
                    option.protection,
                    base_metal=base,
                    designation=f"weathering steel, {option.protection.designation}",
                ),
            )
            for option in coats.options
        )
        return replace(coats, options=options)
    if said.either:
        return Found((*coats.options, *metals.options), "Which of the two finishes?")
    names = f"{metals.options[0].protection.designation} and {coats.options[0].protection.designation}"
    raise refuse(said, f"names {names}; a part is one or the other.")


def _bare(said: Said) -> Found:
    """No coat and no alloy: steel said to be bare, a film over something, or nothing at all."""
    if said.of("film") or "zinc_rich" in said.names("process"):
        if said.of("steel_word", "bare_metal"):
            return Found((plain_steel(),))
        zinc = read_loose(replace(said, claims=(*said.claims, _zinc_word(said))))
        question = "What is under the film: zinc (how much?) or bare steel?"
        return Found((plain_steel(), *zinc.options), question)
    if "bare_steel" in said.names("bare_metal"):
        return Found((plain_steel(),))
    if said.of("steel_word") and not said.of("other_coat"):
        _refuse_slips(said)
        settled = said.tidy.text in _BARE_BY_ITSELF
        return Found((plain_steel(),), "" if settled else "Is the steel coated? The label names no coat.")
    raise _nothing(said)


def _refuse_slips(said: Said) -> None:
    """'stainles steel' is no plain steel."""
    for word in said.of("word"):
        close = nearest(word.text, _KEY_WORDS) if len(word.text) > 5 else ()
        if close and word.text not in _KEY_WORDS:
            raise LabelError(
                said.tidy.original, f"has {word.text}, which is no word held here.", nearest=close
            )


def _nothing(said: Said) -> LabelError:
    text = said.tidy.original
    if said.of("other_coat"):
        return LabelError(text, f"names {said.of('other_coat')[0].text}, a coat that is not held here.")
    if any(claim.what in ("comparison", "negation") for claim in said.set_aside):
        return LabelError(text, "only compares, denies, or speaks of another part; it promises no finish.")
    shown = [claim.text for claim in said.claims if claim.what in ("word", "unknown_standard", "bare")]
    words = [said.tidy.text, *(word for word in shown if len(word) > 2)][:_WORDS_LOOKED_AT]
    close = next((found for found in map(nearest, words) if found), ())
    if coded := said.of("letter_code"):
        why = f"has {coded[0].text.upper()}, which is a code of plating by ISO 4042 on a bolt or screw"
        return LabelError(text, f"{why}, and no stainless steel.", do="Say what the part is.")
    if told := [c.text for c in said.of("figure", "qualified") if c.name in ("mass", "film")]:
        return LabelError(
            text,
            f"gives {' and '.join(told)}, and not of what.",
            do="Say zinc and how it was put on, such as 'hot-dip zinc, average 85 um, at least 70 um'.",
        )
    if said.standards:
        return LabelError(
            text, f"names {said.standards[0][0].name}, which by itself promises no coat.", nearest=close
        )
    empty = "" if close else no_promise(said.tidy.text)
    return LabelError(
        text,
        f"has no designation of a coat or alloy that is held here{empty and ': '}{empty}.",
        nearest=close,
        do=""
        if close
        else "Write it as on the certificate, such as G185, ASTM A153 class D, or 316 stainless.",
    )


@once
def _no_promises() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {"order": int, "pattern": str, "says": str}
    return tuple(load_csv("labels/no_promise.csv", columns, key=("order",), rising="order"))


def no_promise(text: str) -> str:
    """Why words that sellers like promise no coat; blank where there are none.

    >>> no_promise("1000 hours salt spray")
    'hours of salt spray are no amount of zinc, and no years outdoors'
    """
    return next((row["says"] for row in _no_promises() if re.search(row["pattern"], text)), "")


def _refuse_other_coats(said: Said, found: Found) -> None:
    if said.of("other_coat"):
        raise refuse(said, f"names {said.of('other_coat')[0].text}, a coat that is not held here.")
    coated = any(option.coat is not None for option in found.options)
    if coated and "bare_steel" in said.names("bare_metal"):
        raise refuse(said, f"says {said.of('bare_metal')[0].text} and names a coat.")


def _zinc_word(said: Said) -> Claim:
    end = len(said.tidy.text)
    return Claim("process", "zinc", end, end, name="zinc", segment=-1)


def _sorted(found: Found) -> Found:
    kept: dict[object, Option] = {}
    for option in sorted(found.options, key=lambda option: option.strength):
        kept.setdefault(option.protection, option)
    options = tuple(kept.values())
    return Found(options, found.question)
