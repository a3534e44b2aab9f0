"""Commands ``keep`` and ``kept``: what came from the site, kept with a structure in the store."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from longhold.cli.saving import StoreOption

if TYPE_CHECKING:
    from longhold.store import Store

__all__ = ["keep", "kept"]


def keep(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Name in the store.")],
    readings: Annotated[
        list[Path] | None, typer.Option(metavar="TABLE", help="Table of readings; may be given again.")
    ] = None,
    delivery: Annotated[
        Path | None, typer.Option(metavar="FILE", help="List of what came; it is checked and kept.")
    ] = None,
    order: Annotated[
        Path | None, typer.Option(metavar="FILE", help="What was ordered; else the structure's parts.")
    ] = None,
    reference: Annotated[str, typer.Option(metavar="TEXT", help="Number on the delivery's papers.")] = "",
    store: StoreOption = None,
) -> None:
    """Keep readings and a delivery with a structure in the store; the same twice is kept once."""
    from longhold.base.errors import InputError, Problem
    from longhold.base.files import read_bytes
    from longhold.care.site import check_in, keep_checked, keep_table
    from longhold.cli.saving import opened
    from longhold.documents.receipt_words import receipt_lede
    from longhold.intake.load import structure_of

    if not readings and delivery is None:
        do = "Give --readings TABLE or --delivery FILE."
        raise InputError(Problem("keep", None, "was given nothing to keep.", do))
    with opened(store) as there:
        held = there.newest(name)
        for path in readings or []:
            done = keep_table(
                there, held.structure_id, path.name, read_bytes(path, "a table of readings"), author=""
            )
            print(f"{path}: {done.new:,} new, {done.already:,} kept already.")
        if delivery is not None:
            asked = None if order is None else (order.name, read_bytes(order, "an order"))
            came = (delivery.name, read_bytes(delivery, "a delivery"))
            found = check_in(structure_of(dict(held.content)), asked, came, certificates=False)
            keep_checked(there, held, found, reference=reference, author="")
            print(f"{delivery}: {receipt_lede(found.receipt)}")


def kept(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Name in the store.")],
    table: Annotated[
        Path | None, typer.Option(metavar="OUT.csv", help="Write the readings as a table here.")
    ] = None,
    life: Annotated[Path | None, typer.Option(metavar="LIFE.zip", help="Write the life file here.")] = None,
    json: Annotated[bool, typer.Option("--json", metavar="", help="Print only JSON.")] = False,
    store: StoreOption = None,
) -> None:
    """List what came from the site, and write it as a table of readings or a life file."""
    from longhold.care.site import kept_readings
    from longhold.cli.output import check_target, write_whole
    from longhold.cli.saving import opened
    from longhold.documents.readings_table import readings_table

    for path, option, ending in ((table, "--table", ".csv"), (life, "--life", ".zip")):
        if path is not None:
            check_target(path, option, ending)
    with opened(store) as there:
        held = there.newest(name)
        found = kept_readings(there, held.structure_id)
        if table is not None:
            write_whole(table, readings_table(one.reading for one in found))
        if life is not None:
            write_whole(life, _life(there, name))
        deliveries = there.deliveries(held.structure_id, limit=500).items
    if json:
        from json import dumps

        told = {
            "readings": [{"entry": one.entry, **one.reading.model_dump(mode="json")} for one in found],
            "deliveries": [{"entry": one.entry, "reference": one.reference} for one in deliveries],
        }
        print(dumps(told, indent=2, ensure_ascii=False, allow_nan=False))
        return
    for one in found:
        reading = one.reading
        where = " ".join(filter(None, (reading.joint, reading.piece, reading.part, reading.face)))
        print(f"{reading.date}  {where}: {reading.measured.replace('_', ' ')} {reading.words}")
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
