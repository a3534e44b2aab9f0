"""The structure file as a JSON Schema, for editors and other programs."""

from __future__ import annotations

from typing import Any

from longhold.model.structure import Structure
from longhold.wood.preservatives import preservative_table
from longhold.wood.species import species_table

__all__ = ["schema"]


def schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of the structure file.

    Quantities are texts with their unit. What a schema cannot say (timbers that must be described, sizes
    that must stand in the trade tables) is checked on loading only. Species and preservatives are listed as
    examples.

    >>> schema()["required"]
    ['name', 'design_life', 'code', 'site', 'timbers', 'joints']
    """
    made = Structure.model_json_schema()
    made.pop("title", None)
    made.pop("description", None)
    timber = made["$defs"]["Timber"]["properties"]
    timber["species"]["examples"] = list(species_table())
    timber["preservative"]["examples"] = [*preservative_table(), "none"]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Longhold structure file",
        "description": (
            "A timber structure whose metal is assessed: its site, timbers and joints, with a design life "
            'and the code that governs. Every quantity is a text with its unit, such as "150 ft".'
        ),
        **made,
    }
