"""Organic films over zinc or over the bare metal."""

from __future__ import annotations

from dataclasses import replace

from longhold.base.marks import Mark
from longhold.labels.options import Found, Option
from longhold.labels.said import Said
from longhold.model.protection import Layer

__all__ = ["under_film"]


def under_film(said: Said, found: Found) -> Found:
    """The same candidates under the film that the label names; unchanged where it names none."""
    zinc_rich = "zinc_rich" in said.names("process")
    if not said.of("film") and not zinc_rich:
        return found
    layer = _layer(said)
    name = "zinc-rich paint" if zinc_rich and not said.of("film") else "organic topcoat"
    return replace(found, options=tuple(_covered(option, layer, name) for option in found.options))


def _layer(said: Said) -> Layer:
    least = [f.number or 0.0 for f in said.film_figures if f.extra == "least"]
    mean = [f.number or 0.0 for f in said.film_figures if f.extra not in ("least", "most")]
    return Layer(
        kind="organic",
        process="painted",
        nominal_g_m2=None,
        least_g_m2=None,
        nominal_um=sum(mean) if mean else sum(least) if least else None,
        least_um=sum(least) if least else None,
        density_g_cm3=None,
        source="label-itself",
        mark=Mark.VERIFIED,
    )


def _covered(option: Option, layer: Layer, name: str) -> Option:
    parts = [name]
    if layer.least_um is not None:
        parts.append(f"at least {layer.least_um!r} um")
    if layer.nominal_um is not None and layer.nominal_um != layer.least_um:
        parts.append(f"{layer.nominal_um!r} um")
    protection = option.protection
    named = replace(
        protection,
        designation=f"{protection.designation} + {' '.join(parts)}".replace(".0 um", " um"),
        layers=(layer, *protection.layers),
    )
    return replace(option, protection=named)
