"""Findings go into a model as property sets; every other entity keeps its type, GlobalId and attributes."""

import contextlib
import datetime
import random
import re
import runpy
import tomllib
from pathlib import Path

import pytest

from longhold.assessment.line import assess
from longhold.base.errors import InputError
from longhold.base.ifc_file import OWN_SET, open_ifc
from longhold.documents.ifc_writing import check_writable, with_findings
from longhold.intake.ifc_draft import draft_from_ifc
from longhold.intake.load import loads

ROOT = Path(__file__).resolve().parents[2]
DEMO = runpy.run_path(str(ROOT / "tools" / "demo_ifc.py"))
Maker, deck = DEMO["Maker"], DEMO["deck"]
DAY = datetime.date(2026, 11, 26)
OTHER_DAY = datetime.date(2027, 1, 2)
FILL = {
    "design_life": "30 years",
    "application": "deck",
    "pack": "us_irc",
    "edition": "2021",
    "jurisdiction": "US",
    "place": "dry_inside",
    "kind": "wood_screw",
    "diameter": "4.8 mm",
    "main": "joist",
    "side": "ledger",
}


def filled(text):
    """A draft with its blanks filled, as a person would."""
    for field, value in FILL.items():
        text = re.sub(rf'(?m)^{field} = "" .*$', f'{field} = "{value}"', text)
    return text


def as_read(folder, file, name="model.ifc"):
    path = folder / name
    path.write_text(file if isinstance(file, str) else file.to_string(), encoding="utf-8")
    return open_ifc(path)


@pytest.fixture(scope="module")
def structure(tmp_path_factory):
    path = tmp_path_factory.mktemp("draft") / "model.ifc"
    path.write_text(deck().to_string(), encoding="utf-8")
    return loads(filled(draft_from_ifc(path).text))


@pytest.fixture(scope="module")
def assessment(structure):
    """The same deck with a nick in each bolt's head, so that somebody has said something of its condition."""
    bolts = structure.joints[1]
    nicked = bolts.parts[0].model_copy(update={"damage": ["nicked_head"]})
    joints = [structure.joints[0], bolts.model_copy(update={"parts": [nicked]}), structure.joints[2]]
    return assess(structure.model_copy(update={"joints": joints}), draws=200)


def plain(entity):
    """Everything that an entity says, with references told by step number."""
    return entity.is_a(), [str(value) for value in entity]


def validation(folder, text):
    import ifcopenshell.validate

    path = folder / "checked.ifc"
    path.write_text(text, encoding="utf-8")
    logger = ifcopenshell.validate.json_logger()
    ifcopenshell.validate.validate(str(path), logger, express_rules=True)
    return [str(one) for one in logger.statements]


def sets_of(model, guid):
    """Property sets of an element by the library's own reader."""
    from ifcopenshell.util.element import get_psets

    return get_psets(model.file.by_guid(guid), should_inherit=False)


@pytest.mark.parametrize("schema", ["IFC4", "IFC4X3_ADD2"])
@pytest.mark.parametrize("unit", ["metre", "foot"])
def test_every_other_entity_is_as_it_was(tmp_path, assessment, schema, unit):
    before = as_read(tmp_path, deck(schema, unit))
    kept = {one.id(): plain(one) for one in before.file}
    made = with_findings(as_read(tmp_path, deck(schema, unit)), assessment, DAY)
    after = as_read(tmp_path, made.text, "out.ifc")
    found = {one.id(): plain(one) for one in after.file}
    assert {key: found[key] for key in kept} == kept
    new = [after.file.by_id(key) for key in set(found) - set(kept)]
    assert {one.is_a() for one in new} <= {
        "IfcPropertySet",
        "IfcRelDefinesByProperties",
        "IfcPropertySingleValue",
        "IfcPropertyListValue",
        "IfcPropertyEnumeratedValue",
        "IfcPropertyBoundedValue",
    }
    guids = [one.GlobalId for one in after.file.by_type("IfcRoot")]
    assert len(guids) == len(set(guids))
    assert made.elements == 38
    assert made.not_found == ()


def test_every_line_of_the_demos_model_stands_in_the_output_letter_by_letter(tmp_path, assessment):
    """Read as text, without the library: entity, GlobalId and every attribute of what was there before."""
    before = (ROOT / "demo" / "deck_frame.ifc").read_text(encoding="utf-8")
    made = with_findings(as_read(tmp_path, before), assessment, DAY)
    was, now = (dict(re.findall(r"(?m)^(#\d+)\s*=\s*(.*);\s*$", text)) for text in (before, made.text))
    assert len(was) == before.count("\n#") > 100
    assert {key: now[key] for key in was} == was
    assert {now[key].partition("(")[0] for key in now.keys() - was.keys()} <= {
        "IFCPROPERTYSET",
        "IFCRELDEFINESBYPROPERTIES",
        "IFCPROPERTYSINGLEVALUE",
        "IFCPROPERTYLISTVALUE",
        "IFCPROPERTYENUMERATEDVALUE",
        "IFCPROPERTYBOUNDEDVALUE",
    }
    heads = [re.sub(r"(?m)^FILE_NAME.*$", "", text.partition("DATA;")[0]) for text in (before, made.text)]
    assert heads[0] == heads[1]


@pytest.mark.slow
# the validator leaves its own rule files open
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
@pytest.mark.parametrize("schema", ["IFC4", "IFC4X3_ADD2"])
def test_the_library_finds_no_new_fault(tmp_path, assessment, schema):
    text = deck(schema).to_string()
    old = validation(tmp_path, text)
    made = with_findings(as_read(tmp_path, text), assessment, DAY)
    assert validation(tmp_path, made.text) == old


def test_the_findings_read_back_are_those_of_the_assessment(tmp_path, assessment):
    model = as_read(tmp_path, with_findings(as_read(tmp_path, deck()), assessment, DAY).text, "out.ifc")
    for finding in assessment.findings:
        for part, given in zip(finding.parts, finding.joint.parts, strict=True):
            for guid in given.elements:
                told = sets_of(model, guid)[OWN_SET]
                assert told["Answer"] == finding.answer
                assert told["Joint"] == f"{finding.joint.id} {finding.joint.name}"
                assert told["LabelReadAs"] == part.protection.designation
                assert told["ChanceAsked"] == assessment.structure.target_chance
                assert f"reach {assessment.structure.design_life:g} years" in told["ReachedAndAsked"]
                assert told["AsOf"] == "2026-11-26"
                assert "not a certificate" in told["Nature"]
                assert told["WeakestMark"].startswith(finding.mark.value)
                assert len(told["Sources"]) == len(assessment.sources)
                if part.protection_years is not None and part.protection_years.p10 < 200:
                    assert told["ProtectionEndsYearsP10"] == pytest.approx(
                        part.protection_years.p10, abs=0.006
                    )


def test_the_name_of_our_set_leaves_the_standards_names_alone():
    assert not OWN_SET.startswith(("Pset_", "Qto_"))


def test_the_standards_places_are_those_of_its_templates(tmp_path, assessment):
    """Names, kinds and types of properties as in the templates of the standard that the library carries."""
    import ifcopenshell.util.pset

    for schema in ("IFC4", "IFC4X3_ADD2"):
        model = as_read(
            tmp_path, with_findings(as_read(tmp_path, deck(schema)), assessment, DAY).text, "o.ifc"
        )
        templates = ifcopenshell.util.pset.PsetQto(model.schema)
        written = [
            one
            for one in model.file.by_type("IfcPropertySet")
            if (one.Description or "").startswith("Written by")
        ]
        standard = [one for one in written if one.Name != OWN_SET]
        assert {"Pset_ElementComponentCommon", "Pset_Condition"} <= {one.Name for one in standard}
        for one in standard:
            known = {p.Name: p for p in templates.get_by_name(one.Name).HasPropertyTemplates}
            for held in one.HasProperties:
                template = known[held.Name]
                kind = held.is_a().removeprefix("IfcProperty").upper()
                assert template.TemplateType == f"P_{kind}"
                for value in values_of(held):
                    assert value.is_a() == template.PrimaryMeasureType
                    if template.Enumerators:
                        allowed = {v.wrappedValue.strip() for v in template.Enumerators.EnumerationValues}
                        assert value.wrappedValue in allowed


def values_of(held):
    names = ("NominalValue", "LowerBoundValue", "SetPointValue", "UpperBoundValue")
    single = [getattr(held, name, None) for name in names]
    return [*(one for one in single if one is not None), *(getattr(held, "EnumerationValues", None) or ())]


def test_a_treatment_that_the_model_tells_is_left(tmp_path, assessment):
    made = with_findings(as_read(tmp_path, deck()), assessment, DAY)
    assert made.left == {"Pset_ElementComponentCommon": 30}
    model = as_read(tmp_path, made.text, "out.ifc")
    nail = assessment.structure.joints[0].parts[1].elements[0]
    assert sets_of(model, nail)["Pset_ElementComponentCommon"]["CorrosionTreatment"] == ["GALVANISED"]
    screw = assessment.structure.joints[2].parts[0].elements[0]
    assert sets_of(model, screw)["Pset_ElementComponentCommon"]["CorrosionTreatment"] == ["STAINLESS"]


def test_an_open_coat_fills_no_treatment(tmp_path, assessment):
    """'Steel' alone does not say that there is no coat."""
    model = as_read(tmp_path, with_findings(as_read(tmp_path, deck()), assessment, DAY).text, "out.ifc")
    bolt = assessment.structure.joints[1].parts[0].elements[0]
    assert "Pset_ElementComponentCommon" not in sets_of(model, bolt)


def test_a_forecast_is_not_written_as_an_inspection(tmp_path, assessment):
    model = as_read(tmp_path, with_findings(as_read(tmp_path, deck()), assessment, DAY).text, "out.ifc")
    for joint in assessment.structure.joints:
        for part in joint.parts:
            told = sets_of(model, part.elements[0]).get("Pset_Condition", {})
            assert set(told) - {"id"} == ({"AssessmentDescription"} if part.damage else set())


def test_the_same_twice_is_the_same_text_and_again_into_its_own_output_too(tmp_path, assessment):
    first = with_findings(as_read(tmp_path, deck()), assessment, DAY).text
    assert with_findings(as_read(tmp_path, deck()), assessment, DAY).text == first
    assert with_findings(as_read(tmp_path, first), assessment, DAY).text == first


def test_a_second_run_replaces_and_adds_nothing(tmp_path, assessment):
    first = as_read(tmp_path, with_findings(as_read(tmp_path, deck()), assessment, DAY).text)
    count = len(list(first.file))
    again = as_read(tmp_path, with_findings(first, assessment, OTHER_DAY).text, "again.ifc")
    assert len(list(again.file)) == count
    nail = assessment.structure.joints[0].parts[1].elements[0]
    assert sets_of(again, nail)[OWN_SET]["AsOf"] == "2027-01-02"
    assert "2026-11-26" not in again.file.to_string()


def test_our_set_on_a_copied_element_is_replaced_on_it_alone(tmp_path, assessment):
    """Programs that copy an element may hang it on the same set: its fellow keeps that."""
    model = as_read(tmp_path, with_findings(as_read(tmp_path, deck()), assessment, DAY).text)
    nail = model.file.by_guid(assessment.structure.joints[0].parts[1].elements[0])
    (relation,) = [one for one in nail.IsDefinedBy if one.RelatingPropertyDefinition.Name == OWN_SET]
    relation.RelatedObjects = [nail, model.file.by_type("IfcWall")[0]]
    again = as_read(tmp_path, with_findings(model, assessment, OTHER_DAY).text, "again.ifc")
    wall = again.file.by_type("IfcWall")[0]
    assert sets_of(again, wall.GlobalId)[OWN_SET]["AsOf"] == "2026-11-26"
    assert sets_of(again, nail.GlobalId)[OWN_SET]["AsOf"] == "2027-01-02"


def test_what_longhold_wrote_is_no_news_to_a_new_draft(tmp_path, assessment):
    path = tmp_path / "model.ifc"
    path.write_text(deck().to_string(), encoding="utf-8")
    before = draft_from_ifc(path).text
    path.write_text(with_findings(open_ifc(path), assessment, DAY).text, encoding="utf-8")
    assert draft_from_ifc(path).text == before


def test_a_model_that_was_not_read_whole_is_not_written(tmp_path, structure):
    text = deck().to_string().replace("IFCWALL(", "IFCTURRET(")
    with pytest.raises(InputError, match="is not whole"):
        check_writable(as_read(tmp_path, text), structure)


def test_another_model_is_refused_and_a_lost_element_is_told(tmp_path, structure, assessment):
    with pytest.raises(InputError, match="holds none of the elements"):
        check_writable(as_read(tmp_path, Maker().file), structure)
    file = deck()
    gone = file.by_guid(structure.joints[0].parts[1].elements[3])
    guid = gone.GlobalId
    for relation in (*gone.ConnectedTo, *gone.ConnectedFrom):
        file.remove(relation)
    file.remove(gone)
    made = with_findings(as_read(tmp_path, file), assessment, DAY)
    assert (made.elements, made.not_found) == (37, (guid,))


def test_an_element_in_two_parts_or_in_none_is_refused(tmp_path, structure):
    model = as_read(tmp_path, deck())
    bare = [
        joint.model_copy(update={"parts": [part.model_copy(update={"elements": []}) for part in joint.parts]})
        for joint in structure.joints
    ]
    with pytest.raises(InputError, match="no part that names elements"):
        check_writable(model, structure.model_copy(update={"joints": bare}))
    twice = structure.model_copy(
        update={"joints": [structure.joints[0], structure.joints[0].model_copy(update={"id": "J9"})]}
    )
    with pytest.raises(InputError, match="an element is in one part"):
        check_writable(model, twice)


ODD = ["$", "*", "#7", "(#5,#9)", "'x'", "-1.", "()", ".FOO.", "IFCLABEL('q')", "(1,2)", ".T.", "7", "#9999"]


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(60))
def test_a_model_with_broken_attributes_is_drafted_and_written_or_refused(tmp_path, assessment, seed):
    """Any attribute may hold any thing: no traceback, and what is written changes nothing that was there."""
    rng = random.Random(seed)
    head, data = deck().to_string().split("DATA;\n")
    lines = data.split("\n")
    for _ in range(rng.randint(1, 4)):
        row = rng.randrange(len(lines) - 3)
        start, inside, end = re.fullmatch(r"(#\d+=\w+\()(.*)(\);)", lines[row]).groups()
        given = re.split(r",(?![^()]*\))", inside)
        given[rng.randrange(len(given))] = rng.choice(ODD)
        lines[row] = start + ",".join(given) + end
    path = tmp_path / "broken.ifc"
    path.write_text(f"{head}DATA;\n" + "\n".join(lines), encoding="utf-8")
    with contextlib.suppress(InputError):
        tomllib.loads(draft_from_ifc(path).text)
    with contextlib.suppress(InputError):
        made = with_findings(open_ifc(path), assessment, DAY)
        found = {one.id(): plain(one) for one in as_read(tmp_path, made.text, "out.ifc").file}
        for one in open_ifc(path).file:
            assert found[one.id()] == plain(one)


def test_ids_of_elements_change_no_answer_and_part_no_joints(structure):
    """Joints that differ in their elements alone are computed once, and answer alike."""
    first = structure.joints[0]
    bare = [part.model_copy(update={"elements": []}) for part in first.parts]
    twin = first.model_copy(update={"id": "J9", "parts": bare})
    found = assess(structure.model_copy(update={"joints": [first, twin]}), draws=200).findings
    assert found[0].parts is found[1].parts
    assert found[1].joint.parts[0].elements == []
