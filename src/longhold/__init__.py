"""Longhold: how long the metal in timber construction lasts, and what it still carries.

``load`` reads a structure, ``assess`` answers for each of its joints. Everything else is reached by
room, such as ``longhold.strength.nds_dowel``.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from longhold.base.version import VERSION

if TYPE_CHECKING:
    from longhold.assessment.findings import Assessment
    from longhold.assessment.line import assess
    from longhold.intake.load import load
    from longhold.model.structure import Structure

__version__ = VERSION
__all__ = ["Assessment", "Structure", "__version__", "assess", "load"]

_ROOMS = {
    "Assessment": "longhold.assessment.findings",
    "Structure": "longhold.model.structure",
    "assess": "longhold.assessment.line",
    "load": "longhold.intake.load",
}


def __getattr__(name: str) -> Any:
    """Import a public name when it is first asked for, so that a label is read without the physics."""
    if name not in _ROOMS:
        raise AttributeError(f"module 'longhold' has no attribute {name!r}")
    return getattr(import_module(_ROOMS[name]), name)
