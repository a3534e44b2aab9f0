"""``longhold decide`` and ``longhold plan`` as a person uses them."""

import datetime
import json
from pathlib import Path

import pytest
from icalendar import Calendar
from pypdf import PdfReader

from longhold.cli import main
from longhold.intake.readings import read_readings
from longhold.model.reading import HEADS

DEMO = Path(__file__).parents[2] / "demo"
ON = ("--on", "2026-11-01")


@pytest.fixture
def run(capsys, monkeypatch):
    """Run a command with few draws; gives code, standard output and standard error."""
    monkeypatch.setenv("COLUMNS", "110")

    def ran(command: str, *words: object) -> tuple[int, str, str]:
        code = main.run([command, "--draws", "400", *map(str, words)])
        said = capsys.readouterr()
        return code, said.out, said.err

    return ran


@pytest.fixture
def asked(tmp_path):
    """The demo's structure and costs, as words of a command."""
    for name in ("standing_walk.toml", "costs.toml", "readings.csv"):
        (tmp_path / name).write_bytes((DEMO / name).read_bytes())
    return tmp_path / "standing_walk.toml", "--costs", tmp_path / "costs.toml"


@pytest.mark.slow
def test_decide_says_the_same_on_screen_page_and_json(run, asked, tmp_path):
    page = tmp_path / "page.html"
    words = (*asked, *ON, "--readings", tmp_path / "readings.csv")
    code, out, err = run("decide", *words, "--report", page)
    assert (code, err) == (1, "")  # a joint is to be made safe
    said = " ".join(out.split())
    assert "Make safe now, and call a licensed engineer: W06." in said
    assert "The readings turn the decision for" in said
    told = json.loads(run("decide", *words, "--json")[1])
    assert told["answer"] in said
    assert told["decisions"][0]["joints"] == ["W06"]
    assert told["decisions"][0]["answer"] == "make_safe"
    assert told["decisions"][0]["words"]["actions"] == []  # no cost stands beside it
    assert told["decisions"][0]["may_be_done"] == []
    for one in told["decisions"][1:]:
        cheapest = min(one["may_be_done"], key=one["expected_cost_each"].get)
        assert one["answer"] == cheapest
    html = page.read_text(encoding="utf-8")
    assert told["answer"] in html
    for one in told["decisions"]:
        assert one["words"]["answer"] in html
    assert {"limit", "renewed hardware", "costs count", "load"} <= {one["what"] for one in told["assumed"]}
    turned = {one["joint"]: one for one in told["turned"]}
    assert turned["W05"]["after"] == "keep"
    without = json.loads(run("decide", *asked, *ON, "--json")[1])
    assert without["turned"] is None
    (base,) = (one for one in without["decisions"] if one["joints"] == ["W05"])
    assert base["answer"] == turned["W05"]["before"]


@pytest.mark.slow
def test_plan_writes_page_sheets_and_calendar(run, asked, tmp_path):
    page, sheets, visits = (tmp_path / name for name in ("p.html", "s.pdf", "v.ics"))
    words = ("plan", *asked, *ON, "--next", "6 years")
    code, out, err = run(*words, "--report", page, "--sheets", sheets, "--calendar", visits)
    assert (code, err) == (1, "")
    told = json.loads(run(*words, "--json")[1])
    assert told["answer"] in " ".join(out.split())
    assert told["answer"] in page.read_text(encoding="utf-8")
    pages = [one.extract_text().replace("\u200b", "") for one in PdfReader(sheets).pages]
    assert len(pages) == len(told["stops"])  # one page for each stop
    for text, stop in zip(pages, told["stops"], strict=True):
        assert stop["ids"][0] in text
        assert all(head in " ".join(text.split()) for head in HEADS)
        for row in stop["readings"]:
            assert row["measured"] in text
            assert row["expected"] in " ".join(text.split())
    calendar = Calendar.from_ical(visits.read_bytes())
    days = [event.decoded("dtstart") for event in calendar.walk("VEVENT")]
    first = datetime.date(2026, 11, 1)  # 27.5 years of the design life are left
    assert days == [first.replace(year=first.year + more) for more in (0, 6, 12, 18, 24)]
    assert len({str(event["uid"]) for event in calendar.walk("VEVENT")}) == len(days)
    assert "W06" in str(calendar.walk("VEVENT")[0]["description"])
    assert calendar.walk("VALARM")[0].decoded("trigger") == datetime.timedelta(days=-14)


@pytest.mark.slow
def test_what_is_written_on_a_sheet_can_be_typed_in(run, asked, tmp_path):
    """The lines that a sheet prints, with readings filled in, are a table of readings."""
    from longhold.documents.field_sheets import sheet_lines
    from longhold.documents.visit_view import stop_rows
    from longhold.inspect.decide import Asked
    from longhold.inspect.learn import learn
    from longhold.inspect.plan import plan_readings
    from longhold.intake.load import load, load_costs

    structure, costs = load(asked[0]), load_costs(asked[2])
    planned = plan_readings(structure, costs, Asked(datetime.date(2026, 11, 1), 5.0), draws=400)
    seen = {"moisture": "19 %", "look": "sound", "rust": "no red rust", "zinc": "1.3 mil"}
    lines = [",".join(HEADS)]
    for stop in stop_rows(planned):
        for line in sheet_lines(stop):
            if not line["joint"]:
                continue
            size = "0.14 in" if line["part"] == "nail" else "0.04 in"
            line |= {"date": "2026-11-01", "reading": seen.get(line["measured"], size)}
            lines.append(",".join(line[head] for head in HEADS))
    table = tmp_path / "typed.csv"
    table.write_text("\n".join(lines), encoding="utf-8")
    found = learn(structure, read_readings(table).readings, draws=200)
    assert len(found.readings) == len(planned.readings)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--on", "2013-01-01"), "must lie after 2014-05-01"),
        (("--on", "soon"), "must be a date such as"),
        (("--on", "2026-06-01", "--readings", "readings.csv"), "lies before a reading of 2026-06-12"),
        (("--next", "0 years"), "--next is '0 years'"),
        (("--next", "5"), "needs a unit"),
        (("--next", "200 years"), "at most 100 years"),
        (("--limit", "0"), "must be a chance between 0 and 1"),
        (("--limit", "1"), "must be a chance between 0 and 1"),
        (("--limit", "nan"), "must be a chance between 0 and 1"),
        (("--report", "costs.toml"), "is a file that is read here"),
        (("--report", "nowhere/page.html"), "there is no folder"),
        (("--report", "page.pdf"), "must end in .html"),
        (("--costs", "standing_walk.toml"), "standing_walk.toml"),
        (("--costs", "nowhere.toml"), "nowhere.toml"),
        (("--readings", "costs.toml"), "costs.toml"),
    ],
)
@pytest.mark.parametrize("command", ["decide", "plan"])
def test_what_is_wrong_is_told_once_and_nothing_is_written(
    run, asked, tmp_path, monkeypatch, command, words, said
):
    monkeypatch.chdir(tmp_path)
    before = {one: one.read_bytes() for one in tmp_path.iterdir()}
    code, out, err = run(command, *asked, *words)
    assert code == 2
    assert said in " ".join(err.split())
    assert "Traceback" not in err
    assert out == ""
    assert {one: one.read_bytes() for one in tmp_path.iterdir()} == before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--sheets", "sheets.html"), "must end in .pdf"),
        (("--calendar", "visits.txt"), "must end in .ics"),
        (("--sheets", "nowhere/sheets.pdf"), "there is no folder"),
    ],
)
def test_targets_of_a_plan_are_checked_before_any_work(run, asked, tmp_path, monkeypatch, words, said):
    monkeypatch.chdir(tmp_path)
    before = sorted(tmp_path.iterdir())
    code, _, err = run("plan", *asked, *words)
    assert code == 2
    assert said in " ".join(err.split())
    assert sorted(tmp_path.iterdir()) == before


def test_a_structure_without_a_build_date_is_asked_for_it(run, asked):
    text = asked[0].read_text(encoding="utf-8").replace("build_date = 2014-05-01\n", "")
    asked[0].write_text(text, encoding="utf-8")
    code, _, err = run("decide", *asked)
    assert code == 2
    assert "State when it was built." in err
