"""Where one kind of number ends and another begins on a label."""

from __future__ import annotations

from longhold.base.tables import load_toml

__all__ = ["limit"]


def limit(group: str, name: str) -> float:
    """One limit of ``tables/labels/limits.toml``, by group and name.

    >>> limit("figures", "tolerance")
    0.05
    """
    return float(load_toml("labels/limits.toml")[group][name]["value"])
