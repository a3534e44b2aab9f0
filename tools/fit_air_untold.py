"""Fit what first-year loss from position alone needs on top of its bands, and judge it on unseen groups.

    python tools/fit_air_untold.py

Reads the measured sites kept with the tests; needs the places data. Prints the figures of
tables/air/own/untold.csv and the tables of docs/decisions/untold-surroundings.md and docs/air-parity.md.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).resolve().parent))
from fit_air_calibration import P80, fit, rows

from longhold.air.metals import METALS, Metal
from longhold.air.scores import Prediction, predict
from longhold.air.site_rows import SiteInputs, measured_losses_um, own_inputs, site_position
from longhold.base.errors import InputError
from longhold.base.tables import load_toml
from longhold.validate.air_area import position_inputs

DATA = Path(__file__).resolve().parents[1] / "tests" / "against_published" / "data"
Array = NDArray[np.float64]
STEPS = np.round(np.arange(0.0, 4.0, 0.01), 2)
SEEN_SD_LN = load_toml("air/own/measured.toml")["deposition"]["sd_ln"]
INPUT_SDS = ("temperature_sd_c", "humidity_sd_pct", "sulphur_sd_ln", "chloride_sd_ln")


@dataclass(frozen=True)
class Site:
    """A measured site with what its position says of it, and what its row says.

    ``own`` is None where the row has no sulphur; ``chloride`` says whether the row measured chloride.
    """

    group: str
    country: str
    name: str
    position: SiteInputs
    own: SiteInputs | None
    chloride: bool
    measured_um: Mapping[Metal, float]


@dataclass(frozen=True)
class Case:
    """One metal at one site: ln(measured / predicted), and the variance that the bands give it.

    ``per_sulphur``, ``per_chloride`` : variance for each unit of that of ln(sulphur), ln(chloride)
    """

    metal: Metal
    site: Site
    error: float
    variance: float
    per_sulphur: float
    per_chloride: float


@cache
def sites() -> tuple[Site, ...]:
    """Every site with coordinates, a climate on the maps and the open sea as its nearest salt water."""
    with (DATA / "air_site_countries.csv").open(encoding="utf-8", newline="") as file:
        country = {(row["group"], row["site"]): row["country"] for row in csv.DictReader(file)}
    with (DATA / "air_sites.csv").open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(file))
    return tuple(_sites(found, country))


def _sites(found: Sequence[Mapping[str, str]], country: Mapping[tuple[str, str], str]) -> Iterator[Site]:
    for row in found:
        position = site_position(row)
        if position is None:
            continue
        try:
            inputs = replace(position_inputs(*position), untold_share=0.0)
        except InputError:
            continue
        try:
            own = own_inputs(row)
        except InputError:
            own = None
        key, chloride = (row["group"], row["site"]), row["Sd_Cl_mg_m2_d"] not in ("", "0.0")
        yield Site(*(row["group"], country[key], row["site"]), inputs, own, chloride, measured_losses_um(row))


def cases(inputs: Callable[[Site], SiteInputs | None], hidden: frozenset[str] = frozenset()) -> list[Case]:
    """Cases of the calibrated law, fitted without the hidden sites; sites without inputs are left out."""
    law = fit([row for row in rows() if row.site not in hidden]) if hidden else None
    found = []
    for site in sites():
        asked = inputs(site)
        if asked is None:
            continue
        said, alone = _said(asked), {name: _said(_only(asked, name)) for name in INPUT_SDS}
        law_variance = {metal: one.sd_ln**2 for metal, one in _said(_only(asked, "")).items()}
        point = (
            *(asked.temperature_c, asked.relative_humidity_pct),
            *(asked.sulphur_dioxide_mg_m2_d, asked.chloride_mg_m2_d),
        )
        for metal, measured_um in site.measured_um.items():
            median = float(law.shifted(metal, point).median_um) if law else said[metal].median_um
            per = {
                name: (alone[name][metal].sd_ln ** 2 - law_variance[metal])
                / (getattr(asked, name) or 1.0) ** 2
                for name in INPUT_SDS[2:]
            }
            found.append(
                Case(metal, site, float(np.log(measured_um / median)), said[metal].sd_ln ** 2, *per.values())
            )
    return found


@cache  # what a law says of a site hangs on no other site
def _said(inputs: SiteInputs) -> Mapping[Metal, Prediction]:
    return {one.metal: one for one in predict(inputs, "position") if one.law == "calibrated"}


def _only(inputs: SiteInputs, kept: str) -> SiteInputs:
    return replace(inputs, **{name: 0.0 for name in INPUT_SDS if name != kept})


FORMS = (
    "none",
    "one for all metals",
    "one for each metal",
    "sulphur wider",
    "chloride wider",
    "sulphur and chloride wider",
)
CHOSEN = "one for each metal"


def variance(form: str, sd_ln: Mapping[str, float], case: Case) -> float:
    """Variance of ln(loss) at a case under a form with its fitted figures."""
    if form == "none":
        return case.variance
    per = {
        "sulphur wider": case.per_sulphur,
        "chloride wider": case.per_chloride,
        "sulphur and chloride wider": case.per_sulphur + case.per_chloride,
    }.get(form, 1.0)
    return case.variance + per * sd_ln[case.metal] ** 2


def fit_form(form: str, seen: Sequence[Case]) -> Mapping[str, float]:
    """The figures by metal under which the measured losses are likeliest; each site counts once a metal."""
    alone = form == CHOSEN
    found: dict[str, float] = dict.fromkeys(METALS, 0.0)
    if form == "none":
        return found
    for metals in [(metal,) for metal in METALS] if alone else [METALS]:
        of = [case for case in seen if case.metal in metals]
        errors, own = np.array([[case.error, case.variance] for case in of]).T
        per = np.array([variance(form, dict.fromkeys(METALS, 1.0), case) - case.variance for case in of])
        wide = own + np.outer(STEPS**2, per)
        best = STEPS[int(np.argmax(_ln_likelihood(errors, wide).sum(axis=1)))]
        found |= dict.fromkeys(metals, float(best))
    return found


def _ln_likelihood(errors: Array, wide: Array) -> Array:
    return np.asarray(-0.5 * np.log(2.0 * np.pi * wide) - 0.5 * errors**2 / wide)


@cache
def unseen(form: str, left_out: str) -> tuple[tuple[Case, float], ...]:
    """Each case with its variance; neither law nor figures saw its group, or country."""
    found = []
    for out in sorted({getattr(site, left_out) for site in sites()}):
        hidden = frozenset(site.name for site in sites() if getattr(site, left_out) == out)
        every = cases_without(hidden)
        sd_ln = fit_form(form, [case for case in every if case.site.name not in hidden])
        found += [(case, variance(form, sd_ln, case)) for case in every if case.site.name in hidden]
    return tuple(found)


@cache
def cases_without(hidden: frozenset[str]) -> tuple[Case, ...]:
    """Cases from position alone, by a law that did not see the hidden sites."""
    return tuple(cases(lambda site: site.position, hidden))


def in_band(found: Sequence[tuple[Case, float]], metal: str = "") -> float:
    """Share of the cases that lie in the band from 10 to 90 %."""
    return float(
        np.mean([abs(case.error) <= P80 * wide**0.5 for case, wide in found if metal in ("", case.metal)])
    )


def interval_score(found: Sequence[tuple[Case, float]]) -> float:
    """Width of the 80 % band in ln plus ten times what lies beyond it, in the mean: less is better."""
    half = np.array([P80 * wide**0.5 for _, wide in found])
    beyond = np.maximum(np.abs([case.error for case, _ in found]) - half, 0.0)
    return float(np.mean(2.0 * half + 10.0 * beyond))


def forms_table() -> str:
    """Forms judged by leaving out groups, and countries."""
    lines = [
        "| what is added | left out | steel | zinc | copper | aluminium | ln likelihood | interval score |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for left_out in ("group", "country"):
        for form in FORMS:
            found = unseen(form, left_out)
            shares = " | ".join(f"{in_band(found, metal):.0%}" for metal in METALS)
            likely = np.mean(_ln_likelihood(*np.array([[case.error, wide] for case, wide in found]).T))
            lines.append(f"| {form} | {left_out} | {shares} | {likely:.3f} | {interval_score(found):.2f} |")
    return "\n".join(lines)


def filled_in(site: Site, *what: str) -> SiteInputs | None:
    """The site from its position, with what the row measured in place of the estimate."""
    given, own = site.position, site.own
    if own is None:
        return given if not what else None
    if "climate" in what:
        given = replace(
            given,
            temperature_c=own.temperature_c,
            relative_humidity_pct=own.relative_humidity_pct,
            temperature_sd_c=0.0,
            humidity_sd_pct=0.0,
        )
    if "sulphur" in what:
        given = replace(given, sulphur_dioxide_mg_m2_d=own.sulphur_dioxide_mg_m2_d, sulphur_sd_ln=SEEN_SD_LN)
    if "chloride" in what:
        if not site.chloride:
            return None
        given = replace(given, chloride_mg_m2_d=own.chloride_mg_m2_d, chloride_sd_ln=SEEN_SD_LN)
    return given


LADDER: tuple[tuple[str, Callable[[Site], bool], tuple[str, ...]], ...] = (
    ("chloride and sulphur measured; nothing used", lambda s: s.chloride and s.own is not None, ()),
    ("the same, climate used", lambda s: s.chloride and s.own is not None, ("climate",)),
    ("the same, chloride used", lambda s: s.chloride and s.own is not None, ("chloride",)),
    ("the same, sulphur used", lambda s: s.chloride and s.own is not None, ("sulphur",)),
    ("the same, all used", lambda s: s.own is not None, ("climate", "sulphur", "chloride")),
    ("sulphur measured, no chloride; nothing used", lambda s: not s.chloride and s.own is not None, ()),
    ("the same, sulphur used", lambda s: not s.chloride and s.own is not None, ("sulphur",)),
    ("nothing measured: South Africa", lambda s: s.own is None and s.group.startswith("South"), ()),
    ("nothing measured: north Norway", lambda s: s.own is None and s.group.startswith("Norway"), ()),
    ("nothing measured: the rest", lambda s: s.own is None and s.group[:2] in ("IS", "An"), ()),
)


def ladder_table() -> str:
    """Where the bands without any addition fail: by what was measured, filled in piece by piece."""
    lines = [
        "| sites, and what is used of them | metal | sites | predicted over measured | rms of ln "
        "| band, sd of ln | in 80 % band |",
        "|---|---|---|---|---|---|---|",
    ]
    for words, belongs, what in LADDER:
        found = cases(lambda site, b=belongs, w=what: filled_in(site, *w) if b(site) else None)
        for metal in METALS[:2]:
            of = [(case, case.variance) for case in found if case.metal == metal]
            if not of:
                continue
            e = np.array([case.error for case, _ in of])
            lines.append(
                f"| {words} | {metal.removeprefix('carbon_')} | {len(of)} | {np.exp(-e.mean()):.2f} "
                f"| {np.sqrt(np.mean(e**2)):.2f} | {np.sqrt(np.mean([wide for _, wide in of])):.2f} "
                f"| {in_band(of):.0%} |"
            )
    return "\n".join(lines)


def main() -> None:
    """Print everything."""
    print("figures", fit_form(CHOSEN, cases_without(frozenset())))
    print(forms_table())
    print(ladder_table())
    for left_out in ("group", "country"):
        found = unseen(CHOSEN, left_out)
        for group in sorted({case.site.group for case, _ in found}):
            of = [one for one in found if one[0].site.group == group]
            metals = [metal for metal in METALS if any(case.metal == metal for case, _ in of)]
            print(left_out, group, {metal: f"{in_band(of, metal):.0%}" for metal in metals})


if __name__ == "__main__":
    main()
