"""Pages that are written by a script are fresh."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.mark.slow
def test_the_page_on_trade_claims_is_what_its_script_prints():
    script = runpy.run_path(str(ROOT / "tools" / "trade_claims.py"))
    assert (ROOT / "docs" / "trade-claims.md").read_text(encoding="utf-8") == script["page"]()


def test_the_page_on_recalled_couples_is_what_its_script_prints():
    script = runpy.run_path(str(ROOT / "tools" / "galvanic_recalled.py"))
    assert (ROOT / "docs" / "galvanic-recalled.md").read_text(encoding="utf-8") == script["page"]()
