"""Write docs/galvanic-recalled.md: recalled rates of coupled zinc beside what Longhold computes.

    python tools/galvanic_recalled.py

Nothing is fitted to these rates and no test holds Longhold to them: nobody read the table they come from. A
test holds the page to what this writes.
"""

from __future__ import annotations

import csv
from pathlib import Path

from longhold.metal.electrolyte import film
from longhold.metal.mixed_potential import couple
from longhold.metal.polarization import cathode_of_metal, curve_of_metal, faraday_um_yr

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "galvanic-recalled.md"
DATA = ROOT / "tests" / "against_published" / "data" / "galvanic.csv"
PARTNERS = {
    "mild steel": "steel",
    "stainless steel": "stainless",
    "copper": "copper",
    "aluminium": "aluminium",
}
AIRS = ("rural air", "urban air", "marine air")
WET_SHARE = 0.4
FOREWORD = """# Coupled zinc: recalled rates beside the computation

Written by `tools/galvanic_recalled.py`. The recalled figures are credited to a table of wire-on-bolt tests
that nobody here read; they may be off. **They are no test, and nothing is fitted to them.** They show the
size of things only.

Computed: the recalled loss of zinc by itself times what the couple adds, i_x / i_0, with equal areas of both
metals. The areas of the tests are not known. The last column is what Faraday's law gives for the same couple
if a film of 0.1 mm worked at its oxygen limit in every wet hour, 40 % of the year: hundreds of times too
much, which is why the face's own loss sets the scale. All figures in µm/yr.

| zinc beside | air | recalled, alone | recalled, added | computed, added | film at its limit |
|---|---|---|---|---|---|
"""


def page() -> str:
    """The page as text."""
    with DATA.open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["kind"] == "zinc_coupled_rate"]
    recalled = {(row["metal_or_couple"], row["condition"]): float(row["value_low"]) for row in rows}
    lines = []
    for words, metal in PARTNERS.items():
        water = film(0.0)
        state = couple(curve_of_metal("zinc"), cathode_of_metal(metal), 1.0, water.oxygen_limit_a_m2)
        limit = WET_SHARE * float(faraday_um_yr(state.extra_a_m2, "zinc"))
        for air in AIRS:
            alone = recalled["zinc with freely exposed zinc", air]
            added = alone * float(state.extra_a_m2 / state.free_a_m2)
            told = recalled[f"zinc with {words}", air]
            lines.append(f"| {words} | {air} | {alone:.1f} | {told:.1f} | {added:.1f} | {limit:.0f} |\n")
    return FOREWORD + "".join(lines)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
