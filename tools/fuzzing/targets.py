"""What is tried: each reader of what people hand in, with sound inputs to spoil."""

from __future__ import annotations

import io
import re
import tempfile
import tomllib
from collections.abc import Callable, Iterator
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from longhold.model.delivery import Delivery, Order

__all__ = ["TARGETS", "Target"]

_ROOT = Path(__file__).resolve().parents[2]
_DEMO = _ROOT / "demo"
Take = Callable[[bytes], object]


class Target(NamedTuple):
    """One reader.

    Attributes
    ----------
    words : what it reads, for the table
    take : hands it one input
    seeds : makes sound inputs
    form : how they are spoiled: ``text``, ``book`` (a zip of XML), ``weather`` (few lines of many), ``raw``
    """

    words: str
    take: Take
    seeds: Callable[[], list[bytes]]
    form: str = "text"


@cache
def _folder() -> Path:
    return Path(tempfile.mkdtemp(prefix="longhold-fuzz-"))


def _in_file(name: str, read: Callable[[Path], object]) -> Take:
    def take(data: bytes) -> object:
        path = _folder() / name
        path.write_bytes(data)
        return read(path)

    return take


def _label(data: bytes) -> None:
    from longhold.labels import explain, format_protection, read_label, read_parts

    text = data.decode("utf-8", "replace")
    str(explain(text))
    for part in read_parts(text):
        told = part.told or read_label(text)
        for one in told.readings:
            format_protection(one.protection)


def _demand(data: bytes) -> None:
    from longhold.labels import designations_for, read_demand

    designations_for(read_demand(data.decode("utf-8", "replace")))


def _tag(data: bytes) -> None:
    from longhold.documents.tag_view import tag_json, tag_sections
    from longhold.labels import read_tag

    tag = read_tag(data.decode("utf-8", "replace"))
    tag_sections(tag, 1999)
    tag_json(tag)


def _structure(path: Path) -> None:
    from longhold.intake.convert import converted
    from longhold.intake.load import load

    wanted = load(path)
    again = path.with_name("again.toml")
    written = converted(path, again)
    again.write_text(str(written), encoding="utf-8")
    if load(again) != wanted:
        raise AssertionError("what was written as TOML is another structure")


def _site(path: Path) -> None:
    from longhold.intake.load import load_structure_or_site

    load_structure_or_site(path)


def _costs(path: Path) -> None:
    from longhold.intake.load import load_costs

    load_costs(path)


def _weather(path: Path) -> None:
    from longhold.intake.weather_files import read_weather

    read_weather(path)


def _ifc(path: Path) -> None:
    from longhold.intake.ifc_draft import draft_from_ifc

    tomllib.loads(draft_from_ifc(path).text)


def _readings(path: Path) -> None:
    from longhold.intake.readings import read_readings

    read_readings(path)


def _gauge(path: Path) -> None:
    from longhold.intake.gauge_readings import load_readings

    load_readings(path)


@cache
def _sound_pair() -> tuple[Order, Delivery]:
    from longhold.intake.delivery import load_delivery, load_order

    return load_order(_DEMO / "order.csv"), load_delivery(_DEMO / "delivery.csv")


def _order(path: Path) -> None:
    from longhold.inspect.delivery import check_delivery
    from longhold.intake.delivery import load_order

    check_delivery(load_order(path), _sound_pair()[1].lines[:2])


def _delivery(path: Path) -> None:
    from longhold.inspect.delivery import check_delivery
    from longhold.intake.delivery import load_delivery

    check_delivery(_sound_pair()[0], load_delivery(path).lines)


def _offers(path: Path) -> None:
    from longhold.intake.offers import load_offers

    load_offers(path)


def _table(path: Path) -> None:
    from longhold.portfolio.table import gather_table

    _ = gather_table(path).key


def _photo(data: bytes) -> None:
    from longhold.intake.photo_file import open_photo

    open_photo(data)


def _pack(data: bytes) -> None:
    from longhold.codes.user_pack import read_user_pack

    read_user_pack(data.decode("utf-8", "replace"), "town.toml")


def _demo(*names: str) -> Callable[[], list[bytes]]:
    return lambda: [(_DEMO / name).read_bytes() for name in names]


def _said(*texts: str) -> Callable[[], list[bytes]]:
    return lambda: [text.encode() for text in texts]


def _as(ending: str) -> list[bytes]:
    from longhold.intake.convert import converted

    made = (converted(_DEMO / name, Path(f"x{ending}")) for name in ("boardwalk.toml", "standing_walk.toml"))
    return [one if isinstance(one, bytes) else one.encode() for one in made]


def _tomls() -> list[bytes]:
    starter = files("longhold.intake").joinpath("starter.toml").read_bytes()
    return [*_demo("boardwalk.toml", "standing_walk.toml")(), starter]


def _packs() -> list[bytes]:
    text = files("longhold").joinpath("tables", "codes", "README.md").read_text(encoding="utf-8")
    return [found.encode() for found in re.findall(r"```toml\n(\[pack\].*?)```", text, re.DOTALL)]


def _offers_book() -> list[bytes]:
    import csv

    import openpyxl

    book = openpyxl.Workbook()
    for row in list(csv.reader((_DEMO / "offers.csv").read_text(encoding="utf-8").splitlines()))[:6]:
        book.active.append([float(cell) if re.fullmatch(r"\d+\.\d+", cell) else cell for cell in row])
    return [_written(book.save)]


def _months() -> list[bytes]:
    rows = (f"{month},{5 + month},{60 + month},{40 + month},{month},3.5,180\n" for month in range(1, 13))
    heads = "month,temperature_c,relative_humidity_pct,rain_mm,rain_days,wind_speed_m_s,wind_from_deg\n"
    metric = heads + "".join(rows)
    return [metric.encode(), metric.replace(",", ";").encode(), ("# invented\n" + metric).encode()]


def _hours() -> list[bytes]:
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


def _packaged(name: str) -> Callable[[], list[bytes]]:
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


def _pictures() -> list[bytes]:
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


def _columns() -> list[bytes]:
    from pyarrow import csv, parquet

    table = csv.read_csv(io.BytesIO(_TABLE.encode()))
    return [
        _written(lambda held, form=form: parquet.write_table(table, held, compression=form))
        for form in ("none", "snappy")
    ]


_TABLE = (
    "structure,site,latitude,longitude,build_date,design_life,pack,edition,joint,place,role,quantity,"
    "main_species,main_preservative,main_size,part1_kind,part1_size,part1_label,part1_count\n"
    "Shed,Hill,34.0,-85.0,2001-05-01,50 years,us_irc,2021,A,damp_inside,other,2,southern pine,none,2x8,strap,"
    "16 ga,G90,1\n"
    "Shed,Hill,34.0,-85.0,2001-05-01,50 years,us_irc,2021,B,damp_inside,other,,southern pine,none,2x8,nail,"
    "10d common,HDG,4\n"
    "Pier,Bay,34.1,-77.8,,50 years,us_irc,2021,A,dry_inside,other,1,spruce,none,2x8,strap,16 ga,G60,1\n"
)

TARGETS: dict[str, Target] = {
    "label": Target(
        "label text",
        _label,
        _said(
            "HDG, ASTM A153, 10d nail",
            "hanger G185 with 10d nails A153 D",
            "Fe/Zn 12c B633 SC 3 type II",
            "stainless 316 / A4-80 1.4401",
            "ISO 1461, 85 um min avg; powder topcoat 60 um",
            "zinc flake 480h ISO 10683, Z275 both sides 0.9 oz/ft2",
        ),
    ),
    "demand": Target(
        "words of a demand",
        _demand,
        _said(
            "0.9 oz/ft2 per face", "at least 85 um in total, both faces", "2 mil", "610 g/m2 hot-dip sheet"
        ),
    ),
    "tag": Target(
        "tag of a timber",
        _tag,
        _said(
            "ACQ-D 0.15 pcf UC3B AWPA U1 ABOVE GROUND KDAT",
            "CCA 0.40 ground contact 1999",
            "MCA .06 UC4A",
            "H3.2 EN 335 use class 3 4 kg/m3 FRT",
        ),
    ),
    "toml": Target("structure in TOML", _in_file("given.toml", _structure), _tomls),
    "json": Target("structure in JSON", _in_file("given.json", _structure), lambda: _as(".json")),
    "xlsx": Target("structure in XLSX", _in_file("given.xlsx", _structure), lambda: _as(".xlsx"), "book"),
    "site": Target("site in TOML", _in_file("site.toml", _site), _demo("inland_site.toml")),
    "costs": Target("costs in TOML", _in_file("costs.toml", _costs), _demo("costs.toml")),
    "pack": Target("rule pack in TOML", _pack, _packs),
    "epw": Target("hourly weather, EPW", _in_file("given.epw", _weather), _hours, "weather"),
    "tmy3": Target(
        "hourly weather, TMY3", _in_file("given.csv", _weather), _packaged("703165TY.csv"), "weather"
    ),
    "tmy2": Target(
        "hourly weather, TMY2", _in_file("given.tm2", _weather), _packaged("12839.tm2"), "weather"
    ),
    "months": Target("monthly weather, CSV", _in_file("months.csv", _weather), _months),
    "ifc": Target("building model, IFC", _in_file("given.ifc", _ifc), _demo("deck_frame.ifc")),
    "readings": Target("readings, CSV", _in_file("readings.csv", _readings), _demo("readings.csv")),
    "gauge": Target(
        "gauge readings of a lot, CSV",
        _in_file("gauge.csv", _gauge),
        _said(
            "piece,specimen,reading (um)\n1,a,85\n1,b,91.5\n2,a,88\n",
            "No;thickness;unit\n1;3.4;mil\n2;85;um\n",
        ),
    ),
    "order": Target("order, CSV", _in_file("order.csv", _order), _demo("order.csv")),
    "delivery": Target("delivery, CSV", _in_file("delivery.csv", _delivery), _demo("delivery.csv")),
    "offers": Target("offers, CSV", _in_file("offers.csv", _offers), _demo("offers.csv")),
    "offers_xlsx": Target("offers, XLSX", _in_file("offers.xlsx", _offers), _offers_book, "book"),
    "table": Target("portfolio table, CSV", _in_file("table.csv", _table), _said(_TABLE)),
    "parquet": Target("portfolio table, Parquet", _in_file("table.parquet", _table), _columns, "raw"),
    "photo": Target("photograph of a label", _photo, _pictures, "raw"),
}
