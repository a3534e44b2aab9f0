"""Tests that need a program of the operating system skip aloud without it, or fail if LONGHOLD_NO_SKIP=1."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from collections.abc import Callable, Generator

    from longhold.model.structure import Structure

# simulated timbers are kept for this run of the tests alone, whatever the developer has kept
_RUN = os.environ.get("PYTEST_XDIST_TESTRUNUID", str(os.getpid()))
_OWN = Path(tempfile.gettempdir()) / f"longhold-tests-{_RUN}"
os.environ.setdefault("LONGHOLD_CACHE", str(_OWN))
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command does, before numpy is imported
os.environ["LONGHOLD_STORE"] = str(_OWN / "store" / "store.db")  # never the developer's own store

# a run that judges a change tries the same cases twice; a developer's tries new ones each time
settings.register_profile("judging", derandomize=True, print_blob=True)
if os.environ.get("LONGHOLD_NO_SKIP") == "1":
    settings.load_profile("judging")


@pytest.hookimpl(wrapper=True)
def pytest_collect_file() -> Generator[None, list[pytest.Collector], list[pytest.Collector]]:
    """Examples stand in the package alone: to look for them here would import every file of tests twice."""
    return [one for one in (yield) if type(one).__name__ != "DoctestModule"]


LONGEST = (
    *("test_readme", "test_inspect_calibrated", "test_photo_trial"),
    *("test_offer_lists", "test_verify_command"),
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What takes long begins first: begun last, it would keep one worker busy while the other waits.

    Tests of a file stay beside each other, so that what it prepares is prepared once.
    """
    slow = {item.path for item in items if item.get_closest_marker("slow")}

    def when(item: pytest.Item) -> int:
        name = item.path.stem
        return LONGEST.index(name) if name in LONGEST else len(LONGEST) + (item.path not in slow)

    items.sort(key=when)


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Honour ``@pytest.mark.needs("program")``; LONGHOLD_NO_SKIP=1 turns a skip into a failure."""
    for mark in item.iter_markers("needs"):
        missing = [program for program in mark.args if shutil.which(program) is None]
        if not missing:
            continue
        words = f"needs {', '.join(missing)}, which this machine has not"
        if os.environ.get("LONGHOLD_NO_SKIP") == "1":
            pytest.fail(f"{words}; LONGHOLD_NO_SKIP=1 allows no skip", pytrace=False)
        pytest.skip(words)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Count what was skipped for want of a program; works under xdist too, where reports travel."""
    reasons = [report.longrepr[2] for report in terminalreporter.stats.get("skipped", []) if report.longrepr]
    missing: dict[str, int] = {}
    for reason in reasons:
        words = str(reason).removeprefix("Skipped: ")
        if words.startswith("needs "):
            missing[words] = missing.get(words, 0) + 1
    for words, count in missing.items():
        terminalreporter.write_line(
            f"NOT RUN: {count} test{'s' if count > 1 else ''}: {words}", yellow=True, bold=True
        )


STRAP = {"id": "p", "kind": "strap", "size": "16 ga", "label": "G185"}


@pytest.fixture(scope="session")
def small_structure() -> Callable[..., Structure]:
    """Makes the least structure: a strap on an untreated joist in the open, far inland, in one joint.

    ``parts`` are changes to that strap, one mapping for each part; ``places`` has a joint in each place,
    named after it; ``site`` adds to the site, where None takes a field away.
    """
    from longhold.model.structure import Structure

    def made(
        *parts: dict[str, Any],
        places: tuple[str, ...] = ("open_to_rain",),
        site: dict[str, Any] | None = None,
    ) -> Structure:
        told = {
            "name": "inland",
            "distance_to_salt_water": "100 miles",
            "climate": {"station": "Wilmington NC"},
            **(site or {}),
        }
        joint = {"main": "joist", "parts": [{**STRAP, **part} for part in parts or ({},)]}
        return Structure.model_validate(
            {
                "name": "strap",
                "design_life": "50 years",
                "code": {"pack": "us_irc", "edition": "2021"},
                "site": {name: value for name, value in told.items() if value is not None},
                "timbers": {"joist": {"species": "southern pine", "preservative": "none", "size": "2x8"}},
                "joints": [{"id": name, "name": name, "place": name, **joint} for name in places],
            }
        )

    return made
