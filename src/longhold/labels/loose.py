"""Finishes named without a class: galvanized, hot-dip, electroplated, or a bare figure of zinc."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from longhold.base.marks import Mark
from longhold.labels.amounts import as_typed, at_odds, in_one_basis
from longhold.labels.catalogue import coats_of, unknown_coat
from longhold.labels.claims import Claim
from longhold.labels.conversions import ZINC_RATIO, convert, ratio
from longhold.labels.dipped import a153_by_size
from longhold.labels.items import Item
from longhold.labels.limits import limit
from longhold.labels.options import Found, Option, option_of
from longhold.labels.said import Said
from longhold.labels.spelling import refuse
from longhold.model.protection import Layer, LayerKind, Process, Protection

__all__ = ["explicit", "one_each", "read_loose"]

_HOW: dict[str, tuple[Process, str, str]] = {
    "mill": ("mill_dip", "mill-coated zinc sheet, class not stated", "mill-coated zinc sheet"),
    "galvannealed": ("mill_dip", "galvannealed sheet, class not stated", "galvannealed sheet"),
    "after": ("dip_after_making", "zinc dipped after making, amount not stated", "zinc dipped after making"),
    "spun": ("spun_dip", "zinc dipped and spun, amount not stated", "zinc dipped and spun"),
    "electro": ("electroplate", "electroplated zinc, thickness not stated", "electroplated zinc"),
    "mechanical": (
        "mechanical",
        "mechanically deposited zinc, class not stated",
        "mechanically deposited zinc",
    ),
    "diffusion": (
        "thermal_diffusion",
        "thermally diffused zinc, class not stated",
        "thermally diffused zinc",
    ),
    "sprayed": ("sprayed", "sprayed zinc, thickness not stated", "sprayed zinc"),
    "zinc": ("not_told", "zinc, amount not stated", "zinc"),
}
_KIND: dict[str, LayerKind] = {"galvannealed": "zinc_iron", "diffusion": "zinc_iron"}
_CLASSES = {
    "electro": ("B633", ""),
    "mechanical": ("B695", "mechanically galvanized"),
    "diffusion": ("A1059", ""),
}


def read_loose(said: Said) -> Found:
    """Candidates where no class and no standard of a coat is named; none where nothing speaks of zinc."""
    how = _how(said)
    if said.figures:
        return _figures(said, how)
    if not how:
        return Found()
    options = tuple(option for name in how for option in _options(said, name))
    return Found(options, _question(said, how))


def _how(said: Said) -> tuple[str, ...]:
    """How zinc may have been put on, least protective first."""
    words = set(said.names("process")) - {"zinc_rich"}
    if said.of("after"):
        return ("after",)
    for name in ("mill", "galvannealed", "mechanical", "diffusion", "sprayed", "electro"):
        if name in words:
            return (name,)
    if said.of("spun") and words:
        return ("spun",)
    if "hot_dip" in words:
        return _dipped_how(said.item)
    if "galvanized" in words:
        return ("electro", *_dipped_how(said.item))
    if "zinc" in words:
        return ("electro",) if "plated" in words else ("zinc",)
    return ()


def _dipped_how(item: Item | None) -> tuple[str, ...]:
    """A nail, screw or bolt is not made of coated sheet; anything else may be."""
    if item is None or item.group in ("flat", "sheet"):
        return ("mill", "after")
    return ("spun",)


def _options(said: Said, name: str) -> list[Option]:
    process, designation, _ = _HOW[name]
    unknown = Option(unknown_coat(designation, process, kind=_KIND.get(name, "zinc")), "loose")
    if said.of("not_told"):
        return [unknown]
    if name == "spun" and said.item is not None:
        rows = {coat.token: coat for coat in coats_of("A153")}
        steps = a153_by_size(said.item, said.size.measure, said.size.length)
        return [
            unknown,
            *(option_of(rows[token], "loose") for token in dict.fromkeys(s.token for s in steps)),
        ]
    if name in _CLASSES and _how(said) == (name,):
        code, only = _CLASSES[name]
        rows_of = [
            c
            for c in coats_of(code)
            if not only or (c.nominal_um or 0.0) >= limit("figures", "mechanically_galvanized_from_um")
        ]
        return [unknown, *(option_of(row, "loose") for row in rows_of)]
    return [unknown]


def _question(said: Said, how: Sequence[str]) -> str:
    if said.of("not_told"):
        return ""
    if how == ("zinc",):
        return "How was the zinc put on, and to which standard and class?"
    if how[0] == "electro" and len(how) > 1:
        return "Plated, made of coated sheet, or dipped after making? And to which standard and class?"
    if how == ("mill", "after"):
        return (
            "Is it made of coated sheet (A653, EN 10346), or dipped after making (A123, EN ISO 1461),"
            " and of which class?"
        )
    if how == ("spun",):
        return "Does the certificate name a standard (ASTM A153, F2329, ISO 10684)? Its class then holds."
    return {
        "electro": "Which thickness or service condition (Fe/Zn 5, 8, 12, 25; SC1 to SC4)?",
        "mechanical": "Which class of ASTM B695?",
        "after": "Which standard (ASTM A123, EN ISO 1461), and how thick is the steel?",
        "mill": "Which standard and coating class (G90, Z275 ...)?",
    }.get(how[0], "Which standard and class?")


# --- figures written out --------------------------------------------------------------------------


def _figures(said: Said, how: Sequence[str]) -> Found:
    ways = how if set(how) == {"mill", "after"} else how if len(how) == 1 else ("zinc",)
    if (odd := at_odds(said.figures)) and len(said.names("basis")) < 2:
        return _which(said, ways[-1], odd)
    options = [option for name in ways for option in _counted(said, name)]
    possible = [option for option in options if not _too_much_for_sheet(option)] or options
    masses = [figure.text for figure in said.figures if figure.name == "mass"]
    if len(possible) < 2:
        return Found(tuple(possible))
    if len(ways) > 1:
        return Found(
            tuple(possible), "Made of coated sheet (counted on both faces) or dipped after making (on one)?"
        )
    return Found(tuple(possible), f"Is {masses[0]} the total of both faces, or on one face?")


def _which(said: Said, name: str, odd: Sequence[Claim]) -> Found:
    """Figures that cannot all be the same amount: each is a reading of its own."""
    options: list[Option] = []
    for figure in odd:
        at = replace(said, claims=tuple(c for c in said.claims if c not in odd or c == figure))
        options += _counted(at, name)
    told = " or ".join(as_typed(figure) for figure in odd)
    question = f"Which holds: {told}? Write the least with 'at least' and the mean with 'average'."
    return Found(tuple(options), question)


def _counted(said: Said, name: str) -> list[Option]:
    """The figures on the basis that the label names, or that its process goes by, or else on both."""
    process, _, words = _HOW[name]
    fastener = said.item is not None and (said.item.is_fastener or said.item.group == "washer")
    figures, basis = said.faced_figures
    figures = one_each(said, figures)
    if basis:
        bases = [basis]
    elif fastener or process not in ("not_told", "mill_dip") or not _has_mass(figures):
        bases = ["one"]
    else:
        bases = ["both"] if process == "mill_dip" else ["both", "one"]
    kept = [of for of in bases if _fits_itself(figures, of, told=bool(basis))]
    if not kept:
        given = " and ".join(map(as_typed, figures))
        raise refuse(said, f"is at odds with itself: {given} are not the same amount of zinc.")
    massed = {_sense(figure) for figure in figures if figure.name == "mass"}
    figures = tuple(f for f in figures if f.name == "mass" or _sense(f) not in massed)
    options = [explicit(figures, of, process, words, kind=_KIND.get(name, "zinc")) for of in kept]
    if any(_least_over_expected(option) for option in options):
        given = " and ".join(map(as_typed, figures))
        raise refuse(said, f"is at odds with itself: {given}: the least is more than what is expected.")
    return options


def _least_over_expected(option: Option) -> bool:
    coat = next((layer for layer in option.protection.layers if layer.kind != "organic"), None)
    if coat is None or coat.least_um is None or coat.nominal_um is None:
        return False
    return coat.least_um > coat.nominal_um and not _near(coat.least_um, coat.nominal_um)


def _fits_itself(figures: Sequence[Claim], basis: str, *, told: bool) -> bool:
    """Whether a mass and a thickness of one sense are one amount.

    The thickness is of one face, unless the label tells totals of both: then it may be either.
    """
    tie = ratio(ZINC_RATIO)
    share = 0.5 if basis == "both" else 1.0
    for sense in {_sense(figure) for figure in figures}:
        masses = [_um(f, tie) * share for f in figures if f.name == "mass" and _sense(f) == sense]
        films = [f.number or 0.0 for f in figures if f.name == "film" and _sense(f) == sense]
        for film in films:
            may_be = {film, film * share} if told else {film}
            if masses and not any(_near(one, masses[0]) for one in may_be):
                return False
    return True


def _near(first_um: float, second_um: float) -> bool:
    slack = max(limit("figures", "rounding_um"), 2.0 * limit("figures", "tolerance") * second_um)
    return abs(first_um - second_um) <= slack


def one_each(said: Said, figures: Sequence[Claim]) -> tuple[Claim, ...]:
    """Figures as they are, or, where some are of both faces and some of one, without those told twice.

    Raises
    ------
    LabelError : where the figure for both faces is not twice that for one
    """
    if tuple(figures) == said.figures:
        return said.figures
    kept, clash = in_one_basis(figures)
    if clash:
        given = " and ".join(figure.text for figure in clash)
        raise refuse(said, f"is at odds with itself: {given} do not fit each other on one face.")
    return kept


def _too_much_for_sheet(option: Option) -> bool:
    """Whether no class of coated sheet carries so much."""
    coat = option.coat
    if coat is None or coat.process != "mill_dip" or coat.nominal_um is None:
        return False
    return coat.nominal_um > max(row.nominal_um or 0.0 for row in coats_of("A653"))


def explicit(
    figures: Sequence[Claim],
    basis: str,
    process: Process,
    words: str,
    *,
    kind: LayerKind = "zinc",
    g_m2_per_um: float | None = None,
    standard: str = "",
) -> Option:
    """A coat whose amount is written out.

    Parameters
    ----------
    figures : masses [g/m2] and thicknesses [um], each with its qualifier (least, mean, most, or none)
    basis : ``both`` where they are totals of both faces, else ``one``
    process, words : how it was put on, and how we write that
    g_m2_per_um : mass per thickness [g/m2 per um]; that of zinc unless given
    """
    tie = ratio(ZINC_RATIO) if g_m2_per_um is None else g_m2_per_um
    share = 0.5 if basis == "both" else 1.0
    um = {_sense(figure): _um(figure, tie) * share for figure in figures}
    least = um.get("least")
    nominal = um.get("mean", least)
    layer = Layer(
        kind=kind,
        process=process,
        nominal_g_m2=None if nominal is None else nominal * tie,
        least_g_m2=None if least is None else least * tie,
        nominal_um=nominal,
        least_um=least,
        density_g_cm3=tie,
        source="label-itself",
        mark=Mark.VERIFIED,
    )
    amount = ", ".join(_written(figure) for figure in figures)
    counted = " total of both faces" if basis == "both" else " on one face" if _has_mass(figures) else ""
    protection = Protection(
        designation=f"{words}, {amount}{counted}",
        base_metal="carbon_steel",
        layers=(layer,),
        standard=standard,
        product_form="zinc of an amount that the label writes out",
        basis="total of both faces; half is expected on one face"
        if basis == "both"
        else "one face, as written",
        source="label-itself",
        mark=Mark.VERIFIED,
    )
    return Option(protection, "loose", basis, ", ".join(map(as_typed, figures)) + counted)


def _sense(figure: Claim) -> str:
    return figure.extra if figure.extra in ("least", "most") else "mean"


def _has_mass(figures: Sequence[Claim]) -> bool:
    return any(figure.name == "mass" for figure in figures)


def _um(figure: Claim, tie: float) -> float:
    number = figure.number or 0.0
    return number if figure.name == "film" else convert(number, "g/m2", "um", g_m2_per_um=tie)


def _written(figure: Claim) -> str:
    """A figure as we write it: the number is kept to the last digit, so that it reads back."""
    number = figure.number or 0.0
    before = {"least": "at least ", "most": "at most ", "mean": "average "}.get(figure.extra, "")
    if figure.name == "film":
        return f"{before}{number!r} um".replace(".0 um", " um")
    if "oz" in figure.text or "ounce" in figure.text or "sf" in figure.text:
        ounces = round(convert(number, "g/m2", "oz/ft2"), 9)
        return f"{before}{ounces!r} oz/ft2".replace(".0 oz", " oz")
    return f"{before}{number!r} g/m2".replace(".0 g", " g")
