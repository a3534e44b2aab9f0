"""Whether a finish satisfies what a maker recommends."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from longhold.codes.facts import G_M2_PER_OZ_FT2, facts_from_protection
from longhold.model.protection import Protection

__all__ = ["at_least_as_good", "maker_advice"]

Read = Callable[[str], Protection | None]

_NONE = re.compile(r"^(none|no (recommendation|advice)( given)?)$", re.IGNORECASE)
_AGAINST = re.compile(r"^(refuses|rejects|excludes|does not accept|not|no)\s+(?P<what>.+)$", re.IGNORECASE)
_FOR = re.compile(
    r"^(accepts?|allows?|permits?|recommends?|requires?|asks for|demands?|at least|minimum|min\.?)\s+"
    r"(?P<what>.+)$",
    re.IGNORECASE,
)
_STEEL = (
    "plain_steel", "weathering_steel", "electroplated_zinc", "mechanical_zinc", "thermal_diffusion_zinc",
    "hot_dip_zinc", "mill_zinc_sheet", "mill_alloy_sheet", "zinc_process_not_told", "sprayed_zinc",
)  # fmt: skip
_STAINLESS_RANK = {"430": 0, "410": 0, "304": 1, "305": 1, "316": 2, "better": 3}
_LESS = ("plain_steel", "weathering_steel", "electroplated_zinc")


def maker_advice(text: str, offered: Mapping[str, Any], read: Read) -> str | None:
    """What a maker's recommendation means for the finish offered: none, accepts, refuses; None if unclear.

    Parameters
    ----------
    text : the recommendation, such as ``none``, ``accepts G90``, ``requires SS316``, ``does not accept G60``
    offered : facts about the finish offered
    read : reads a designation

    >>> maker_advice("none", {}, lambda text: None)
    'none'
    """
    words = " ".join(text.split())
    if not words:
        return None
    if _NONE.match(words):
        return "none"
    against = _AGAINST.match(words)
    wanted = against or _FOR.match(words)
    named = [
        _named(part, read) for part in re.split(r"\s+or\s+|[,;/]\s*", (wanted["what"] if wanted else words))
    ]
    known = [facts for facts in named if facts is not None]
    if against:
        same = any(at_least_as_good(facts, offered) for facts in known)
        return "refuses" if same else None
    results = [at_least_as_good(offered, facts) for facts in known]
    if any(results):
        return "accepts"
    return "refuses" if results and len(known) == len(named) and all(r is False for r in results) else None


def at_least_as_good(offered: Mapping[str, Any], named: Mapping[str, Any]) -> bool | None:
    """Whether one finish is at least what another is; None where no clause orders the two.

    Zinc is compared within its own process; stainless stands above zinc-coated and bare steel, and its grades
    are ordered 304, 316, above 316, with 410 and 430 below.

    >>> at_least_as_good({"finish": "stainless"}, {"finish": "plain_steel"})
    True
    """
    have, want = offered.get("finish"), named.get("finish")
    if want == "stainless":
        return _stainless(offered, named)
    if have == "stainless" and want in _STEEL:
        return True
    if want in ("plain_steel", "weathering_steel"):
        return True if have in _STEEL else None
    if have == want:
        return _same_process(offered, named)
    if want == "mill_zinc_sheet" and "a123_oz_ft2" in offered and "mill_total_g_m2" in named:
        return bool(offered["a123_oz_ft2"] * G_M2_PER_OZ_FT2 >= named["mill_total_g_m2"])
    return False if have in _LESS else None


def _same_process(offered: Mapping[str, Any], named: Mapping[str, Any]) -> bool | None:
    for name in ("mill_total_g_m2", "b695_class", "electroplated_um", "a123_oz_ft2"):
        if name in named:
            return bool(offered[name] >= named[name]) if name in offered else None
    if "a153_class" in named:
        return bool(offered["a153_class"] <= named["a153_class"]) if "a153_class" in offered else None
    return True


def _stainless(offered: Mapping[str, Any], named: Mapping[str, Any]) -> bool | None:
    if offered.get("finish") != "stainless":
        return False
    if "stainless_type" not in named:
        return True
    have = _STAINLESS_RANK.get(offered.get("stainless_type", ""))
    want = _STAINLESS_RANK.get(named["stainless_type"])
    return None if have is None or want is None else have >= want


def _named(text: str, read: Read) -> dict[str, Any] | None:
    for spelled in (text.strip(), text.strip().replace(" ", "_")):
        found = read(spelled)
        if found is not None:
            return facts_from_protection(found)
    return {"finish": "stainless"} if text.strip().lower() in ("stainless", "stainless steel") else None
