"""Structures drawn from the fields of the model themselves: a new field is drawn as soon as it is there."""

from collections.abc import Mapping
from typing import get_args

from hypothesis import reject
from hypothesis import strategies as st
from pydantic import ValidationError

from longhold.base.quantities import parse_quantity
from longhold.intake.sheet_fields import field_kind, plan
from longhold.intake.sheet_values import unwritable
from longhold.model.damage import DamageKind, damage_clash
from longhold.model.structure import Structure

Words = Mapping[str, st.SearchStrategy | None]
"""What to draw for a field in place of anything that it may hold; None leaves it out."""
NONE: Words = {}
UNITS = {
    "length_mm": ("mm", "in", "ft"),
    "film_um": ("um", "mil"),
    "distance_m": ("m", "ft", "miles", "km"),
    "elevation_m": ("m", "ft"),
    "retention_kg_m3": ("kg/m3", "pcf"),
    "force_n": ("N", "lb", "kN"),
    "stress_mpa": ("MPa", "psi", "ksi"),
    "time_years": ("years", "days"),
    "temperature_c": ("degC", "F"),
    "deposition_mg_m2_d": ("mg/m2/d",),
    "concentration_ug_m3": ("ug/m3",),
}
SIZES = {
    "nail": ["16d common", "10d common x 1-1/2 in"],
    "wood_screw": ["#10 x 2-1/2 in"],
    "other fastener": ["1/2 in x 4 in", "M12 x 100 mm"],
    "sheet": ["18 ga", "1.5 mm"],
}
SHEET_ONLY = {
    "thickness",
    "width",
    "hole_diameter",
    "holes_across",
    "clear_edge",
    "tensile_strength",
    "yield_strength",
}
DOWEL_ONLY = {"diameter", "length", "root_diameter", "head_diameter", "thread_length", "shank"}

IDS = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9_-]{0,12}", fullmatch=True)
GLOBAL_IDS = st.lists(st.from_regex(r"[0-3][0-9A-Za-z_$]{21}", fullmatch=True), max_size=2, unique=True)
TEXTS = st.one_of(
    st.sampled_from(
        [
            "=1+1",
            "+1",
            "-2",
            "@SUM(A1)",
            "a\nb",
            "a\r\nb",
            " edge ",
            "3/4",
            "2021",
            "'",
            '"',
            "x\x07y",
            "TRUE",
        ]
    ),
    st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=40),
).filter(lambda text: not unwritable(text))  # what is refused is tested by itself


def quantities(dimension):
    def fits(text):
        try:
            parse_quantity(text, dimension)
        except ValueError:
            return False
        return True

    least = -20 if dimension in ("temperature_c", "elevation_m") else "0.01"
    numbers = st.decimals(least, 20, places=5)
    return st.builds("{} {}".format, numbers, st.sampled_from(UNITS[dimension])).filter(fits)


def bounds(field):
    found = {}
    for one in field.metadata:
        for name in ("ge", "gt", "le", "lt", "min_length", "max_length"):
            if getattr(one, name, None) is not None:
                found[name] = getattr(one, name)
    return found


def values(field, monthly=None, words=None):
    """Any value of a field; ``words`` stand for a text or a choice in place of any."""
    what, limits = field_kind(field), bounds(field)
    low, high = limits.get("ge", limits.get("gt", 0)), limits.get("le", limits.get("lt", 30))
    one = (
        {
            "choice": lambda: st.sampled_from(what.choices),
            "yes_no": st.booleans,
            "whole": lambda: st.integers(low, high),
            "number": lambda: st.floats(
                low, high, exclude_min="gt" in limits, exclude_max="lt" in limits, allow_subnormal=False
            ),
            "date": lambda: st.dates(),
            "quantity": lambda: quantities(what.dimension),
            "text": lambda: TEXTS.filter(
                lambda text: limits.get("min_length", 0) <= len(text) <= limits.get("max_length", 99)
            ),
        }[what.kind]()
        if words is None
        else words
    )
    if not what.many:
        return one
    months = st.lists(one, min_size=12, max_size=12)
    several = months if field.default is None else st.lists(one, max_size=2, unique=True)
    if not what.one or monthly is True:
        return several
    return one if monthly is False else st.one_of(one, several)


@st.composite
def records(draw, model, words: Words = NONE, **fixed):
    """Any subset of the fields of a record, each with any value it may have; ``None`` leaves a field out."""
    found = {}
    for name, field in model.model_fields.items():
        if name in fixed:
            if fixed[name] is not None:
                found[name] = fixed[name]
        elif name in words and words[name] is None:
            continue
        elif field_kind(field).record is None and (field.is_required() or draw(st.booleans())):
            found[name] = draw(values(field, words=words.get(name)))
    return found


def model_of(name):
    return next(one.record for one in plan() if one.name == name)


@st.composite
def parts(draw, name, words):
    kind = draw(st.sampled_from(field_kind(model_of("Parts").model_fields["kind"]).choices))
    fastener = kind in ("nail", "staple", "wood_screw", "lag_screw", "bolt", "dowel")
    sizes = SIZES.get(kind, SIZES["other fastener" if fastener else "sheet"])
    barred = dict.fromkeys(SHEET_ONLY if fastener else DOWEL_ONLY)
    damages = [one for one in get_args(DamageKind) if not damage_clash(kind, [one])]
    damage = draw(st.one_of(st.none(), st.lists(st.sampled_from(damages), max_size=1))) if damages else None
    return draw(
        records(
            model_of("Parts"),
            words,
            id=name,
            kind=kind,
            size=draw(st.sampled_from(sizes)),
            elements=draw(st.one_of(st.none(), GLOBAL_IDS)),
            damage=damage,
            faces=None,
            **barred,
        )
    )


@st.composite
def joints(draw, name, timbers, words):
    names = draw(st.lists(IDS, min_size=1, max_size=3, unique=True))
    layout_model = field_kind(model_of("Joints").model_fields["layout"]).record
    return draw(
        records(
            model_of("Joints"),
            words,
            id=name,
            main=draw(st.sampled_from(timbers)),
            side=draw(st.sampled_from([None, *timbers])),
            parts=[draw(parts(one, words)) for one in names],
            layout=draw(st.one_of(st.none(), records(layout_model))),
            main_end_grain=None,
        )
    )


@st.composite
def sites(draw, words):
    about = Structure.model_fields["site"].annotation.model_fields
    climate = field_kind(about["climate"]).record
    monthly = draw(st.booleans())
    told = {
        name: draw(values(climate.model_fields[name], monthly))
        for name in ("temperature", "relative_humidity_pct")
    }
    weather = draw(
        st.sampled_from(
            [
                {"station": draw(words.get("station", TEXTS))},
                {**draw(records(climate, station=None, file=None)), **told},
            ]
        )
    )
    air = draw(records(field_kind(about["air"]).record, sulphur_deposition=None))
    air["near"] = [draw(records(model_of("Near"))) for _ in range(draw(st.integers(0, 2)))]
    place = draw(st.sampled_from([(None, None), (draw(st.floats(-90, 90)), draw(st.floats(-180, 180)))]))
    model = Structure.model_fields["site"].annotation
    distance = draw(quantities("distance_m"))
    made = records(
        model,
        latitude=place[0],
        longitude=place[1],
        climate=weather,
        air=air,
        distance_to_salt_water=distance,
    )
    return draw(made)


@st.composite
def structures(draw, words: Words = NONE):
    """Any structure that the model takes; ``words`` has what to draw for some texts and choices, by field."""
    timbers = draw(st.lists(IDS, min_size=1, max_size=3, unique=True))
    named = draw(st.lists(IDS, min_size=1, max_size=3, unique=True))
    given = draw(
        records(
            Structure,
            code=draw(
                records(
                    Structure.model_fields["code"].annotation,
                    words,
                    pack=draw(words.get("pack", st.just("us_irc"))),
                    rules=None if words else draw(st.one_of(st.none(), TEXTS)),
                )
            ),
            site=draw(sites(words)),
            timbers={
                name: draw(
                    records(model_of("Timbers"), words, size=draw(st.sampled_from(["2x8", "5/4x6", "6x6"])))
                )
                for name in timbers
            },
            joints=[draw(joints(name, timbers, words)) for name in named],
        )
    )
    try:
        return Structure.model_validate(given)
    except ValidationError as error:
        kinds = {one["type"] for one in error.errors()}
    assert kinds == {"value_error"}, kinds  # what one field forbids another, which is not all known here
    return reject()
