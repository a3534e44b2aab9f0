"""A structure written as a workbook, or as TOML, and read again is the same structure."""

import datetime
import io
import json
import tomllib
from pathlib import Path
from typing import get_args

import openpyxl
import pytest
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from python_calamine import CalamineWorkbook

from longhold import intake
from longhold.base.errors import InputError
from longhold.base.quantities import parse_quantity
from longhold.intake.convert import converted
from longhold.intake.described import described
from longhold.intake.sheet_fields import field_kind, plan
from longhold.intake.sheet_reading import read_structure_sheets
from longhold.intake.sheet_values import unwritable
from longhold.intake.sheet_writing import structure_workbook
from longhold.intake.toml_text import toml_text
from longhold.model.damage import DamageKind, damage_clash
from longhold.model.structure import Structure

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "demo" / "boardwalk.toml"

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


def values(field, monthly=None):
    what, limits = field_kind(field), bounds(field)
    low, high = limits.get("ge", limits.get("gt", 0)), limits.get("le", limits.get("lt", 30))
    one = {
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
    if not what.many:
        return one
    months = st.lists(one, min_size=12, max_size=12)
    several = months if field.default is None else st.lists(one, max_size=2, unique=True)
    if not what.one or monthly is True:
        return several
    return one if monthly is False else st.one_of(one, several)


@st.composite
def records(draw, model, **fixed):
    """Any subset of the fields of a record, each with any value it may have; ``None`` leaves a field out."""
    found = {}
    for name, field in model.model_fields.items():
        if name in fixed:
            if fixed[name] is not None:
                found[name] = fixed[name]
        elif field_kind(field).record is None and (field.is_required() or draw(st.booleans())):
            found[name] = draw(values(field))
    return found


def model_of(name):
    return next(one.record for one in plan() if one.name == name)


@st.composite
def parts(draw, name):
    kind = draw(st.sampled_from(field_kind(model_of("Parts").model_fields["kind"]).choices))
    fastener = kind in ("nail", "staple", "wood_screw", "lag_screw", "bolt", "dowel")
    sizes = SIZES.get(kind, SIZES["other fastener" if fastener else "sheet"])
    barred = dict.fromkeys(SHEET_ONLY if fastener else DOWEL_ONLY)
    damages = [one for one in get_args(DamageKind) if not damage_clash(kind, [one])]
    damage = draw(st.one_of(st.none(), st.lists(st.sampled_from(damages), max_size=1))) if damages else None
    return draw(
        records(
            model_of("Parts"),
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
def joints(draw, name, timbers):
    names = draw(st.lists(IDS, min_size=1, max_size=3, unique=True))
    layout_model = field_kind(model_of("Joints").model_fields["layout"]).record
    return draw(
        records(
            model_of("Joints"),
            id=name,
            main=draw(st.sampled_from(timbers)),
            side=draw(st.sampled_from([None, *timbers])),
            parts=[draw(parts(one)) for one in names],
            layout=draw(st.one_of(st.none(), records(layout_model))),
            main_end_grain=None,
        )
    )


@st.composite
def sites(draw):
    about = Structure.model_fields["site"].annotation.model_fields
    climate = field_kind(about["climate"]).record
    monthly = draw(st.booleans())
    told = {
        name: draw(values(climate.model_fields[name], monthly))
        for name in ("temperature", "relative_humidity_pct")
    }
    weather = draw(
        st.sampled_from(
            [{"station": draw(TEXTS)}, {**draw(records(climate, station=None, file=None)), **told}]
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
def structures(draw):
    timbers = draw(st.lists(IDS, min_size=1, max_size=3, unique=True))
    named = draw(st.lists(IDS, min_size=1, max_size=3, unique=True))
    given = draw(
        records(
            Structure,
            code=draw(
                records(
                    Structure.model_fields["code"].annotation,
                    pack="us_irc",
                    rules=draw(st.one_of(st.none(), TEXTS)),
                )
            ),
            site=draw(sites()),
            timbers={
                name: draw(records(model_of("Timbers"), size=draw(st.sampled_from(["2x8", "5/4x6", "6x6"]))))
                for name in timbers
            },
            joints=[draw(joints(name, timbers)) for name in named],
        )
    )
    try:
        return Structure.model_validate(given)
    except ValidationError as error:
        kinds = {one["type"] for one in error.errors()}
    assert kinds == {"value_error"}, kinds  # what one field forbids another, which is not all known here
    return reject()


def said(record):
    """Which fields were said, all the way down: what was not is listed as an assumption."""
    if isinstance(record, list):
        return [said(one) for one in record]
    if isinstance(record, dict):
        return {name: said(one) for name, one in record.items()}
    if not hasattr(record, "model_fields_set"):
        return record
    return {
        name: said(getattr(record, name))
        for name in record.model_fields_set
        if getattr(record, name) not in (None, [])
    }


def read_back(structure, tmp_path):
    path = tmp_path / "made.xlsx"
    path.write_bytes(structure_workbook(described(structure)))
    read = read_structure_sheets(path)
    assert read.problems == []
    return Structure.model_validate(read.given)


@pytest.mark.slow
@settings(
    max_examples=50, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
@given(structures())
def test_any_structure_is_the_same_after_a_workbook(tmp_path_factory, structure):
    again = read_back(structure, tmp_path_factory.mktemp("made"))
    assert again == structure
    assert again.joints == structure.joints
    assert [said(joint) for joint in again.joints] == [
        said(joint) if joint.layout is None or joint.layout.model_fields_set else said(one)
        for joint, one in zip(structure.joints, again.joints, strict=True)
    ]


@pytest.mark.slow
@settings(
    max_examples=50, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
@given(structures())
def test_any_structure_is_the_same_after_toml(structure):
    assert Structure.model_validate(tomllib.loads(toml_text(described(structure)))) == structure


def test_the_demo_goes_through_every_form_and_stays_the_same(tmp_path):
    wanted, last = intake.load(DEMO), DEMO
    for name in ("a.xlsx", "b.json", "c.xlsx", "d.toml"):
        made, path = converted(last, tmp_path / name), tmp_path / name
        path.write_bytes(made if isinstance(made, bytes) else made.encode())
        last = path
        assert intake.load(path) == wanted
    given = tomllib.loads(last.read_text(encoding="utf-8"))
    assert given["site"]["distance_to_salt_water"] == "150 ft"
    assert given == tomllib.loads(DEMO.read_text(encoding="utf-8"))


def test_another_library_reads_what_was_written(tmp_path):
    path = tmp_path / "demo.xlsx"
    path.write_bytes(converted(DEMO, path))
    book = CalamineWorkbook.from_path(str(path))
    assert book.sheet_names[:6] == ["Start here", "Structure", "Near", "Timbers", "Joints", "Parts"]
    given = tomllib.loads(DEMO.read_text(encoding="utf-8"))
    heads, _, *rows = book.get_sheet_by_name("Joints").to_python()
    for row, joint in zip(rows, given["joints"], strict=True):
        shown = {head: value for head, value in zip(heads, row, strict=True) if value != ""}
        assert shown == {name: value for name, value in joint.items() if name != "parts"}
    heads, _, *rows = book.get_sheet_by_name("Parts").to_python()
    listed = [{"joint": joint["id"], **part} for joint in given["joints"] for part in joint["parts"]]
    shown = [{head: value for head, value in zip(heads, row, strict=True) if value != ""} for row in rows]
    assert shown == listed
    values = {row[0]: row[1] for row in book.get_sheet_by_name("Structure").to_python()}
    assert values["build_date"] == datetime.date(2026, 4, 1)
    assert values["code.edition"] == "2021"


@pytest.mark.parametrize("text", ["=HYPERLINK(1)", "+1", "-1", "@now", "=cmd|' /C calc'!A0"])
def test_text_that_looks_like_a_formula_is_text(tmp_path, text, small_structure):
    structure = small_structure().model_copy(update={"name": text})
    raw = structure_workbook({**described(structure), "name": text})
    cell = openpyxl.load_workbook(io.BytesIO(raw))["Structure"]["B2"]
    assert (cell.value, cell.data_type, cell.quotePrefix) == (text, "s", True)
    rows = CalamineWorkbook.from_filelike(io.BytesIO(raw)).get_sheet_by_name("Structure").to_python()
    assert rows[1][1] == text


def test_every_field_of_the_model_has_a_column():
    """Against the JSON Schema, which is made from the model by another way."""
    schema = Structure.model_json_schema()

    def fields(node, before=""):
        node = schema["$defs"][node["$ref"].rsplit("/", 1)[-1]] if "$ref" in node else node
        for name, about in node["properties"].items():
            options = [one for one in about.get("anyOf", [about]) if one.get("type") != "null"]
            if (
                "$ref" in options[0]
                and "properties" in schema["$defs"][options[0]["$ref"].rsplit("/", 1)[-1]]
            ):
                yield from fields(options[0], f"{before}{name}.")
            elif "$ref" in (
                inner := options[0].get("items")
                or next(iter(options[0].get("patternProperties", {}).values()), {})
            ) and ("properties" in schema["$defs"][inner["$ref"].rsplit("/", 1)[-1]]):
                lists.append((name, inner))
            else:
                yield f"{before}{name}"

    lists = []
    wanted = {"Structure": set(fields(schema))}
    while lists:
        name, inner = lists.pop()
        wanted[name.capitalize()] = set(fields(inner))
    assert {one.name: {field.path for field in one.fields} for one in plan()} == wanted
    for one in plan():
        assert len(set(one.heads)) == len(one.heads)


def test_what_a_workbook_cannot_hold_is_refused_with_its_place(small_structure):
    given = described(small_structure())
    given["note"] = "_x000D_"
    given["timbers"]["joist"]["species"] = "  "
    with pytest.raises(InputError) as caught:
        structure_workbook(given)
    assert {problem.where for problem in caught.value.problems} == {"note", "timbers.joist.species"}


def test_a_pack_too_long_for_a_cell_goes_on_below(small_structure, tmp_path):
    rules = "\r\n".join(f"rule {i} = {i}" for i in range(9000))
    given = described(small_structure())
    given["code"] = {"pack": "town.toml", "edition": "1", "rules": rules}
    assert read_back(Structure.model_validate(given), tmp_path).code.rules == rules


def test_files_that_a_structure_names_are_named_from_the_new_folder(tmp_path):
    text = intake.starter().replace('station = "Atlanta"', 'file = "year.csv"')
    (tmp_path / "year.csv").write_text(
        "month,temperature_c,relative_humidity_pct\n" + "".join(f"{i},{i},70\n" for i in range(1, 13)),
        encoding="utf-8",
    )
    (tmp_path / "deck.toml").write_text(text, encoding="utf-8")
    (tmp_path / "sub").mkdir()
    target = tmp_path / "sub" / "deck.xlsx"
    target.write_bytes(converted(tmp_path / "deck.toml", target))
    wanted, found = intake.load(tmp_path / "deck.toml"), intake.load(target)
    assert found.site.climate.temperature == wanted.site.climate.temperature
    assert read_structure_sheets(target).given["site"]["climate"]["file"] == "../year.csv"


def test_an_empty_table_in_json_is_still_there_after_a_workbook(tmp_path, small_structure):
    given = json.loads(json.dumps(described(small_structure())))
    given["joints"][0]["layout"] = {}
    given["joints"][0]["side"] = None
    (tmp_path / "deck.json").write_text(json.dumps(given), encoding="utf-8")
    target = tmp_path / "deck.xlsx"
    target.write_bytes(converted(tmp_path / "deck.json", target))
    assert intake.load(target) == intake.load(tmp_path / "deck.json")
    assert intake.load(target).joints[0].layout is not None
