"""Small portfolios: structures without rain on their timber, which need no simulation."""

from __future__ import annotations

from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]

INSIDE = """
name = "{name}"
design_life = "50 years"
build_date = 2001-05-01
[code]
pack = "us_irc"
edition = "2021"
[site]
name = "{name} site"
distance_to_salt_water = "{salt} miles"
[site.climate]
station = "Wilmington NC"
[timbers.joist]
species = "southern pine"
preservative = "none"
size = "2x8"
[[joints]]
id = "A1"
name = "hanger"
place = "damp_inside"
main = "joist"
quantity = 4
parts = [
  {{ id = "hanger", kind = "hanger", size = "18 ga", label = "{label}", rated_load = "850 lb" }},
  {{ id = "nail", kind = "nail", size = "10d common", label = "bright", count = 10 }},
]
[[joints]]
id = "A2"
name = "strap"
place = "ground_contact"
main = "joist"
role = "other"
parts = [{{ id = "strap", kind = "strap", size = "16 ga", label = "{label}" }}]
"""


@pytest.fixture
def folder(tmp_path):
    """Three structures that can be assessed and two that cannot."""
    here = tmp_path / "structures"
    here.mkdir()
    for name, label, salt in (("north", "G90", 1), ("south", "G185", 40), ("west", "G90", 1)):
        text = INSIDE.format(name=name, label=label, salt=salt)
        (here / f"{name}.toml").write_text(text, encoding="utf-8")
    (here / "label.toml").write_text(INSIDE.format(name="label", label="G9x", salt=1), encoding="utf-8")
    (here / "broken.toml").write_text("name = ", encoding="utf-8")
    return here
