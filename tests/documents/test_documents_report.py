"""The report from outside: what is parsed back out of the page equals the result."""

import re
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import pytest

from longhold.documents.figures import in_years
from longhold.documents.report import report_html
from longhold.documents.section import solid_um
from longhold.model.field_words import field_words

DEMO = Path(__file__).parents[2] / "demo"
VOID = {"meta", "br", "link", "img", "input", "hr", "area", "base", "col", "source", "wbr"}
INF = float("inf")


class Page(HTMLParser):
    """Every element with its attributes, its ancestors and the text below it."""

    def __init__(self, html):
        super().__init__()
        self.open, self.elements, self.errors = [], [], []
        self.feed(html)
        self.close()

    def handle_starttag(self, name, attributes):
        element = {"name": name, "attributes": dict(attributes), "text": "", "above": list(self.open)}
        self.elements.append(element)
        if name not in VOID:
            self.open.append(element)

    def handle_endtag(self, name):
        if not self.open or self.open[-1]["name"] != name:
            self.errors.append(f"</{name}> closes {self.open[-1]['name'] if self.open else 'nothing'}")
        elif self.open:
            self.open.pop()

    def handle_data(self, text):
        for element in self.open:
            element["text"] += text.replace("\u00a0", " ")

    def all(self, name=None, class_=None, within=None):
        return [
            one
            for one in self.elements
            if (name is None or one["name"] == name)
            and (class_ is None or class_ in (one["attributes"].get("class") or "").split())
            and (within is None or any(one is within or above is within for above in one["above"]))
        ]

    def by_id(self, name):
        return next(one for one in self.elements if one["attributes"].get("id") == name)


def squeezed(text):
    return " ".join(text.split())


def numbers(text):
    return [float(one.replace(",", "")) for one in re.findall(r"\d[\d,]*(?:\.\d+)?", text)]


def in_um(text):
    """The first number told in micrometers, as text."""
    return re.search(r"(\d[\d,]*(?:\.\d+)?)\s*µm", text)[1]


def shown_as(shown, value):
    """Whether a number as shown is the value rounded at the last shown digit."""
    decimals = len(shown.split(".")[1]) if "." in shown else 0
    return abs(float(shown.replace(",", "")) - value) <= 0.5000001 * 10**-decimals


@pytest.fixture(scope="module")
def demo_page(demo):
    import datetime

    return Page(report_html([demo], datetime.date(2026, 11, 25)))


def test_the_page_is_well_formed(demo_page):
    assert demo_page.errors == []
    assert demo_page.open == []
    names = [one["attributes"]["id"] for one in demo_page.elements if "id" in one["attributes"]]
    assert len(names) == len(set(names))


def test_links_lead_somewhere_on_the_page(demo_page):
    names = {one["attributes"].get("id") for one in demo_page.elements}
    links = [one["attributes"]["href"] for one in demo_page.all("a")]
    assert len(links) > 20
    assert all(link.startswith("#") and link[1:] in names for link in links)


@pytest.mark.parametrize("sites", [1, 2])
def test_nothing_is_loaded_from_outside(make, as_of, sites):
    html = report_html([make()] * sites, as_of)
    page = Page(html)
    for one in page.elements:
        for name in ("src", "srcset", "data", "action", "poster", "xlink:href", "background"):
            assert name not in one["attributes"], one
        assert one["name"] not in {"script", "link", "iframe", "object", "embed", "img", "base"}
        assert not any(name.startswith("on") for name in one["attributes"])
        assert re.match(r"#|$", one["attributes"].get("href") or "")
    css = next(one["text"] for one in page.all("style"))
    assert all(url.startswith(('"data:font/woff2', "#")) for url in re.findall(r"url\(([^)]{0,20})", css))
    assert "@import" not in css
    assert len(re.findall("data:font/woff2", css)) == 3


def test_a_summary_row_says_what_the_result_says(demo, demo_page):
    for finding in demo.findings:
        row = demo_page.by_id(f"row-{finding.joint.id}")
        cells = {
            one["attributes"].get("class"): squeezed(one["text"]) for one in demo_page.all("td", within=row)
        }
        assert cells["answer-cell"].startswith(re.split(r"(?<=\.) ", finding.answer)[0])
        chance = finding.strength_chance if finding.decides == "strength" else finding.protection_chance
        told, asked, _ = cells["chance"].split(": ")[-1].partition("90 in 100 asked")
        assert asked
        told, _, left_out = told.partition(" without ")
        uncomputed = any(part.refer and not part.faces for part in finding.parts)
        assert bool(left_out) == (uncomputed and chance is not None)
        if chance is None:
            assert not re.search(r"\d", told)
        elif 0.005 <= chance < 0.995:
            assert shown_as(told.strip().removesuffix(" %"), 100 * chance)
        else:
            assert told.strip() in {"under 1 %", "over 99 %"}
        if "fail" in {part.code.verdict for part in finding.parts}:
            assert "not allowed" in cells["code"]


def test_the_years_of_the_summary_are_those_of_the_result(demo, demo_page):
    checked = 0
    for finding in demo.findings:
        row = demo_page.by_id(f"row-{finding.joint.id}")
        for line in (squeezed(one["text"]) for one in demo_page.all("p", within=row)):
            band = finding.strength_years if line.startswith("Strength") else finding.protection_years
            found = re.findall(r"\d[\d.,]*", line)
            if band is None:
                assert not found
            elif "more than" in line:
                assert float(found[0]) <= band.p10 + 0.5
            elif "within a year" in line:
                assert band.p90 < 1
            elif "perhaps in the first" in line:
                assert band.p10 < 1
                assert shown_as(found[0], band.p90)
            else:
                assert shown_as(found[0], band.p10)
                assert shown_as(found[-1], band.p90)
            checked += 1
    assert checked >= len(demo.findings)


def test_what_fails_first_stands_first(demo, demo_page):
    rows = [one["attributes"]["id"] for one in demo_page.all("tr", class_="row")]
    rank = {"fails": 0, "refer": 1, "holds": 2}
    outcomes = {finding.joint.id: rank[finding.outcome] for finding in demo.findings}
    shown = [outcomes[row.removeprefix("row-")] for row in rows]
    assert shown == sorted(shown)
    assert len(rows) == len(demo.findings)


def test_the_face_table_holds_the_losses_of_every_face(demo, demo_page):
    for finding in demo.findings:
        parts = {part.id: part for part in finding.joint.parts}
        faces = [(face, solid_um(parts[part.id])) for part in finding.parts for face in part.faces]
        section = demo_page.by_id(f"joint-{finding.joint.id}")
        tables = [t for t in demo_page.all("table", within=section) if "Face by face" in t["text"]]
        assert len(tables) == bool(faces)
        rows = demo_page.all("tr", within=tables[0])[1:] if tables else []
        for row, (face, there) in zip(rows, faces, strict=True):
            cells = demo_page.all("td", within=row)
            shown = in_um(cells[1]["text"])
            band = face.base_rate_um_yr
            assert shown_as(shown, band.p50) or float(shown) == pytest.approx(band.p50, rel=0.05)
            if there is not None and face.base_loss_um.p50 >= there:
                assert "all of it" in cells[4]["text"].split("there is")[0]
                continue
            lost = numbers(in_um(cells[4]["text"]))[0]
            assert there is None or lost <= there
            assert lost == pytest.approx(face.base_loss_um.p50, rel=0.051, abs=1e-9)


def test_the_numbers_behind_a_chart_are_the_curve(demo, demo_page):
    finding = next(one for one in demo.findings if one.strength_years is not None)
    part = next(one for one in finding.parts if one.id == finding.weakest_part)
    section = demo_page.by_id(f"joint-{finding.joint.id}")
    table = next(t for t in demo_page.all("table", within=section) if "Strength left, per cent" in t["text"])
    by_age = {round(t, 3): v for t, v in zip(part.strength.curve.years, part.strength.curve.p50, strict=True)}
    rows = demo_page.all("tr", within=table)[1:]
    assert len(rows) > 5
    for row in rows:
        age = min(by_age, key=lambda t: abs(t - float(demo_page.all("th", within=row)[0]["text"])))
        middle = squeezed(demo_page.all("td", within=row)[2]["text"])
        if middle[0].isdigit():
            assert shown_as(middle.removesuffix(" %"), 100 * by_age[age])


def test_every_step_of_every_calculation_is_shown_or_referred_to(demo, demo_page):
    steps = len(demo_page.all("li", class_="step"))
    every = sum(
        1
        for finding in demo.findings
        for part in finding.parts
        for face in part.faces
        for _ in face.calculation.steps()
    )
    assert 0 < steps <= every + 500
    for text in ("to repeat it", "seed 1"):
        assert text in squeezed(demo_page.all("footer")[0]["text"]).lower()


def test_a_mark_stands_beside_every_step(demo_page):
    for step in demo_page.all("li", class_="step"):
        assert "rests on" in step["text"]


def test_counts_in_the_first_sentence(demo, demo_page):
    lede = squeezed(demo_page.all("p", class_="lede")[0]["text"])
    assert f"{demo.count('fails')} of {len(demo.findings)} kinds of joint" in lede


def test_sources_and_assumptions_are_all_listed(demo, demo_page):
    text = squeezed(demo_page.by_id("sources")["text"])
    assert all(source.id in text for source, _ in demo.sources)
    part = demo_page.by_id("assumptions")
    heads = [
        squeezed(one["text"]) for one in demo_page.all("th", within=part) if "scope" in one["attributes"]
    ]
    listed = [one for one in heads if one not in ("Field", "Taken as", "Why")]
    assert listed == [field_words(one.where) for one in demo.assumptions]
    assert demo.inputs_sha256 in demo_page.all("footer")[0]["text"]


def test_every_chart_is_named_and_every_table_has_a_caption(demo_page):
    for svg in demo_page.all("svg"):
        attributes = svg["attributes"]
        assert attributes.get("aria-hidden") == "true" or attributes.get("aria-label")
    for table in demo_page.all("table"):
        assert len(demo_page.all("caption", within=table)) == 1
    assert next(one for one in demo_page.all("html"))["attributes"]["lang"] == "en"
    levels = [int(one["name"][1]) for one in demo_page.elements if re.fullmatch("h[1-6]", one["name"])]
    assert levels.count(1) == 1
    assert all(later <= earlier + 1 for earlier, later in pairwise(levels))


def test_no_word_for_a_number_that_is_missing(demo_page, make, as_of):
    for page in (demo_page, Page(report_html([make()], as_of))):
        body = page.all("body")[0]["text"]
        assert not re.search(r"\b(inf|nan|None|Undefined)\b", body)
        assert "Mark." not in body


@pytest.mark.parametrize("units", ["us", "si"])
def test_units_of_the_reader(make, make_structure, as_of, units):
    text = Page(report_html([make(make_structure(units=units))], as_of)).all("body")[0]["text"]
    assert ("0.063 mil" in text) == (units == "us")
    assert ("45.7 m" in text) == (units == "si")
    assert ("kN" in text) == (units == "si")


def test_hostile_text_stays_text(make, make_structure, as_of, hostile):
    evil, long = hostile
    joint = {
        "id": "J1",
        "name": evil,
        "place": "open_to_rain",
        "main": "beam",
        "parts": [{"id": "p", "kind": "nail", "size": "16d common", "label": evil}],
    }
    described = make_structure(name=f"{long} {evil}", note=evil, joints=[joint] * 1)
    base = make()
    found = base.findings[3]
    parts = tuple(type(p)(**{**p.__dict__, "id": "p", "label": evil, "refer": (evil,)}) for p in found.parts)
    changes = {"joint": described.joints[0], "answer": f"{evil} {long}.", "why": evil, "parts": parts}
    finding = type(found)(**{**found.__dict__, **changes})
    html = report_html(
        [type(base)(**{**base.__dict__, "structure": described, "findings": (finding,)})], as_of
    )
    page = Page(html)
    assert page.errors == []
    assert "script" not in {one["name"] for one in page.elements}
    assert html.count("</style>") == 1
    assert evil in page.all("h1")[0]["text"]
    assert "49" not in page.all("h1")[0]["text"]


def test_a_site_comparison_says_why_in_words(make, make_structure, make_site, as_of):
    inland = make_structure().site.model_copy(update={"name": "Willow Lake"})
    other = make(make_structure().at(inland), site=make_site(2.0))
    page = Page(report_html([make(), other], as_of))
    text = squeezed(page.by_id("sites")["text"])
    assert "60 mg/(m² d) of chloride at Gull Point and 2.0 at Willow Lake, 30 times less" in text
    assert "Wood: rain wets it on 108 days a year" in text
    heads = [one["text"] for one in page.all("th", within=page.by_id("sites"))]
    assert {"Gull Point", "Willow Lake"} <= set(heads)


def test_one_site_has_no_comparison(make, as_of):
    assert 'id="sites"' not in report_html([make()], as_of)


def test_a_report_needs_an_assessment(as_of):
    with pytest.raises(ValueError, match="at least one"):
        report_html([], as_of)


def test_the_same_answer_gives_the_same_page(make, as_of):
    assert report_html([make()], as_of) == report_html([make()], as_of)


def test_good_practice_stands_apart_and_is_called_guidance(demo, demo_page):
    for finding in demo.findings:
        section = demo_page.by_id(f"joint-{finding.joint.id}")
        heads = [one["text"] for one in demo_page.all("h3", within=section)]
        said = [head for head in heads if head.startswith("Good practice")]
        assert len(said) == 1
        assert "guidance" in said[0]
        assert [head.startswith("What the code says") for head in heads].index(True) < heads.index(said[0])


def test_a_length_that_was_told_stays_with_the_size(demo_page):
    table = next(
        t for t in demo_page.all("table", within=demo_page.by_id("joint-J09")) if "Read as" in t["text"]
    )
    assert "10d common x 1-1/2 in" in squeezed(table["text"])


def test_a_chart_of_one_face_says_what_the_answer_takes(demo, demo_page):
    """The range beside a face is of that face; the answer's is of the first of the part's faces."""
    drawn = [(finding, finding.weakest_part) for finding in demo.findings]
    parts = [part for finding, weakest in drawn for part in finding.parts if part.id == weakest]
    apart = [
        part
        for part in parts
        if part.governing is not None
        and part.protection_years is not None
        and part.governing.protection_years is not None
        and in_years(part.protection_years) != in_years(part.governing.protection_years)
    ]
    assert apart
    text = squeezed(demo_page.all("body")[0]["text"])
    for part in apart:
        said = f"the first of the {part.kind_words}'s faces in each draw, {in_years(part.protection_years)}."
        assert f"This face alone: the answer takes {said}" in text
    assert any("(the first of its faces)" in finding.answer for finding in demo.findings)


def test_no_field_is_called_by_its_path(demo_page):
    """A reader of the report has words for a field; its path inside the file is for whoever writes one."""
    text = squeezed(demo_page.all("body")[0]["text"])
    assert re.findall(r"\b(?:joints|timbers|site)\.\w+[^ ]*", text) == []
