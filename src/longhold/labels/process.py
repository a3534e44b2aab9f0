"""Whether the words for how zinc was put on, and what it is counted on, agree with the class named."""

from __future__ import annotations

from dataclasses import replace

from longhold.labels.catalogue import unknown_coat
from longhold.labels.options import Found, Option
from longhold.labels.said import Said
from longhold.labels.spelling import refuse

__all__ = ["settle_basis", "settle_process"]

_ANY = frozenset({"galvanized", "zinc"})
_MAY_BE_CALLED: dict[str, frozenset[str]] = {
    "mill_dip": _ANY | {"mill", "hot_dip", "galvannealed"},
    "dip_after_making": _ANY | {"hot_dip", "tzn"},
    "spun_dip": _ANY | {"hot_dip", "tzn"},
    "electroplate": _ANY | {"electro", "plated"},
    "mechanical": _ANY | {"mechanical", "plated"},
    "thermal_diffusion": _ANY | {"diffusion"},
    "sprayed": _ANY | {"sprayed"},
    "not_told": _ANY | {"plated"},
}
_IN_WORDS = {
    "mill": "mill-coated",
    "hot_dip": "hot-dip",
    "electro": "electroplated",
    "plated": "plated",
    "mechanical": "mechanically deposited",
    "diffusion": "thermally diffused",
    "sprayed": "sprayed",
    "galvannealed": "galvannealed",
    "tzn": "tZn (hot-dip)",
}


def settle_process(said: Said, found: Found) -> Found:
    """Drop candidates that the words for the process rule out.

    Raises
    ------
    LabelError : where they rule out every candidate
    """
    words = set(said.names("process")) - {"zinc_rich"}
    fitting = tuple(option for option in found.options if said.either or not _odd_words(option, words))
    if not fitting:
        odd = sorted(_odd_words(found.options[0], words))[0]
        name = found.options[0].protection.designation
        raise refuse(said, f"says {_IN_WORDS.get(odd, odd)} and names {name}, which is put on another way.")
    if any(_is_mill(option) for option in fitting):
        if said.of("spun"):
            raise refuse(
                said, f"names {fitting[0].protection.designation}, a mill coat, and says spun after dipping."
            )
        if said.of("after"):
            return _two_steps(fitting)
    return replace(found, options=fitting, question=found.question if len(fitting) > 1 else "")


def _odd_words(option: Option, words: set[str]) -> set[str]:
    if option.coat is None:
        return set()
    odd = words - _MAY_BE_CALLED[option.coat.process]
    if "galvannealed" in words and option.coat.kind != "zinc_iron":
        odd.add("galvannealed")
    return odd


def _is_mill(option: Option) -> bool:
    return option.coat is not None and option.coat.process == "mill_dip"


def _two_steps(options: tuple[Option, ...]) -> Found:
    """Coated sheet that is also dipped after making: what the second bath adds is not stated."""
    dipped = unknown_coat("zinc dipped after making, amount not stated", "dip_after_making")
    question = "The label names coated sheet and a dip after making: to which standard is the dip certified?"
    return Found((*options, Option(dipped, "loose")), question)


def settle_basis(said: Said, found: Found) -> Found:
    """Refuse a class that is said to count on what it does not count on, such as 'Z275 per face'.

    Raises
    ------
    LabelError : where it contradicts every candidate
    """
    if not said.basis or said.figures:
        return found
    fitting = tuple(option for option in found.options if option.counted in ("", said.basis))
    if not fitting:
        option = found.options[0]
        really = "the total of both faces" if option.counted == "both" else "one face"
        name = option.protection.designation
        raise refuse(said, f"is at odds with its class: {name} counts {really}.")
    return replace(found, options=fitting, question=found.question if len(fitting) > 1 else "")
