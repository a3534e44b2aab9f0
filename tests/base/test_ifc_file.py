"""Files that are no model, or a broken one, are told plainly; nothing is taken half."""

import runpy
from pathlib import Path

import pytest

from longhold.base.errors import InputError
from longhold.base.ifc_file import derived_guid, open_ifc

ROOT = Path(__file__).resolve().parents[2]
deck = runpy.run_path(str(ROOT / "tools" / "demo_ifc.py"))["deck"]

HEAD = (
    "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\n"
    "FILE_NAME('','2026-01-01T00:00:00',(''),(''),'','','');\nFILE_SCHEMA(('{schema}'));\nENDSEC;\nDATA;\n"
)
END = "ENDSEC;\nEND-ISO-10303-21;\n"
WALL = "#1=IFCWALL('0YvctVUKr0kugbFTf53O9L',$,'a',$,$,$,$,$,$);\n"


def write(folder, text, name="model.ifc"):
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_the_demo_model_is_what_its_script_writes():
    assert (ROOT / "demo" / "deck_frame.ifc").read_text(encoding="utf-8") == deck().to_string()


@pytest.mark.parametrize("schema", ["IFC4", "IFC4X3_ADD2"])
def test_both_schemas_open_whole(tmp_path, schema):
    model = open_ifc(write(tmp_path, deck(schema).to_string()))
    assert model.schema == schema.removesuffix("_ADD2")
    assert model.faults == ()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is empty"),
        (" \n\n", "is empty"),
        ("a deck of wood", "is not an IFC file"),
        (bytes(range(256)), "is not an IFC file"),
        (HEAD.format(schema="IFC4") + WALL, "is cut short"),
        (HEAD.format(schema="IFC4") + "#1=IFCWALL('0Yvct", "is cut short"),
        (HEAD.format(schema="IFC4") + "#1=IFCWALL('" + END, "text that is not closed"),
        (HEAD.format(schema="IFC2X3") + WALL + END, "schema IFC2X3, which is not read here"),
        (HEAD.format(schema="AP203") + WALL + END, "Unsupported schema: AP203"),
        (HEAD.format(schema="IFC4X3") + WALL + END, "IFC4X3_ADD2"),
        ("ISO-10303-21;\nEND-ISO-10303-21;\n", "cannot be read as IFC"),
    ],
)
def test_what_is_no_model_is_refused(tmp_path, text, said):
    with pytest.raises(InputError, match=said):
        open_ifc(write(tmp_path, text))


def test_other_endings_missing_files_and_folders_are_refused(tmp_path):
    with pytest.raises(InputError, match=r"ends in \.ifc"):
        open_ifc(write(tmp_path, HEAD.format(schema="IFC4") + WALL + END, "model.ifczip"))
    with pytest.raises(InputError, match="no such file"):
        open_ifc(tmp_path / "none.ifc")
    (tmp_path / "folder.ifc").mkdir()
    with pytest.raises(InputError, match="is a folder"):
        open_ifc(tmp_path / "folder.ifc")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("#2=IFCTURRET('1YvctVUKr0kugbFTf53O9L',$);\n", "IFCTURRET"),
        ("#2=IFCWALL('1YvctVUKr0kugbFTf53O9L',#77,'b',$,$,$,$,$,$);\n", "#77"),
        ("#1=IFCDOOR('1YvctVUKr0kugbFTf53O9L',$,'b',$,$,$,$,$,$,$,$,$,$);\n", "Overwriting instance"),
        ("#2=IFCWALL('1YvctVUKr0kugbFTf53O9L',$);\n", "Expected 9"),
    ],
)
def test_what_the_library_drops_from_a_file_is_a_fault(tmp_path, line, said):
    model = open_ifc(write(tmp_path, HEAD.format(schema="IFC4") + WALL + line + END))
    assert any(said in fault for fault in model.faults), model.faults


def test_signs_within_texts_are_not_taken_for_structure(tmp_path):
    odd = "#2=IFCWALL('1YvctVUKr0kugbFTf53O9L',$,'it''s #7= /* here',$,$,$,$,$,$); /* #9=IFCWALL */\n"
    model = open_ifc(write(tmp_path, HEAD.format(schema="IFC4") + WALL + odd + END))
    assert model.faults == ()
    assert model.file.by_id(2).Name == "it's #7= /* here"


def test_a_missing_library_says_what_to_install(tmp_path, monkeypatch):
    monkeypatch.setattr("longhold.base.ifc_file.find_spec", lambda _: None)
    with pytest.raises(InputError, match=r"pip install 'longhold\[ifc\]'"):
        open_ifc(write(tmp_path, HEAD.format(schema="IFC4") + WALL + END))


def test_global_ids_that_follow_from_ids_are_valid_and_differ():
    import ifcopenshell.guid

    made = {derived_guid("set", str(number), name) for number in range(200) for name in ("a", "b")}
    assert len(made) == 400
    for one in made:
        assert ifcopenshell.guid.compress(ifcopenshell.guid.expand(one)) == one
