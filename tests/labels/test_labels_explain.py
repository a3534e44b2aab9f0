from longhold.labels import explain, read_label


def lines(label):
    return {name: text for heading in explain(label) for name, text in heading.lines if name}


def test_a_coat_is_laid_out_in_both_systems():
    told = lines("ASTM A653 G185")
    assert told["Expected on one face"] == "0.93 oz/ft² (282 g/m²), 39.5 µm (1.56 mil)"
    assert told["Least on one face"] == "0.64 oz/ft² (195 g/m²), 27.4 µm (1.08 mil)"
    assert told["Counts"] == "total of both faces"
    assert told["Standard"] == "ASTM A653/A653M, edition 15"
    assert told["Source"].endswith("[verified]")


def test_what_is_not_told_is_said():
    told = lines("HDG")
    assert told["Expected on one face"] == told["Least on one face"] == "not stated"
    assert told["Standard"] == "none named"


def test_an_alloy_shows_its_family_and_rank():
    told = lines("316")
    assert told["Family"] == "316 family"
    assert told["Pitting resistance number"].startswith("24.1")
    assert "Pitting resistance number" not in lines("silicon bronze")


def test_a_film_is_laid_out():
    assert (
        lines("G90 + at least 12 um polymer topcoat")["Topcoat"]
        == "organic, 12 µm (0.47 mil), at least 12 µm"
    )
    assert lines("G90 + polymer topcoat")["Topcoat"] == "organic, thickness not stated"


def test_every_meaning_has_its_heading_and_the_question_follows():
    titles = [heading.title for heading in explain("Z100 gizmo")]
    assert titles == [
        "EN 10346 Z100",
        "or: AS 1397 Z100",
        "To settle",
        "Not promised",
        "Caution",
        "Not understood, and left out",
    ]


def test_it_reads_as_plain_text_and_takes_a_reading():
    text = str(explain(read_label("A153 class D, 10d nail")))
    assert text.splitlines()[0] == "ASTM A153 class D"
    assert "Part" in text
    assert "10d" in text
    assert str(explain("A153 class D, 10d nail")) == text
