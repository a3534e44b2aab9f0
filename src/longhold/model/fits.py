"""What of a joint cannot be together: more fasteners in a row than there are, too small a hole."""

from __future__ import annotations

from collections.abc import Sequence

from longhold.base.tables import load_toml
from longhold.model.layout import Layout
from longhold.model.parts import Part

__all__ = ["hole_clash", "row_clash"]


def row_clash(layout: Layout | None, parts: Sequence[Part]) -> str | None:
    """Why a row cannot hold as many fasteners as it says; None where it can."""
    if layout is None or layout.in_row is None:
        return None
    count = sum(part.count for part in parts if part.is_fastener)
    if layout.in_row <= max(count, 1):
        return None
    return (
        f"layout.in_row is {layout.in_row}, but the joint has {count} fastener{'' if count == 1 else 's'}: "
        f"give at most {max(count, 1)}, or the count of each part"
    )


def hole_clash(parts: Sequence[Part]) -> str | None:
    """Why no fastener of the joint goes through the holes of a sheet part; None where one does."""
    sizes = {part.id: part.measures.diameter_mm for part in parts if part.is_fastener}
    known = {name: size for name, size in sizes.items() if size is not None}
    if not known:
        return None
    name = min(known, key=lambda one: known[one])
    rounding_mm = load_toml("trade/sizes.toml")["hole"]["rounding_mm"]
    for part in parts:
        if part.hole_diameter is not None and part.hole_diameter < known[name] - rounding_mm:
            return (
                f"part {part.id!r} has hole_diameter {part.hole_diameter:.3g} mm, smaller than the "
                f"{known[name]:.3g} mm of {name!r}, the thinnest fastener: give the hole as it is, "
                "no smaller than what passes it"
            )
    return None
