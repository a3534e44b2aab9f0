"""From claims to readings: which families of designations speak, whether they agree, what is open."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from longhold.base.quantities import DIMENSIONS
from longhold.labels.amounts import coat_range
from longhold.labels.claims import Claim
from longhold.labels.deposited import read_deposited, read_wire
from longhold.labels.dipped import read_dipped
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
    _check_range(said)
    coats = _coats(said)
    metals = read_metals(said)
    if coats.options and metals.options:
        found = _metal_and_coat(said, coats, metals)
    else:
        found = coats if coats.options else metals
    if not found.options:
        found = _bare(said)
    _refuse_other_coats(said, found)
    return _sorted(under_film(said, found))


def _check_range(said: Said) -> None:
    if thin := coat_range(said.claims):
        raise refuse(
            said, f"gives a coat as a range, {thin}; write what holds everywhere, as 'at least' one."
        )
    for figure in (*said.figures, *said.film_figures):
        rule = DIMENSIONS["coating_g_m2" if figure.name == "mass" else "film_um"]
        if figure.number is not None and not rule.least <= figure.number <= rule.most:
            raise refuse(
                said, f"has {figure.text}; no coat is above {rule.most:g} {rule.inside.replace('**', '')}."
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
    if said.standards:
        return LabelError(
            text, f"names {said.standards[0][0].name}, which by itself promises no coat.", nearest=close
        )
    return LabelError(
        text,
        "has no designation of a coat or alloy that is held here.",
        nearest=close,
        do=""
        if close
        else "Write it as on the certificate, such as G185, ASTM A153 class D, or 316 stainless.",
    )


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
