"""What is tried: each reader of what people hand in, with sound inputs to spoil."""

from __future__ import annotations

import io
import tempfile
import tomllib
from collections.abc import Callable
from contextlib import redirect_stdout, suppress
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from fuzzing import sound

if TYPE_CHECKING:
    from longhold.model.delivery import Delivery, Order

__all__ = ["TARGETS", "Target"]

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

    return load_order(sound.DEMO / "order.csv"), load_delivery(sound.DEMO / "delivery.csv")


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


def _result(path: Path) -> None:
    import typer

    from longhold.cli.verifying import verify

    with redirect_stdout(io.StringIO()), suppress(typer.Exit):
        verify(path)


def _life(path: Path) -> None:
    from longhold.cli.life import record

    with redirect_stdout(io.StringIO()):
        record(path, check=True)


def _handed_in(data: bytes) -> None:
    from longhold.care.handed_in import table_and_photographs

    table_and_photographs([("visit.zip", data)])


def _pack(data: bytes) -> None:
    from longhold.codes.user_pack import read_user_pack

    read_user_pack(data.decode("utf-8", "replace"), "town.toml")


TARGETS: dict[str, Target] = {
    "label": Target(
        "label text",
        _label,
        sound.said(
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
        sound.said(
            "0.9 oz/ft2 per face", "at least 85 um in total, both faces", "2 mil", "610 g/m2 hot-dip sheet"
        ),
    ),
    "tag": Target(
        "tag of a timber",
        _tag,
        sound.said(
            "ACQ-D 0.15 pcf UC3B AWPA U1 ABOVE GROUND KDAT",
            "CCA 0.40 ground contact 1999",
            "MCA .06 UC4A",
            "H3.2 EN 335 use class 3 4 kg/m3 FRT",
        ),
    ),
    "toml": Target("structure in TOML", _in_file("given.toml", _structure), sound.tomls),
    "json": Target("structure in JSON", _in_file("given.json", _structure), sound.jsons),
    "xlsx": Target("structure in XLSX", _in_file("given.xlsx", _structure), sound.workbooks, "book"),
    "site": Target("site in TOML", _in_file("site.toml", _site), sound.of_demo("inland_site.toml")),
    "costs": Target("costs in TOML", _in_file("costs.toml", _costs), sound.of_demo("costs.toml")),
    "pack": Target("rule pack in TOML", _pack, sound.packs),
    "epw": Target("hourly weather, EPW", _in_file("given.epw", _weather), sound.hours, "weather"),
    "tmy3": Target(
        "hourly weather, TMY3", _in_file("given.csv", _weather), sound.packaged("703165TY.csv"), "weather"
    ),
    "tmy2": Target(
        "hourly weather, TMY2", _in_file("given.tm2", _weather), sound.packaged("12839.tm2"), "weather"
    ),
    "months": Target("monthly weather, CSV", _in_file("months.csv", _weather), sound.months),
    "ifc": Target("building model, IFC", _in_file("given.ifc", _ifc), sound.of_demo("deck_frame.ifc")),
    "readings": Target("readings, CSV", _in_file("readings.csv", _readings), sound.of_demo("readings.csv")),
    "gauge": Target(
        "gauge readings of a lot, CSV",
        _in_file("gauge.csv", _gauge),
        sound.said(
            "piece,specimen,reading (um)\n1,a,85\n1,b,91.5\n2,a,88\n",
            "No;thickness;unit\n1;3.4;mil\n2;85;um\n",
        ),
    ),
    "order": Target("order, CSV", _in_file("order.csv", _order), sound.of_demo("order.csv")),
    "delivery": Target("delivery, CSV", _in_file("delivery.csv", _delivery), sound.of_demo("delivery.csv")),
    "offers": Target("offers, CSV", _in_file("offers.csv", _offers), sound.of_demo("offers.csv")),
    "offers_xlsx": Target("offers, XLSX", _in_file("offers.xlsx", _offers), sound.offers_book, "book"),
    "table": Target("portfolio table, CSV", _in_file("table.csv", _table), sound.said(sound.TABLE)),
    "parquet": Target("portfolio table, Parquet", _in_file("table.parquet", _table), sound.columns, "raw"),
    "result": Target("result to verify, JSON", _in_file("result.json", _result), sound.results),
    "life": Target("life file, ZIP", _in_file("life.zip", _life), sound.lives, "book"),
    "handed_in": Target("readings with photographs, ZIP", _handed_in, sound.visits, "raw"),
    "photo": Target("photograph of a label", _photo, sound.pictures, "raw"),
}
