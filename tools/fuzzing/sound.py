"""Sound inputs for every reader, to be spoiled: from the demo, or made here of invented values."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Iterator
from datetime import date
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from longhold.assessment.findings import Assessment

DEMO = Path(__file__).resolve().parents[2] / "demo"


def of_demo(*names: str) -> Callable[[], list[bytes]]:
    """Files of the demo."""
    return lambda: [(DEMO / name).read_bytes() for name in names]


def said(*texts: str) -> Callable[[], list[bytes]]:
    """Texts as they stand."""
    return lambda: [text.encode() for text in texts]


def jsons() -> list[bytes]:
    """The structures of the demo as JSON."""
    return _written_as(".json")


def workbooks() -> list[bytes]:
    """The structures of the demo as workbooks."""
    return _written_as(".xlsx")


def _written_as(ending: str) -> list[bytes]:
    from longhold.intake.convert import converted

    made = (converted(DEMO / name, Path(f"x{ending}")) for name in ("boardwalk.toml", "standing_walk.toml"))
    return [_undated(one) if isinstance(one, bytes) else one.encode() for one in made]


def _undated(book: bytes) -> bytes:
    """A workbook that does not hold the moment at which it was made: one seed spoils it in one way."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(book)) as given, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as kept:
        for part in given.namelist():
            text = re.sub(rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", b"2026-01-01T00:00:00Z", given.read(part))
            kept.writestr(zipfile.ZipInfo(part, (2026, 1, 1, 0, 0, 0)), text, zipfile.ZIP_DEFLATED)
    return made.getvalue()


def tomls() -> list[bytes]:
    """The structures of the demo and the file to start from."""
    starter = files("longhold.intake").joinpath("starter.toml").read_bytes()
    return [*of_demo("boardwalk.toml", "standing_walk.toml")(), starter]


def packs() -> list[bytes]:
    """The rule packs that the description of packs shows."""
    text = files("longhold").joinpath("tables", "codes", "README.md").read_text(encoding="utf-8")
    return [found.encode() for found in re.findall(r"```toml\n(\[pack\].*?)```", text, re.DOTALL)]


def offers_book() -> list[bytes]:
    """The first offers of the demo as a workbook."""
    import csv

    import openpyxl

    book = openpyxl.Workbook()
    for row in list(csv.reader((DEMO / "offers.csv").read_text(encoding="utf-8").splitlines()))[:6]:
        book.active.append([float(cell) if re.fullmatch(r"\d+\.\d+", cell) else cell for cell in row])
    return [_undated(_written(book.save))]


def months() -> list[bytes]:
    """Invented years by the month, in three ways of writing."""
    rows = (f"{month},{5 + month},{60 + month},{40 + month},{month},3.5,180\n" for month in range(1, 13))
    heads = "month,temperature_c,relative_humidity_pct,rain_mm,rain_days,wind_speed_m_s,wind_from_deg\n"
    metric = heads + "".join(rows)
    return [metric.encode(), metric.replace(",", ";").encode(), ("# invented\n" + metric).encode()]


def hours() -> list[bytes]:
    """One steady invented day after the other, in the columns that the EPW's publisher lists."""
    head = [
        "LOCATION,Somewhere,-,XXX,made up,000000,45.0,10.0,1.0,200.0",
        "DESIGN CONDITIONS,0",
        "TYPICAL/EXTREME PERIODS,0",
        "GROUND TEMPERATURES,0",
        "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
        "COMMENTS 1,",
        "COMMENTS 2,",
        "DATA PERIODS,1,1,Data,Sunday,1/1,12/31",
    ]
    return ["\n".join([*head, *_days(), ""]).encode()]


def packaged(name: str) -> Callable[[], list[bytes]]:
    """A year that the library for weather files comes with."""
    return lambda: [Path(str(files("pvlib").joinpath("data", name))).read_bytes()]


def _days() -> Iterator[str]:
    for month, days in enumerate((31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31), 1):
        for day in range(1, days + 1):
            for hour in range(1, 25):
                yield (
                    f"1990,{month},{day},{hour},0,?9,10.0,5.0,71.0,101000,0,0,300,0,0,0,0,0,0,0,90,3.0,5,5,20,"
                    "7000,9,999999999,10,0.1,0,88,0.2,0.1,1"
                )


@cache
def _inside() -> Assessment:
    """An answer that takes no simulation."""
    from longhold.assessment.line import assess
    from longhold.intake.load import structure_of

    part = {"id": "strap", "kind": "strap", "size": "16 ga", "label": "G90"}
    joint = {"id": "A", "name": "a", "place": "dry_inside", "main": "joist", "parts": [part]}
    told = {
        "name": "Shed",
        "design_life": "50 years",
        "code": {"pack": "us_irc", "edition": "2021"},
        "site": {"name": "hill", "climate": {"station": "Atlanta"}, "distance_to_salt_water": "400 km"},
        "timbers": {"joist": {"species": "southern pine", "preservative": "none", "size": "2x8"}},
        "joints": [joint],
    }
    return assess(structure_of(told), draws=200)


def results() -> list[bytes]:
    """A result as ``assess --json`` writes it."""
    from longhold.documents.exchange import to_json

    return [to_json(_inside()).encode()]


def lives() -> list[bytes]:
    """A life file."""
    from longhold.documents.life_file import LifeFile, life_bytes

    answer = _inside()
    return [life_bytes(LifeFile(answer.structure, "", answer, (), (), (), (), (), (), date(2026, 1, 1)))]


def visits() -> list[bytes]:
    """A table of readings with a photograph in one archive, stored and deflated."""
    return [
        _written(lambda held, how=how: _zipped(held, how))
        for how in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
    ]


def _zipped(held: io.BytesIO, how: int) -> None:
    with zipfile.ZipFile(held, "w", how) as archive:
        archive.writestr("visit/readings.csv", (DEMO / "readings.csv").read_bytes())
        archive.writestr("visit/w01.jpg", pictures()[0])


def pictures() -> list[bytes]:
    """Small pictures of each form and kind of pixel that is read."""
    from PIL import Image

    grey = Image.linear_gradient("L").resize((64, 48))
    turned = Image.Exif()
    turned[0x0112] = 6
    ways = [
        (grey.convert("RGB"), {"format": "JPEG", "exif": turned}),
        (grey.convert("CMYK"), {"format": "JPEG"}),
        (grey.convert("P"), {"format": "PNG", "transparency": 3}),
        (grey.convert("I;16"), {"format": "PNG"}),
        (Image.merge("RGBA", [grey] * 4), {"format": "PNG"}),
        (grey.convert("RGB"), {"format": "WEBP"}),
    ]
    return [_written(lambda held, one=one, how=how: one.save(held, **how)) for one, how in ways]


def _written(write: Callable[[io.BytesIO], object]) -> bytes:
    held = io.BytesIO()
    write(held)
    return held.getvalue()


def columns() -> list[bytes]:
    """The portfolio table as Parquet."""
    from pyarrow import csv, parquet

    table = csv.read_csv(io.BytesIO(TABLE.encode()))
    return [
        _written(lambda held, form=form: parquet.write_table(table, held, compression=form))
        for form in ("none", "snappy")
    ]


TABLE = (
    "structure,site,latitude,longitude,build_date,design_life,pack,edition,joint,place,role,quantity,"
    "main_species,main_preservative,main_size,part1_kind,part1_size,part1_label,part1_count\n"
    "Shed,Hill,34.0,-85.0,2001-05-01,50 years,us_irc,2021,A,damp_inside,other,2,southern pine,none,2x8,strap,"
    "16 ga,G90,1\n"
    "Shed,Hill,34.0,-85.0,2001-05-01,50 years,us_irc,2021,B,damp_inside,other,,southern pine,none,2x8,nail,"
    "10d common,HDG,4\n"
    "Pier,Bay,34.1,-77.8,,50 years,us_irc,2021,A,dry_inside,other,1,spruce,none,2x8,strap,16 ga,G60,1\n"
)
