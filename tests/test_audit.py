"""The audit says in words when it could not be made, and never passes for one that found nothing.

The texts are those that pip-audit 2.10 writes.
"""

import json
import runpy
from pathlib import Path

import pytest

SAID = runpy.run_path(str(Path(__file__).resolve().parents[1] / "tools" / "audit.py"))["said"]
LOST = "ERROR:pip_audit._cli:alembic: Dependency not found on PyPI and could not be audited: alembic (1.20.1)"


@pytest.mark.parametrize("errors", [LOST, "Traceback (most recent call last):\nOSError: no route", ""])
def test_without_data_it_is_not_audited(errors):
    words, status = SAID("", errors)
    assert status == 2
    assert words.startswith("NOT AUDITED")
    assert "Traceback" not in words


@pytest.mark.parametrize(
    ("vulns", "status", "words"),
    [
        ([], 0, "No hole is known in the 1 locked versions."),
        ([{"id": "X-1", "fix_versions": ["2.0"], "aliases": []}], 1, "a 1.0: X-1, mended in 2.0"),
        ([{"id": "X-1", "fix_versions": [], "aliases": []}], 1, "a 1.0: X-1, mended in none yet"),
    ],
)
def test_what_was_found_is_told(vulns, status, words):
    found = {"dependencies": [{"name": "a", "version": "1.0", "vulns": vulns}], "fixes": []}
    said, ended = SAID(json.dumps(found), "")
    assert ended == status
    assert words in said
