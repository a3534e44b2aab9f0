"""The line: from a described structure to an answer for each joint."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from longhold.assessment.across import Advice, advise
from longhold.assessment.assumptions import structure_defaults
from longhold.assessment.decay import told_once
from longhold.assessment.findings import Assessment, JointFinding
from longhold.assessment.governing import OWN_RULES, governing_pack, is_own
from longhold.assessment.joint import joint_finding
from longhold.assessment.setting import curve_ages, setting_for
from longhold.assessment.shared import Setting
from longhold.assessment.shore import shore_finding
from longhold.assessment.site import AIR_MODELS, site_finding
from longhold.assessment.strength_standard import strength_standard
from longhold.assessment.used import sources_used
from longhold.base.errors import InputError, Problem
from longhold.base.version import VERSION
from longhold.forecast.causes import Learned
from longhold.forecast.exposure import AirLaw
from longhold.model.structure import Code, Structure

__all__ = ["assess", "inputs_sha256"]

_MODELS = (
    "wood moisture: hour by hour through the section, 32 runs of two years for each kind of timber outdoors",
    "loss in wood: two moisture responses, an early and a late plateau, each in half the draws",
    "loss in wood by temperature: half of the draws follow Arrhenius's law, half know only frozen or not",
    "loss in wood over the years: half the draws take it as linear, half as a power law",
    "topcoat and zinc counted one after the other, then the base metal",
    "strength of a joint: that of its weakest element, draw by draw; decay only flagged, by a dose of "
    "moisture and temperature",
)
_OF_DOWELS = {"nds": "NDS yield equations", "en1995": "EN 1995-1-1, section 8,"}
_OF_SHEET = {"nds": "AISI S100", "en1995": "EN 1993-1-3"}


def _strength_models(structure: Structure) -> tuple[str, str]:
    standard = strength_standard(structure)
    return (
        f"strength of dowels: {_OF_DOWELS[standard]} with the diameter that is left near the joint line and "
        "along each timber; withdrawal with the thread that is left; wood taken as sound",
        f"strength of sheet: by {_OF_SHEET[standard]} with the thickness left where width and holes are "
        "stated; else tearing, tilting nails or a bending seat, a third of the draws each",
    )


def assess(
    structure: Structure,
    *,
    draws: int = 2000,
    seed: int = 1,
    air_law: AirLaw = "both",
    learned: Learned | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Assessment:
    """Assess every joint of a structure.

    Parameters
    ----------
    structure : as described; ``longhold.load`` reads one from a file
    draws : number of draws of the uncertain inputs, 200 or more
    seed : of the draws; the same structure, seed and version give the same answer
    air_law : ISO 9223 as printed, calibrated (moved to where measured sites stand), or both by halves
    learned : what readings leave of the draws, see ``longhold.inspect``; there are then as many draws
    progress : called with (joints done, joints in all)

    Raises
    ------
    InputError : with every label, name or edition that cannot be read, each with its place

    >>> import longhold
    >>> deck = longhold.load("demo/boardwalk.toml")
    >>> answer = longhold.assess(deck, draws=500)
    >>> len(answer.findings)
    12
    """
    draws = draws if learned is None else learned.count
    if not 200 <= draws <= 1_000_000:
        raise InputError(Problem("draws", draws, "must be between 200 and 1,000,000."))
    if seed < 0:
        raise InputError(Problem("seed", seed, "must be zero or more."))
    setting = setting_for(
        structure, curve_ages(structure.design_life), draws=draws, seed=seed, air_law=air_law, learned=learned
    )
    prepared = setting.prepared
    shore = shore_finding(structure.site, prepared.site)
    site = site_finding(prepared.site, setting.exposure, setting.middle, shore)
    findings = tuple(told_once(_advised(_each(structure, setting, progress), setting)))
    return Assessment(
        structure=structure,
        site=site,
        findings=findings,
        assumptions=(*structure_defaults(structure), *prepared.assumptions),
        version=VERSION,
        seed=seed,
        draws=draws,
        inputs_sha256=inputs_sha256(structure),
        packs=(_pack_words(structure.code),),
        models=(*AIR_MODELS[air_law], *_MODELS, *_strength_models(structure)),
        sources=sources_used(site, findings, governing_pack(structure.code).own_sources),
        air_law=air_law,
        with_readings=learned is not None,
    )


def inputs_sha256(structure: Structure) -> str:
    """SHA-256 of what a structure says, in whatever order its timbers are written."""
    told = json.dumps(structure.model_dump(mode="json"), sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(told.encode()).hexdigest()


def _pack_words(code: Code) -> str:
    whose = f", {OWN_RULES}" if is_own(code) else ""
    return f"{code.pack} {code.edition}{whose}"


def _advised(findings: Iterable[JointFinding], setting: Setting) -> Iterator[JointFinding]:
    """The findings with what good practice says; joints that share an answer share the advice."""
    ask = advise(setting)
    told: dict[int, Advice] = {}
    for found in findings:
        shared = id(found.parts)  # kept alive by the findings, so no other object takes its place
        if shared not in told:
            told[shared] = ask(found.joint)
        yield replace(found, advice=told[shared])


def _each(
    structure: Structure, setting: Setting, progress: Callable[[int, int], None] | None
) -> Iterator[JointFinding]:
    for done, joint in enumerate(structure.joints):
        if progress is not None:
            progress(done, len(structure.joints))
        yield joint_finding(joint, setting)
    if progress is not None:
        progress(len(structure.joints), len(structure.joints))
