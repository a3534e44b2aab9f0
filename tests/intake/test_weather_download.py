"""Downloads happen only when asked for, once, and say it when there is no network."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from longhold.base.errors import InputError
from longhold.intake import weather_download
from longhold.intake.weather_download import download_weather

PLACE = (48.0, 150.0)


def table(*_):
    """A year in UTC: noon UTC is the warmest hour."""
    index = pd.date_range("1990-01-01", periods=8760, freq="h", tz="UTC")
    hour = index.hour.to_numpy()
    return pd.DataFrame(
        {
            "temp_air": 10 + 5 * np.cos(2 * np.pi * (hour - 12) / 24),
            "relative_humidity": 70 - 10 * np.cos(2 * np.pi * (hour - 12) / 24),
            "PRECTOTCORR": np.where(hour == 3, 1.0, 0.0),
            "wind_speed": 4.0,
            "WD10M": 180.0,
            "ghi": np.maximum(np.cos(2 * np.pi * (hour - 12) / 24), 0) * 800,
        },
        index=index,
    )


def test_nothing_is_asked_unless_told_to(tmp_path):
    def never(*_):
        raise AssertionError

    with pytest.raises(InputError, match="asked only when told to"):
        download_weather(*PLACE, tmp_path, fetch=never)


def test_an_answer_is_moved_to_local_hours_and_kept(tmp_path):
    asked = []

    def once(*place):
        asked.append(place)
        return table()

    site = download_weather(*PLACE, tmp_path, "nasa_power", ask_network=True, fetch=once)
    assert site.hourly is not None
    assert site.hourly.rain_mm is not None
    # 150 E is ten hours ahead: noon UTC is 22 h there
    assert int(site.hourly.temperature_c[:24].argmax()) == 22
    assert site.hourly.rain_mm.sum() == pytest.approx(365.0)
    assert "NASA POWER" in site.climate.how
    again = download_weather(*PLACE, tmp_path, "nasa_power", fetch=once)
    assert again.hourly is not None
    assert (again.hourly.temperature_c == site.hourly.temperature_c).all()
    assert asked == [PLACE]


def test_no_network_is_said(tmp_path):
    def lost(*_):
        raise ConnectionError("Name or service not known")

    with pytest.raises(InputError, match="could not be reached") as refused:
        download_weather(*PLACE, tmp_path, ask_network=True, fetch=lost)
    assert "weather file" in str(refused.value)
    assert not list(tmp_path.iterdir())


def test_an_answer_without_humidity_is_refused(tmp_path):
    def bare(*_):
        return table().drop(columns=["relative_humidity"])

    with pytest.raises(InputError, match="relative humidity"):
        download_weather(*PLACE, tmp_path, ask_network=True, fetch=bare)


def test_a_damaged_cache_is_told(tmp_path):
    (tmp_path / "pvgis_48.000_150.000.npz").write_bytes(b"nothing of the kind")
    with pytest.raises(InputError, match="Delete it"):
        download_weather(*PLACE, tmp_path)


def test_services_and_positions_are_checked(tmp_path):
    with pytest.raises(InputError, match="pvgis, nasa_power"):
        download_weather(*PLACE, tmp_path, "elsewhere", ask_network=True)
    with pytest.raises(InputError, match="latitude"):
        download_weather(95.0, 0.0, tmp_path, ask_network=True)


@pytest.mark.parametrize("service", ["pvgis", "nasa_power"])
def test_pvlib_is_asked_with_the_arguments_it_takes(service, monkeypatch):
    """The call itself, against a stand-in with the signature of pvlib's own reader."""
    import inspect

    from pvlib import iotools

    name = f"get_{service}_tmy" if service == "pvgis" else f"get_{service}"
    signature = inspect.signature(getattr(iotools, name))

    class Readers:
        def __getattr__(self, asked):
            assert asked == name

            def call(*args, **kwargs):
                signature.bind(*args, **kwargs)
                return table(), {}

            return call

    monkeypatch.setattr(weather_download, "pvlib_readers", Readers)
    assert len(weather_download._SERVICES[service](48.0, 11.0)) == 8760
