"""Zinc that is plated, tumbled, diffused or dispersed as flake; and zinc on wire."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from longhold.labels.bands import ANY
from longhold.labels.catalogue import Coat, coats_of, iso4042_um, printed_name, unknown_coat
from longhold.labels.limits import limit
from longhold.labels.options import Found, Option, option_of
from longhold.labels.said import Said
from longhold.labels.spelling import refuse
from longhold.model.protection import LayerKind, Process

__all__ = ["read_deposited", "read_wire"]


def read_deposited(said: Said) -> Found:
    """Candidates for deposited zinc; none where the label names no class or standard of it."""
    if said.of("flake") or said.cites("ISO10683", "F1136"):
        return _flake(said)
    found = [_READERS[code](said, code) for code in said.cites(*_READERS)]
    if not found and (said.of("service_condition", "iron_zinc")):
        found = [_service(said, "B633") if said.of("service_condition") else _iron_zinc(said, "")]
    if not found and _iso4042_code(said):
        found = [_iron_zinc(said, "ISO4042")]
    if not found and said.names("class_of"):
        found = _classed_by_process(said)
    found = [part for part in found if part.options]
    if len(found) < 2:
        return found[0] if found else Found()
    options = tuple(option for part in found for option in part.options)
    ways = dict.fromkeys(option.coat.process for option in options if option.coat)
    if len(ways) > 1 and not said.either:
        names = " and ".join(part.options[0].protection.standard for part in found)
        raise refuse(said, f"names {names}, which put zinc on in different ways.")
    same = len({(o.coat.nominal_um, o.coat.process) for o in options if o.coat}) == 1
    return found[0] if same else Found(options, "Which of the standards holds?")


def _iso4042_code(said: Said) -> bool:
    """Whether a code of ISO 4042 stands without the standard: A2F on a bolt (1999), or Zn5/An/T2 (2018)."""
    if said.of("stainless_word", "alloy"):
        return False
    threaded = said.item is not None and said.item.group == "threaded"
    coded = threaded and any(claim.name.startswith("A") for claim in said.of("letter_code"))
    return coded or any(re.search(r"\d/[acf]n(?![a-z])", claim.text) for claim in said.of("zinc_number"))


def _classed(said: Said, code: str) -> Found:
    """B695, A1059, EN ISO 17668: class number is (nearly) the least thickness."""
    rows = {coat.token.split()[1]: coat for coat in coats_of(code)}
    edition = said.edition(code)
    names = [name for name in said.names("class_of") if name.isdigit()]
    if (
        not names
        and edition.isdigit()
        and len(edition) == 2
        and int(edition) >= limit("figures", "class_not_year_from")
    ):
        names = [edition]
    names = names or _numbers_beside(said, code, rows)
    if not names:
        return Found(_with_unknown(said, code, tuple(rows.values())), f"Which class of {printed_name(code)}?")
    if len(set(names)) > 1 and not said.either:
        raise refuse(said, f"names several classes of {printed_name(code)}: {', '.join(names)}.")
    if any(name not in rows for name in names):
        raise refuse(
            said, f"has class {names[0]}, but the classes of {printed_name(code)} are {', '.join(rows)}."
        )
    question = "Which class?" if len(names) > 1 else ""
    return Found(tuple(option_of(rows[name], "deposited") for name in names), question)


def _classed_by_process(said: Said) -> list[Found]:
    """A class without a standard: mechanical is B695; diffusion may be A1059 or EN ISO 17668."""
    words = set(said.names("process"))
    if "mechanical" in words:
        return [_classed(said, "B695")]
    if "diffusion" not in words:
        return []
    tokens = [f"class {name}" for name in said.names("class_of")]
    rows = [coat for code in ("A1059", "ISO17668") for coat in coats_of(code) if coat.token in tokens]
    if not rows:
        raise refuse(said, f"has {tokens[0]}, which neither ASTM A1059 nor EN ISO 17668 has.")
    question = "Of ASTM A1059 or of EN ISO 17668?" if len(rows) > 1 else ""
    return [Found(tuple(option_of(row, "deposited") for row in rows), question)]


def _numbers_beside(said: Said, code: str, rows: dict[str, Coat]) -> list[str]:
    """A class number straight after the standard: B695 55."""
    ends = [claim.end for standard, claim in said.standards if standard.code == code]
    return [c.text for c in said.of("bare") if c.text in rows and any(0 < c.start - end <= 3 for end in ends)]


def _service(said: Said, code: str) -> Found:
    """B633: SC1 to SC4, or Fe/Zn and the thickness; types I to VI add no zinc."""
    rows = {coat.token: coat for coat in coats_of(code)}
    by_um = {coat.nominal_um: token for token, coat in rows.items()}
    wanted = []
    for claim in said.of("service_condition"):
        if claim.name not in rows:
            raise refuse(
                said, f"has {claim.name}; the service conditions of ASTM B633 are {', '.join(rows)}."
            )
        wanted.append(claim.name)
    for claim in said.of("iron_zinc"):
        if claim.number not in by_um:
            raise refuse(said, f"has {claim.name}; ASTM B633 knows Fe/Zn 5, 8, 12 and 25.", claim.name)
        wanted.append(by_um[claim.number])
    wanted = wanted or [by_um[f.number] for f in said.figures if f.name == "film" and f.number in by_um]
    if len(set(wanted)) > 1 and not said.either:
        raise refuse(
            said, f"is at odds with itself: {' and '.join(dict.fromkeys(wanted))} are different thicknesses."
        )
    if not wanted:
        return Found(_with_unknown(said, code, tuple(rows.values())), "Which service condition, SC1 to SC4?")
    return Found(tuple(option_of(rows[token], "deposited") for token in dict.fromkeys(wanted)), "")


def _iron_zinc(said: Said, code: str) -> Found:
    """ISO 2081, F1941, ISO 4042, or no standard: the number is the least thickness in um."""
    rows = {coat.nominal_um: coat for coat in coats_of(code)}
    sizes = _plated_um(said, code)
    if not sizes:
        if not code:
            return Found()
        return Found(
            _with_unknown(said, code, tuple(rows.values())), f"Which thickness of {printed_name(code)}?"
        )
    unknown = next((um for um in sizes if um not in rows), None)
    if unknown is not None:
        held = ", ".join(f"{um:g}" for um in rows)
        raise refuse(
            said, f"has {unknown:g} um of plated zinc; the classes held are {held} um.", f"Fe/Zn {unknown:g}"
        )
    if len(set(sizes)) > 1 and not said.either:
        raise refuse(
            said, f"is at odds with itself: {' and '.join(f'{um:g} um' for um in sizes)} of plated zinc."
        )
    return Found(tuple(option_of(rows[um], "deposited") for um in dict.fromkeys(sizes)), "")


def _plated_um(said: Said, code: str) -> list[float]:
    found = [claim.number for claim in said.of("iron_zinc", "zinc_number")]
    if code == "ISO4042":
        found += [iso4042_um(claim.name) for claim in said.of("letter_code") if claim.name.startswith("A")]
    if not found and code:
        found = [claim.number for claim in said.figures if claim.name == "film"]
    return [um for um in found if um is not None]


# --- zinc flake: hours, not thickness -------------------------------------------------------------


def _flake(said: Said) -> Found:
    hours = [c.number for c in said.of("flake", "hours") if c.number is not None]
    _refuse_hours_as_um(said, hours)
    if said.cites("F1136") and not hours:
        return _f1136(said)
    if len(set(hours)) > 1:
        raise refuse(said, f"names several test times: {' and '.join(f'{h:g} h' for h in hours)}.")
    if not hours:
        protection = unknown_coat("zinc flake, hours not stated", "not_told", kind="zinc_flake")
        return Found(
            (Option(protection, "deposited"),), "Which hours of salt spray, and is the film with chromate?"
        )
    chromate = "yc" in said.names("flake")
    token = f"{'flZnyc' if chromate else 'flZn'} {hours[0]:g}"
    row = next((coat for coat in coats_of("ISO10683") if coat.token == token), None)
    if row is None:
        raise refuse(
            said, f"has {hours[0]:g} h; the hours of EN ISO 10683 held here are 240, 480, 720 and 960."
        )
    return Found((option_of(row, "deposited"),))


def _refuse_hours_as_um(said: Said, hours: Sequence[float]) -> None:
    for figure in said.figures:
        if figure.name == "film" and figure.number in hours:
            raise refuse(
                said,
                "takes the hours of a zinc-flake designation for micrometers: they are hours of salt spray.",
            )


def _f1136(said: Said) -> Found:
    names = [name for name in said.names("grade_of") if name]
    row = next((coat for coat in coats_of("F1136") if names and coat.token == f"grade {names[0]}"), None)
    if row is not None:
        return Found((option_of(row, "deposited"),))
    protection = unknown_coat("zinc flake, hours not stated", "not_told", kind="zinc_flake")
    return Found((Option(protection, "deposited"),), "Which grade? It sets hours of salt spray, not a mass.")


# --- wire -----------------------------------------------------------------------------------------


def read_wire(said: Said) -> Found:
    """Candidates for zinc on wire: A641 by class and diameter, EN 10244-2 by class."""
    for code in said.cites("A641", "EN10244"):
        numerals = {"I": "1", "III": "3"}
        names = [numerals.get(name, name) for name in said.names("class_of")]
        rows = [coat for coat in coats_of(code) if not names or coat.token == f"class {names[0]}"]
        if not rows:
            held = ", ".join(dict.fromkeys(coat.token for coat in coats_of(code)))
            raise refuse(said, f"has class {names[0]}; held here of {printed_name(code)}: {held}.")
        return _by_diameter(said, code, rows, f"class {names[0]}" if names else "")
    return Found()


def _by_diameter(said: Said, code: str, rows: list[Coat], token: str) -> Found:
    size = said.size.measure
    if size != ANY:
        near = [c for c in rows if c.band.meets(size) or _close(c, size.low)]
        if near:
            return Found(tuple(option_of(row, "wire") for row in near), "" if token else "Which class?")
    name = f"{rows[0].designation.split(' class')[0]}{' ' + token if token else ''}, amount not stated"
    unknown = Option(unknown_coat(name, "mill_dip", standard=code, product_form=rows[0].product_form), "wire")
    if size != ANY or said.of("not_told"):
        return Found(
            (unknown,),
            "The table held here has no row for this diameter: what mass does the certificate give?",
        )
    return Found(
        (unknown, *(option_of(row, "wire") for row in rows)), "What diameter is the wire, and which class?"
    )


def _close(coat: Coat, diameter_mm: float) -> bool:
    """Whether the row of one diameter is meant."""
    one_size = coat.band.low == coat.band.high
    return one_size and abs(coat.band.low - diameter_mm) <= limit("sizes", "wire_tolerance") * diameter_mm


def _with_unknown(said: Said, code: str, rows: tuple[Coat, ...]) -> tuple[Option, ...]:
    """The standard without a class, and every class that it may be."""
    process: Process = rows[0].process
    kind: LayerKind = rows[0].kind
    name = {"B695": "ASTM B695", "B633": "ASTM B633", "F1941": "ASTM F1941", "A1059": "ASTM A1059"}.get(
        code, printed_name(code)
    )
    protection = unknown_coat(
        f"{name}, class not stated", process, kind=kind, standard=code, product_form=rows[0].product_form
    )
    unknown = Option(protection, "deposited")
    return (unknown,) if said.of("not_told") else (unknown, *(option_of(row, "deposited") for row in rows))


_READERS: dict[str, Callable[[Said, str], Found]] = {
    "B695": _classed,
    "B633": _service,
    "ISO2081": _iron_zinc,
    "ISO4042": _iron_zinc,
    "F1941": _iron_zinc,
    "A1059": _classed,
    "ISO17668": _classed,
}
