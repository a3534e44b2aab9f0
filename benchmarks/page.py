"""Fifty people on the page at once: requests, faults, and how long the slowest of twenty took.

    python benchmarks/page.py [SECONDS]

Everybody signs in under a name of their own, and opens pages that need no computing. The reach is a p95 below
300 ms on every one; whether it was reached is printed, not asserted, since it hangs on the machine.
"""

from __future__ import annotations

import http.client
import random
import sys
import tempfile
import threading
import time
from pathlib import Path

from our_server import our_server

from longhold.intake.reading import parse_text
from longhold.intake.starter_file import starter
from longhold.store import Store

USERS = 50
REACH_MS = 300.0
PATHS = ("/", "/label?text=G185", "/structures", "/structures/1", "/api/structures/1", "/api/codes")
Times = dict[str, list[float]]


def run(folder: Path, seconds: float, users: int = USERS) -> tuple[Times, list[str]]:
    """Open pages for some time.

    Parameters
    ----------
    folder : where the store is made
    seconds : how long
    users : how many at once, each with a connection, an account and a session

    Returns
    -------
    seconds that each request took, by path; and what went wrong, one line each
    """
    tokens = _people(folder / "store.db", users)
    times: Times = {path: [] for path in PATHS}
    faults: list[str] = []
    with our_server(folder, "--accounts") as (port, said):
        _opened_once(port, tokens[0])
        end = time.monotonic() + seconds
        threads = [
            threading.Thread(target=_one, args=(port, token, number, end, times, faults))
            for number, token in enumerate(tokens)
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    return times, faults + [line for line in said if "fault" in line or "Traceback" in line]


def _people(place: Path, users: int) -> list[str]:
    with Store.open(place) as store:
        owner = store.add_account("Owner", "three green doors", "owner")
        store.save("Deck", parse_text(starter(), "toml"), expecting=0, author=owner.name)
        people = [store.add_account(f"Person {n}", "three green doors", "viewer") for n in range(users)]
        return [store.open_session(one.id).token for one in people]


def _opened_once(port: int, token: str) -> None:
    """Every page once by itself: what the first of them loads, all later ones have."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    for path in PATHS:
        connection.request("GET", path, headers={"cookie": f"longhold={token}"})
        connection.getresponse().read()
    connection.close()


def _one(port: int, token: str, number: int, end: float, times: Times, faults: list[str]) -> None:
    chance = random.Random(number)
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    while time.monotonic() < end:
        path = chance.choice(PATHS)
        begin = time.perf_counter()
        try:
            connection.request("GET", path, headers={"cookie": f"longhold={token}"})
            answer = connection.getresponse()
            answer.read()
        except OSError as error:
            faults.append(f"{path}: {error!r}")
            connection.close()
            continue
        times[path].append(time.perf_counter() - begin)
        if answer.status != 200:
            faults.append(f"{path}: status {answer.status}")
        time.sleep(chance.uniform(0.1, 0.5))
    connection.close()


def told(times: Times, faults: list[str], seconds: float) -> list[str]:
    """What came of it as lines of a page: how many requests, then a table with a row for each path."""
    asked = sum(map(len, times.values()))
    lines = [
        f"{USERS} people at once for {seconds:g} s, each signed in: {asked:,} requests, "
        f"{len(faults)} faults.",
        f"The reach is a p95 below {REACH_MS:g} ms.",
        "",
        "| page | requests | middle | p95 | reach |",
        "|---|---|---|---|---|",
    ]
    for path, found in times.items():
        ordered = sorted(found)
        middle, late = (1000.0 * ordered[int(len(ordered) * share)] for share in (0.5, 0.95))
        reached = "reached" if late < REACH_MS else "not reached"
        lines.append(f"| `{path}` | {len(ordered):,} | {middle:.0f} ms | {late:.0f} ms | {reached} |")
    return [*lines, *(f"- {fault}" for fault in faults[:20])]


def crowd(seconds: float) -> list[str]:
    """Open pages for some time, and tell what came of it."""
    with tempfile.TemporaryDirectory() as folder:
        return told(*run(Path(folder), seconds), seconds)


def main() -> None:
    """Print what came of it."""
    print("\n".join(crowd(float(sys.argv[1]) if len(sys.argv) > 1 else 60.0)))


if __name__ == "__main__":
    main()
