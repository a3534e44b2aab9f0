"""Command ``weather``: monthly weather of a position, from the maps or from a public climate service."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

__all__ = ["weather"]


def weather(
    latitude: Annotated[float, typer.Argument(metavar="LAT", help="Degrees, north positive.")],
    longitude: Annotated[float, typer.Argument(metavar="LON", help="Degrees, east positive.")],
    out: Annotated[Path, typer.Option(metavar="FILE.csv", help="Where to write it; - prints it.")] = Path(
        "-"
    ),
    download: Annotated[
        Literal["pvgis", "nasa_power"] | None,
        typer.Option(help="Ask this public service over the network instead of the built-in maps."),
    ] = None,
    cache: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Where downloads are kept; in your home if not given."),
    ] = None,
) -> None:
    """Write the monthly weather of a position as a CSV that a structure file can name.

    In the structure file:  [site.climate]  file = "weather.csv"
    """
    from longhold.intake.site_weather import monthly_csv

    if download is None:
        from longhold.air.grid_climate import climate_at

        found = climate_at(latitude, longitude)
    else:
        from longhold.intake.weather_download import download_weather

        folder = cache or Path.home() / ".cache" / "longhold" / "weather"
        found = download_weather(latitude, longitude, folder, download, ask_network=True)
    text = monthly_csv(found)
    if str(out) == "-":
        print(text, end="")
        return
    from longhold.cli.output import check_target, write_whole

    check_target(out, "--out", ".csv")
    write_whole(out, text)
    print(f"Wrote {out}: {found.climate.how}")
