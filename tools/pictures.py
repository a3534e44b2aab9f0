"""Make the pictures of the README from the demo's report, with the system's Chromium.

make demo && python tools/pictures.py
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

ROOT = Path(__file__).resolve().parents[1]
REPORT = ROOT / "build" / "demo.html"
PICTURES = ROOT / "docs" / "pictures"


def main() -> None:
    """Write docs/pictures/report.png and report-joint.png."""
    chromium = shutil.which("chromium")
    if chromium is None or not REPORT.exists():
        sys.exit("needs Chromium on the path and build/demo.html (run: make demo)")
    PICTURES.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        page = browser.new_page(viewport={"width": 1200, "height": 1250}, color_scheme="light")
        page.goto(REPORT.as_uri())
        page.screenshot(path=PICTURES / "report.png")
        page.evaluate("document.querySelector('#joint-J02').scrollIntoView()")
        page.screenshot(path=PICTURES / "report-joint.png")
        browser.close()


if __name__ == "__main__":
    main()
