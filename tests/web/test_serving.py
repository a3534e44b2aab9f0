"""The command ``serve`` refuses before it loads what takes seconds."""

from __future__ import annotations

import asyncio
import json
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from longhold.web.serving import _listen
from longhold.web.settings import Settings

_HEAVY = ("numpy", "scipy", "fastapi", "uvicorn")
_ASK = """
import json, sys
from longhold.cli.main import run
code = run(sys.argv[1:])
print(json.dumps([code, [one for one in sys.modules if "." not in one]]))
"""


def _served(*words: str) -> tuple[int, str, set[str]]:
    """Exit code, what was said, and the modules that were loaded by then."""
    done = subprocess.run(
        [sys.executable, "-c", _ASK, "serve", "--no-browser", *words],
        capture_output=True,
        text=True,
        timeout=120,
    )
    code, loaded = json.loads(done.stdout.splitlines()[-1])
    return code, done.stderr, set(loaded)


def test_a_page_for_others_without_tls_is_refused_before_anything_heavy_is_loaded(tmp_path: Path) -> None:
    code, said, loaded = _served("--host", "0.0.0.0", "--store", str(tmp_path / "store.db"))
    assert code == 2
    assert "passwords would travel in the open" in said
    assert loaded.isdisjoint((*_HEAVY, "sqlalchemy"))
    assert not (tmp_path / "store.db").exists()


def test_a_port_that_is_taken_is_told_before_anything_heavy_is_loaded(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        code, said, loaded = _served("--port", port, "--store", str(tmp_path / "store.db"))
    assert code == 2
    assert "is taken by another program" in said
    assert loaded.isdisjoint((*_HEAVY, "sqlalchemy"))


@pytest.mark.parametrize("words", [["--accounts"], ["--behind-proxy", "127.0.0.1", "--name", "deck.example"]])
def test_a_page_without_an_owner_is_refused_before_the_physics_are_loaded(
    tmp_path: Path, words: list[str]
) -> None:
    code, said, loaded = _served("--port", "0", *words, "--store", str(tmp_path / "store.db"))
    assert code == 2
    assert "no account of an owner" in said
    assert loaded.isdisjoint(_HEAVY)


def test_answers_are_sent_at_once() -> None:
    async def sends_at_once() -> bool:
        found = asyncio.get_running_loop().create_future()

        async def met(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            own = writer.get_extra_info("socket")
            found.set_result(bool(own.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)))
            writer.close()

        with _listen(Settings(port=0)) as listening:
            async with await asyncio.start_server(met, sock=listening):
                _, writer = await asyncio.open_connection(*listening.getsockname())
                answer = await asyncio.wait_for(found, 10)
                writer.close()
        return bool(answer)

    assert asyncio.run(sends_at_once())
