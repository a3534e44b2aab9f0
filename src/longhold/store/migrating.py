"""Bringing a store to the shape that this release works with."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

import sqlalchemy as sa
from alembic.config import Config
from alembic.runtime.environment import EnvironmentContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine

from longhold.base.version import VERSION
from longhold.store.errors import StoreError, StoreTooNew
from longhold.store.tables import Row

__all__ = [
    "APPLICATION_ID",
    "REVISION_TABLE",
    "bring_up_to_date",
    "newest_revision",
    "refuse_unknown",
    "revision_of",
]

APPLICATION_ID = 0x4C6F6E67
"""Stands in the head of every SQLite file of ours, so that no other program's file is taken for one."""

REVISION_TABLE = "longhold_revision"
_SERVER_LOCK = 0x4C6F6E67
_ONE_AT_A_TIME = threading.Lock()  # the migration library keeps the step at work in a global


def _scripts() -> ScriptDirectory:
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return ScriptDirectory.from_config(config)


def newest_revision() -> str:
    """Name of the newest step that this release knows."""
    head = _scripts().get_current_head()
    assert head is not None  # noqa: S101 - the package holds at least one step
    return head


def revision_of(connection: Connection) -> str | None:
    """Name of the last step that was applied; None where there is none."""
    if not sa.inspect(connection).has_table(REVISION_TABLE):
        return None
    found = connection.execute(sa.text(f"SELECT version_num FROM {REVISION_TABLE}")).scalars().all()  # noqa: S608
    return str(found[0]) if found else None


def bring_up_to_date(
    writer: Engine,
    place: object,
    to: str | None = None,
    before: Callable[[str], object] | None = None,
) -> None:
    """Apply every step that is missing, all in one transaction, so that a store is never between two shapes.

    Parameters
    ----------
    writer : engine whose transactions are open for writing from their start
    place : for messages
    to : step to stop at, instead of the newest (for tests of later steps)
    before : is told the step to go to, before a store that holds something is changed

    Raises
    ------
    StoreTooNew : a later release has been here
    StoreError : tables of another program
    """
    scripts = _scripts()
    target = to or newest_revision()
    with writer.execution_options(longhold_writes=False).connect() as connection:
        found = revision_of(connection)
    if found == target:
        return  # as nearly always, without waiting for a writer
    refuse_unknown(found, place)
    if found is not None and before is not None:
        before(target)
    with _ONE_AT_A_TIME, writer.begin() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(sa.text("SELECT pg_advisory_xact_lock(:key)"), {"key": _SERVER_LOCK})
        found = revision_of(connection)
        refuse_unknown(found, place)
        if found == target:
            return
        if found is None:
            _refuse_others(connection, place)
        _apply(connection, scripts, target)
        if connection.dialect.name == "sqlite":
            connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")


def refuse_unknown(found: str | None, place: object) -> None:
    """Refuse a store whose last step this release does not know.

    Raises
    ------
    StoreTooNew : telling so
    """
    scripts = _scripts()
    if found is not None and found not in {script.revision for script in scripts.walk_revisions()}:
        said = f"was written by a later release than this one, {VERSION} (its shape is {found})."
        raise StoreTooNew(str(place), None, said, "Install the later release. Nothing was changed.")


def _refuse_others(connection: Connection, place: object) -> None:
    there = set(sa.inspect(connection).get_table_names()) & set(Row.metadata.tables)
    if there:
        said = f"holds tables of another program: {', '.join(sorted(there))}."
        raise StoreError(str(place), None, said, "Choose another database.")


def _apply(connection: Connection, scripts: ScriptDirectory, target: str) -> None:
    def steps(revision: object, _: object) -> object:
        return scripts._upgrade_revs(target, revision)  # type: ignore[arg-type]

    with EnvironmentContext(Config(), scripts, fn=steps, destination_rev=target) as environment:
        environment.configure(
            connection=connection,
            target_metadata=Row.metadata,
            version_table=REVISION_TABLE,
            transactional_ddl=True,
            render_as_batch=True,
        )
        environment.run_migrations()
