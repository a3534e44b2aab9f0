"""For programs: labels, codes, places, and the words that a structure is told in."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Any, get_args

from fastapi import APIRouter, HTTPException, Path, Query
from pydantic import BaseModel

from longhold.codes import list_packs
from longhold.documents.codes_view import pack_json, pack_rules_json
from longhold.documents.label_view import label_json
from longhold.intake.json_schema import schema
from longhold.labels.several import read_parts
from longhold.model.sizes import PartKind
from longhold.model.structure import Application
from longhold.model.surroundings import places
from longhold.web.api_common import LIMIT, PROBLEMS, Limit, Offset, paged
from longhold.wood.preservatives import preservative_table
from longhold.wood.species import species_table

__all__ = ["router"]

router = APIRouter(prefix="/api", tags=["lists"], responses=PROBLEMS)


class PageOfObjects(BaseModel):
    """Some of many."""

    items: list[dict[str, Any]]
    total: int
    offset: int
    next_offset: int | None


class PageOfWords(BaseModel):
    """Some of many words."""

    items: list[str]
    total: int
    offset: int
    next_offset: int | None


@router.get("/label", summary="Read a label")
def label(
    text: Annotated[str, Query(min_length=1, max_length=2000, description="Words on a box or a drawing.")],
) -> dict[str, Any]:
    """What the words promise, part by part: the document of ``longhold label --json``."""
    words = " ".join(text.split())
    return label_json(words, read_parts(words))


@router.get("/codes", summary="List the rule packs")
def codes(offset: Offset = 0, limit: Limit = LIMIT) -> PageOfObjects:
    """Every pack, as ``longhold codes list --json`` gives it."""
    return PageOfObjects(**paged([pack_json(one) for one in list_packs().values()], offset, limit))


@router.get("/codes/{pack}", summary="Give one rule pack with its rules")
def code(pack: Annotated[str, Path(max_length=100)]) -> dict[str, Any]:
    """One pack with every rule, as ``longhold codes list PACK --json`` gives it."""
    found = list_packs().get(pack)
    if found is None:
        raise HTTPException(404)
    return pack_rules_json(found)


@router.get("/places", summary="List the places of a joint")
def all_places(offset: Offset = 0, limit: Limit = LIMIT) -> PageOfObjects:
    """Where a joint can stand: in words, and whether loss is computed there."""
    found = [{**asdict(one), "mark": one.mark.value} for one in places().values()]
    return PageOfObjects(**paged(found, offset, limit))


@router.get("/vocabulary", summary="List the lists of words")
def vocabulary(offset: Offset = 0, limit: Limit = LIMIT) -> PageOfWords:
    """The names of every list of words."""
    return PageOfWords(**paged(list(_words()), offset, limit))


@router.get("/vocabulary/{name}", summary="Give one list of words")
def words(
    name: Annotated[str, Path(max_length=100)], offset: Offset = 0, limit: Limit = LIMIT
) -> PageOfWords:
    """The words that a field of a structure may hold."""
    found = _words().get(name)
    if found is None:
        raise HTTPException(404)
    return PageOfWords(**paged(found, offset, limit))


@router.get("/structure-schema", summary="Give the JSON Schema of a structure")
def structure_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a structure, as ``longhold schema`` prints it."""
    return schema()


def _words() -> dict[str, list[str]]:
    return {
        "species": sorted(species_table()),
        "preservatives": [*sorted(preservative_table()), "none"],
        "part-kinds": list(get_args(PartKind)),
        "applications": list(get_args(Application)),
        "places": list(places()),
    }
