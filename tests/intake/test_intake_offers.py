import pytest

from longhold.base.errors import InputError
from longhold.intake.offers import load_offers

HEAD = "item,kind,size,label,price,currency,pack\n"
GOOD = "A1,nail,16d common,ASTM A153 class D,24.00,USD,250\n"


def made(tmp_path, text):
    path = tmp_path / "list.csv"
    path.write_text(text, encoding="utf-8")
    return load_offers(path)


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("A2,nail,16d common,G90,,USD,250", "line 2, column E (price) is blank"),
        ("A2,nail,16d common,G90,-3,USD,250", "price"),
        ("A2,nail,16d common,G90,dear,USD,250", "must be a number such as 12.50"),
        ("A2,nail,16d common,G90,3,US$,250", "currency"),
        ("A2,nail,16d common,G90,3,USD,0", "pack"),
        ("A2,nail,16d,G90,3,USD,250", "tells no kind of nail"),
        ("A2,hook,16d common,G90,3,USD,250", "kind"),
    ],
)
def test_a_line_that_is_no_offer_is_told_and_the_rest_is_kept(tmp_path, line, why):
    found = made(tmp_path, HEAD + line + "\n" + GOOD)
    assert [one.item for one in found.offers] == ["A1"]
    assert [number for number, _ in found.refused] == [2]
    assert why in found.refused[0][1]


def test_semicolons_decimal_commas_and_other_heads(tmp_path):
    path = tmp_path / "list.csv"
    path.write_text(
        "Art;kind;size;label;Preis;currency\nA1;nail;16d common;ASTM A153 class D;24,50;EUR\n",
        encoding="utf-8",
    )
    found = load_offers(path, {"item": "art", "price": "Preis"})
    assert (found.offers[0].item, found.offers[0].price) == ("A1", 24.5)
    with pytest.raises(InputError, match="has no column item or price"):
        load_offers(path)
    with pytest.raises(InputError, match="is no head"):
        load_offers(path, {"item": "Nummer"})


def test_a_list_without_an_offer_says_why(tmp_path):
    with pytest.raises(InputError, match=r"no offer that can be read[\s\S]*line 2"):
        made(tmp_path, HEAD + "A2,nail,16d common,G90,,USD,250\n")


def test_fifty_thousand_lines_are_read_and_more_are_refused(tmp_path):
    lines = "".join(f"A{i},nail,16d common,ASTM A153 class D,24.00,USD,250\n" for i in range(49_999))
    assert len(made(tmp_path, HEAD + lines).offers) == 49_999
    with pytest.raises(InputError, match="more than 50,000 lines"):
        made(tmp_path, HEAD + lines + GOOD + GOOD)


def test_a_list_of_bad_lines_alone_is_told_once_with_reasons_that_differ(tmp_path):
    path = tmp_path / "bad.csv"
    lines = ["item,kind,size,label,price,currency"]
    lines += [f"N{n},nail,10d common,304 stainless,call,USD" for n in range(40)]
    lines += ["N99,gizmo,10d common,304 stainless,5.0,USD"]
    path.write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_offers(path)
    said = str(caught.value)
    assert "none of its 41 lines" in said
    assert "line 2: column E (price) is 'call'" in said
    assert "So it is with 39 more." in said
    assert "line 42: column B (kind) is 'gizmo'" in said
    assert said.count("'call'") == 1
