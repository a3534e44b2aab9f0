"""Hourly weather files are told from their content and read to the common record."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pvlib
import pytest

from longhold.base.errors import InputError
from longhold.intake import weather_files
from longhold.intake.weather_files import read_weather

PACKAGED = Path(pvlib.__file__).parent / "data"
HEADER = "LOCATION,Somewhere,-,XXX,made up,000000,{lat},{lon},{tz},{height}"


def epw(folder, change=lambda hour, row: row, hours=8760, name="x.epw"):
    """An EPW of the published column list, one steady day after the other."""
    lines = [HEADER.format(lat=45.0, lon=10.0, tz=1.0, height=200.0)]
    lines += ["DESIGN CONDITIONS,0", "TYPICAL/EXTREME PERIODS,0", "GROUND TEMPERATURES,0"]
    lines += [
        "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
        "COMMENTS 1,",
        "COMMENTS 2,",
        "DATA PERIODS,1,1,Data,Sunday,1/1,12/31",
    ]
    days = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    calendar = [(m, d) for m, n in enumerate(days, 1) for d in range(1, n + 1)]
    for hour in range(hours):
        month, day = calendar[hour // 24]
        row = {
            "t": 10.0,
            "td": 5.0,
            "rh": 71.0,
            "ghi": 0,
            "wd": 90,
            "ws": 3.0,
            "rain": 0.5 if hour % 48 == 0 else 0.0,
        }
        row = change(hour, row)
        lines.append(
            f"1990,{month},{day},{hour % 24 + 1},0,?9,{row['t']},{row['td']},{row['rh']},101000,0,0,300,"
            f"{row['ghi']},0,0,0,0,0,0,{row['wd']},{row['ws']},5,5,20,7000,9,999999999,10,0.1,0,88,0.2,{row['rain']},1"
        )
    file = folder / name
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return file


def test_an_epw_arrives_whole(tmp_path):
    site = read_weather(epw(tmp_path))
    assert site.hourly is not None
    assert site.hourly.years == 1
    assert (site.latitude, site.longitude, site.elevation_m) == (45.0, 10.0, 200.0)
    assert site.climate.temperature_c == pytest.approx((10.0,) * 12)
    assert site.climate.rain_mm is not None
    assert sum(site.climate.rain_mm) == pytest.approx(183 * 0.5)
    assert site.wind_from_deg == pytest.approx((90.0,) * 12)
    assert "x.epw" in site.climate.how


def test_the_first_hour_of_an_epw_is_the_first_hour_of_the_year(tmp_path):
    site = read_weather(epw(tmp_path, lambda hour, row: {**row, "t": 30.0 if hour == 0 else 10.0}))
    assert site.hourly is not None
    assert site.hourly.temperature_c[0] == 30.0


def test_missing_hours_and_sentinels_are_filled_and_told(tmp_path):
    def change(hour, row):
        return {**row, "t": 99.9, "rh": 999} if 100 <= hour < 105 else row

    site = read_weather(epw(tmp_path, change))
    assert site.hourly is not None
    assert site.hourly.temperature_c == pytest.approx(np.full(8760, 10.0))
    assert any("temperature filled: 5 hours straight across" in note for note in site.notes)


def test_an_epw_without_rain_says_so(tmp_path):
    site = read_weather(epw(tmp_path, lambda _, row: {**row, "rain": 0.0}))
    assert site.climate.rain_mm is None
    assert any("not recorded" in note for note in site.notes)


def test_half_an_epw_is_refused_with_its_name(tmp_path):
    with pytest.raises(InputError, match=r"x\.epw: weather: temperature: 4,760 of 8,760 hours"):
        read_weather(epw(tmp_path, hours=4000))


def test_a_damaged_epw_is_refused(tmp_path):
    file = epw(tmp_path)
    file.write_text(file.read_text(encoding="utf-8").replace("1990,3,4,", "1990,three,4,"), encoding="utf-8")
    with pytest.raises(InputError, match="cannot be read as EPW"):
        read_weather(file)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("1990,3,4,", "1990,3,nan,", "a head or a line is not as the format has it"),
        ("1990,3,4,5,0", "1990,3,4,five,0", "a head or a line is not as the format has it"),
        (",45.0,10.0,", ",north,10.0,", "'north' is no number"),
    ],
)
def test_a_fault_of_the_library_is_told_without_its_words(tmp_path, old, new, said):
    """Found by tools/fuzz.py: "operation 'sub' not supported for dtype 'str' with object of int"."""
    file = epw(tmp_path)
    file.write_text(file.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    with pytest.raises(InputError, match=f"cannot be read as EPW: {said}"):
        read_weather(file)


def test_a_town_in_latin_1_is_no_obstacle(tmp_path):
    file = epw(tmp_path)
    file.write_bytes(file.read_bytes().replace(b"Somewhere", "Köln".encode("latin-1")))
    assert read_weather(file).hourly is not None


def test_a_monthly_csv_goes_the_same_way(tmp_path):
    file = tmp_path / "months.csv"
    file.write_text(
        "month,temperature_c,relative_humidity_pct\n" + "".join(f"{m},10,75\n" for m in range(1, 13))
    )
    assert read_weather(file).climate.temperature_c == (10.0,) * 12
    file.write_text(
        "month,temperature_c,relative_humidity_pct\n" + "".join(f"{m},10,75\n" for m in range(1, 12))
    )
    with pytest.raises(InputError, match=r"months\.csv: month: has 11 months"):
        read_weather(file)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty"),
        (b"hello\nworld\n", "none of the files that are read"),
        (b"LOCATION,\n", "cannot be read as EPW"),
    ],
)
def test_other_files_are_refused(tmp_path, content, words):
    file = tmp_path / "odd.epw"
    file.write_bytes(content)
    with pytest.raises(InputError, match=words):
        read_weather(file)


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    with pytest.raises(InputError, match="no such file"):
        read_weather(tmp_path / "none.epw")
    with pytest.raises(InputError, match="cannot be read"):
        read_weather(tmp_path)


def test_without_pvlib_the_message_says_what_to_install(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "pvlib.iotools", None)
    with pytest.raises(InputError, match=r"longhold\[weather\]"):
        read_weather(epw(tmp_path))


def test_a_huge_file_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(weather_files, "MOST_BYTES", 10)
    with pytest.raises(InputError, match="larger than"):
        read_weather(epw(tmp_path))


@pytest.mark.parametrize("name", ["12839.tm2", "703165TY.csv", "723170TYA.CSV"])
def test_packaged_typical_years_are_read(name):
    site = read_weather(PACKAGED / name)
    assert site.hourly is not None
    assert site.hourly.years == 1
    assert site.hourly.sun_w_m2 is not None
    assert site.latitude is not None
