import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.documents.equations import set_equation, set_symbol, set_units


def inside(text):
    return str(set_equation(text)).split(">", 1)[1].removesuffix("</span>")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("x1", "<i>x</i><sub>1</sub>"),
        ("r_zn^0.5", "<i>r</i><sub>zn</sub><sup>0.5</sup>"),
        ("20^(b-1)", "20<sup><i>b</i> − 1</sup>"),
        ("sigma <= 2", "<i>σ</i> ≤ 2"),
        ("1.2e-3 x", "1.2 × 10<sup>−3</sup> <i>x</i>"),
        ("D(t) = a * b", "<i>D</i>(<i>t</i>) = <i>a</i> · <i>b</i>"),
        ("r (t - t_1)", "<i>r</i> (<i>t</i> − <i>t</i><sub>1</sub>)"),
        ("sqrt(a + b)", '√<span class="root"><i>a</i> + <i>b</i></span>'),
        ("median of stations", "median of stations"),
        (
            "(a/b) / (c)",
            '<span class="frac"><span><span class="frac"><span><i>a</i></span><span class="no">/</span><span>'
            '<i>b</i></span></span></span><span class="no">/</span><span><i>c</i></span></span>',
        ),
        (
            "(a) b (c)/d",
            '<span class="frac"><span>(<i>a</i>) <i>b</i> (<i>c</i>)</span><span class="no">/</span>'
            "<span><i>d</i></span></span>",
        ),
        ("as new, less the loss of a steel plate", "as new, less the loss of a steel plate"),
        ("p q s", "<i>p</i> <i>q</i> <i>s</i>"),
        ("x^(a/b)", "<i>x</i><sup><i>a</i>/<i>b</i></sup>"),
        ("ls + F_v,Rk,0", "<i>l</i><sub>s</sub> + <i>F</i><sub>v,Rk,0</sub>"),
        ("Fem gM2 kmod", "<i>F</i><sub>em</sub> <i>γ</i><sub>M2</sub> <i>k</i><sub>mod</sub>"),
        ("x_h, x_b", "<i>x</i><sub>h</sub>, <i>x</i><sub>b</sub>"),
    ],
)
def test_notation(text, shown):
    assert inside(text) == shown


def test_a_division_becomes_a_fraction_without_its_brackets():
    found = re.findall(
        r'frac"><span>(.*?)</span><span class="no">/</span><span>(.*?)</span></span>', inside("a b / (1 + c)")
    )
    assert found == [("<i>a</i> <i>b</i>", "1 + <i>c</i>")]


def test_a_number_with_its_unit_is_one_denominator():
    assert "<span>1 km</span>" in inside("ln(x / 1 km)")


@pytest.mark.parametrize("text", ["a )( b", "((", "= =", "a ^", "<script>alert(1)</script>", "$ % &"])
def test_what_is_no_equation_is_shown_as_it_stands(text):
    shown = inside(text)
    assert "<script" not in shown
    assert (
        re.sub(r"<[^>]*>", "", shown).replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&") == text
    )


@given(st.text(max_size=60))
@settings(deadline=None)
def test_any_text_stays_text(text):
    shown = str(set_equation(text))
    assert set(re.findall(r"<(/?[a-z]+)", shown)) <= {
        "span",
        "/span",
        "i",
        "/i",
        "sub",
        "/sub",
        "sup",
        "/sup",
    }


def test_deep_nesting_does_not_break():
    assert "(((" in str(set_equation("(" * 5000))


def test_symbols_and_units():
    assert set_symbol("as printed") == "as printed"
    assert set_symbol("p q") == "<i>p</i> <i>q</i>"
    assert set_symbol("F_v,Rd") == "<i>F</i><sub>v,Rd</sub>"
    assert "<span><i>k</i><sub>mod</sub></span>" in set_symbol("kmod / gammaM")
    assert set_symbol("angle (deg)") == "angle (deg)"
    assert set_units("1.79e+03 um") == "1,790 µm"
    assert set_units("60 mg/(m2 d), 275 g/m2, 5 um at -3 C") == "60 mg/(m² d), 275 g/m², 5 µm at −3 °C"
    assert set_units("t >= 6.4 mm, area <= 10 cm^2, 0.9 oz/ft^2") == "t ≥ 6.4 mm, area ≤ 10 cm², 0.9 oz/ft²"
    assert set_units("G90-rated, A153/A153M-16a") == "G90-rated, A153/A153M-16a"


def test_a_yield_mode_is_printed_with_its_whole_denominator():
    """NDS-2018, TR12: mode II has 1/(4 qs), which is not a quarter of qs."""
    from longhold.strength.dowel_explain import _EQUATIONS

    shown = str(set_equation(_EQUATIONS["II"]))
    assert '<span>1</span><span class="no">/</span><span>4 <i>q</i><sub>s</sub></span>' in shown
    for text in _EQUATIONS.values():
        assert "<span>4</span></span> <i>q" not in str(set_equation(text))


def test_numbers_of_standards_stay_whole_in_text_alone():
    from longhold.documents.page import unbroken_standards

    kept = (
        "<title>EN 1993-1-4</title><style>/* ISO 9223-1 */</style><svg><text>EN 1993-1-4</text></svg>"
        '<option>ISO 12944-5</option><a title="EN 1993-1-4">2-3</a> A153/A153M-16a'
    )
    assert unbroken_standards(kept) == kept
    assert unbroken_standards("<p>by EN ISO 12944-5:2018 and ISO 9223</p>") == (
        '<p>by <span class="unbroken">EN ISO 12944-5</span>:2018 and ISO 9223</p>'
    )
