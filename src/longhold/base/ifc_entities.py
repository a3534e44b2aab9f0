"""Attributes of the entities of a building model, read without trust: a broken one is an absent one."""

from __future__ import annotations

from typing import Any

__all__ = ["attribute", "entities", "entity"]


def attribute(of: Any, name: str) -> Any:
    """An attribute, or None where the entity is missing, has none such, or holds it broken."""
    if not hasattr(of, "is_a"):
        return None
    try:
        return getattr(of, name)
    except (AttributeError, RuntimeError, TypeError):
        return None


def entity(of: Any, name: str, kind: str = "") -> Any | None:
    """An attribute that is an entity, of a class where one is named; else None."""
    found = attribute(of, name)
    return found if hasattr(found, "is_a") and (not kind or found.is_a(kind)) else None


def entities(of: Any, name: str, kind: str = "") -> tuple[Any, ...]:
    """The entities of an attribute or inverse, of a class where one is named."""
    found = attribute(of, name)
    if not isinstance(found, (tuple, list)):
        return ()
    return tuple(one for one in found if hasattr(one, "is_a") and (not kind or one.is_a(kind)))
