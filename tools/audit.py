"""Asks the package index for known holes in the locked versions, and says in plain words what came of it.

    python tools/audit.py

Ends with 0 where no hole is known, 1 where one is, 2 where the question could not be answered.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

LOCK = Path(__file__).resolve().parents[1] / "requirements.lock"
ASKED = ["--strict", "--require-hashes", "--disable-pip", "--progress-spinner", "off", "--format", "json"]


def said(out: str, errors: str) -> tuple[str, int]:
    """What to tell, and the status to end with, from what pip-audit wrote."""
    try:
        packages = json.loads(out)["dependencies"]
    except (ValueError, KeyError, TypeError):
        lines = [line.strip() for line in errors.splitlines() if line.strip()]
        why = f" It says: {lines[-1]}" if lines else ""
        words = "NOT AUDITED: the data on known holes could not be had from the package index."
        return (
            f"{words} This tells nothing of the locked versions; try again where it can be reached.{why}",
            2,
        )
    holes = [
        f"{one['name']} {one['version']}: {hole['id']}, mended in {_versions(hole)}"
        for one in packages
        for hole in one.get("vulns", [])
    ]
    if holes:
        return "\n".join([f"{len(holes)} known holes in the locked versions:", *holes]), 1
    return f"No hole is known in the {len(packages)} locked versions.", 0


def _versions(hole: Mapping[str, Any]) -> str:
    return ", ".join(hole["fix_versions"]) or "none yet"


def main() -> int:
    """Ask, print, and give the status."""
    command = [sys.executable, "-m", "pip_audit", "-r", str(LOCK), *ASKED]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    words, status = said(done.stdout, done.stderr)
    print(words, file=sys.stdout if status == 0 else sys.stderr)
    return status


if __name__ == "__main__":
    sys.exit(main())
