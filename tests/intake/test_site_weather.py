"""A weather file named in a structure file."""

from __future__ import annotations

import pytest

from longhold.air.grid_climate import climate_at
from longhold.base.errors import InputError
from longhold.intake.load import loads
from longhold.intake.monthly_file import monthly_weather
from longhold.intake.site_weather import monthly_csv
from longhold.intake.starter_file import starter

MONTHS = "month,temperature_c,relative_humidity_pct,rain_mm\n" + "".join(
    f"{month},{5 + month},70,80\n" for month in range(1, 13)
)


def deck(climate: str) -> str:
    text = starter()
    start, end = text.index("[site.climate]"), text.index("[site.air]")
    return f"{text[:start]}[site.climate]\n{climate}\n\n{text[end:]}"


def test_the_file_stands_for_the_climate_and_says_where_it_comes_from(tmp_path):
    (tmp_path / "here.csv").write_text(MONTHS, encoding="utf-8")
    climate = loads(deck('file = "here.csv"'), folder=tmp_path).site.climate
    assert climate.temperature == pytest.approx([5.0 + month for month in range(1, 13)])
    assert climate.rain_mm == [80.0] * 12
    assert climate.how.startswith("here.csv")


def test_what_longhold_writes_it_reads_back():
    found = climate_at(34.2, -77.9)
    again = monthly_weather(monthly_csv(found))
    assert again.climate.temperature_c == pytest.approx(found.climate.temperature_c, abs=0.01)
    assert again.climate.rain_days == pytest.approx(found.climate.rain_days, abs=0.01)


@pytest.mark.parametrize(
    ("climate", "said"),
    [
        ('file = "absent.csv"', r"site\.climate\.file is 'absent\.csv': there is no such file"),
        ('file = "here.csv"\nstation = "Boston"', "Leave out station"),
        ('file = "short.csv"', r"site\.climate\.file is 'short\.csv': .*month"),
    ],
)
def test_a_file_that_cannot_stand_for_it_is_refused(tmp_path, climate, said):
    (tmp_path / "here.csv").write_text(MONTHS, encoding="utf-8")
    (tmp_path / "short.csv").write_text("\n".join(MONTHS.splitlines()[:-1]), encoding="utf-8")
    with pytest.raises(InputError, match=said):
        loads(deck(climate), folder=tmp_path)
