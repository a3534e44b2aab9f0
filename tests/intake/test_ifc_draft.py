"""A model's words come through, and what it leaves open is asked: never guessed."""

import runpy
import time
import tomllib
from pathlib import Path

import ifcopenshell
import pytest

from longhold.base.errors import InputError
from longhold.base.quantities import parse_quantity
from longhold.intake.ifc_draft import draft_from_ifc
from longhold.intake.load import loads

ROOT = Path(__file__).resolve().parents[2]
DEMO = runpy.run_path(str(ROOT / "tools" / "demo_ifc.py"))
Maker, deck = DEMO["Maker"], DEMO["deck"]


def drafted(folder, file):
    path = folder / "model.ifc"
    path.write_text(file.to_string(), encoding="utf-8")
    made = draft_from_ifc(path)
    return made, tomllib.loads(made.text)


def beam_and_joist(make, material="Southern pine"):
    beam, joist = make.bar("IfcBeam", "Beam", 38.0, 235.0), make.bar("IfcMember", "Joist", 38.0, 184.0)
    make.material(material, beam, joist)
    return beam, joist


@pytest.mark.parametrize("schema", ["IFC4", "IFC4X3_ADD2"])
@pytest.mark.parametrize("unit", ["metre", "millimetre", "foot"])
def test_the_deck_reads_alike_in_both_schemas_and_all_units(tmp_path, schema, unit):
    made, told = drafted(tmp_path, deck(schema, unit))
    assert (made.joints, made.pieces) == (3, 38)
    assert told["units"] == ("us" if unit == "foot" else "si")
    assert (told["site"]["latitude"], told["site"]["longitude"]) == (33.97, -77.92)
    assert parse_quantity(told["site"]["elevation"], "elevation_m") == pytest.approx(4.0, rel=1e-5)
    ledger = told["timbers"]["ledger"]
    assert (ledger["species"], ledger["preservative"]) == ("Southern pine", "MCA")
    assert "strength_class" not in ledger  # No. 2 is a grade of the NDS, no class of EN 338
    assert parse_quantity(ledger["retention"], "retention_kg_m3") == pytest.approx(2.403, rel=1e-3)
    assert parse_quantity(ledger["thickness"], "length_mm") == pytest.approx(38.1, rel=1e-5)
    hangers = told["joints"][0]
    assert hangers["quantity"] == 3
    hanger, nail = hangers["parts"]
    assert (hanger["kind"], hanger["label"], hanger["count"]) == ("hanger", "ASTM A653 G185", 1)
    assert parse_quantity(hanger["thickness"], "length_mm") == pytest.approx(1.2, rel=1e-5)
    assert (nail["kind"], nail["label"], nail["count"]) == ("nail", "ASTM A153 class D", 10)
    assert parse_quantity(nail["diameter"], "length_mm") == pytest.approx(3.76, rel=1e-5)
    assert parse_quantity(nail["length"], "length_mm") == pytest.approx(38.0, rel=1e-5)
    assert len(set(nail["elements"])) == 30


@pytest.mark.parametrize(
    ("material", "species"),
    [
        ("European larch, untreated", "European larch"),
        ("Scots pine C24", "Scots pine"),
        ("Holz - Lärche", "European larch"),
        ("Sibirische Lärche S10", "Siberian larch"),
        ("Pinus sylvestris", "Pinus sylvestris"),
        ("Timber, western larch", "western larch"),
        ("Fichte C24", "Norway spruce"),
        ("Douglas fir-larch No. 2", "Douglas-fir (coast)"),
        ("European redwood", "European redwood"),
    ],
)
def test_species_are_read_from_names_of_materials(tmp_path, material, species):
    make = Maker()
    beam, joist = beam_and_joist(make, material)
    make.contain(beam, joist)
    bolt = make.rooted("IfcMechanicalFastener", "Bolt", Name="Bolt", PredefinedType="BOLT")
    make.material("ASTM A153 class C", bolt)
    make.realize("bolted", beam, joist, bolt)
    _, told = drafted(tmp_path, make.file)
    assert {one["species"] for one in told["timbers"].values()} == {species}


def test_lengths_that_no_part_has_are_left_blank_for_the_unit_may_be_wrong(tmp_path):
    """A model in millimeters that says meters: a nail of 3.76 m, a joist 38 m thick."""
    text = deck(unit="millimetre").to_string().replace(".MILLI.", "$")
    path = tmp_path / "model.ifc"
    path.write_text(text, encoding="utf-8")
    made = draft_from_ifc(path)
    told = tomllib.loads(made.text)
    assert all(timber["thickness"] == "" for timber in told["timbers"].values())
    parts = [part for joint in told["joints"] for part in joint["parts"]]
    lengths = [part[name] for part in parts for name in ("diameter", "thickness", "length") if name in part]
    assert set(lengths) == {""}
    assert "the model says 3,760 mm, which is none: is its unit of length right?" in made.text


def test_a_global_id_that_stands_on_several_objects_is_told(tmp_path):
    file = deck()
    first, second = file.by_type("IfcMechanicalFastener")[:2]
    guid = first.GlobalId
    second.GlobalId = guid
    made, told = drafted(tmp_path, file)
    assert any(guid in line and "non-unique" in line for line in made.not_understood)
    named = [one for joint in told["joints"] for part in joint["parts"] for one in part["elements"]]
    assert named.count(guid) == 1


def test_every_piece_of_metal_stands_in_the_draft_once(tmp_path):
    file = deck()
    _, told = drafted(tmp_path, file)
    named = [guid for joint in told["joints"] for part in joint["parts"] for guid in part["elements"]]
    metal = [*file.by_type("IfcMechanicalFastener"), *file.by_type("IfcDiscreteAccessory")]
    assert sorted(named) == sorted(one.GlobalId for one in metal)


def test_what_the_model_leaves_open_is_a_blank_that_the_loader_refuses(tmp_path):
    made, told = drafted(tmp_path, deck())
    assert made.missing == made.text.count('= ""') - sum(
        line.startswith("#") for line in made.text.splitlines() if '= ""' in line
    )
    assert told["joints"][2]["parts"][0]["kind"] == ""
    with pytest.raises(InputError) as refused:
        loads(made.text)
    fields = {problem.where for problem in refused.value.problems}
    assert {"design_life", "joints[0].place", "joints[0].main", "joints[2].parts[0].kind"} <= fields
    assert {"code.pack", "code.edition", "site.jurisdiction"} <= fields


def test_what_is_not_understood_is_listed_with_its_id_and_name(tmp_path):
    make = Maker()
    beam, joist = beam_and_joist(make)
    nails = make.nails("Nail", 1)
    make.realize("a", beam, joist, *nails)
    rivet = make.rooted("IfcMechanicalFastener", "Rivet", Name="Rivet 7", PredefinedType="RIVET")
    proxy = make.rooted("IfcBuildingElementProxy", "Proxy", Name="Joist hanger 12")
    plate = make.rooted("IfcPlate", "Plate", Name="Plate 3")
    made, _ = drafted(tmp_path, make.file)
    for one in (rivet, proxy, plate):
        (line,) = [line for line in made.not_understood if one.GlobalId in line]
        assert repr(one.Name) in line
        assert line in made.text


def test_two_texts_that_clash_are_asked_about(tmp_path):
    make = Maker()
    beam, joist = beam_and_joist(make)
    nails = make.nails("Nail", 2)
    make.material("Stainless steel A4", *nails)
    make.property_set("Own", nails, make.value("Coating", "IfcLabel", "ASTM A153 class D"))
    make.realize("a", beam, joist, *nails)
    made, told = drafted(tmp_path, make.file)
    assert told["joints"][0]["parts"][0]["label"] == ""
    (line,) = [line for line in made.text.splitlines() if line.startswith("label")]
    assert "'ASTM A153 class D' (Own.Coating)" in line
    assert "'Stainless steel A4' (its material)" in line


def test_the_template_value_with_a_line_break_is_read(tmp_path):
    make = Maker()
    beam, joist = beam_and_joist(make)
    nails = make.nails("Nail", 1)
    treated = make.enumerated("CorrosionTreatment", "\nSTAINLESS")
    make.property_set("Pset_ElementComponentCommon", nails, treated)
    make.realize("a", beam, joist, *nails)
    _, told = drafted(tmp_path, make.file)
    assert told["joints"][0]["parts"][0]["label"] == "stainless"


def test_the_304th_nail_is_no_stainless_steel(tmp_path):
    make = Maker()
    beam, joist = beam_and_joist(make)
    nails = make.nails("Nail", 1)
    nails[0].Name = "Nail 304"
    make.realize("a", beam, joist, *nails)
    _, told = drafted(tmp_path, make.file)
    assert told["joints"][0]["parts"][0]["label"] == ""


def test_a_type_tells_what_its_pieces_do_not(tmp_path):
    make = Maker()
    beam, joist = beam_and_joist(make)
    bolt = make.rooted("IfcMechanicalFastener", "Piece", Name="Piece")
    make.type("IfcMechanicalFastenerType", "M12", [bolt], PredefinedType="BOLT", NominalDiameter=0.012)
    make.realize("a", beam, joist, bolt)
    _, told = drafted(tmp_path, make.file)
    part = told["joints"][0]["parts"][0]
    assert (part["kind"], part["diameter"]) == ("bolt", "12 mm")


def test_an_assembly_of_two_timbers_tells_the_joint_and_one_of_three_does_not(tmp_path):
    make = Maker()
    beam, joist = beam_and_joist(make)
    nail, other = make.nails("Nail", 2)
    pair = make.rooted("IfcElementAssembly", "Pair", Name="Pair", PredefinedType="NOTDEFINED")
    make.aggregate("pair", pair, beam, joist, nail)
    three = [make.bar("IfcMember", f"Stud {number}", 38.0, 89.0) for number in (1, 2, 3)]
    many = make.rooted("IfcElementAssembly", "Many", Name="Many", PredefinedType="NOTDEFINED")
    make.aggregate("many", many, *three, other)
    made, told = drafted(tmp_path, make.file)
    assert {"beam", "joist"} == set(told["timbers"])
    assert "which holds the point of the fastener: beam or joist?" in made.text
    assert "holds 3 other objects: which timbers do these join" in made.text


def test_metal_set_in_one_timber_names_it(tmp_path):
    make = Maker()
    beam, _ = beam_and_joist(make)
    nails = make.nails("Nail", 3)
    make.rooted("IfcRelNests", "nest", RelatingObject=beam, RelatedObjects=nails)
    _, told = drafted(tmp_path, make.file)
    (joint,) = told["joints"]
    assert (joint["main"], joint["parts"][0]["count"]) == ("beam", 3)
    assert "side" not in joint


def test_timbers_alike_need_no_word_on_which_is_main(tmp_path):
    make = Maker()
    one, two = (make.bar("IfcMember", f"Joist {number}", 38.0, 184.0) for number in (1, 2))
    make.realize("a", one, two, *make.nails("Nail", 4))
    _, told = drafted(tmp_path, make.file)
    assert (told["joints"][0]["main"], told["joints"][0]["side"]) == ("joist", "joist")


@pytest.mark.parametrize(
    ("latitude", "longitude", "said"),
    [
        (None, None, "the model does not say"),
        ((0, 0, 0), (0, 0, 0), "where nobody gave a position"),
        ((95, 0, 0), (10, 0, 0), "which is nowhere"),
        ((33, -58, 12), (10, 0, 0), "cannot be"),
        ((33, 75, 12), (10, 0, 0), "cannot be"),
    ],
)
def test_a_position_that_cannot_be_trusted_is_asked_for(tmp_path, latitude, longitude, said):
    make = Maker()
    beam, joist = beam_and_joist(make)
    make.realize("a", beam, joist, *make.nails("Nail", 1))
    make.site.RefLatitude, make.site.RefLongitude = latitude, longitude
    made, told = drafted(tmp_path, make.file)
    assert told["site"]["latitude"] == ""
    assert said in made.text


def test_map_coordinates_give_the_position_where_the_site_has_none(tmp_path):
    """UTM zone 33 north, 500 km east and 0 north is 15 degrees east on the equator, by its definition."""
    pytest.importorskip("pyproj")
    make = Maker(unit="millimetre")
    beam, joist = beam_and_joist(make)
    make.realize("a", beam, joist, *make.nails("Nail", 1))
    make.site.RefLatitude = make.site.RefLongitude = None
    system = make.file.create_entity("IfcProjectedCRS", Name="EPSG:32633")
    context = make.file.by_type("IfcGeometricRepresentationContext")[0]
    make.file.create_entity(
        "IfcMapConversion",
        SourceCRS=context,
        TargetCRS=system,
        Eastings=500_000_000.0,
        Northings=0.0,
        OrthogonalHeight=0.0,
    )
    _, told = drafted(tmp_path, make.file)
    assert told["site"]["latitude"] == pytest.approx(0.0, abs=1e-6)
    assert told["site"]["longitude"] == pytest.approx(15.0, abs=1e-6)


def test_without_a_unit_of_length_no_size_is_taken(tmp_path):
    make = Maker()
    beam, joist = beam_and_joist(make)
    make.realize("a", beam, joist, *make.nails("Nail", 1))
    make.file.by_type("IfcUnitAssignment")[0].Units = [
        make.file.create_entity("IfcSIUnit", UnitType="MASSUNIT", Name="GRAM")
    ]
    made, told = drafted(tmp_path, make.file)
    assert told["joints"][0]["parts"][0]["diameter"] == ""
    assert "does not tell its unit of length" in made.text


HOSTILE = [
    '"]\nx = 1',
    "\x1b[31mred",
    "'''",
    "\u202egnp",
    "# MISSING: no",
    "\\",
    "a" * 5000,
    "名前",
    "{{7*7}}",
    "=1+1",
]


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_stay_names(tmp_path, name):
    make = Maker()
    beam, joist = beam_and_joist(make)
    nails = make.nails("Nail", 1)
    make.realize("a", beam, joist, *nails)
    for one in (beam, joist, *nails, make.site, make.storey, *make.file.by_type("IfcProject")):
        one.Name = name
    rivet = make.rooted("IfcMechanicalFastener", "Rivet", Name=name, PredefinedType="RIVET")
    made, told = drafted(tmp_path, make.file)
    assert set(told) <= {"name", "units", "design_life", "application", "code", "site", "timbers", "joints"}
    assert len(told["joints"]) == 1
    assert len(told["timbers"]) == 2
    assert any(rivet.GlobalId in line for line in made.not_understood)
    assert all(sign.isprintable() or sign == "\n" for sign in made.text)


def test_a_model_without_metal_says_so(tmp_path):
    """The property set templates that come with the library are a large IFC4 file that is no building."""
    import ifcopenshell

    templates = Path(ifcopenshell.__file__).parent / "util" / "schema" / "Pset_IFC4_ADD2.ifc"
    with pytest.raises(InputError, match="holds no mechanical fastener"):
        draft_from_ifc(templates)


@pytest.mark.slow
def test_a_model_of_fifty_megabytes_is_read(tmp_path):
    make = Maker()
    beam, joist = beam_and_joist(make)
    nails = make.nails("Nail", 20_000)
    make.realize("a", beam, joist, *nails[:9_000])
    for number in range(300_000):
        make.file.create_entity("IfcCartesianPoint", Coordinates=(number / 7.0, 1.0 / 3.0, number / 11.0))
    path = tmp_path / "large.ifc"
    text = make.file.to_string()
    path.write_text(text + " " * max(0, 50_000_000 - len(text)), encoding="utf-8")
    assert path.stat().st_size >= 50_000_000
    start = time.perf_counter()
    made = draft_from_ifc(path)
    print(f"{path.stat().st_size / 1e6:.0f} MB, 20,000 nails: {time.perf_counter() - start:.1f} s")
    assert made.pieces == 20_000


def _ships_with_the_library():
    return sorted(Path(ifcopenshell.__file__).parent.rglob("*.ifc"))


@pytest.mark.parametrize("path", _ships_with_the_library(), ids=lambda path: path.name)
def test_files_that_ship_with_the_library_are_told_and_never_crash(path):
    """Templates of property sets and trials of the syntax, sound and broken: no building is among them."""
    with pytest.raises(InputError) as caught:
        draft_from_ifc(path)
    assert str(caught.value)


def test_a_sign_of_a_code_page_ends_no_text(tmp_path):
    """ISO 10303-21: after backslash S backslash the quote is a letter, here the section sign."""
    marked = deck().to_string().replace("'Deck level'", r"'\S\'Deck level'", 1)
    path = tmp_path / "signed.ifc"
    path.write_text(marked, encoding="utf-8")
    assert "§Deck level" in draft_from_ifc(path).text
