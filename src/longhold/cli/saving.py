"""Commands of the store: ``save``, ``saved``, ``load``, ``backup``, ``restore``, ``store-check``."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from longhold.cli.options import JsonOnly

if TYPE_CHECKING:
    from longhold.store import SavedStructure, Store, VersionInfo

__all__ = ["StoreOption", "backup", "load", "opened", "restore", "save", "saved", "store_check"]

StoreOption = Annotated[
    str | None,
    typer.Option(
        "--store",
        metavar="STORE",
        help="File of the store, or postgresql://user@host/database; else LONGHOLD_STORE, else your own.",
    ),
]


def save(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Structure file: TOML, JSON or XLSX.")],
    name: Annotated[
        str | None, typer.Option("--as", metavar="NAME", help="Name in the store; else the structure's own.")
    ] = None,
    note: Annotated[str, typer.Option(metavar="TEXT", help="What this version is.")] = "",
    author: Annotated[
        str | None, typer.Option(metavar="NAME", help="Who saves; else your name on this machine.")
    ] = None,
    expecting: Annotated[
        int | None,
        typer.Option(
            min=0,
            metavar="N",
            help="Refuse unless version N is the newest; 0 where the name must be a new one.",
        ),
    ] = None,
    store: StoreOption = None,
) -> None:
    """Keep a structure in the store, as a new version; no version is ever changed or lost.

    Weather files and rule packs that the file names are kept with it. Comments in the file are not.
    """
    from longhold.cli.show import tell_macros
    from longhold.intake.whole_document import whole_document

    document = whole_document(file)
    tell_macros(file)
    called = name if name is not None else str(document["name"])
    with opened(store, create=True) as there:
        before = _newest_hash(there, called)
        kept = there.save(
            called, document, expecting=expecting, author=_own_name() if author is None else author, note=note
        )
    same = f", which says the same as version {kept.parent}" if kept.sha256 == before else ""
    print(f"Saved {kept.name}: version {kept.number}{same}.")


def saved(
    history: Annotated[
        str | None, typer.Option("--history", metavar="NAME", help="Every version of this one.")
    ] = None,
    search: Annotated[str, typer.Option(metavar="TEXT", help="Only names that have this in them.")] = "",
    archived: Annotated[
        bool, typer.Option("--archived", metavar="", help="Those taken off the list instead.")
    ] = False,
    json: JsonOnly = False,
    store: StoreOption = None,
) -> None:
    """List the structures in the store, those saved last first."""
    with opened(store) as there:
        from longhold.store import every

        if history is not None:
            versions = list(every(there.history, history))
            rows = [_version_row(one) for one in versions]
            heads = ("", "Saved", "By", "Note")
            found = [_json_row(one) for one in versions]
        else:
            structures = list(every(there.structures, search=search, archived=archived))
            rows = [_structure_row(one) for one in structures]
            heads = ("Name", "Saved", "By", "Versions")
            found = [_json_row(one) for one in structures]
        where = there.place
    if json:
        from json import dumps

        print(dumps(found, indent=2, ensure_ascii=False))
        return
    if not rows:
        what = "of this name is" if search else "is"
        print(f"Nothing {what} {'archived' if archived else 'saved'} yet.")
        return
    from longhold.cli.show import console, plain, show_rows

    to = console()
    show_rows(to, heads, rows)
    to.print(plain(f"In {where}. Times are UTC."))


def load(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Name in the store.")],
    out: Annotated[Path, typer.Option(metavar="FILE", help="Where to write it: .toml, .json or .xlsx.")],
    version: Annotated[
        int | None, typer.Option(min=1, metavar="N", help="This version instead of the newest.")
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", metavar="", help="Write over FILE if it is there.")
    ] = False,
    store: StoreOption = None,
) -> None:
    """Write a saved structure to a file."""
    from longhold.cli.output import check_target, write_new, write_whole
    from longhold.intake.convert import check_form, written

    check_form(out, "--out")
    check_target(out, "--out")
    with opened(store, damaged=True) as there:  # a version that is not as it was saved is refused
        found = there.newest(name) if version is None else there.at(name, version)
    made = written(dict(found.content), out)
    if replace:
        write_whole(out, made)
    else:
        write_new(out, made, "--out", "Choose another name, or add --replace.")
    print(f"Wrote {out}: version {found.number} of {found.name}.")


def backup(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Where to write it.")],
    replace: Annotated[
        bool, typer.Option("--replace", metavar="", help="Write over FILE if it is there.")
    ] = False,
    store: StoreOption = None,
) -> None:
    """Copy the whole store to a file, while others use it; the copy is checked before it gets its name."""
    from longhold.cli.output import check_target

    check_target(file, "FILE")
    with opened(store) as there:
        made = there.backup(file, replace=replace)
    print(f"Wrote {made.file}: {_counted(made.checked.structures, made.checked.versions)}, checked.")
    print(f"SHA-256 {made.sha256}")


def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A backup.")], store: StoreOption = None
) -> None:
    """Put a backup in the place of the store; the store that it replaces is kept beside it."""
    _need_store()
    from longhold.store import restore_backup

    done = restore_backup(file, store)
    counts = _counted(done.checked.structures, done.checked.versions)
    print(f"{done.file} is now what {file} holds: {counts}.")
    if done.kept is not None:
        print(f"What it was before is in {done.kept}.")


def store_check(store: StoreOption = None) -> None:
    """Look through the whole store: pages, links, every hash. The exit code is 1 if it has faults."""
    with opened(store, damaged=True) as there:
        checked, where = there.check(), there.place
    counts = _counted(checked.structures, checked.versions)
    if checked.is_whole:
        print(f"{where} is whole: {counts}, every hash as it was written ({checked.hashes:,}).")
        return
    print(f"{where} has faults; looked through {counts}.")
    for fault in checked.faults:
        print(f"- {fault}")
    if where.file is not None:
        from longhold.store.known_backups import way_back

        back = way_back(str(where.file))
        if not any(back in fault for fault in checked.faults):
            print(back)
    raise typer.Exit(1)


def _need_store() -> None:
    try:
        import alembic  # noqa: F401
        import platformdirs  # noqa: F401
        import sqlalchemy  # noqa: F401
    except ImportError:
        from longhold.base.errors import InputError
        from longhold.base.extras import lacking

        raise InputError(lacking("the store", "store")) from None


def opened(place: str | None, create: bool = False, damaged: bool = False) -> Store:
    """The store of a place, else the usual one; ``damaged`` opens one that has faults too."""
    _need_store()
    from longhold.store import Store

    return Store.open(place, create=create, damaged=damaged)


def _newest_hash(there: Store, name: str) -> str:
    from longhold.store import NotInStore

    try:
        return there.history(name, limit=1).items[0].sha256
    except NotInStore:
        return ""


def _own_name() -> str:
    from getpass import getuser

    try:
        return getuser()
    except (KeyError, OSError):  # a user without a name
        return ""


def _counted(structures: int, versions: int) -> str:
    from longhold.cli.show import counted

    return f"{counted(structures, 'structure', 'structures')}, {counted(versions, 'version', 'versions')}"


def _structure_row(one: SavedStructure) -> tuple[str, str, str, str]:
    return one.name, _time(one.saved_at), one.author, f"{one.newest:,}"


def _version_row(one: VersionInfo) -> tuple[str, str, str, str]:
    back = f"version {one.restored_from} brought back" if one.restored_from else ""
    return f"Version {one.number}", _time(one.saved_at), one.author, "; ".join(filter(None, [back, one.note]))


def _time(time: datetime) -> str:
    return f"{time:%Y-%m-%d %H:%M}"


def _json_row(one: SavedStructure | VersionInfo) -> dict[str, Any]:
    from dataclasses import asdict

    return {
        key: value.isoformat() if isinstance(value, datetime) else value for key, value in asdict(one).items()
    }
