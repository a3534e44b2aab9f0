"""Answers to hand values of EN 1995-1-1 section 8, one row of a check file at a time.

Reads only the case and the quantity asked, in words; never the value that is expected.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from math import log2
from typing import Any

from longhold.base.errors import InputError
from longhold.strength.ec5_axial import (
    axial_bolt_n,
    axial_screw_n,
    axial_smooth_nail_n,
    axial_threaded_nail_n,
    screw_withdrawal_mpa,
    smooth_nail_mpa,
)
from longhold.strength.ec5_capacity import ec5_left, ec5_modes, rope_cap
from longhold.strength.ec5_case_words import read_case
from longhold.strength.ec5_connection import Ec5Connection, prepare_ec5
from longhold.strength.ec5_data import embedment_mpa, embedment_record, yield_moment_nmm
from longhold.strength.ec5_dowel import Yield, between_plates, governing, with_rope
from longhold.strength.ec5_factors import (
    bolts_in_row,
    gamma_row,
    kmod_row,
    nails_in_row,
    screws_pulled,
    splitting_n,
)
from longhold.strength.ec5_told import Facts, NotToldError, connection_told, member_told

__all__ = ["answer_ec5"]

_DECLARED_AT_KG_M3 = 350.0
_UNITS: Mapping[str, tuple[str, float]] = {
    "n": ("N", 1.0),
    "kn": ("N", 1e-3),
    "nmm": ("Nmm", 1.0),
    "nm": ("Nmm", 1e-3),
    "knm": ("Nmm", 1e-6),
    "knmm": ("Nmm", 1e-3),
    "n/mm2": ("MPa", 1.0),
    "n/mm^2": ("MPa", 1.0),
    "mpa": ("MPa", 1.0),
    "mm": ("mm", 1.0),
    "mm2": ("mm2", 1.0),
    "-": ("-", 1.0),
    "": ("-", 1.0),
}
_SYMBOLS = frozenset(["sqrt"])


def answer_ec5(row: Mapping[str, str]) -> float:
    """Our value for one row of hand values.

    Parameters
    ----------
    row : cells by column: case, quantity, unit; other columns are not read

    Raises
    ------
    NotToldError : where a word or number is not understood, or something needed is not told

    >>> case = "smooth round nail 3.4x90 fu 600, C24 38 mm to C24 71 mm, no predrill, head 8 mm"
    >>> round(answer_ec5({"case": case, "quantity": "Fv,Rk (8.6) mode f", "unit": "N"}), 1)
    988.8
    """
    unit = row.get("unit", "").replace(" ", "").replace("·", "").lower()
    if unit not in _UNITS:
        raise NotToldError(f"unit {row.get('unit')!r}")
    asked = row.get("quantity", "").strip()
    known = ((pattern.match(asked), dimension, answer) for pattern, dimension, answer in _QUANTITIES)
    match, dimension, answer = next((one for one in known if one[0]), (None, "", None))
    if match is None or answer is None:
        raise NotToldError(f"quantity {asked!r}")
    if _UNITS[unit][0] != dimension:
        raise NotToldError(f"{asked!r} in {row.get('unit')!r}")
    facts = _facts(row.get("case", ""), asked, asked[match.end() :])
    facts["asked"] = match.group(0)
    try:
        return answer(facts) * _UNITS[unit][1]
    except InputError as error:
        raise NotToldError("; ".join(str(problem) for problem in error.problems)) from None


def _facts(case: str, asked: str, after: str) -> Facts:
    told = read_case(case)
    if told.left:
        raise NotToldError(f"{told.left!r} in the case")
    more = read_case(asked if re.match(r"n_?ef\s*=|head\b", asked) else after)
    formula = any(sign in after for sign in "=*^")
    strange = [
        word
        for word in more.left.split()
        if (re.fullmatch(r"[A-Za-z]{4,}", word) and word not in _SYMBOLS)
        or (not formula and re.fullmatch(r"\d+(\.\d+)?", word))
    ]
    if strange:
        raise NotToldError(f"{' '.join(strange)!r} in the quantity")
    facts = Facts({**told.facts, **more.facts})
    if mode := re.search(r"\bmode\s+([a-m])\b", after):
        facts["mode"] = mode[1]
    if "clash" in facts:
        raise NotToldError(str(facts["clash"]))
    return facts


def _embedment(facts: Facts) -> float:
    """fh,k at the angle told; fh,0 along and fh,90 across the grain; 1 or 2 for one of two members."""
    which = re.search(r"fh,?\s*(0|90|1|2)?", facts["asked"])
    mark = which[1] if which else None
    member = member_told(facts, 1 if mark == "2" else 0)
    kind, d = facts.kind, facts.need("diameter")
    angle = {"0": 0.0, "90": 90.0}.get(mark or "", facts.get("angle", 0.0))
    if kind == "screw":
        thick = d > embedment_record("screw")["thick_over_mm"]
        drilled, d = thick or facts.get("predrilled", False), _effective(facts)
    else:
        thick = kind in ("bolt", "dowel") or d > embedment_record("nail")["upto_mm"]
        drilled = thick or facts.get("predrilled", False)
    return embedment_mpa(
        member.material,
        d,
        member.density_kg_m3,
        drilled=drilled,
        thickness_mm=facts.thickness(0) if member.material == "osb" else 1.0,
        angle_deg=angle if thick else 0.0,
    )


def _moment(facts: Facts) -> float:
    d = _effective(facts) if facts.kind == "screw" else facts.need("diameter")
    return float(yield_moment_nmm(facts.need("fu"), d, square=facts.get("square", False)))


def _effective(facts: Facts) -> float:
    return float(embedment_record("screw")["root_factor"]) * facts.need("root")


def _withdrawal(facts: Facts) -> float:
    if "fax" in facts:
        return float(facts["fax"])
    density = member_told(facts, -1).density_kg_m3
    if facts.kind == "nail":
        facts.must_be_smooth()
        return float(smooth_nail_mpa(density)[0])
    return screw_withdrawal_mpa(facts.need("diameter"), facts.need("thread"), density)


def _head_strength(facts: Facts) -> float:
    if "fhead" in facts:
        return float(facts["fhead"])
    if facts.kind != "nail":
        raise NotToldError("fhead is not told")
    facts.must_be_smooth()
    return float(smooth_nail_mpa(member_told(facts, 0).density_kg_m3)[1])


def _head(facts: Facts) -> float:
    if facts.kind == "screw" and member_told(facts, 0).density_kg_m3 != _DECLARED_AT_KG_M3:
        raise NotToldError("the density at which fhead was declared is not told")
    group = screws_pulled(facts["count"]) if "count" in facts else 1.0
    return _head_strength(facts) * facts.need("head") ** 2 * group


def _axial(facts: Facts) -> float:
    if "axial" in facts:
        return float(facts["axial"])
    if facts.kind == "screw":
        held = float(
            axial_screw_n(
                diameter_mm=facts.need("diameter"),
                nominal_mm=facts.need("diameter"),
                thread_mm=facts.need("thread"),
                fax_mpa=_withdrawal(facts),
                angle_deg=facts.get("angle", 90.0),
                count=facts.get("count", 1.0),
                declared="fax" in facts,
            )
        )
        return min(held, _head(facts)) if "fhead" in facts and "head" in facts else held
    if facts.kind == "bolt":
        return min(_bolt_steel(facts), _bolt_wood(facts))
    if facts.kind != "nail":
        raise NotToldError(f"no axial capacity of a {facts.kind}")
    connection = connection_told(facts)
    prepared = prepare_ec5(connection, accept_short=True)
    point, d = prepared.penetration_mm or 0.0, facts.need("diameter")
    drying = facts.get("drying", False)
    if "fax" in facts:
        return float(
            axial_threaded_nail_n(
                diameter_mm=d,
                nominal_mm=d,
                point_mm=min(facts.get("thread", point), point),
                fax_mpa=facts["fax"],
                fhead_mpa=facts.need("fhead"),
                head_diameter_mm=facts.need("head"),
                drying=drying,
            )
        )
    facts.must_be_smooth()
    if facts.get("material") in ("plywood", "osb"):
        raise NotToldError("what a panel holds of the head is not told")
    steel = "plate" in facts
    return float(
        axial_smooth_nail_n(
            diameter_mm=d,
            nominal_mm=d,
            point_mm=point,
            head_side_mm=1e6 if steel else prepared.t1_mm,
            head_diameter_mm=0.0 if steel else facts.need("head"),
            point_density_kg_m3=member_told(facts, -1).density_kg_m3,
            head_density_kg_m3=member_told(facts, 0).density_kg_m3,
            drying=drying,
        )
    )


def _bolt_steel(facts: Facts) -> float:
    return facts.need("fu") * facts.need("area")


def _bolt_wood(facts: Facts) -> float:
    if "washer" not in facts and "plate" not in facts:
        raise NotToldError("neither washer nor plate is told")
    return float(
        axial_bolt_n(
            fu_mpa=0.0,
            area_mm2=0.0,
            diameter_mm=facts.need("diameter"),
            fc90_mpa=facts.need("fc90"),
            washer_mm=facts.get("washer"),
            plate_mm=facts.get("plate"),
        ).wood_n
    )


def _lateral(facts: Facts) -> float:
    """Fv,Rk of one fastener and plane; of the mode that the quantity names, else the least."""
    connection = connection_told(facts)
    prepared = prepare_ec5(connection)
    left = ec5_left(connection, prepared, 0.0, 0.0, 0.0)
    sets = ec5_modes(connection, prepared, left)
    named = [
        (modes, index)
        for modes in sets
        for index, name in enumerate(modes.names)
        if name.split("-")[-1] == facts.get("mode")
    ]
    if "mode" in facts and not named:
        raise NotToldError(f"mode {facts['mode']} does not belong to this connection")
    cap = rope_cap(connection)
    if named:
        modes, index = named[0]
        axial = _rope_axial(facts, connection) if modes.roped[index] else 0.0
        return float(with_rope(modes, axial, cap)[index])
    bare = [governing(modes) for modes in sets]
    roped = {name for modes in sets for name, rope in zip(modes.names, modes.roped, strict=True) if rope}
    axial = _rope_axial(facts, connection) if any(str(one.mode) in roped for one in bare) else 0.0
    found: list[Yield] = [governing(modes, axial, cap) for modes in sets]
    if len(found) == 1:
        return float(found[0].load_n)
    return float(between_plates(found[0], found[1], facts.need("plate"), connection.diameter_mm).load_n)


def _rope_axial(facts: Facts, connection: Ec5Connection) -> float:
    if facts.get("no_rope") or rope_cap(connection) == 0.0:
        return 0.0
    if facts.kind == "screw" and not ("fhead" in facts and "head" in facts) and "plate" not in facts:
        raise NotToldError("what the screw's head holds is not told")
    return _axial(Facts({name: value for name, value in facts.items() if name != "count"}))


def _design(answer: Callable[[Facts], float]) -> Callable[[Facts], float]:
    def designed(facts: Facts) -> float:
        kmod = facts.get("kmod")
        if kmod is None:
            kmod = kmod_row(int(facts.need("service_class")), facts.word("duration"))["kmod"]
        gamma = facts.get("gamma")
        return float(answer(facts) * kmod / (gamma_row("connection")["gamma"] if gamma is None else gamma))

    return designed


def _row(facts: Facts) -> float:
    """Effective number: pulled screws by 8.41; in a row along the grain bolts by 8.34, nails by 8.17."""
    count = facts.need("count")
    pulled = not re.match(r"nef\s*,\s*0", facts["asked"]) and "spacing" not in facts
    if facts.kind == "screw" and pulled:
        return screws_pulled(count)
    spacing, d = facts.need("spacing"), facts.need("diameter")
    thick = facts.kind != "nail" and d > embedment_record("screw")["thick_over_mm"]
    if thick or facts.kind in ("bolt", "dowel"):
        return bolts_in_row(count, spacing, d)
    return nails_in_row(count, spacing, d, predrilled=facts.get("predrilled", False))


def _splitting(facts: Facts) -> float:
    return splitting_n(facts.need("b"), facts.need("h"), facts.need("he"))


def _kef(facts: Facts) -> float:
    pair = nails_in_row(
        2, facts.need("spacing"), facts.need("diameter"), predrilled=facts.get("predrilled", False)
    )
    return log2(pair)


def _k90(facts: Facts) -> float:
    across = embedment_record("k90")
    kind = facts.get("material") or (member_told(facts, 0).material if "classes" in facts else None)
    if kind is None or kind not in across:
        raise NotToldError("the kind of wood is not told")
    return float(across[kind] + across["slope"] * facts.need("diameter"))


def _kmod(facts: Facts) -> float:
    return float(kmod_row(int(facts.need("service_class")), facts.word("duration"))["kmod"])


def _q(pattern: str, dimension: str, answer: Callable[[Facts], float]) -> tuple[Any, str, Any]:
    return re.compile(pattern), dimension, answer


_QUANTITIES: tuple[tuple[re.Pattern[str], str, Callable[[Facts], float]], ...] = (
    _q(r"f_?h,?\s*(?:0|90|1|2|a|alpha|α)?,?\s*k\b", "MPa", _embedment),
    _q(r"M_?y,?\s*R?k\b", "Nmm", _moment),
    _q(r"f_?ax,?\s*k\b", "MPa", _withdrawal),
    _q(r"f_?head,?\s*k\b", "MPa", _head_strength),
    _q(r"F_?ax,?\s*(?:a|alpha|α)?,?\s*Rk\b", "N", _axial),
    _q(r"F_?ax,?\s*(?:a|alpha|α)?,?\s*Rd\b", "N", _design(_axial)),
    _q(r"F_?head,?\s*Rk\b|head\b", "N", _head),
    _q(r"F_?1,\s*ax,\s*Rk\b", "N", _bolt_steel),
    _q(r"F_?2,\s*ax,\s*Rk\b", "N", _bolt_wood),
    _q(r"F_?v,?\s*Rk\b", "N", _lateral),
    _q(r"F_?v,?\s*Rd\b", "N", _design(_lateral)),
    _q(r"d_?ef\b", "mm", _effective),
    _q(r"n_?ef(?:\s*,\s*0)?\b", "-", _row),
    _q(r"F_?90,?\s*Rk\b", "N", _splitting),
    _q(r"k_?mod\b", "-", _kmod),
    _q(r"k_?ef\b", "-", _kef),
    _q(r"k_?90\b", "-", _k90),
)
