"""Tests that need a program of the operating system skip aloud without it, or fail if LONGHOLD_NO_SKIP=1."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

import pytest

# simulated timbers are kept for this run of the tests alone, whatever the developer has kept
_RUN = os.environ.get("PYTEST_XDIST_TESTRUNUID", str(os.getpid()))
os.environ.setdefault("LONGHOLD_CACHE", str(Path(tempfile.gettempdir()) / f"longhold-tests-{_RUN}"))


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
