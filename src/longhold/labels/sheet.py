"""Sheet that is coated before anything is made of it: A653, A792, A879, A591, EN 10346, AS 1397."""

from __future__ import annotations

import re
from dataclasses import replace

from longhold.base.recent import once
from longhold.labels.catalogue import Coat, coats, coats_of, printed_name, unknown_coat
from longhold.labels.options import Found, Option, option_of
from longhold.labels.said import Said
from longhold.labels.spelling import refuse
from longhold.model.protection import LayerKind, Process

__all__ = ["read_sheet", "twin"]

_STANDARDS = ("A653", "A792", "A879", "A591", "EN10346", "AS1397")
_AS1397_STEELS = frozenset({"G250", "G300", "G350", "G450", "G500", "G550"})
_PLATED = frozenset({"A879", "A591"})


def read_sheet(said: Said) -> Found:
    """Candidates for coated sheet; none where the label names no class or standard of it."""
    cited = said.cites(*_STANDARDS)
    tokens = _tokens(said)
    if not cited:
        cited = ("A653", "A792") if len(tokens) == 2 and twin(*tokens) else _bodies(said)
    if said.of("per_side"):
        return _one_side(said, cited)
    if "A591" in cited and (said.names("class_of") or said.letter_beside("A591")):
        return _classed(said, "A591")
    if not tokens:
        return Found(tuple(_unknown(code) for code in cited), "Which coating class?") if cited else Found()
    if len(set(tokens)) > 1 and not said.either and not twin(*tokens[:2]):
        raise refuse(said, f"names several coating classes ({', '.join(tokens)}); a part has one.")
    rows = [row for token in dict.fromkeys(tokens) for row in _rows(said, token, cited)]
    options = tuple(option_of(row, "sheet") for row in rows)
    return Found(options, _question(rows, tokens))


def _bodies(said: Said) -> tuple[str, ...]:
    """Standard that a steel grade of EN 10346 or the bare name of a standards body stands for: Z275 (EN)."""
    if not said.of("sheet_class"):
        return ()
    if said.of("sheet_steel") or "en" in said.words:
        return ("EN10346",)
    return ("A653", "A792") if "astm" in said.words else ()


def _tokens(said: Said) -> list[str]:
    """Coating classes named; an AS 1397 steel grade such as G550 beside a class is no class."""
    names = [name for name in said.names("sheet_class") if name]
    others = [name for name in names if name not in _AS1397_STEELS]
    if (
        others
        and len(others) < len(names)
        and (any(not n.startswith("G") for n in others) or said.cites("AS1397"))
    ):
        return others
    return names


def _rows(said: Said, token: str, cited: tuple[str, ...]) -> list[Coat]:
    rows = _by_token().get(_key(token), [])
    if not rows:
        raise refuse(
            said,
            f"has {token}, which has the shape of a coating class, but there is none of that name.",
            token,
        )
    if not cited:
        return rows
    fitting = [row for row in rows if row.standard in cited]
    if not fitting:
        where = " and ".join(printed_name(row.standard) for row in rows)
        own = [coat.token for code in cited for coat in coats_of(code)]
        why = f"has {token}, which is a class of {where}, not of {printed_name(cited[0])}."
        raise refuse(said, why, token, own)
    return fitting


@once
def _by_token() -> dict[str, list[Coat]]:
    found: dict[str, list[Coat]] = {}
    for coat in coats():
        if coat.standard in ("A653", "A792", "EN10346", "AS1397"):
            found.setdefault(_key(coat.token), []).append(coat)
    return found


def _key(token: str) -> str:
    """ZM60 and ZM060 are one class; G01 and Z001 keep their zeros."""
    match = re.fullmatch(r"(Z[AMF]|A[ZM])0*(\d+)", token)
    return match[1] + match[2] if match else token


@once
def _twins() -> frozenset[frozenset[str]]:
    """Classes of two tables of A653 or of A792 that stand in the same place: G90 and Z275."""

    def ladder(letter: str, standard: str = "A653") -> list[str]:
        rows = [c for c in coats_of(standard) if re.fullmatch(rf"{letter}\d+", c.token) and c.nominal_um]
        return [row.token for row in sorted(rows, key=lambda row: row.nominal_g_m2 or 0.0)]

    pairs = [
        *zip(ladder("G"), ladder("Z"), strict=True),
        *zip(ladder("A"), ladder("ZF"), strict=True),
        *zip(ladder("AZ", "A792"), ladder("AZM", "A792"), strict=True),
    ]
    return frozenset(frozenset(pair) for pair in pairs)


def twin(first: str, second: str) -> bool:
    """Whether two classes are the inch-pound and the SI class of the same place in A653 or A792.

    >>> twin("G90", "Z275"), twin("G90", "Z180"), twin("AZ50", "AZM150")
    (True, False, True)
    """
    return frozenset({first, second}) in _twins()


def _one_side(said: Said, cited: tuple[str, ...]) -> Found:
    """Classes that count on one face, such as 60G or 40G/00G."""
    name = said.names("per_side")[0]
    bare_face = any(re.fullmatch(r"0+[GZ]", face) for face in name.split("/"))
    fitting = ["A653-S2", "A879"]
    if cited or bare_face:
        fitting = ["A653-S2"] if "A653" in cited else ["A879"]
    if not cited and len(said.claims) > 1 and "/" not in name and not said.of("process"):
        return Found()  # "60g" in a sentence is a weight
    options = []
    for standard in fitting:
        rows = {coat.token: coat for coat in coats_of(standard)}
        faces = [None if re.fullmatch(r"0+[GZ]", face) else face for face in name.split("/")]
        if all(face is None for face in faces):
            raise refuse(said, f"has {name}: one face may be left bare, not both.")
        known = [rows.get(face) for face in faces if face]
        if None in known:
            continue
        options.append(_faces([rows[face] if face else None for face in faces]))
    if not options:
        raise refuse(
            said,
            f"has {name}, which has the shape of a one-side class, but there is none of that name.",
            name,
        )
    question = "Mill-coated by hot dip (A653, supplement S2) or plated (A879)?" if len(options) > 1 else ""
    return Found(tuple(options), question)


def _faces(faces: list[Coat | None]) -> Option:
    """Both faces alike, or the better one as expected and the poorer one as least."""
    real = [face for face in faces if face is not None]
    best = max(real, key=lambda row: row.nominal_um or 0.0)
    poor = min((face for face in faces), key=lambda row: (row.nominal_um or 0.0) if row else 0.0)
    option = option_of(best, "sheet")
    if poor is best:
        return option
    zinc = replace(
        option.protection.layers[0],
        least_g_m2=poor.least_g_m2 if poor else 0.0,
        least_um=poor.least_um if poor else 0.0,
    )
    names = "/".join((face.token if face else "00" + best.token[-1]) for face in faces)
    protection = replace(
        option.protection,
        designation=f"{best.designation.removesuffix(best.token)}{names}",
        layers=(zinc,),
        basis=f"the two faces differ ({names}): expected is the better face, least is the poorer one",
    )
    return replace(option, protection=protection, as_written=names)


def _classed(said: Said, standard: str) -> Found:
    name = (said.names("class_of") or (said.letter_beside(standard),))[0]
    rows = [coat for coat in coats_of(standard) if coat.token == f"class {name}"]
    if not rows:
        raise refuse(
            said, f"has class {name}, which {printed_name(standard)} does not have.", f"class {name}"
        )
    return Found((option_of(rows[0], "sheet"),))


def _unknown(standard: str) -> Option:
    process: Process = "electroplate" if standard in _PLATED else "mill_dip"
    name = coats_of(standard)[0].designation.rsplit(" ", 2 if standard == "A591" else 1)[0].removesuffix("M")
    form = "plated sheet" if standard in _PLATED else "mill-coated sheet"
    kind: LayerKind = "aluminium_zinc_55" if standard == "A792" else "zinc"
    words = f"{name}, class not stated"
    protection = unknown_coat(words, process, kind=kind, standard=standard, product_form=form)
    return Option(protection, "sheet")


def _question(rows: list[Coat], tokens: list[str]) -> str:
    if len(rows) < 2:
        return ""
    if len(set(tokens)) > 1:
        return f"Which of {' and '.join(dict.fromkeys(tokens))} is the order in?"
    names = [printed_name(row.standard) for row in rows]
    return f"{tokens[0]} of which standard: {', '.join(names[:-1])} or {names[-1]}?"
