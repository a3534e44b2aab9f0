import re
from dataclasses import replace

import pytest

from longhold.documents.axes import Frame, nice_most, ticks
from longhold.documents.charts import Setting, curve_rows, layers_chart, life_line, strength_chart
from longhold.documents.magnified import value_at
from longhold.documents.number_tables import face_tables
from longhold.documents.svg import tag, wrap
from longhold.forecast.summary import Band, Curve

INF = float("inf")
SI = Setting(50.0, None, "si")
US = Setting(50.0, 2026, "us")
LONG_GONE = Curve((0.0, 50.0, 100.0), (0.0, 1000.0, 2000.0), (0.0, 3000.0, 6000.0), (0.0, 9000.0, 18000.0))


@pytest.fixture
def joints(make):
    return make().findings


def attributes(svg, name, class_):
    found = re.findall(rf'<{name} ([^>]*class="{class_}")', svg)
    return [dict(re.findall(r'([\w-]+)="([^"]*)"', one)) for one in found]


@pytest.mark.parametrize(
    "band", [Band(9, 12, 16), Band(31, 39.6, 55), Band(70, 80, 90), Band(20, 60, INF), Band(0, 0, 0)]
)
def test_the_life_bar_lies_at_its_ages(band):
    svg = str(life_line(band, 50.0, "words"))
    bar = attributes(svg, "rect", "life-band")[0]
    limit = float(attributes(svg, "line", "limit")[0]["x1"])
    zero = float(attributes(svg, "line", "axis")[0]["x1"])

    def age(x):
        return 50 * (x - zero) / (limit - zero)

    start = float(bar["x"])
    assert age(start) == pytest.approx(min(band.p10, 100), abs=0.1)
    end = age(start + float(bar["width"]))
    assert end == pytest.approx(min(band.p90, 100), abs=0.1 if band.p90 > 2 else 1.1)
    assert bool(attributes(svg, "path", "life-on")) == (band.p90 > 100)


def test_a_band_that_is_not_computed_draws_no_bar():
    assert not attributes(str(life_line(None, 50.0, "words")), "rect", "life-band")


def test_the_median_curve_passes_through_its_values(joints):
    found = joints[0].parts[0].strength
    svg = str(strength_chart(found, SI))
    drawn = attributes(svg, "path", "median")[0]["d"]
    points = [tuple(map(float, p.split())) for p in drawn.removeprefix("M").split("L")]
    left, right = points[0][0], points[-1][0]
    grid = [float(one["y1"]) for one in attributes(svg, "line", "grid")]
    zero, hundred = max(grid), min(grid)
    for (x, y), age, ratio in zip(points, found.curve.years, found.curve.p50, strict=True):
        assert 100 * (x - left) / (right - left) == pytest.approx(age, abs=0.1)
        assert (zero - y) / (zero - hundred) == pytest.approx(max(ratio, 0), abs=0.002)


def test_years_start_at_zero_and_calendar_years_need_a_build_date(joints):
    face = joints[0].parts[0].faces[0]
    with_date, without = str(layers_chart(face, "steel", US)), str(layers_chart(face, "steel", SI))
    assert ">0</text>" in without
    assert ">2026</text>" in with_date
    assert ">2026</text>" not in without


def test_mil_comes_first_in_us_units_and_stands_nowhere_else(joints):
    face = joints[0].parts[0].faces[0]
    us, si = str(layers_chart(face, "steel", US)), str(layers_chart(face, "steel", SI))
    assert ">Steel lost, mil</text>" in us
    assert ">µm</text>" in us
    assert ">Steel lost, µm</text>" in si
    assert " mil" not in si


def test_loss_past_the_metal_is_not_drawn_as_loss(joints):
    face = replace(joints[0].parts[0].faces[0], base_loss_um=Band(1000, 3000, 9000), base_loss=LONG_GONE)
    svg = str(layers_chart(face, "steel", SI, solid=1146.0))
    assert "all there is: 1,146 µm" in svg
    assert "3,000 µm at" not in svg


@pytest.mark.parametrize("setting", [SI, US])
def test_charts_carry_no_number_that_is_not_one(joints, setting):
    for finding in joints:
        for part in finding.parts:
            for face in part.faces:
                assert not re.search(r"\b(nan|inf)\b", str(layers_chart(face, "x", setting)))
            if part.strength is not None:
                assert not re.search(r"\b(nan|inf)\b", str(strength_chart(part.strength, setting)))


def test_the_table_behind_a_chart_holds_the_design_life():
    ages = tuple(2.5 * i for i in range(41))
    curve = Curve(ages, ages, ages, ages)
    rows = curve_rows(curve, 50.0)
    assert 50.0 in [row[0] for row in rows]
    assert len(rows) <= 13
    assert all(age == middle for age, _, middle, _ in rows)


def test_a_curve_is_read_off_between_its_points():
    curve = Curve((0.0, 10.0), (0.0, 1.0), (0.0, 2.0), (0.0, 4.0))
    assert value_at(curve, 5.0) == (0.5, 1.0, 2.0)
    assert value_at(curve, 99.0) == (1.0, 2.0, 4.0)


@pytest.mark.parametrize("most", [0.0, 1e-3, 0.7, 3, 19.4, 100, 4743, 1e6])
def test_axes_hold_their_values(most):
    assert nice_most(most) >= most
    marks = ticks(nice_most(most))
    assert marks[0] == 0
    assert len(marks) <= 8
    frame = Frame(0, 0, 100, 100, 1, nice_most(most))
    assert 0 <= frame.y(most) <= 100


def test_svg_text_is_escaped():
    assert "<script>" not in str(tag("text", "<script>", class_='"><script>'))
    assert all(len(line) <= 10 for line in wrap("x" * 99, 10, 3))


@pytest.mark.parametrize(("setting", "most"), [(SI, ("1,146",)), (US, ("45.1 (1,146)",))])
def test_no_more_metal_is_lost_in_a_table_than_there_is(joints, setting, most):
    face = replace(joints[0].parts[0].faces[0], base_loss_um=Band(1000, 3000, 9000), base_loss=LONG_GONE)
    *_, capped = face_tables(face, "steel", setting, 1146.0)
    assert capped.rows[-1][-1] in most
    assert "1,146" in capped.note
    *_, free = face_tables(face, "steel", setting, None)
    assert free.note == ""
    assert free.rows[-1][-1] not in most


@pytest.mark.parametrize("span", [40.0, 60.0, 100.0])
@pytest.mark.parametrize("ends_at", [0.9, 0.6, 0.4])
@pytest.mark.parametrize("left", [0.99, 0.94, 0.86, 0.7, 0.62, 0.45])
def test_the_words_at_the_design_life_stand_over_no_line_of_the_chart(joints, span, ends_at, left):
    """Against the drawn lines themselves, with letters of 6 px, as narrow as any that is shown."""
    years = tuple(span * step / 40 for step in range(41))
    fall = (1.0 - left) / 30.0
    middle = tuple(max(0.0, 1.0 - fall * age) for age in years)
    found = replace(
        joints[0].parts[0].strength,
        ratio=Band(left, left, left),
        curve=Curve(years, middle, middle, middle),
        ends_at=ends_at,
        below_when_new=False,
    )
    svg = str(strength_chart(found, Setting(30.0, None, "si")))
    words = f"{round(100 * left)} % at 30 years"
    shown = re.search(rf'<text ([^>]*class="label strong( end)?"[^>]*)>{words}<', svg)
    place = {name: float(value) for name, value in re.findall(r'\b([xy])="([^"]*)"', shown[1])}
    wide = 6.0 * len(words)
    start = place["x"] - wide if shown[2] else place["x"]
    top, bottom = place["y"] - 9.0, place["y"] + 1.0
    drawn = attributes(svg, "path", "median")[0]["d"]
    points = [tuple(map(float, p.split())) for p in drawn.removeprefix("M").split("L")]
    crossed = [y for x, y in points if start <= x <= start + wide and top <= y <= bottom]
    assert crossed == [], "its own curve"
    level = [float(one["y1"]) for one in attributes(svg, "line", "limit") if one["y1"] == one["y2"]]
    assert [y for y in level if top <= y <= bottom] == [], "the line of its end"


@pytest.mark.parametrize("life", [1.0, 10.0, 30.0, 50.0, 90.0])
def test_the_design_life_is_told_beside_the_title_of_the_axis(joints, life):
    """A letter of 5 px is narrower than those shown, in the title of 11.5 px as in the words of 12 px."""
    curve = Curve((0.0, 50.0, 100.0), (0.9, 0.8, 0.7), (0.95, 0.9, 0.8), (1.0, 0.95, 0.9))
    found = replace(joints[0].parts[0].strength, curve=curve)
    for svg in (
        str(strength_chart(found, Setting(life, None, "si"))),
        str(
            layers_chart(
                replace(joints[0].parts[0].faces[0], base_loss=LONG_GONE),
                "steel",
                replace(US, design_life=life),
            )
        ),
    ):
        title = re.search(r'<text x="0" [^>]*class="axis-name">([^<]+)<', svg)
        told = re.search(r'<text x="([\d.]+)" [^>]*class="label mid">(design life[^<]+)<', svg)
        assert 5.0 * len(title[1]) < float(told[1]) - 2.5 * len(told[2])
        assert float(told[1]) + 2.5 * len(told[2]) < 360.0
