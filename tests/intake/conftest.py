"""Pictures of invented labels for the tests of reading photographs."""

from __future__ import annotations

import runpy
from pathlib import Path
from typing import Any

import pytest

TOOLS = Path(__file__).resolve().parents[2] / "tools"


@pytest.fixture(scope="session")
def labels() -> dict[str, Any]:
    """What ``tools/photo_labels.py`` defines."""
    return runpy.run_path(str(TOOLS / "photo_labels.py"))


@pytest.fixture(scope="session")
def trial() -> dict[str, Any]:
    """What ``tools/photo_trial.py`` defines."""
    return runpy.run_path(str(TOOLS / "photo_trial.py"))
