"""Commands ``keep`` and ``kept``: what came from the site, kept with a structure in the store."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from longhold.cli.options import JsonOnly
from longhold.cli.saving import StoreOption

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from longhold.care.handed_in import Sent
    from longhold.store import Store

__all__ = ["keep", "kept"]


def keep(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Name in the store.")],
    readings: Annotated[
        list[Path] | None,
        typer.Option(
            metavar="FILE", help="Table of readings, photographs of it, or a .zip; may be repeated."
        ),
    ] = None,
    delivery: Annotated[
        Path | None, typer.Option(metavar="FILE", help="List of what came; it is checked and kept.")
    ] = None,
    order: Annotated[
        Path | None, typer.Option(metavar="FILE", help="What was ordered; else the structure's parts.")
    ] = None,
    photo: Annotated[
        list[Path] | None,
        typer.Option(metavar="FILE", help="Photograph of a label that a line of the delivery names."),
    ] = None,
    reference: Annotated[str, typer.Option(metavar="TEXT", help="Number on the delivery's papers.")] = "",
    store: StoreOption = None,
) -> None:
    """Keep readings and a delivery with a structure in the store; the same twice is kept once."""
    from longhold.base.errors import InputError, Problem
    from longhold.base.files import read_bytes
    from longhold.care.handed_in import photographs_alone
    from longhold.care.site import check_in, keep_checked, keep_table
    from longhold.cli.saving import opened
    from longhold.documents.receipt_words import receipt_lede
    from longhold.intake.load import structure_of

    if not readings and delivery is None:
        do = "Give --readings TABLE or --delivery FILE."
        raise InputError(Problem("keep", None, "was given nothing to keep.", do))
    with opened(store) as there:
        held = there.newest(name)
        for sent in _sent(readings or []):
            done = keep_table(
                there, held.structure_id, sent.name, sent.table, photographs=sent.photographs, author=""
            )
            print(f"{sent.name}: {done.new:,} new, {done.already:,} kept already.")
            if done.missing:
                print(f"Named and not handed in: {', '.join(done.missing)}. Give the table again with them.")
        if delivery is not None:
            asked = None if order is None else (order.name, read_bytes(order, "an order"))
            came = (delivery.name, read_bytes(delivery, "a delivery"))
            pictures = photographs_alone([(one.name, read_bytes(one, "a photograph")) for one in photo or []])
            found = check_in(
                structure_of(dict(held.content)), asked, came, certificates=False, photographs=pictures
            )
            keep_checked(there, held, found, reference=reference, author="")
            print(f"{delivery}: {receipt_lede(found.receipt)}")


def _sent(paths: Sequence[Path]) -> Iterator[Sent]:
    """Each table by itself; where photographs stand beside it, all as one."""
    from longhold.base.files import read_bytes
    from longhold.care.handed_in import Sent, is_archive, table_and_photographs
    from longhold.intake.photo_file import picture_type

    files = [(path.name, read_bytes(path, "readings")) for path in paths]
    if any(picture_type(data) for _, data in files):
        yield table_and_photographs(files)
        return
    for name, data in files:
        yield table_and_photographs([(name, data)]) if is_archive(name) else Sent(name, data)


def kept(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Name in the store.")],
    table: Annotated[
        Path | None, typer.Option(metavar="OUT.csv", help="Write the readings as a table here.")
    ] = None,
    life: Annotated[Path | None, typer.Option(metavar="LIFE.zip", help="Write the life file here.")] = None,
    take_back: Annotated[
        str, typer.Option(metavar="ID", help="This reading, by its id in --json, no longer counts.")
    ] = "",
    count_again: Annotated[str, typer.Option(metavar="ID", help="This reading counts again.")] = "",
    why: Annotated[str, typer.Option(metavar="TEXT", help="Why it is taken back, or counts again.")] = "",
    json: JsonOnly = False,
    store: StoreOption = None,
) -> None:
    """List what came from the site, take a reading back, write readings as a table or all as a life file."""
    from longhold.care.site import all_readings, taken_back_words
    from longhold.cli.output import check_target, write_whole
    from longhold.cli.saving import opened
    from longhold.documents.readings_table import readings_table

    for path, option, ending in ((table, "--table", ".csv"), (life, "--life", ".zip")):
        if path is not None:
            check_target(path, option, ending)
    with opened(store) as there:
        held = there.newest(name)
        for entry, counts in ((take_back, False), (count_again, True)):
            if entry:
                there.turn_reading(held.structure_id, entry, counts=counts, why=why)
        found = all_readings(there, held.structure_id)
        if table is not None:
            write_whole(table, readings_table(one.reading for one in found if one.counts))
        if life is not None:
            write_whole(life, _life(there, name))
        deliveries = there.deliveries(held.structure_id, limit=500).items
    if json:
        from json import dumps

        told = {
            "readings": [
                {"entry": one.entry, "counts": one.counts, **one.reading.model_dump(mode="json")}
                for one in found
            ],
            "deliveries": [{"entry": one.entry, "reference": one.reference} for one in deliveries],
        }
        print(dumps(told, indent=2, ensure_ascii=False, allow_nan=False))
        return
    for one in found:
        reading = one.reading
        where = " ".join(filter(None, (reading.joint, reading.piece, reading.part, reading.face)))
        back = taken_back_words(one)
        said = f"{reading.measured.replace('_', ' ')} {reading.words}{f', {back}' if back else ''}"
        print(f"{reading.date}  {where}: {said}")
    for delivery in deliveries:
        print(f"{delivery.received_at:%Y-%m-%d}  delivery {delivery.reference}")
    if not found and not deliveries:
        print("Nothing from the site is kept yet.")


def _life(there: Store, name: str) -> bytes:
    from importlib.util import find_spec

    from longhold.care.site import life_of
    from longhold.documents.life_file import life_bytes
    from longhold.documents.life_summary import life_summary
    from longhold.documents.papers.pdf import record_pdf

    found = life_of(there, there.newest(name), date.today())
    return life_bytes(found, record_pdf(life_summary(found)) if find_spec("typst") is not None else None)
