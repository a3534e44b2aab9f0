"""Names of fields of a structure, as people say them."""

from __future__ import annotations

__all__ = ["field_words"]

_WORDS = {
    "access": "how easy it is to reach",
    "air": "what stands near the site",
    "application": "what the structure is",
    "chloride": "salt that settles at the site",
    "chloride_method": "how the salt was measured",
    "climate": "climate of the site",
    "code": "code",
    "count": "how many in a joint",
    "demand": "load across its fasteners",
    "demand_withdrawal": "load that pulls its fasteners out",
    "double_shear": "fastener cuts through two planes",
    "faces": "how its faces lie",
    "isolated": "kept apart from other metal",
    "label": "what the label says",
    "layout": "rows and distances of fasteners",
    "load_to_grain_main_deg": "angle of load to grain, main timber",
    "load_to_grain_side_deg": "angle of load to grain, side timber",
    "main": "timber at the point",
    "main_end_grain": "metal in end grain of the main timber",
    "maker_advice": "what its maker advises",
    "pack": "rules that govern",
    "predrilled": "hole drilled first",
    "quantity": "how many joints",
    "rain_from": "where rain comes from",
    "rated_as": "kind of load that its report tells",
    "rated_load": "load that it is rated for",
    "role": "what the joint is for",
    "setting": "what the place is like",
    "shank": "smooth or ringed shank",
    "shore": "kind of shore",
    "side": "timber under the head",
    "species": "kind of wood",
    "strength_fraction": "share of new strength at which it ends",
    "strength_standard": "standard of strength",
    "sulphur_deposition": "sulphur dioxide that settles at the site",
    "sulphur_dioxide": "sulphur dioxide in the air",
    "target_chance": "chance asked for",
    "toe_nailed": "nailed at a slant",
    "use_category": "use category of its treatment",
    "warmest": "warmest it gets",
    "wet_when_made": "wood wet when the joint is made",
}
"""Last name of a field -> what it asks for, where the name with blanks does not say it."""

_OF_ALL = ("site", "air", "layout", "code")


def field_words(where: str) -> str:
    """Where an assumption stands, in words: the part or timber that it is of, then what it is.

    A joint is left out, for whoever lists it names the joint beside it.

    >>> field_words("joints.J01.lag.predrilled"), field_words("site.air.chloride")
    ('lag: hole drilled first', 'salt that settles at the site')
    >>> field_words("timbers.post.retention"), field_words("joints.J01.nail, bending yield strength")
    ('post: retention', 'nail: bending yield strength')
    >>> field_words("joints.J01.demand"), field_words("label Z275")
    ('load across its fasteners', 'label Z275')
    """
    path, _, more = where.partition(", ")
    steps = path.split(".")
    of_joint = steps[0] == "joints"
    if of_joint or steps[0] == "timbers":
        steps = steps[2:] if of_joint else steps[1:]
    owners = [step for step in steps[:-1] if step not in _OF_ALL]
    last = steps[-1] if steps else "joint"
    if more and not (last in _WORDS or "_" in last):
        return ": ".join([*owners, last, more])
    told = ": ".join([*owners, _WORDS.get(last, last.replace("_", " "))])
    return f"{told}, {more}" if more else told
