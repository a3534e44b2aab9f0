"""What else than air and timber a part may lie against."""

from __future__ import annotations

from typing import Literal, get_args

__all__ = ["CONTACT_KINDS", "ContactKind"]

ContactKind = Literal["soil", "concrete", "mortar", "fertiliser", "pool_chemicals", "deicing_salt"]

CONTACT_KINDS: tuple[ContactKind, ...] = get_args(ContactKind)
"""Every contact, as written in a structure file."""
