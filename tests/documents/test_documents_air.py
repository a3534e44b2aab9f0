"""The page on the air of a site, from outside: what is parsed back out of it equals the result."""

import dataclasses
import datetime
import json
import re
from html.parser import HTMLParser
from math import cos, hypot, pi, radians, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.air.coast import Directions, ShoreDistance
from longhold.assessment.air_line import assess_air
from longhold.assessment.shore import ShoreFinding, SiteMap
from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.documents.air_charts import Line, loss_chart, spread
from longhold.documents.air_map import coast_map, compass, map_words, scale_length
from longhold.documents.air_page import MOST_SITES, air_html
from longhold.documents.air_table import air_tables, compare_table
from longhold.documents.exchange import air_json
from longhold.forecast.summary import Band, Curve
from longhold.model.site import Air, Nearby, Site, Weather

AS_OF = datetime.date(2026, 11, 25)
SIDE = 340.0
KURE_BEACH = {"name": "Kure Beach", "latitude": 33.97, "longitude": -77.92}
DENVER = {"name": "Denver", "latitude": 39.74, "longitude": -104.99}
M_PER_DEG = 111_195.0


@pytest.fixture(scope="module")
def beach():
    return assess_air(Site(**KURE_BEACH), draws=400)


@pytest.fixture(scope="module")
def inland():
    return assess_air(Site(**DENVER), draws=400)


def text_of(html):
    """Words as read, style and tags left out."""
    html = re.sub(r"<style>.*?</style>", "", html, flags=re.DOTALL)
    plain = re.sub(r"<[^>]+>", " ", html).replace("\u00a0", " ").replace("&#39;", "'")
    return " ".join(plain.split())


def numbers(text):
    return [float(one.replace(",", "")) for one in re.findall(r"\d[\d,]*(?:\.\d+)?", text)]


def shown_as(shown, value):
    """Whether a number as shown is the value rounded at the last shown digit."""
    decimals = len(shown.split(".")[1]) if "." in shown else 0
    return abs(float(shown.replace(",", "")) - value) <= 0.5000001 * 10**-decimals


def rows_of(html, caption):
    """Cells of the first table whose caption starts so."""
    for table in re.findall(r"<table.*?</table>", html, flags=re.DOTALL):
        if text_of(re.search(r"<caption>.*?</caption>", table, re.DOTALL)[0]).startswith(caption):
            body = table[table.index("<tbody") :]
            rows = re.findall(r"<tr.*?</tr>", body, flags=re.DOTALL)
            return [
                [text_of(cell) for cell in re.findall(r"<t[hd].*?</t[hd]>", row, re.DOTALL)] for row in rows
            ]
    raise AssertionError(f"no table {caption}")


def test_the_answer_is_the_first_sentence_with_the_numbers_of_the_result(beach):
    html = air_html([beach], AS_OF, "si")
    lede = text_of(re.search(r'<p class="lede">(.*?)</p>', html)[1])
    zinc = beach.site.first_year_um["zinc"]
    low, high = re.search(r"zinc loses ([\d.]+) to ([\d.]+) µm", lede).groups()
    assert shown_as(low, zinc.p10)
    assert shown_as(high, zinc.p90)
    early, late = re.search(r"of zinc.* ([\d.]+) to ([\d.]+) years", lede).groups()
    assert shown_as(early, beach.zinc_years.p10)
    assert shown_as(late, beach.zinc_years.p90)
    assert beach.narrows_most in text_of(html)


def test_both_laws_stand_beside_the_forecast_with_every_category(beach):
    rows = rows_of(air_html([beach], AS_OF, "si"), "What it does to bare metal")
    names = {"Steel": "carbon_steel", "Zinc": "zinc", "Copper": "copper", "Aluminium": "aluminium"}
    assert [row[0] for row in rows] == list(names)
    for name, forecast, printed, moved, categories in rows:
        metal = names[name]
        assert shown_as(re.findall(r"[\d.,]+", forecast)[0], beach.site.first_year_um[metal].p50)
        assert shown_as(re.findall(r"[\d.,]+", printed)[0], beach.site.printed_first_year_um[metal])
        assert shown_as(re.findall(r"[\d.,]+", moved)[0], beach.site.calibrated_first_year_um[metal])
        told = dict(re.findall(r"(above CX|C[1-5X]) (\d+) %", categories))
        for category, share in told.items():
            assert abs(int(share) / 100 - beach.site.categories[metal][category]) <= 0.005 + 1e-9
        assert sum(map(int, told.values())) == pytest.approx(100, abs=3)


def test_every_place_and_metal_is_told_in_the_first_year_and_at_the_end(beach):
    rows = rows_of(air_html([beach], AS_OF, "si"), "Depth of bare metal lost")
    metals = ("zinc", "carbon_steel", "copper", "aluminium")
    losses = {(one.place.words, one.metal): one for one in beach.losses}
    assert len(rows) * len(metals) == len(losses)
    for name, *cells in rows:
        for metal, cell in zip(metals, cells, strict=True):
            one = losses[name[:1].lower() + name[1:], metal]
            first = re.search(r"([\d.,]+) µm", cell)[1]
            last = re.search(r"50 years: ([\d.,]+) µm", cell)[1]
            assert shown_as(first, one.first_year_um.p50)
            assert shown_as(last, one.curve.p50[-1])


def test_the_ranking_tells_every_cause_largest_first(beach):
    rows = rows_of(air_html([beach], AS_OF, "si"), "What makes the forecast")
    shares = [numbers(share)[0] for _, share in rows]
    assert shares == sorted(shares, reverse=True)
    for share, one in zip(shares, beach.ranking, strict=True):
        assert abs(share - 100 * one.with_others) <= 0.51


def test_units_of_the_reader(beach):
    us, si = air_html([beach], AS_OF, "us"), air_html([beach], AS_OF, "si")
    assert " mil" in text_of(us)
    assert " ft to the" in text_of(us)
    assert " mil" not in text_of(si)
    # a sentence of the middle gives both systems, feet in parentheses behind meters
    assert not re.search(r"(?<![(\d,.])[\d,.]+ ft\b|°F", text_of(si))


class Loading(HTMLParser):
    """Every address in the page that a browser would open by itself."""

    def __init__(self, html):
        super().__init__()
        self.asked, self.scripts = [], 0
        self.feed(html)

    def handle_starttag(self, name, attributes):
        self.scripts += name in {"script", "iframe", "object", "embed", "link", "img"}
        self.asked += [
            value
            for key, value in attributes
            if key in {"src", "href", "style"} and not value.startswith("#")
        ]


def test_nothing_is_loaded_from_outside(beach, inland):
    html = air_html([beach, inland], AS_OF, "us")
    page = Loading(html)
    assert page.scripts == 0
    assert page.asked == []
    assert set(re.findall(r"url\(\"?([a-z]+:)", html)) == {"data:"}
    ids = re.findall(r' id="([^"]+)"', html)
    assert len(ids) == len(set(ids))
    assert {target[1:] for target in re.findall(r'href="(#[^"]+)"', html)} <= set(ids)
    assert not re.search(r"\b(nan|inf)\b|>(None|beyond)<", html)


def test_hostile_text_stays_text(hostile, inland):
    evil, long = hostile
    named = dataclasses.replace(inland, described=inland.described.model_copy(update={"name": evil}))
    other = dataclasses.replace(inland, described=inland.described.model_copy(update={"name": long}))
    html = air_html([named, other], AS_OF, "us")
    assert "<script" not in html
    assert html.count("</style>") == 1
    assert "{{ 7*7 }}" in html


def test_the_same_answer_gives_the_same_page(beach):
    assert air_html([beach], AS_OF, "us") == air_html([beach], AS_OF, "us")


def test_ten_sites_are_compared_and_an_eleventh_is_refused(beach, inland):
    many = [
        dataclasses.replace(one, described=one.described.model_copy(update={"name": f"Town {number}"}))
        for number, one in enumerate([beach, inland] * 5, start=1)
    ]
    html = air_html(many, AS_OF, "us")
    charts = html[html.index('<div class="pair">') : html.index("<caption>Bare metal in the open")]
    assert all(charts.count(f">{number} Town {number}<") == 2 for number in range(1, MOST_SITES + 1))
    rows = rows_of(html, "Bare metal in the open")
    assert [row[0] for row in rows] == [f"{number} Town {number}" for number in range(1, MOST_SITES + 1)]
    with pytest.raises(InputError, match="up to 10"):
        air_html([*many, beach], AS_OF, "us")
    with pytest.raises(ValueError, match="at least one"):
        air_html([], AS_OF, "us")
    with pytest.raises(ValueError, match="one age"):
        air_html([beach, assess_air(Site(**DENVER), draws=200, years=20.0)], AS_OF, "us")


def test_the_two_ends_of_a_comparison_are_named_with_their_numbers(beach, inland):
    lede = text_of(re.search(r'<p class="lede">(.*?)</p>', air_html([inland, beach], AS_OF, "us"))[1])
    assert lede.index("Kure Beach") < lede.index("Denver")
    assert f"more than {inland.zinc_years.p10:.0f} years at Denver" in lede


def test_places_of_a_structure_name_its_joints_or_why_nothing_is_computed(beach):
    joints = {
        "open_to_rain": ["J1", "J2", "J3", "J4", "J5", "J6"],
        "splash": ["J7"],
        "ground_contact": ["J8"],
    }
    rows = rows_of(air_html([beach], AS_OF, "si", joints), "Depth of bare metal lost")
    assert [len(row) for row in rows] == [5, 2, 2]
    assert "J1 to J6" in rows[0][0]
    assert "Not computed: salt water splash" in rows[1][1]
    assert "assess the structure" in rows[2][1]


def test_air_that_is_not_computed_is_said_at_once():
    air = Air(near=[Nearby(setting="fertiliser_or_manure_store")])
    site = Site(name="farm", climate=Weather(station="Chicago"), distance_to_salt_water="1000 km", air=air)
    found = assess_air(site, draws=200)
    html = air_html([found], AS_OF, "us")
    assert "does not compute" in html[: html.index('<nav class="contents"')]
    assert "Not to scale." in html
    assert any("ammonia" in line for line in air_tables(found, "us").says)


def test_the_table_for_a_terminal_carries_plain_words_only(beach, inland):
    told = air_tables(beach, "us")
    cells = [cell for table in told.tables for row in table.rows for cell in row]
    assert all(char.isprintable() for cell in [*cells, *told.says, told.measure] for char in cell)
    assert all(len(row) == len(table.heads) for table in told.tables for row in table.rows)
    assert len(compare_table([beach, inland], "us").rows) == 2


def test_json_is_finite_and_leaves_the_drawing_out(beach):
    said = json.loads(json.dumps(air_json(beach, "si"), allow_nan=False))
    assert said["kind"] == "longhold air"
    assert said["site"]["first_year_um"]["zinc"]["p50"] == beach.site.first_year_um["zinc"].p50
    assert said["site"]["shore"]["nearest"]["distance_m"] == float(beach.site.shore.nearest.distance_m)
    assert len(said["site"]["shore"]["directions"]["distance_m"]) == 36
    assert "map" not in said["site"]["shore"]
    assert said["losses"][0]["curve"]["p50"] == list(beach.losses[0].curve.p50)
    assert said["answer"].startswith("In the open, zinc loses")


def test_json_refuses_what_is_not_a_number(beach):
    broken = dataclasses.replace(beach, zinc_years=Band(1.0, float("nan"), 2.0))
    with pytest.raises(ValueError, match="not a number"):
        air_json(broken, "si")


# The map ------------------------------------------------------------------------------------------------


def island(radius_m, *, clockwise=True, count=400, latitude=50.0):
    """A round island about the site (land to the right when clockwise), or a round bay."""
    turn = np.linspace(0.0, 2 * pi, count) * (1 if clockwise else -1)
    east, north = radius_m * np.sin(turn), radius_m * np.cos(turn)
    lon = -5.0 + east / (M_PER_DEG * cos(radians(latitude)))
    line = np.stack([lon, latitude + north / M_PER_DEG], axis=-1)
    line[-1] = line[0]
    bearings = np.arange(0.0, 360.0, 10.0)
    nearest = ShoreDistance(radius_m, line[0, 1], line[0, 0], 0.0, not clockwise, "ocean", "")
    directions = Directions(bearings, np.full(36, radius_m), 100_000.0)
    shore = ShoreFinding(latitude, -5.0, nearest, None, directions, None, 161.0, "own", Mark.OWN)
    return shore, SiteMap(3_000.0, (line,))


def ruled(svg):
    """Stretches (y, from, to) that are ruled as water."""
    d = re.search(r'<path d="([^"]*)" class="sea"', svg)
    pairs = re.findall(r"M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)", d[1]) if d else []
    return [(float(y), float(start), float(stop)) for start, y, stop, _ in pairs]


@pytest.mark.parametrize("clockwise", [True, False])
@pytest.mark.parametrize("radius_m", [500.0, 1500.0, 2200.0])
def test_water_is_ruled_and_land_is_not(clockwise, radius_m):
    shore, coast = island(radius_m, clockwise=clockwise)
    svg = str(coast_map(shore, coast, "islet", "si"))
    pixel = radius_m / (3_000.0 * 2**0.5 / SIDE)
    for y, start, stop in ruled(svg):
        middle = hypot((start + stop) / 2 - SIDE / 2, y - SIDE / 2)
        chord = hypot(start - SIDE / 2, y - SIDE / 2), hypot(stop - SIDE / 2, y - SIDE / 2)
        if clockwise:
            assert min(middle, *chord) >= pixel - 1.0
        else:
            assert max(middle, *chord) <= pixel + 1.0
    area = 5.0 * sum(stop - start for _, start, stop in ruled(svg))
    spread_x = np.linspace(0.25, SIDE - 0.25, 681) - SIDE / 2
    inside = np.hypot(*np.meshgrid(spread_x, spread_x)) < pixel
    share = (1 - inside.mean()) if clockwise else inside.mean()
    assert area / SIDE**2 == pytest.approx(share, abs=0.01)


@pytest.mark.parametrize("at_sea", [True, False])
def test_a_map_without_a_coast_is_all_land_or_all_water(at_sea):
    shore, _ = island(2_000.0, clockwise=not at_sea)
    svg = str(coast_map(shore, SiteMap(3_000.0, ()), "nowhere", "si"))
    assert len(ruled(svg)) == (68 if at_sea else 0)


def test_a_coast_with_a_gap_rules_no_land():
    shore, coast = island(1_500.0)
    line = coast.lines[0]
    svg = str(coast_map(shore, SiteMap(3_000.0, (line[:120], line[140:])), "islet", "si"))
    pixel = 1_500.0 / (3_000.0 * 2**0.5 / SIDE)
    assert all(
        hypot((start + stop) / 2 - SIDE / 2, y - SIDE / 2) >= pixel - 2.0 for y, start, stop in ruled(svg)
    )


def test_the_ruling_agrees_with_the_shoreline_point_by_point(beach):
    from longhold.assessment.located import shoreline

    shore = beach.site.shore
    wet = ruled(str(coast_map(shore, shore.map, "Kure Beach", "us")))
    metres = shore.map.radius_m * 2**0.5 / SIDE
    rng = np.random.default_rng(5)
    x = rng.uniform(2, SIDE - 2, 400)
    y = 2.5 + 5.0 * rng.integers(1, 67, 400)
    north, east = (SIDE / 2 - y) * metres, (x - SIDE / 2) * metres
    latitude = shore.latitude + north / M_PER_DEG
    longitude = shore.longitude + east / (M_PER_DEG * cos(radians(shore.latitude)))
    found = shoreline().nearest_shore(latitude, longitude)
    clear = np.asarray(found.distance_m) > 2.0 * metres
    drawn = np.array(
        [any(a == row and b <= at <= c for a, b, c in wet) for at, row in zip(x, y, strict=True)]
    )
    assert clear.sum() > 300
    assert (drawn == np.asarray(found.at_sea))[clear].mean() > 0.995


def test_the_way_to_the_shore_has_its_length_and_bearing(beach):
    shore = beach.site.shore
    svg = str(coast_map(shore, shore.map, "Kure Beach", "us"))
    x, y = (
        float(one)
        for one in re.search(r'<line x1="170" y1="170" x2="([\d.]+)" y2="([\d.]+)" class="way"', svg).groups()
    )
    metres = shore.map.radius_m * 2**0.5 / SIDE
    assert hypot(x - 170, y - 170) * metres == pytest.approx(float(shore.nearest.distance_m), rel=0.01)
    bearing = radians(float(shore.nearest.bearing_deg))
    assert (x - 170, 170 - y) == pytest.approx(
        (hypot(x - 170, y - 170) * sin(bearing), hypot(x - 170, y - 170) * cos(bearing)), abs=0.05
    )
    assert "780 ft to salt water" in svg
    assert 'aria-label="Map about Kure Beach: 780 ft to salt water, to the southeast."' in svg


def test_rays_end_at_the_shore_and_only_on_the_map(beach):
    shore = beach.site.shore
    svg = str(coast_map(shore, shore.map, "Kure Beach", "us"))
    metres = shore.map.radius_m * 2**0.5 / SIDE
    ends = [tuple(map(float, one)) for one in re.findall(r'x2="([\d.]+)" y2="([\d.]+)" class="ray"', svg)]
    expected = [
        (170 + away * sin(radians(bearing)) / metres, 170 - away * cos(radians(bearing)) / metres)
        for bearing, away in zip(shore.directions.bearing_deg, shore.directions.distance_m, strict=True)
    ]
    held = [(x, y) for x, y in expected if 0 <= x <= SIDE and 0 <= y <= SIDE]
    assert 10 < len(held) < 36
    assert np.array(ends) == pytest.approx(np.array(held), abs=0.01)


def test_the_map_says_what_has_no_salt_water_in_reach(inland):
    assert "None lies within 62 miles in any of 36 directions." in map_words(inland.site.shore, "us")
    assert "ray" not in str(coast_map(inland.site.shore, inland.site.shore.map, "Denver", "us"))


@pytest.mark.parametrize("system", ["us", "si"])
@settings(deadline=None)
@given(span_m=st.floats(30.0, 3e6))
def test_the_scale_bar_is_as_long_as_it_says(system, span_m):
    length_m, words = scale_length(span_m, system)
    number, unit = words.split()
    unit_m = {"ft": 0.3048, "mile": 1609.344, "miles": 1609.344, "m": 1.0, "km": 1000.0}[unit]
    assert float(number.replace(",", "")) * unit_m == pytest.approx(length_m)
    assert 0.35 * span_m <= length_m <= span_m * (1 + 1e-9)


@settings(deadline=None)
@given(bearing=st.floats(0.0, 360.0))
def test_compass_words_lie_within_an_eighth_of_a_turn(bearing):
    points = ("north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest")
    off = abs((45.0 * points.index(compass(bearing)) - bearing + 180.0) % 360.0 - 180.0)
    assert off <= 22.5 + 1e-9


# The charts ---------------------------------------------------------------------------------------------


@settings(deadline=None)
@given(wanted=st.lists(st.floats(0.0, 200.0), min_size=1, max_size=10))
def test_labels_keep_their_order_and_distance(wanted):
    places = spread(wanted, 30.0, 0.0, 300.0)
    order = sorted(range(len(wanted)), key=lambda i: wanted[i])
    steps = np.diff([places[i] for i in order])
    assert (steps >= 30.0 - 1e-6).all()
    assert min(places) >= -1e-6
    assert max(places) <= 300.0 + 1e-6


def test_a_label_with_room_stays_where_its_curve_ends():
    assert spread([10.0, 90.0, 150.0], 30.0, 0.0, 200.0) == [10.0, 90.0, 150.0]


def test_curves_pass_through_their_values(beach):
    curve = beach.losses[0].curve
    svg = str(loss_chart([Line("here", curve)], "words", "si"))
    drawn = re.search(r'<path d="M([^"]*)" class="median"', svg)[1]
    points = [tuple(map(float, one.split())) for one in drawn.split("L")]
    grid = sorted(float(one) for one in re.findall(r'y1="([\d.]+)" y2="[\d.]+" class="grid"', svg))
    ticks = [float(one) for one in re.findall(r'class="tick end">([\d.]+)<', svg)]
    per_um = (grid[-1] - grid[0]) / max(ticks)
    for (x, y), age, loss in zip(points, curve.years, curve.p50, strict=True):
        assert (grid[-1] - y) / per_um == pytest.approx(loss, abs=0.02 * max(curve.p90))
        assert (x - points[0][0]) / (points[-1][0] - points[0][0]) * 50 == pytest.approx(age, abs=0.1)


def test_places_of_equal_loss_share_a_curve_and_both_are_named(inland, beach):
    assert ">open or under cover<" in air_html([inland], AS_OF, "us")
    assert ">under cover<" in air_html([beach], AS_OF, "us")


def test_a_limit_near_the_axis_is_not_drawn():
    ages = (0.0, 25.0, 50.0)
    low = Curve(ages, (0.0, 1.0, 2.0), (0.0, 5.0, 9.0), (0.0, 20.0, 40.0))
    high = Curve(ages, *([value * 50 for value in one] for one in (low.p10, low.p50, low.p90)))
    assert 'class="limit"' in str(loss_chart([Line("low", low)], "words", "si", (20.0, "20 µm")))
    assert 'class="limit"' not in str(loss_chart([Line("high", high)], "words", "si", (20.0, "20 µm")))
