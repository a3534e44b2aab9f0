"""Contrast of every colour that carries words or lines, from the style sheet itself."""

import re
from importlib.resources import files

import pytest

CSS = files("longhold.documents").joinpath("templates", "report.css").read_text(encoding="utf-8")
LIGHT, DARK = re.findall(r":root \{(.*?)\}", CSS, re.DOTALL)[:2]
TEXT = [("ink", "paper"), ("ink", "sheet"), ("ink", "faint"), ("ink", "band"), ("ink", "timber")]
TEXT += [("soft", "paper"), ("soft", "sheet"), ("link", "paper"), ("link", "sheet"), ("paper", "ink")]
LINES = [("ink", "metal"), ("hatch", "timber"), ("hatch", "sheet"), ("steel", "sheet"), ("grain", "paper")]


def colours(block):
    return dict(re.findall(r"--([a-z]+): (#[0-9a-f]{6});", block))


def luminance(colour):
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    r, g, b = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one, other):
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_itself():
    assert contrast("#ffffff", "#000000") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("block", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize(("front", "back"), TEXT)
def test_words_reach_aa(block, front, back):
    known = colours(block)
    assert contrast(known[front], known[back]) >= 4.5


@pytest.mark.parametrize("block", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize(("front", "back"), LINES)
def test_lines_and_shapes_can_be_told_apart(block, front, back):
    known = colours(block)
    assert contrast(known[front], known[back]) >= 2.4


def test_both_modes_set_the_same_colours():
    assert colours(LIGHT).keys() == colours(DARK).keys()


def test_every_colour_comes_from_the_palette():
    rules = CSS.replace(LIGHT, "").replace(DARK, "")
    assert set(re.findall(r"#[0-9a-f]{3,8}\b", rules)) <= {"#ffffff"}
    named = set(re.findall(r"var\(--([a-z]+)\)", rules))
    assert named <= colours(LIGHT).keys()
