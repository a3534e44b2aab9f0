"""The monthly CSV: one record, or one clear message for each thing that is wrong."""

from __future__ import annotations

import pytest

from longhold.base.errors import InputError
from longhold.intake.monthly_file import monthly_weather

HEAD = "month,temperature_c,relative_humidity_pct"


def text(head=HEAD, row="10,75", months=range(1, 13)):
    return "\n".join([head, *(f"{month},{row}" for month in months)])


def refused(given):
    with pytest.raises(InputError) as error:
        monthly_weather(given)
    return [str(problem) for problem in error.value.problems]


def test_every_column_arrives_in_its_own_unit():
    head = (
        "month,temperature_f,relative_humidity_pct,rain_in,rain_days,rain_hours,wind_speed_mph,wind_from_deg"
    )
    site = monthly_weather(text(head, "50,75,2,10,60,10,270"), 51.0, 0.0, 20.0)
    assert site.climate.temperature_c[0] == pytest.approx(10.0)
    assert site.climate.rain_mm == pytest.approx((50.8,) * 12)
    assert site.climate.rain_days == (10.0,) * 12
    assert site.rain_hours == (60.0,) * 12
    assert site.wind_speed_m_s == pytest.approx((4.4704,) * 12)
    assert site.wind_from_deg == (270.0,) * 12
    assert site.hourly is None
    assert site.latitude == 51.0


def test_months_may_be_names_in_any_order_with_remarks_and_semicolons():
    names = ("jan", "February", "mar", "apr", "may", "jun", "jul", "aug", "Sept", "oct", "nov", "dec")
    body = [f"{name};{i};70" for i, name in reversed(list(enumerate(names)))]
    site = monthly_weather("\n".join(["# station", HEAD.replace(",", ";"), *body]))
    assert site.climate.temperature_c == tuple(float(i) for i in range(12))


def test_eleven_months_is_one_message():
    assert refused(text(months=[m for m in range(1, 13) if m != 7])) == [
        "month: has 11 months, must have 12: month 7 missing."
    ]


def test_a_month_twice_or_unknown_is_told():
    assert refused(text(months=[*range(1, 13), 5])) == ["line 14, month is '5': stands twice."]
    assert "must be 1 to 12" in refused(text(months=[*range(1, 12), 13]))[0]


def test_humidity_above_100_is_one_message():
    given = text().replace("12,10,75", "12,10,104")
    (said,) = refused(given)
    assert said.startswith("relative_humidity_pct[11] is 104.0: must lie between 0 and 100 %.")


def test_units_mixed_is_one_message():
    (said,) = refused(text(f"{HEAD},temperature_f", "10,75,50"))
    assert "temperature_c and temperature_f are the same thing" in said


def test_fahrenheit_called_celsius_and_fractions_called_per_cent_are_seen():
    (hot,) = refused(text(row="68,75"))
    assert "Fahrenheit" in hot
    (fraction,) = refused(text(row="10,0.75"))
    assert "Multiply by 100" in fraction


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (text(f"{HEAD},snow_cm", "10,75,3"), "snow_cm"),
        (text("month,temperature_c", "10"), "relative_humidity_pct is missing"),
        (text("m,temperature_c,relative_humidity_pct"), "month is missing"),
        (text(row="10"), "has 2 cells, must have 3"),
        (text().replace("3,10,75", "3,ten,75"), "temperature_c, month 3 is 'ten'"),
        (text().replace("3,10,75", "3,nan,75"), "must be a number"),
        (text(f"{HEAD},wind_speed_m_s", "10,75,300"), "wind_speed_m_s, month 1"),
        (text(f"{HEAD},rain_hours", "10,75,800"), "rain_hours, month 1"),
        # found by hand beside tools/fuzz.py
        ("# month\n# no more\n", "holds no line but remarks"),
        (f'{HEAD}\n"{"a" * 140_000}', "is not CSV"),
        (text().replace("2,10,75", "\u00b2,10,75"), "must be 1 to 12 or a month's name"),
    ],
)
def test_other_faults_are_named(given, words):
    assert any(words in said for said in refused(given))


def test_every_problem_is_told_at_once():
    given = text().replace("3,10,75", "3,ten,75").replace("5,10,75", "5,10,damp")
    assert len(refused(given)) == 2


def test_an_empty_table_is_refused():
    assert "has 0 months" in refused(HEAD)[0]
