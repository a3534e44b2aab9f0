"""Handmade assessments: every kind of answer that a document may have to carry, without the physics."""

from __future__ import annotations

import dataclasses
import datetime
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from longhold.assessment.findings import (
    Assessment,
    Assumption,
    Cause,
    FaceFinding,
    JointFinding,
    PartFinding,
    SiteFinding,
    StrengthFinding,
)
from longhold.base.marks import Mark
from longhold.base.sources import Source
from longhold.base.trace import Section, Step
from longhold.codes.answers import CodeAnswer, Note, Verdict
from longhold.forecast.summary import Band, Curve
from longhold.metal.couples import Couple
from longhold.model.protection import Layer, Protection
from longhold.model.structure import Structure
from longhold.model.surroundings import AirLoad, Climate, Estimate

INF = float("inf")
HOSTILE = '<script>alert("1")</script></style>\'"&{{ 7*7 }}'
LONG = "unbreakable" * 12
AS_OF = datetime.date(2026, 11, 25)
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
OVERFLOW = """() => ({
  wide: document.documentElement.scrollWidth,
  screen: document.documentElement.clientWidth,
  out: [...document.querySelectorAll('body *')].filter(e => {
    const box = e.getBoundingClientRect();
    const hidden = getComputedStyle(e).clipPath !== 'none' || e.closest('.skip, .defs, .no');
    const shown = e.checkVisibility({contentVisibilityAuto: true});
    return shown && box.width > 0 && box.right > document.documentElement.clientWidth + 1 && !hidden
      && !e.closest('thead') && !e.closest('svg');
  }).map(e => e.outerHTML.slice(0, 80)),
})"""


def structure(**changes: Any) -> Structure:
    """A small structure of four joints; ``changes`` replace fields of its description."""
    timber = {"species": "southern pine", "preservative": "ACQ-D", "use_category": "UC4A", "size": "2x8"}
    hanger = {"id": "hanger", "kind": "hanger", "size": "18 ga", "label": "G90"}
    nail = {
        "id": "nail",
        "kind": "nail",
        "size": "10d common x 1-1/2 in",
        "label": "A153",
        "count": 10,
    }
    joint = {"place": "open_to_rain", "main": "beam"}
    described: dict[str, Any] = {
        "name": "Pier",
        "units": "us",
        "design_life": "50 years",
        "build_date": datetime.date(2026, 4, 1),
        "code": {"pack": "us_irc", "edition": "2021"},
        "site": {
            "name": "Gull Point",
            "distance_to_salt_water": "150 ft",
            "shore": "surf",
            "climate": {"temperature": "17 degC", "relative_humidity_pct": 75.0},
        },
        "timbers": {"beam": timber, "board": {**timber, "preservative": "none", "size": "5/4x6"}},
        "joints": [
            {
                **joint,
                "id": "J1",
                "name": "Hangers",
                "quantity": 22,
                "parts": [hanger, nail],
                "demand": "400 lb",
            },
            {
                **joint,
                "id": "J2",
                "name": "Bolts",
                "side": "board",
                "parts": [{"id": "bolt", "kind": "bolt", "size": "1/2 in x 4 in", "label": "B695 Class 55"}],
            },
            {
                **joint,
                "id": "J3",
                "name": "Screws",
                "side": "board",
                "role": "other",
                "place": "under_cover",
                "parts": [{"id": "screw", "kind": "wood_screw", "size": "#10 x 2-1/2 in", "label": "316"}],
            },
            {
                **joint,
                "id": "J4",
                "name": "Dowels in the splash",
                "place": "splash",
                "parts": [{"id": "pin", "kind": "dowel", "diameter": "12 mm", "label": "bare"}],
            },
        ],
    }
    return Structure.model_validate({**described, **changes})


def band(middle: float, spread: float = 1.5) -> Band:
    return Band(middle / spread, middle, middle * spread)


def curve(at_100: float, start: float = 0.0, least: float = 0.0) -> Curve:
    """A straight line from ``start`` to ``at_100`` at 100 years, with a band that opens."""
    ages = tuple(float(age) for age in range(0, 101, 5))

    def line(factor: float) -> tuple[float, ...]:
        return tuple(max(start + factor * (at_100 - start) * age / 100, least) for age in ages)

    low, middle, high = line(1.4), line(1.0), line(0.6)
    return Curve(ages, low, middle, high) if at_100 < start else Curve(ages, high, middle, low)


def section(title: str, factor: float = 1.0) -> Section:
    steps: list[Step | Section] = [
        Step(
            "loss of zinc in the first year",
            "r_zn",
            "r_zn = A Pd^0.44 exp(0.046 RH + f) / (1 + x_1^2)",
            {"A": "0.0129", "Pd": "4 mg/(m2 d)", "RH": "76 %", "f": "-0.5"},
            2.4 * factor,
            "um",
            "iso-like",
            Mark.MEMORY,
            "outside the fitted range",
        ),
        Step(
            "zinc gone",
            "t",
            "t = (h / r)^(1/b)",
            {"h": "25 um", "b": "0.81"},
            (9.0, 12.0, 16.0),
            "years",
            "own",
            Mark.OWN,
        ),
        Section("Wood", [Step("law chosen", "law", "power or line", {}, "power", "-", "own", Mark.OWN)] * 3),
    ]
    return Section(title, steps)


def zinc_face(name: str, touches: str, life: Band, lost: float) -> FaceFinding:
    return FaceFinding(
        face=name,
        words={"outer": "outer face", "contact": "face against the timber"}.get(name, f"the {name}"),
        touches=touches,
        zinc_rate_um_yr=band(1.6),
        base_rate_um_yr=band(22.0),
        film_years=Band(4.0, 8.0, 15.0) if name == "outer" else None,
        zinc_years=life,
        protection_years=life,
        base_loss_um=Band(0.6 * lost, lost, 1.4 * lost),
        zinc_left=curve(-60.0, 19.4),
        base_loss=curve(2 * lost),
        chance=0.0 if life.p90 < 50 else 0.62,
        calculation=section(name, lost),
    )


def bare_face(name: str, lost: float = 0.0) -> FaceFinding:
    return FaceFinding(
        name,
        name,
        "air",
        None,
        Band(0.0, 0.0, 0.0),
        None,
        None,
        None,
        Band(lost, lost, lost),
        None,
        curve(2 * lost),
        None,
        Section("nothing"),
    )


def strength(ratio: float, years: Band, ends: float = 0.47) -> StrengthFinding:
    return StrengthFinding(
        ratio=Band(0.7 * ratio, ratio, min(1.2 * ratio, 1.0)),
        curve=curve(2 * ratio - 1, 1.0),
        mode_new="yield mode IIIs",
        mode_aged="yield mode IV",
        capacity_new_n=3781.0,
        years=years,
        ends_at=ends,
        ends_words="the demand",
        chance=0.18,
        below_when_new=False,
        calculation=section("strength"),
    )


def code(verdict: str, words: str = "hot-dip zinc is asked for") -> CodeAnswer:
    one = Verdict(
        verdict,  # type: ignore[arg-type]
        "rule-1",
        "R317.3.1",
        "2021",
        "us_irc",
        words,
        asked_because=("the wood carries copper",),
        failed_because=("the zinc is too thin",),
        would_pass_with=("A153 zinc", "type 304 stainless"),
        missing_facts=("size_mm",) if verdict == "refer" else (),
        mark=Mark.MEMORY,
    )
    other = dataclasses.replace(
        one, verdict="gives", given=(("size_mm", 3.0),), rule_id="rule-2", clause="R1"
    )
    return CodeAnswer(
        verdict,  # type: ignore[arg-type]
        "us_irc",
        "International Residential Code",
        "2021",
        "code",
        (one, other),
        one.missing_facts,
        one.would_pass_with,
        {"size_mm": 3.0},
        {},
        (Note("rule-3", "R2", "follow the maker's paper", "own", Mark.OWN),),
        ("rule-1",),
        (),
        Mark.MEMORY,
        Mark.MEMORY,
    )


def zinc(designation: str = "ASTM A653 G90") -> Protection:
    layer = Layer("zinc", "mill_dip", 137.0, 110.0, 19.4, 15.4, 7.1, "iso-like", Mark.MEMORY)
    film = Layer("organic", "painted", None, None, 12.0, None, None, "user", Mark.VERIFIED)
    return Protection(designation, "carbon_steel", layers=(film, layer), standard="ASTM A653", edition="2020")


def part(
    joint: Any, at: int, protection: Protection, faces: tuple[FaceFinding, ...], **more: Any
) -> PartFinding:
    described = joint.parts[at]
    defaults: dict[str, Any] = {
        "other_readings": (),
        "other_years": (),
        "not_promised": (),
        "question": "",
        "cautions": (),
        "governing_face": 0 if faces else None,
        "protection_years": faces[0].protection_years if faces else None,
        "strength": None,
        "code": code("pass"),
        "refer": (),
    }
    return PartFinding(
        id=described.id,
        kind_words=described.kind_words,
        size_words=described.measures.words,
        label=described.label,
        count=described.count,
        protection=protection,
        faces=faces,
        **{**defaults, **more},
    )


def finding(joint: Any, outcome: str, parts: tuple[PartFinding, ...], **more: Any) -> JointFinding:
    defaults: dict[str, Any] = {
        "answer": f"The zinc of {joint.name} is gone in 9 to 16 years.",
        "why": "The outer face governs, in the air.",
        "weakest_part": parts[0].id,
        "protection_years": None,
        "strength_years": None,
        "protection_chance": None,
        "strength_chance": None,
        "strength_ratio": None,
        "decides": "strength" if joint.role == "structural" else "protection",
        "couples": (),
        "cause": None,
        "enough": "",
        "mark": Mark.MEMORY,
        "assumptions": (Assumption(f"joints.{joint.id}.access", "moderate", "not told"),),
    }
    return JointFinding(joint=joint, outcome=outcome, parts=parts, **{**defaults, **more})  # type: ignore[arg-type]


def site(chloride: float = 60.0) -> SiteFinding:
    def estimate(median: float) -> Estimate:
        return Estimate(median, 0.7, "estimated from 150 ft to salt water", "own", Mark.OWN)

    months = tuple(10.0 + abs(6 - month) for month in range(12))
    return SiteFinding(
        climate=Climate(months, (75.0,) * 12, (90.0,) * 12, (9.0,) * 12, "handmade", "own", Mark.OWN),
        air_load=AirLoad(estimate(chloride), estimate(1.2)),
        distance_to_salt_m=45.72,
        temperature_c=17.2,
        relative_humidity_pct=75.0,
        first_year_um={"carbon_steel": band(48.0 * chloride / 60), "zinc": band(2.6 * chloride / 60)},
        printed_first_year_um={"carbon_steel": 40.0 * chloride / 60, "zinc": 1.9 * chloride / 60},
        calibrated_first_year_um={"carbon_steel": 46.0 * chloride / 60, "zinc": 2.9 * chloride / 60},
        categories={"carbon_steel": {"C3": 0.3, "C4": 0.699, "CX": 0.001}, "zinc": {"C4": 1.0}},
        outside_validity=("chloride lies past the fitted range",),
        refer=(),
        calculation=section("air"),
        shore=None,
    )


def assessment(described: Structure | None = None, **changes: Any) -> Assessment:
    """Four joints: one fails, one holds beyond all ages, one lives by its own skin, one is not computed."""
    made = described or structure()
    one, two, three, four = made.joints
    life = Band(9.1, 12.0, 15.8)
    hanger = part(
        one,
        0,
        zinc(),
        (zinc_face("outer", "air", life, 128.0), zinc_face("contact", "timber_contact", life, 90.0)),
        strength=strength(0.41, Band(31.0, 39.6, 55.0)),
        code=code("fail"),
        question="Which zinc is meant?",
        other_readings=(zinc("ASTM A653 G60"),),
        other_years=(Band(2.0, 3.0, 5.0),),
        cautions=("nothing is said of the cut edge",),
        not_promised=(),
    )
    nail = part(
        one,
        1,
        zinc("ASTM A153 Class D"),
        (zinc_face("shank", "timber_embedded", life, 60.0),),
        code=code("refer"),
    )
    far = Band(61.0, INF, INF)
    bolt = part(
        two,
        0,
        zinc("ASTM B695 Class 55"),
        (zinc_face("joint_line", "timber_embedded", Band(INF, INF, INF), 0.0),),
        strength=strength(0.99, far, ends=0.8),
    )
    screw = part(
        three,
        0,
        Protection("316", "stainless", "316"),
        (bare_face("head"), bare_face("shank", 0.4)),
        governing_face=1,
    )
    pin = part(
        four,
        0,
        Protection("bare", "carbon_steel"),
        (),
        refer=("salt water splash is outside every law",),
        code=code("not_governed"),
    )
    findings = (
        finding(
            one,
            "fails",
            (hanger, nail),
            protection_years=life,
            strength_years=Band(31.0, 39.6, 55.0),
            protection_chance=0.0,
            strength_chance=0.18,
            strength_ratio=Band(0.29, 0.41, 0.49),
            couples=(Couple("hanger", "nail", "hanger", "Zinc goes first.", "own", Mark.OWN),),
            cause=Cause("chloride", "sea salt in the air", 0.62, Band(34.0, 40.0, 47.0)),
        ),
        finding(
            two,
            "holds",
            (bolt,),
            protection_years=Band(INF, INF, INF),
            strength_years=far,
            protection_chance=1.0,
            strength_chance=1.0,
            strength_ratio=Band(0.98, 0.99, 1.0),
        ),
        finding(
            three,
            "holds",
            (screw,),
            decides="strength",
            strength_years=Band(INF, INF, INF),
            strength_chance=1.0,
        ),
        finding(four, "refer", (pin,), weakest_part=None),
    )
    defaults: dict[str, Any] = {
        "structure": made,
        "site": site(),
        "findings": findings,
        "assumptions": (Assumption("site.air.setting", "rural", "the cleanest setting"),),
        "version": "0.1.0",
        "seed": 1,
        "draws": 2000,
        "inputs_sha256": "ab" * 32,
        "packs": ("us_irc 2021",),
        "models": ("layers in sequence",),
        "sources": (
            (Source("own", "Ours", "beside the number", False), (Mark.OWN,)),
            (
                Source("iso-like", "A standard", "https://example.org/copy", True),
                (Mark.MEMORY, Mark.VERIFIED),
            ),
        ),
    }
    return Assessment(**{**defaults, **changes})


@pytest.fixture
def make() -> Callable[..., Assessment]:
    """The factory of handmade assessments."""
    return assessment


@pytest.fixture
def make_structure() -> Callable[..., Structure]:
    """The factory of structures."""
    return structure


@pytest.fixture
def make_site() -> Callable[..., SiteFinding]:
    """The factory of sites."""
    return site


@pytest.fixture
def hostile() -> tuple[str, str]:
    """A text that tries to be markup, and a word that will not break."""
    return HOSTILE, LONG


@pytest.fixture
def as_of() -> datetime.date:
    """The date of the reports."""
    return AS_OF


@pytest.fixture(scope="module")
def chromium():
    """Chromium of this machine; to start it takes longer than most of what a test does with it."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=QUIET)
        yield opened
        opened.close()


@pytest.fixture
def browser(chromium):
    """The same with nothing open and nothing remembered: every page that is opened has its own profile."""
    assert chromium.contexts == []
    yield chromium
    for context in chromium.contexts:
        context.close()


@pytest.fixture
def overflow() -> str:
    """A script that tells how wide the page is, and what hangs out of it at the right."""
    return OVERFLOW


_WORDS = """() => [...document.querySelectorAll('svg.chart, svg.map')].flatMap(svg => {
  const frame = svg.getBoundingClientRect();
  const boxes = [...svg.querySelectorAll('text')].map(t => [t.textContent, t.getBoundingClientRect()]);
  const bad = boxes.filter(([, b]) => b.left < frame.left - 1 || b.right > frame.right + 1
    || b.top < frame.top - 1 || b.bottom > frame.bottom + 1).map(([words]) => 'outside: ' + words);
  boxes.forEach(([one, a], i) => boxes.slice(i + 1).forEach(([two, b]) => {
    const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
    const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
    const least = 0.35 * Math.min(a.height, b.height);
    if (wide > 1 && high > least) bad.push(`over each other: ${one} / ${two}`);
  }));
  return bad;
})"""


@pytest.fixture
def misplaced_words():
    """Script that lists words of charts and maps outside their picture or over each other."""
    return _WORDS


@pytest.fixture
def quiet_page(browser, overflow):
    """Opens a file and holds it to be silent, alone and never wider than the screen, folded and unfolded."""

    def opened(file, width, scheme):
        page = browser.new_page(viewport={"width": width, "height": 900}, color_scheme=scheme)
        said, asked = [], []
        page.on("console", lambda message: said.append(message.text))
        page.on("pageerror", lambda error: said.append(str(error)))
        page.on("request", lambda request: asked.append(request.url))
        page.goto(file.as_uri())
        page.evaluate("document.fonts.ready")
        assert said == []
        assert [url for url in asked if not url.startswith("data:font/woff2")] == [file.as_uri()]
        for unfolded in (False, True):
            if unfolded:
                page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
            measured = page.evaluate(overflow)
            assert measured["out"] == []
            assert measured["wide"] <= measured["screen"]
        return page

    return opened


@pytest.fixture
def by_keyboard(browser):
    """Opens a file on a phone and uses it by keyboard: the first Tab skips, every disclosure opens."""

    def used(file, at_least=0):
        page = browser.new_page(viewport={"width": 390, "height": 900})
        page.goto(file.as_uri())
        page.keyboard.press("Tab")
        target = page.evaluate("document.activeElement.getAttribute('href')")
        assert page.query_selector(target) is not None
        summaries = page.query_selector_all("summary")
        assert len(summaries) >= at_least
        for number, summary in enumerate(summaries):
            summary.focus()
            assert page.evaluate("e => document.activeElement === e", summary)
            page.keyboard.press("Enter" if number % 2 else "Space")
            assert page.evaluate("e => e.parentElement.open", summary)
            assert summary.bounding_box()["height"] >= 44
        return page

    return used


@pytest.fixture
def on_paper(browser):
    """Prints a file and holds it to be white and no wider than the sheet; the page as print is handed on."""

    def printed(file, paper):
        page = browser.new_page()
        page.goto(file.as_uri())
        assert page.pdf(format=paper).startswith(b"%PDF")
        page.emulate_media(media="print", color_scheme="dark")
        page.set_viewport_size({"width": 690, "height": 980})
        assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
        assert page.evaluate("document.documentElement.scrollWidth") <= 690
        return page

    return printed


@pytest.fixture(scope="session")
def demo():
    """The demo structure, assessed."""
    import longhold

    return longhold.assess(longhold.load(Path(__file__).parents[2] / "demo" / "boardwalk.toml"), draws=400)
