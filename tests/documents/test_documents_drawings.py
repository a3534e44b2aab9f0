import re
from dataclasses import replace

import pytest

from longhold.documents.charts import Setting
from longhold.documents.drawings import joint_drawing, joint_thumbnail, wet_words
from longhold.documents.lost_faces import DEPTH_STEPS_UM, depth_step
from longhold.documents.magnified import Spot, magnified
from longhold.documents.paper import fit
from longhold.documents.plank_names import plank_names
from longhold.documents.section import cut, solid_um
from longhold.model.surroundings import places

PARTS = [
    {"kind": "nail", "size": "16d common"},
    {"kind": "staple", "diameter": "2 mm", "length": "50 mm"},
    {"kind": "wood_screw", "size": "#10 x 2-1/2 in"},
    {"kind": "lag_screw", "size": "3/8 in x 3 in"},
    {"kind": "bolt", "size": "1/2 in x 8 in"},
    {"kind": "dowel", "diameter": "12 mm"},
    {"kind": "washer", "thickness": "3 mm"},
    {"kind": "hanger", "size": "18 ga"},
    {"kind": "nail_plate", "size": "1 mm"},
]


def joint_with(make_structure, *parts, **changes):
    named = [{"id": f"p{i}", "label": "zinc", **part} for i, part in enumerate(parts)]
    joint = {"id": "J1", "name": "One", "place": "open_to_rain", "main": "beam", "parts": named, **changes}
    made = make_structure(joints=[joint])
    return made, made.joints[0]


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part["kind"])
@pytest.mark.parametrize("side", [None, "board"])
def test_every_kind_of_part_is_drawn(make, make_structure, part, side):
    made, joint = joint_with(make_structure, part, side=side)
    found = make().findings[3]
    drawn = joint_drawing(made, type(found)(**{**found.__dict__, "joint": joint}), Setting(50, 2026, "us"))
    assert drawn.count("<svg") == 1
    assert not re.search(r"\b(nan|inf)\b", str(drawn))


def test_the_section_is_to_scale(make_structure):
    made, joint = joint_with(
        make_structure, {"kind": "hanger", "size": "18 ga"}, {"kind": "nail", "size": "10d common x 1-1/2 in"}
    )
    section = cut(made, joint)
    sheet, nail, plank = section.sheets[0], section.dowels[0], section.planks[0]
    assert sheet.end_mm == plank.start_mm == 0.0
    assert nail.start_mm == sheet.start_mm
    assert nail.end_mm - nail.start_mm == pytest.approx(38.1)
    assert plank.end_mm == pytest.approx(38.1)


def test_a_washer_lies_between_head_and_timber_about_its_bolt(make_structure):
    washer, bolt = {"kind": "washer", "thickness": "3 mm"}, {"kind": "bolt", "size": "1/2 in x 8 in"}
    section = cut(*joint_with(make_structure, washer, bolt, side="board"))
    (flat,), (shank,) = section.sheets, section.dowels
    assert (flat.start_mm, flat.end_mm, shank.start_mm) == (-3.0, 0.0, -3.0)
    paper = fit(section, 300.0, 132.0, 0.0, 0.0)
    upper, lower = paper.sheet_span(section, flat)
    assert (upper + lower) / 2 == pytest.approx(paper.height(section, 0))
    assert lower - upper > shank.head_mm * paper.px


def test_side_timber_lies_outside_main(make_structure):
    made, joint = joint_with(make_structure, {"kind": "bolt", "size": "1/2 in x 8 in"}, side="board")
    board, beam = cut(made, joint).planks
    assert (board.name, beam.name) == ("board", "beam")
    assert board.end_mm == beam.start_mm == pytest.approx(25.4)
    assert not beam.cut_off


def test_a_length_that_is_not_told_is_flagged(make_structure):
    made, joint = joint_with(make_structure, {"kind": "dowel", "diameter": "12 mm"})
    assert not cut(made, joint).dowels[0].length_told


def test_metal_under_a_face(make_structure):
    _, joint = joint_with(
        make_structure, {"kind": "nail", "size": "16d common"}, {"kind": "strap", "size": "16 ga"}
    )
    nail, strap = joint.parts
    assert solid_um(nail) == pytest.approx(500 * 0.162 * 25.4)
    assert solid_um(strap) == pytest.approx(1000 * strap.measures.thickness_mm)


def test_the_magnified_face_states_its_scale_and_what_is_missing(make):
    answer = make()
    drawn = str(joint_drawing(answer.structure, answer.findings[0], Setting(50, 2026, "us")))
    assert re.search(r"at 50 years, [\d.,]+ × the scale above", drawn)
    assert "steel lost: 5.0 mil (128 µm)" in drawn
    assert "zinc 0.76 mil (19 µm) when new" in drawn


def test_hatching_is_told_only_where_wood_is_wet_and_in_the_reader_s_unit():
    assert wet_words(places()["dry_inside"], "us") == ""
    assert "0.79 in (20 mm) that rain" in wet_words(places()["open_to_rain"], "us")
    assert "20 mm that rain" in wet_words(places()["open_to_rain"], "si")
    assert "stays wet" in wet_words(places()["ground_contact"], "us")


@pytest.mark.parametrize(("touches", "against", "said"), [("air", "soil", "soil"), ("air", "", "air")])
def test_the_magnified_face_names_what_it_lies_against(make, touches, against, said):
    part = next(one for finding in make().findings for one in finding.parts if one.faces)
    face = replace(part.faces[0], touches=touches, against=against)
    drawn = magnified(part, face, Spot(5, 5), Setting(50, 2026, "us"), top=0.0, px_per_mm=2.0, solid=None)
    assert f">{said}</text>" in str(drawn)
    assert (said == "air") == (">air</text>" in str(drawn))


def test_a_thumbnail_has_no_words(make):
    answer = make()
    for found in answer.findings:
        assert "<text" not in joint_thumbnail(answer.structure, found)


def test_every_face_is_drawn_with_its_depth_in_words_and_color(make):
    answer = make()
    finding = answer.findings[0]
    drawn = str(joint_drawing(answer.structure, finding, Setting(50, 2026, "us")))
    faces = [face for part in finding.parts for face in part.faces]
    assert drawn.count('class="face-digit mid"') == 2 * len(faces)
    for part in finding.parts:
        for face in part.faces:
            assert f"{part.id}: {face.words}" in drawn
            assert f"face-{depth_step(face.base_loss_um.p50)}" in drawn
    assert "Metal gone at 50 years, middle draw" in drawn


def test_a_deeper_loss_never_takes_a_paler_color():
    steps = [depth_step(um) for um in (0.0, 0.9, 1.0, 9.0, 49.0, 51.0, 500.0, 1e6)]
    assert steps == sorted(steps)
    assert steps[0] == 0
    assert steps[-1] == len(DEPTH_STEPS_UM)


@pytest.mark.parametrize("size", ["1/2 in x 12 in", "3/8 in x 16 in", "1/4 in x 24 in"])
def test_the_names_of_thin_timbers_lie_apart_and_within_the_drawing(make_structure, size):
    """A very long fastener makes both timbers thin on paper: their names once lay over each other."""
    made, joint = joint_with(make_structure, {"kind": "lag_screw", "size": size}, side="board")
    section = cut(made, joint)
    names = plank_names(section, fit(section, 324.0, 132.0, 24.0, 26.0), 360.0)
    (left, middle), (middle_too, right) = (one.span for one in names)
    assert left >= 0.0
    assert middle < middle_too
    assert right <= 360.0
