"""Answers to rows of a check file on sheet steel, where the case is written in words that can be read.

Understood: a screw through two sheets (shear, pull-out, pull-over) and bolts in a sheet by AISI S100, a strap
in tension with holes, a nail through a sheet into wood, screws and pins by EN 1993-1-3. Anything else is not
answered, and no case is answered of which a word was not understood.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from longhold.base.errors import InputError
from longhold.base.tables import load_toml
from longhold.strength.nds_data import fe_wood_psi, fyb_psi
from longhold.strength.nds_dowel import mode_names, yield_load_lb
from longhold.strength.nds_sizes import same_size_within_in, wood_screw_gauge
from longhold.strength.prepared import MM_PER_IN, N_PER_LB, PSI_PER_MPA
from longhold.strength.sheet import (
    bolt_bearing_n,
    edge_tear_out_n,
    gross_yield_n,
    net_section_n,
    omega,
    pull_out_n,
    pull_over_n,
    screw_shear_n,
)
from longhold.strength.sheet_en import (
    en_net_section_n,
    en_pin_bearing_n,
    en_pull_out_n,
    en_pull_through_n,
    en_record,
    en_screw_bearing_n,
)
from longhold.strength.steel_words import NotUnderstoodError, plain_case, read_case

__all__ = ["answer_steel_case", "answer_steel_row"]

_NUMBER = r"\d*\.?\d+"
_DIVISOR = rf"(?: ?/ ?(?P<by>{_NUMBER}))?"
_KSI_BELOW = 200.0
_PITCH_BELOW_MM, _PITCH_ABOVE_MM = 0.0, float("inf")

Facts = Mapping[str, float | str]


def answer_steel_row(row: Mapping[str, str]) -> float | None:
    """Our value for one row on sheet steel [lb or N], or None where it cannot be read.

    Parameters
    ----------
    row : cells by column: case, quantity and unit; other columns are not read

    >>> case = "No. 10 screw d .190, two sheets 43 mil t 0.0451 in, Fu 45000"
    >>> round(answer_steel_row({"case": case, "quantity": "Pns/3 shear", "unit": "lb"}), 1)
    263.0
    """
    try:
        return answer_steel_case(row.get("case", ""), row.get("quantity", ""), row.get("unit", ""))
    except NotUnderstoodError:
        return None


def answer_steel_case(case: str, quantity: str, unit: str) -> float:
    """Our value for one case and quantity, in lb or N as its unit says.

    Raises
    ------
    NotUnderstoodError : with what cannot be read
    """
    asked = " ".join(quantity.split())
    for units, pattern, answer in _QUANTITIES:
        match = re.fullmatch(pattern, asked)
        if match is None or unit != units:
            continue
        facts = read_case(plain_case(case))
        try:
            value = answer(facts)
        except KeyError as missing:
            raise NotUnderstoodError(f"the case does not say {missing.args[0]}") from None
        except InputError as error:
            raise NotUnderstoodError("; ".join(str(one) for one in error.problems)) from None
        if unused := set(facts) - _read_by(answer):
            raise NotUnderstoodError(f"what {', '.join(sorted(unused))} does here is not understood")
        return value / float(match.groupdict().get("by") or 1.0)
    raise NotUnderstoodError(f"no such quantity is held: {asked} [{unit}]")


def _screw_shear(facts: Facts) -> float:
    t1, t2, fu1, fu2 = _two_sheets(facts)
    d = _screw_in(facts)
    return float(screw_shear_n(t1 * MM_PER_IN, t2 * MM_PER_IN, d * MM_PER_IN, fu1, fu2)) / N_PER_LB


def _pull_out(facts: Facts) -> float:
    _needs_alike(facts)
    t = _one(facts, "tc", "t2", "t")
    fu = _mpa(facts, "Fu2" if "Fu2" in facts else "Fu")
    return float(pull_out_n(t * MM_PER_IN, _screw_in(facts) * MM_PER_IN, fu)) / N_PER_LB


def _pull_over(facts: Facts) -> float:
    t = _one(facts, "t1", "t")
    fu = _mpa(facts, "Fu1" if "Fu1" in facts else "Fu")
    return float(pull_over_n(t * MM_PER_IN, _value(facts, "dw") * MM_PER_IN, fu)) / N_PER_LB


def _bolt_bearing(facts: Facts) -> float:
    if facts.get("kind") not in ("bolt", "bolts") or "washers" not in facts:
        raise NotUnderstoodError("the case does not say whether a bolt has washers")
    t, d = _value(facts, "t") * MM_PER_IN, _value(facts, "d") * MM_PER_IN
    return (
        float(bolt_bearing_n(t, d, _mpa(facts, "Fu"), washers=facts["washers"] == "with washers")) / N_PER_LB
    )


def _edge_tear_out(facts: Facts) -> float:
    t, edge = _value(facts, "t") * MM_PER_IN, _one(facts, "edge", "e") * MM_PER_IN
    return float(edge_tear_out_n(t, edge, _mpa(facts, "Fu"))) / N_PER_LB


def _gross(facts: Facts) -> float:
    area = _value(facts, "width") * _value(facts, "t") * MM_PER_IN**2
    return float(gross_yield_n(area, _mpa(facts, "Fy"))) / N_PER_LB


def _net(facts: Facts) -> float:
    width = _value(facts, "width") - _value(facts, "hole") * _value(facts, "holes")
    area = width * _value(facts, "t") * MM_PER_IN**2
    return float(net_section_n(area, _mpa(facts, "Fu"))) / N_PER_LB


def _nail_through_sheet(facts: Facts) -> float:
    if "plate" not in facts:
        raise KeyError("the side plate")
    d, g = _value(facts, "nail"), _value(facts, "G")
    result = yield_load_lb(
        nominal_diameter_in=d,
        main_bearing_length_in=(
            load_toml("strength/nds_2018/limits.toml")["nail_tables"]["penetration_d"] - 1.0
        )
        * d,
        side_bearing_length_in=_value(facts, "t"),
        fem_psi=fe_wood_psi(g, d),
        fes_psi=_value(facts, "Fes"),
        fyb_psi=fyb_psi("nail", d),
    )
    stated = facts.get("mode")
    if stated is not None and stated != str(mode_names(result.mode_index)):
        raise NotUnderstoodError(f"yield mode {stated} does not govern at ten diameters of penetration")
    return float(result.load_lb)


def _en_bearing(facts: Facts) -> float:
    t, d, fu = _value(facts, "t"), _value(facts, "d"), _value(facts, "fu")
    if str(facts.get("kind", "")).endswith(("pin", "pins")):
        return float(en_pin_bearing_n(t, d, fu))
    if facts.get("kind") not in ("self-tapping screw", "self-tapping screws"):
        raise NotUnderstoodError("the case does not say that it is of a self-tapping screw or a pin")
    if "t1" in facts:
        t1 = _value(facts, "t1")
    elif "thick_other" in facts:
        t1 = en_record("screw_bearing")["thick_ratio"] * t
    else:
        _one_word(facts, "alike")
        t1 = t
    if t1 < t:
        raise NotUnderstoodError("t is the thinner sheet, t1 the thicker")
    return float(en_screw_bearing_n(t, t1, d, fu))


def _en_net(facts: Facts) -> float:
    width = _value(facts, "width") - _value(facts, "hole") * _value(facts, "holes")
    return float(en_net_section_n(width * _value(facts, "t"), _value(facts, "fu")))


def _en_through(facts: Facts) -> float:
    _is_action(facts, "pull-through")
    t, dw, fu = _value(facts, "t"), _value(facts, "dw"), _value(facts, "fu")
    if "wind" in facts:
        raise NotUnderstoodError("the static value is asked of a case in repeated wind")
    return float(en_pull_through_n(t, dw, fu))


def _en_through_wind(facts: Facts) -> float:
    _is_action(facts, "pull-through")
    _one_word(facts, "wind")
    t, dw, fu = _value(facts, "t"), _value(facts, "dw"), _value(facts, "fu")
    return float(en_pull_through_n(t, dw, fu, repeated_wind=True))


def _en_through_any(facts: Facts) -> float:
    return _en_through_wind(facts) if "wind" in facts else _en_through(facts)


def _en_pull_out(facts: Facts) -> float:
    _is_action(facts, "pull-out")
    t, d, fu = _value(facts, "tsup"), _value(facts, "d"), _value(facts, "fu")
    if "s" in facts or "pitch" in facts:
        pitch = _one(facts, "s", "pitch")
    elif "form" in facts:
        pitch = _PITCH_BELOW_MM if "0.65" in str(facts["form"]) else _PITCH_ABOVE_MM
    else:
        raise NotUnderstoodError("the case does not say the pitch of the thread, or which form")
    return float(en_pull_out_n(t, d, fu, pitch_mm=pitch))


def _two_sheets(facts: Facts) -> tuple[float, float, float, float]:
    fu1, fu2 = (_mpa(facts, name if name in facts else "Fu") for name in ("Fu1", "Fu2"))
    if "like" in facts and "t" in facts:
        t = _value(facts, "t")
        return t, t, fu1, fu2
    return _value(facts, "t1"), _value(facts, "t2"), fu1, fu2


def _needs_alike(facts: Facts) -> None:
    if "t1" in facts and "t2" not in facts:
        raise NotUnderstoodError("the sheet that holds the thread is t2")


def _is_action(facts: Facts, wanted: str) -> None:
    if facts.get("action") != wanted:
        raise NotUnderstoodError(f"the case is not one of {wanted}")


def _one_word(facts: Facts, name: str) -> None:
    if name not in facts:
        raise KeyError({"alike": "how thick the other sheet is", "wind": "that wind repeats"}[name])


def _value(facts: Facts, name: str) -> float:
    value = float(facts[name])
    if not 0.0 < value < float("inf"):
        raise NotUnderstoodError(f"{name} must be more than zero")
    return value


def _one(facts: Facts, *names: str) -> float:
    given = [name for name in names if name in facts]
    if len(given) != 1:
        raise KeyError(" or ".join(names))
    return _value(facts, given[0])


def _screw_in(facts: Facts) -> float:
    if facts.get("kind") not in ("screw", "screws"):
        raise NotUnderstoodError("the case is not one of a screw")
    if "no" not in facts:
        return _value(facts, "d")
    listed = wood_screw_gauge(int(_value(facts, "no"))).diameter_in
    if "d" in facts and abs(_value(facts, "d") - listed) > same_size_within_in():
        raise NotUnderstoodError("number and diameter of the screw do not agree")
    return _value(facts, "d") if "d" in facts else listed


def _mpa(facts: Facts, name: str) -> float:
    # no steel is as weak as 200 psi: a smaller number is in ksi, whether or not the unit stands there
    value = _value(facts, name)
    return (value * 1000.0 if value < _KSI_BELOW else value) / PSI_PER_MPA


def _strap(facts: Facts) -> float:
    return min(_gross(facts) / omega("gross_yield"), _net(facts) / omega("net_section"))


_READ: Mapping[Callable[[Facts], float], frozenset[str]] = {
    _screw_shear: frozenset({"kind", "no", "d", "like", "mil", "t", "t1", "t2", "Fu", "Fu1", "Fu2", "alike"}),
    _pull_out: frozenset({"kind", "no", "d", "like", "mil", "t", "t2", "tc", "Fu", "Fu2", "action"}),
    _pull_over: frozenset({"kind", "no", "d", "like", "mil", "t", "t1", "dw", "Fu", "Fu1", "action"}),
    _bolt_bearing: frozenset({"kind", "d", "mil", "t", "Fu", "washers"}),
    _edge_tear_out: frozenset({"kind", "d", "mil", "t", "edge", "e", "Fu", "action"}),
    _gross: frozenset({"strap", "width", "hole", "holes", "t", "Fy", "Fu", "mil"}),
    _net: frozenset({"strap", "width", "hole", "holes", "t", "Fy", "Fu", "mil"}),
    _strap: frozenset({"strap", "width", "hole", "holes", "t", "Fy", "Fu", "mil"}),
    _nail_through_sheet: frozenset({"plate", "nail", "G", "t", "Fes", "mode", "mil"}),
    _en_bearing: frozenset({"kind", "t", "t1", "d", "fu", "alike", "thick_other"}),
    _en_net: frozenset({"strap", "width", "hole", "holes", "t", "fu"}),
    _en_through: frozenset({"action", "t", "dw", "fu", "static"}),
    _en_through_wind: frozenset({"action", "t", "dw", "fu", "wind"}),
    _en_through_any: frozenset({"action", "t", "dw", "fu", "static", "wind"}),
    _en_pull_out: frozenset({"action", "tsup", "d", "fu", "s", "pitch", "form", "thread"}),
}


def _read_by(answer: Callable[[Facts], float]) -> frozenset[str]:
    return _READ[answer]


_QUANTITIES: tuple[tuple[str, str, Callable[[Facts], float]], ...] = (
    ("lb", rf"Pns{_DIVISOR}(?: shear)?", _screw_shear),
    ("lb", rf"Pnot{_DIVISOR}(?: pull-out)?(?: 0\.85 tc d Fu2?)?", _pull_out),
    ("lb", rf"Pnov{_DIVISOR}(?: pull-over)?(?: 1\.5 t1? d'?w Fu1?)?", _pull_over),
    ("lb", rf"Pn{_DIVISOR} bearing(?: C mf d t Fu)?", _bolt_bearing),
    ("lb", rf"Pn{_DIVISOR} edge tear-out(?: 0\.6 Fu t e x 2)?", _edge_tear_out),
    ("lb", r"min\(gross Fy A/1\.67, net Fu An/2(?:\.0+)?\)", _strap),
    ("lb", rf"gross Fy A{_DIVISOR}", _gross),
    ("lb", rf"net Fu An{_DIVISOR}", _net),
    ("lb", r"Z", _nail_through_sheet),
    ("N", r"Fb,Rd(?: EN 1993-1-3)?(?: T8\.[234])?,? ?(?:gM2 1\.25)?", _en_bearing),
    ("N", r"Fn,Rd(?: EN 1993-1-3)?(?: = Anet fu/gM2)?", _en_net),
    ("N", r"Fp,Rd(?: EN 1993-1-3)?", _en_through_any),
    ("N", r"(?:Fp,Rd = )?dw t fu/gM2", _en_through),
    ("N", r"(?:Fp,Rd = )?0\.5 dw t fu/gM2", _en_through_wind),
    ("N", r"Fo,Rd(?: EN 1993-1-3)?(?: = 0\.(?:65|45) d tsup fu/gM2)?", _en_pull_out),
)
