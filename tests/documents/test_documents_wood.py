"""The wood of a joint as page, terminal and JSON: the numbers are those of the finding and its grid."""

from __future__ import annotations

import json
import re
from importlib.resources import files
from itertools import pairwise

import pytest

from longhold.assessment.line import assess
from longhold.assessment.wood_findings import ShownYear, WoodBlock, governing
from longhold.assessment.wood_line import assess_wood
from longhold.documents.exchange import assessment_json, wood_json
from longhold.documents.figures import film_cell, loss, share
from longhold.documents.first_in import first_in
from longhold.documents.report import report_html
from longhold.documents.wood_charts import CLASSES_PCT, heat_map
from longhold.documents.wood_page import wood_html
from longhold.documents.wood_rows import MONTHS, depth_rows, depth_words, month_table
from longhold.documents.wood_table import wood_tables
from longhold.documents.wood_view import wood_answer


@pytest.fixture(scope="module")
def deck():
    from longhold.intake import starter
    from longhold.intake.load import loads

    return loads(starter())


def block(columns, depth_mm=(0.5, 1.5, 2.5, 3.5), **more):
    """A handmade timber of 4 mm with moistures by column and depth."""
    monthly = tuple(tuple(float(v) for v in columns[i * len(columns) // 12]) for i in range(12))
    year = ShownYear(5, depth_mm, tuple(tuple(float(v) for v in column) for column in columns))
    fields = {
        "situation": "level",
        "situation_words": "rain on it",
        "counts": True,
        "losses": (),
        "year": year,
        "thickness_mm": 4.0,
    }
    return WoodBlock(
        timber="joist",
        timber_words="pine",
        depth_mm=depth_mm,
        monthly_pct=monthly,
        above_share=(0.5,) * len(depth_mm),
        **{**fields, **more},
    )


def areas(svg):
    """Area of each shade [px2], from the boxes of its path."""
    found = {}
    for path, shade in re.findall(r'<path d="([^"]+)" class="heat wet(\d)"', svg):
        boxes = re.findall(r"M([\d.]+) ([\d.]+)H([\d.]+)V([\d.]+)H", path)
        found[int(shade)] = sum(
            (float(right) - float(left)) * (float(low) - float(top)) for left, top, right, low in boxes
        )
    return found


def test_shades_cover_what_the_grid_says():
    columns = [(45, 25, 16, 8)] * 40 + [(25, 25, 16, 11)] * 33
    found = areas(str(heat_map(block(columns), 18.0, "si", "x")))
    plot = (360 - 34 - 8) * 190
    cell = plot / 4 / 73
    assert set(found) == {1, 3, 5, 7}
    for shade, cells in {7: 40, 5: 33 + 73, 3: 73, 1: 33}.items():
        assert found[shade] == pytest.approx(cells * cell, rel=0.01)


def test_the_line_runs_between_wet_and_dry_cells_and_nowhere_else():
    level = str(heat_map(block([(30, 20, 17, 17)] * 73), 18.0, "si", "x"))
    line = re.findall(r'<path d="([^"]+)" class="contour"', level)
    assert line == ["M34.0 121.00H352.0"]  # half way down 190 px below 26, from edge to edge
    assert ">18 %<" in level
    for moisture in (12.0, 30.0):
        alike = str(heat_map(block([(moisture,) * 4] * 73), 18.0, "si", "x"))
        assert 'class="contour" ' not in alike.split("Moisture, %")[0]
        assert ">18 %<" not in alike


def test_the_threshold_is_a_border_of_the_shades_and_marked_in_the_key():
    assert 18.0 in CLASSES_PCT
    svg = str(heat_map(block([(30, 20, 17, 17)] * 73), 18.0, "us", "x"))
    for border in CLASSES_PCT:
        assert f">{border:g}</text>" in svg
    assert re.search(r'class="tick mid strong">18<', svg)


@pytest.mark.parametrize("mode", [0, 1], ids=["light", "dark"])
def test_shades_are_steps_of_one_darkness_that_gray_print_keeps(mode):
    css = files("longhold.documents").joinpath("templates", "report.css").read_text(encoding="utf-8")
    colours = dict(
        re.findall(r"--([a-z]+): #([0-9a-f]{6});", re.findall(r":root \{(.*?)\}", css, re.DOTALL)[mode])
    )
    opacity = [0.0, *(float(one) for one in re.findall(r"svg \.wet\d \{ fill-opacity: ([.\d]+);", css))]
    assert len(opacity) == len(CLASSES_PCT) + 1

    def luminance(share):
        total = 0.0
        for at, weight in ((0, 0.2126), (2, 0.7152), (4, 0.0722)):
            under, over = (int(colours[name][at : at + 2], 16) / 255 for name in ("sheet", "damp"))
            part = under + share * (over - under)
            total += weight * (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4)
        return total

    steps = [luminance(share) for share in opacity]
    assert steps == sorted(steps, reverse=mode == 0)
    for one, two in pairwise(steps):
        light, dark = max(one, two), min(one, two)
        assert (light + 0.05) / (dark + 0.05) > 1.1


def test_months_stand_in_for_a_year_that_is_not_there():
    svg = str(heat_map(block([(30, 20, 17, 17)] * 12, year=None), 18.0, "si", "x"))
    assert sum(areas(svg).values()) == pytest.approx((360 - 42) * 190, rel=0.01)


def test_a_picture_stays_light():
    rough = [[10 + (7 * i + 11 * j) % 40 for j in range(32)] for i in range(73)]
    depth = tuple(i + 0.5 for i in range(32))
    svg = str(heat_map(block(rough, depth, thickness_mm=32.0), 18.0, "us", "x"))
    assert len(svg) < 150_000


def test_depths_are_told_in_the_units_of_the_reader():
    assert depth_words(1.4, "us") == "0.055 in (1.4 mm)"
    assert depth_words(140.0, "si") == "140 mm"


@pytest.fixture(scope="module")
def found(deck):
    return assess_wood(deck, deck.joints[0].id, draws=400)


@pytest.fixture(scope="module")
def page(found, deck):
    import datetime

    return wood_html(found, deck, datetime.date(2026, 11, 25), "us").replace("\u00a0", " ")


def test_the_answer_tells_the_findings_numbers(found, page):
    worst, one = governing(found.blocks)
    said = wood_answer(found, "us")
    for number in (*loss(one.worst_um, "us"), share(one.worst_above_share), worst.timber):
        assert number in said
    assert said in page
    if one.worst_mm is not None and one.worst_mm > worst.depth_mm[0]:
        assert depth_words(one.worst_mm, "us") in said


def test_one_number_is_called_the_worst(found, page):
    worst, one = governing(found.blocks)
    row = next(row for row in depth_rows(worst, one, "us") if row.worst)
    assert row.middle == film_cell(one.worst_um.p50, "us")
    mil, um = re.match(r"([\d.]+) \(([\d.,]+)\)", row.middle).groups()
    assert f">{mil} mil</t" in page
    assert f">{um} µm</t" in page
    assert f"zinc loses {mil} mil" in wood_answer(found, "us")


def test_names_of_the_code_stay_out_of_the_page(page):
    assert "_plateau" not in page
    assert "moisture response" in page


def test_what_is_published_is_a_note_and_no_omission(found, page):
    assert not any("published" in line for line in found.left_out)
    (note,) = found.notes
    for system in ("us", "si"):
        assert any(first_in(note, system)[1:] in line for line in wood_tables(found, system).notes)
    assert "0.04 to 0.2 in (1 to 5 mm)" in first_in(note, "us")
    assert first_in(note, "us")[1:] in page


def test_the_month_table_on_the_page_is_the_findings(found, page):
    tables = re.findall(r'<table class="data months">(.*?)</table>', page, re.DOTALL)
    assert len(tables) == len(found.blocks)
    for told, one in zip(tables, found.blocks, strict=True):
        rows = re.findall(r'<tr><th scope="row">(\w+)</th>(.*?)</tr>', told, re.DOTALL)
        assert [name for name, _ in rows] == list(MONTHS)
        for (_, cells), month in zip(rows, one.monthly_pct, strict=True):
            shown = re.findall(r">(\d+)</td>", cells)
            depths = [0.5, 2.0, 5.0, 10.0]
            assert shown[:4] == [f"{one.at(month, depth):.0f}" for depth in depths]
            assert shown[-1] == f"{one.at(month, one.thickness_mm / 2):.0f}"


def test_the_depth_table_on_the_page_is_the_findings(found, page):
    for one in (one for block in found.blocks for one in block.losses if one.curve):
        numbers = [
            film_cell(value, "us")
            for value in (
                one.worst_um.p10,
                one.worst_um.p50,
                one.worst_um.p90,
                max(one.curve.early_um),
                max(one.curve.late_um),
            )
        ]
        row = "".join(f'<td class="num">{number}</td>' for number in numbers)
        assert row in page


def test_depth_rows_hold_the_worst_once_and_run_inwards(found):
    for block_, one in ((block, one) for block in found.blocks for one in block.losses if one.curve):
        rows = depth_rows(block_, one, "si")
        assert [row.worst for row in rows].count(True) == 1
        depths = [float(row.depth[0].removesuffix(" mm")) for row in rows]
        assert depths == sorted(depths)
        assert len(set(depths)) == len(depths)


def test_pictures_have_words_and_tables_captions(page):
    charts = re.findall(r"<svg [^>]*class=\"chart\"[^>]*>", page)
    assert charts
    assert all('role="img"' in one and re.search(r'aria-label="[^"]{30,}"', one) for one in charts)
    assert page.count("<table") == page.count("<caption")
    ids = set(re.findall(r'id="([^"]+)"', page))
    assert set(re.findall(r'href="#([^"]+)"', page)) <= ids
    assert "None" not in re.sub(r"<style.*?</style>", "", page, flags=re.DOTALL)


@pytest.mark.parametrize("units", ["us", "si"])
def test_units_of_the_reader(found, deck, as_of, units):
    html = wood_html(found, deck, as_of, units)
    body = re.sub(r"<style.*?</style>", "", html, flags=re.DOTALL).split('id="calculation"')[0]
    inches = re.search(r"\d[\s\u00a0](?:in|mil)\b(?! (?:the|10) )|>in</text>", body)
    assert bool(inches) == (units == "us")
    assert "\u00a0mm" in body


def test_hostile_text_stays_text(found, deck, as_of, hostile):
    import dataclasses

    joint = found.joint.model_copy(update={"name": hostile[0]})
    html = wood_html(dataclasses.replace(found, joint=joint, site_name=hostile[0]), deck, as_of, "us")
    assert "<script" not in html


def test_the_terminal_says_the_same(found):
    told = wood_tables(found, "us")
    assert told.says[0] == wood_answer(found, "us")
    first = told.blocks[0].tables[0]
    assert [row[0] for row in first.rows] == [*MONTHS, "Above 18 %"]
    table = month_table(found.blocks[0], "us")
    assert tuple(first.rows[0][1:]) == table.rows[0][1]


def test_json_is_finite_and_holds_every_field(found):
    said = json.loads(json.dumps(wood_json(found, "us"), allow_nan=False))
    assert said["kind"] == "longhold wood"
    assert said["answer"] == wood_answer(found, "us")
    one = found.blocks[0]
    assert said["blocks"][0]["above_share"] == list(one.above_share)
    assert said["blocks"][0]["losses"][0]["worst_um"]["p50"] == one.losses[0].worst_um.p50
    assert len(said["blocks"][0]["year"]["moisture_pct"]) == 73


def test_the_report_shows_each_moisture_once(deck, as_of):
    answer = assess(deck, draws=400)
    html = report_html([answer], as_of)
    kinds = {(one.timber, one.situation) for found in answer.findings for one in found.wood}
    outdoors = {kind for kind in kinds if kind[1] is not None}
    assert html.count("Moisture against time and depth") == len(outdoors)
    assert html.count('<table class="data months">') == len(kinds)
    assert all("wood" not in one for one in assessment_json(answer)["findings"])


def test_an_assessment_without_wood_has_no_part_on_it(make, as_of):
    assert "The wood it sits in" not in report_html([make()], as_of)
