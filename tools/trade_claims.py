"""Write docs/trade-claims.md: four claims of the trade beside what the computation says.

    python tools/trade_claims.py

A test holds the page to what this prints.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from jinja2 import Template

from longhold.assessment.line import assess
from longhold.base.quantities import parse_quantity
from longhold.forecast.scatter import film_rows
from longhold.labels.conversions import convert
from longhold.labels.read import read_label
from longhold.model.structure import Structure

PAGE = Path(__file__).resolve().parents[1] / "docs" / "trade-claims.md"
PROSE = Path(__file__).with_name("trade_claims.md.jinja")
DRAWS = 2000
TOPPED = "G60 + 10 um organic topcoat"
WHERE = (
    ("inland, under cover", "under_cover", "100 miles"),
    ("inland, open to rain", "open_to_rain", "100 miles"),
    ("150 ft from salt water, under cover", "under_cover", "150 ft"),
    ("150 ft from salt water, open to rain", "open_to_rain", "150 ft"),
)
FEW = (WHERE[1], WHERE[3])
FEET = (50, 150, 300, 1_000, 3_000, 10_000, 30_000)


@dataclass(frozen=True)
class Case:
    """One strap or nail in one timber, at a place and a distance from salt water."""

    label: str
    place: str
    distance: str
    preservative: str = "none"
    kind: str = "strap"
    topcoat: Mapping[str, object] = field(default_factory=dict)
    onshore_wind_share: float | None = None


def structure(case: Case) -> Structure:
    """The case as a structure of one joint."""
    size = "16 ga" if case.kind == "strap" else "10d common"
    treated = {} if case.preservative == "none" else {"use_category": "UC3B"}
    wind = {} if case.onshore_wind_share is None else {"onshore_wind_share": case.onshore_wind_share}
    part = {"id": "p", "kind": case.kind, "label": case.label, "size": size, **case.topcoat}
    return Structure.model_validate(
        {
            "name": "claim",
            "design_life": "50 years",
            "code": {"pack": "us_irc", "edition": "2021"},
            "site": {
                "name": "claim",
                "distance_to_salt_water": case.distance,
                "shore": "not_told",
                "climate": {"station": "Wilmington NC"},
                "air": wind,
            },
            "timbers": {
                "joist": {
                    "species": "southern pine",
                    "preservative": case.preservative,
                    "size": "2x8",
                    **treated,
                }
            },
            "joints": [
                {
                    "id": "J",
                    "name": "claim",
                    "place": case.place,
                    "main": "joist",
                    "side": None if case.kind == "strap" else "joist",
                    "parts": [part],
                }
            ],
        }
    )


def years(case: Case) -> float:
    """Middle value of the years to the first loss of steel."""
    band = assess(structure(case), draws=DRAWS).findings[0].protection_years
    return float("inf") if band is None else band.p50


def shown(value: float) -> str:
    """Years for the table."""
    return "over 200" if value > 200 else (f"{value:.0f}" if value >= 10 else f"{value:.1f}")


def per_face() -> list[str]:
    """Claim 1: zinc on one face of mill-coated sheet."""
    lines = ["| label | claimed, oz/ft² a face | read, oz/ft² a face |", "|---|---|---|"]
    for label, claimed in (("G90", 0.45), ("G185", 0.925)):
        zinc = read_label(label).readings[0].protection.zinc
        mass = 0.0 if zinc is None or zinc.nominal_g_m2 is None else zinc.nominal_g_m2
        lines.append(f"| {label} | {claimed} | {convert(mass, 'g/m2', 'oz/ft2'):.3f} |")
    return lines


def dipped() -> list[str]:
    """Claim 2: dipping after making."""
    lines = ["| what | read, oz/ft² of surface |", "|---|---|"]
    for words, label, item, mm in (
        ("nail", "ASTM A153", "nail", 3.76),
        ("1/2 in bolt", "ASTM A153", "bolt", 12.7),
        ("sheet 1.4 mm", "ASTM A123", "strap", 1.44),
        ("plate 4 mm", "ASTM A123", "plate", 4.0),
        ("plate 8 mm", "ASTM A123", "plate", 8.0),
    ):
        size = {"diameter_mm": mm} if item in {"nail", "bolt"} else {"thickness_mm": mm}
        zinc = read_label(label, item=item, **size).readings[0].protection.zinc
        mass = 0.0 if zinc is None or zinc.nominal_g_m2 is None else zinc.nominal_g_m2
        lines.append(f"| {words}, {label} | {convert(mass, 'g/m2', 'oz/ft2'):.2f} |")
    return lines


def films() -> list[str]:
    """Claim 3: a topcoat over light mill zinc against heavier mill zinc."""
    lines = [
        "| strap, where | wood | G60 | G90 | G185 | G60 + 10 µm topcoat | the topcoat must last |",
        "|---|---|---|---|---|---|---|",
    ]
    for words, place, distance in WHERE:
        for preservative in ("none", "ACQ-D"):
            light, middling, heavy, topped = (
                years(Case(label, place, distance, preservative)) for label in ("G60", "G90", "G185", TOPPED)
            )
            lines.append(
                f"| {words} | {'untreated' if preservative == 'none' else preservative} | {shown(light)} | "
                f"{shown(middling)} | {shown(heavy)} | {shown(topped)} | {shown(heavy - light)} years |"
            )
    return lines


def film_inputs() -> list[str]:
    """Claim 3: how long the topcoat lasts, whether it is damaged, whether the part is driven."""
    heads = [f"{words}, {wood}" for words, _, _ in FEW for wood in ("untreated", "ACQ-D")]
    lines = [f"| part | {' | '.join(heads)} |", "|---" * (len(heads) + 1) + "|"]
    strap: tuple[tuple[str, str, str, Mapping[str, object]], ...] = (
        ("strap, G90, no topcoat", "G90", "strap", {}),
        ("strap, G185, no topcoat", "G185", "strap", {}),
        *(
            (
                f"strap, G60, topcoat that lasts {life} years",
                TOPPED,
                "strap",
                {"topcoat_life": f"{life} years"},
            )
            for life in (5, 10, 20, 40)
        ),
        ("strap, G60, topcoat scratched through", TOPPED, "strap", {"topcoat_damaged": True}),
        ("nail, zinc as thick as G60's, no topcoat", "G60", "nail", {}),
        (
            "the same nail, driven, topcoat said to last 40 years",
            TOPPED,
            "nail",
            {"topcoat_life": "40 years"},
        ),
    )
    for words, label, kind, topcoat in strap:
        row = [
            years(Case(label, place, distance, preservative, kind, topcoat))
            for _, place, distance in FEW
            for preservative in ("none", "ACQ-D")
        ]
        lines.append(f"| {words} | {' | '.join(map(shown, row))} |")
    return lines


def shore() -> list[str]:
    """Claim 4: stainless within about 1,000 ft of the ocean."""
    lines = [
        "| distance to salt water | open to rain, untreated | open to rain, ACQ-D | under cover, untreated |",
        "|---|---|---|---|",
    ]
    cases = (("open_to_rain", "none"), ("open_to_rain", "ACQ-D"), ("under_cover", "none"))
    for feet in FEET:
        row = [years(Case("G185", place, f"{feet} ft", treated)) for place, treated in cases]
        lines.append(f"| {_distance(feet)} | {' | '.join(map(shown, row))} |")
    return lines


def wind() -> list[str]:
    """Claim 4: the same by how often the wind comes from the water."""
    shares = (0.1, 0.25, 0.5, 0.75, 1.0)
    heads = " | ".join(f"{100 * share:.0f} % of hours" for share in shares)
    lines = [f"| distance to salt water | {heads} |", "|---" * (len(shares) + 1) + "|"]
    for feet in FEET:
        row = [years(Case("G185", "under_cover", f"{feet} ft", onshore_wind_share=share)) for share in shares]
        lines.append(f"| {_distance(feet)} | {' | '.join(map(shown, row))} |")
    return lines


def _distance(feet: int) -> str:
    return f"{feet:,} ft ({parse_quantity(f'{feet} ft', 'distance_m'):,.0f} m)"


def page() -> str:
    """The whole page."""
    template = Template(PROSE.read_text(encoding="utf-8"), keep_trailing_newline=True)
    tables = {
        "per_face": per_face(),
        "dipped": dipped(),
        "films": films(),
        "film_inputs": film_inputs(),
        "shore": shore(),
        "wind": wind(),
    }
    return template.render(
        {name: "\n".join(lines) for name, lines in tables.items()},
        air_years=f"{film_rows()['air']['median_years']:g}",
        timber_years=f"{film_rows()['timber']['median_years']:g}",
    )


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
