"""Choosing, the page and a small portfolio, each beside a named peer."""

from __future__ import annotations

import http.client
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from our_server import our_server
from pairs import Job, Pair

from choose import DEMO, many_joints, many_offers
from portfolio import demo_table, naive_seconds, whole_run

GROUPS, PAGES = 12, 40
SITES, STRUCTURE_JOINTS, DRAWS = 4, 240, 200
MORE_SITES, MORE_JOINTS = 12, 1200
PAGE = "/label?text=G185"
PEER_SERVER = """
import sys
import uvicorn
from fastapi import FastAPI, Response

body = open(sys.argv[1], "rb").read()
app = FastAPI()


@app.get("/label")
def label(text: str) -> Response:
    return Response(body, media_type="text/html")


uvicorn.run(app, port=int(sys.argv[2]), log_level="error")
"""


def choice() -> Iterator[Pair]:
    from longhold.choose.choice import choose, market_for
    from longhold.choose.options import group_joints
    from longhold.intake.load import load, load_costs

    deck, costs, offers = load(DEMO / "boardwalk.toml"), load_costs(DEMO / "costs.toml"), many_offers()
    joints = many_joints(deck)
    large = deck.model_copy(update={"joints": joints})
    groups = group_joints(joints)
    few = groups[:: max(len(groups) // GROUPS, 1)]

    def alone() -> None:
        for group in few:
            choose(market_for(deck.model_copy(update={"joints": [group.joint]}), offers, costs))

    yield Pair(
        "choose",
        f"{len(offers)} offers tried on {len(joints)} joints and the purchase proved",
        lambda: choose(market_for(large, offers, costs)),
        f"each of {len(groups)} groups of joints by itself ({len(few)}, scaled)",
        alone,
        turns=2,
        theirs_is=len(groups) / len(few),
    )


def page() -> Iterator[Pair]:
    with tempfile.TemporaryDirectory() as folder, our_server(Path(folder)) as (ours, _):
        sent = get(ours, 1)
        (Path(folder) / "page.html").write_bytes(sent)
        with peer_server(Path(folder)) as peer:
            assert get(peer, 1) == sent
            yield Pair(
                "page",
                "the page that reads a label, asked for over HTTP",
                visits(ours),
                f"FastAPI and uvicorn sending the same {len(sent) / 1000:.0f} kB, nothing read or made",
                visits(peer),
                ours_is=1.0 / PAGES,
                theirs_is=1.0 / PAGES,
            )


def visits(port: int) -> Job:
    return lambda: get(port, PAGES)


def get(port: int, times: int) -> bytes:
    """The page, asked for some times over one connection."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    body = b""
    for _ in range(times):
        connection.request("GET", PAGE)
        answer = connection.getresponse()
        body = answer.read()
        assert answer.status == 200, answer.status
    connection.close()
    return body


@contextmanager
def peer_server(folder: Path) -> Iterator[int]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    words = ("-c", PEER_SERVER, str(folder / "page.html"), str(port))
    server = subprocess.Popen([sys.executable, *words])
    try:
        for _ in range(600):
            try:
                socket.create_connection(("127.0.0.1", port), timeout=1).close()
                break
            except OSError:
                time.sleep(0.1)
        yield port
    finally:
        server.terminate()
        server.wait(timeout=30)


def small_portfolio() -> Iterator[Pair]:
    import numpy as np

    from longhold.portfolio.classes import Limits
    from longhold.portfolio.drawing import Terms

    terms, limits = Terms(DRAWS), Limits(4, 40)
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        table = folder / "demo.parquet"
        demo_table(SITES, STRUCTURE_JOINTS, table)
        turn = iter(range(100))

        def whole():
            return whole_run(table, folder / f"turn{next(turn)}", 2, terms, limits, None)[-1]

        portfolio = whole()
        joints = len(portfolio.gathered.kind)
        first = int(np.sum(portfolio.gathered.structure == 0))
        yield Pair(
            "portfolio",
            f"{joints} joints at {SITES} sites, from the table to the ranking, two workers, nothing kept",
            whole,
            f"a plain loop over assess, nothing kept ({first} joints, scaled)",
            lambda: naive_seconds(portfolio, 1, terms),
            turns=2,
            theirs_is=joints / first,
        )
        larger = folder / "larger.parquet"
        demo_table(MORE_SITES, MORE_JOINTS, larger)

        def by(workers: int) -> None:
            whole_run(larger, folder / f"turn{next(turn)}", workers, terms, Limits(12, 240), None)

        yield Pair(
            "portfolio",
            f"{MORE_JOINTS:,} joints at {MORE_SITES} sites, the same way, two workers",
            lambda: by(2),
            "the same with one worker",
            lambda: by(1),
            turns=2,
        )
