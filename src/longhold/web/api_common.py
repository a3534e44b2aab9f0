"""What every operation of the interface for programs shares: pages of many, problem details, numbers."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Path, Query
from pydantic import BaseModel, ConfigDict, Field

__all__ = [
    "LIMIT",
    "MORE_PROBLEMS",
    "PROBLEMS",
    "Id",
    "Limit",
    "Number",
    "Offset",
    "ProblemDetails",
    "Shape",
    "paged",
]

_LARGEST = 2**31 - 1
"""The largest whole number that every database looks for."""
LIMIT = 50

Offset = Annotated[int, Query(ge=0, le=_LARGEST, description="How many to pass over.")]
Limit = Annotated[int, Query(ge=1, le=500, description="How many to give at most.")]
Id = Annotated[int, Path(ge=1, le=_LARGEST)]
Number = Annotated[int, Field(ge=0, le=_LARGEST)]


class Shape(BaseModel):
    """An object that is sent or given, with no field besides those named."""

    model_config = ConfigDict(extra="forbid", from_attributes=True)


class OneProblem(BaseModel):
    """One thing that cannot be used."""

    where: str = Field(description="Path inside what was sent, such as joints[2].parts[0].size.")
    said: str = Field(description="What is wrong, what is allowed, and what to do.")


class ProblemDetails(BaseModel):
    """Problem details by RFC 9457."""

    model_config = ConfigDict(extra="allow")

    type: str
    title: str
    status: int
    detail: str
    problems: list[OneProblem] = Field(default=[], description="With status 422: everything that is wrong.")
    expecting: int | None = Field(default=None, description="With 409: the version the edit began from.")
    newest: int | None = Field(default=None, description="With 409: the version that is there now.")
    reference: str = Field(default="", description="With 500: what to tell whoever runs the server.")


_DETAILS: dict[str, Any] = {
    "application/problem+json": {"schema": {"$ref": "#/components/schemas/ProblemDetails"}}
}
_WHY = {
    400: "What was sent cannot be read.",
    401: "Nobody is signed in.",
    403: "The role does not allow it.",
    404: "Nothing is kept under this number or name.",
    409: "It stands otherwise by now: edited meanwhile, or not in a state for this.",
    413: "Larger than is taken in.",
    415: "The body is of another kind or coding than is taken in.",
    422: "Something that was sent cannot be used; ``problems`` tells what.",
    429: "Asked too often; Retry-After tells how many seconds to wait.",
    500: "A fault of Longhold's own; ``reference`` names it in what the server wrote.",
    503: "The store cannot answer at the moment.",
    507: "The disk of the server is full.",
}
PROBLEMS: dict[int | str, dict[str, Any]] = {
    code: {"description": why, "content": _DETAILS} for code, why in _WHY.items() if code != 409
}
MORE_PROBLEMS: dict[int | str, dict[str, Any]] = {409: {"description": _WHY[409], "content": _DETAILS}}


def paged(items: list[Any], offset: int, limit: int) -> dict[str, Any]:
    """Some of a list that is there as a whole, as every page of many is given.

    >>> paged([1, 2, 3], 0, 2)
    {'items': [1, 2], 'total': 3, 'offset': 0, 'next_offset': 2}
    """
    some = items[offset : offset + limit]
    after = offset + len(some)
    more = after if some and after < len(items) else None
    return {"items": some, "total": len(items), "offset": offset, "next_offset": more}
