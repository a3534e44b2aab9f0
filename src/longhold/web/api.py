"""The interface for programs: every part of it under one address, and a page that lists its operations."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from fastapi import APIRouter, FastAPI, Request
from starlette.responses import RedirectResponse, Response

from longhold.base.recent import once
from longhold.web import api_jobs, api_lists, api_people, api_site, api_structures
from longhold.web.api_common import ProblemDetails
from longhold.web.failures import refusal
from longhold.web.pages import show

__all__ = ["describe", "router"]

router = APIRouter()
for part in (api_lists, api_structures, api_site, api_jobs, api_people):
    router.include_router(part.router)


@router.get("/api/docs", include_in_schema=False)
def operations(request: Request) -> Response:
    """Every operation as the OpenAPI document tells it, as a page without a script."""
    return show("api_docs.html.j2", scope=request.scope, groups=_groups(request.app.openapi()))


@router.get("/api", include_in_schema=False)
def entrance() -> Response:
    """The list of operations."""
    return RedirectResponse("/api/docs", 308)


def describe(app: FastAPI) -> None:
    """Add to the OpenAPI document of an application what every operation shares.

    Parameters
    ----------
    app : with the operations already in it
    """
    made = app.openapi

    def document() -> dict[str, Any]:
        told = made()
        parts = told["components"]
        if "ProblemDetails" not in parts["schemas"]:
            details = ProblemDetails.model_json_schema(ref_template="#/components/schemas/{model}")
            parts["schemas"] |= details.pop("$defs")
            parts["schemas"]["ProblemDetails"] = details
            if app.state.settings.asks_who:
                parts["securitySchemes"] = {"session": {"type": "http", "scheme": "bearer"}}
                told["security"] = [{"session": []}]
                told["paths"]["/api/session"]["post"]["security"] = []
        return told

    app.openapi = once(document)  # type: ignore[method-assign]

    @app.exception_handler(405)
    async def _not_so(request: Request, _: Exception) -> Response:
        answer = refusal(request.scope, 405)
        answer.headers["allow"] = ", ".join(methods_of(app, request.url.path))
        return answer


def methods_of(app: FastAPI, path: str) -> tuple[str, ...]:
    """Every method that an address takes; of the framework's own answer only those of one route are known.

    Parameters
    ----------
    path : as asked for
    """
    found = {
        method
        for route in _routes(app.routes)
        if route.path_regex.match(path)
        for method in route.methods or ()
    }
    return tuple(sorted(found))


def _routes(routes: Iterable[Any]) -> Iterator[Any]:
    for route in routes:
        inside = getattr(route, "original_router", None)
        if inside is not None:
            yield from _routes(inside.routes)
        elif hasattr(route, "path_regex"):
            yield route


def _groups(document: dict[str, Any]) -> dict[str, list[dict[str, Any]]]:
    groups: dict[str, list[dict[str, Any]]] = {}
    for path, methods in document["paths"].items():
        for method, told in methods.items():
            given = [
                {"name": one["name"], "where": one["in"], "needed": one.get("required", False)}
                for one in told.get("parameters", ())
            ]
            body = told.get("requestBody", {}).get("content", {})
            row = {
                "method": method.upper(),
                "path": path,
                "summary": told.get("summary", ""),
                "description": told.get("description", ""),
                "given": given,
                "fields": _fields(body, document),
                "answers": [code for code in told["responses"] if code.isdecimal()],
            }
            groups.setdefault(told.get("tags", ["other"])[0], []).append(row)
    return groups


def _fields(body: dict[str, Any], document: dict[str, Any]) -> list[dict[str, Any]]:
    schema: dict[str, Any] = next(iter(body.values()), {"schema": {}})["schema"]
    named = str(schema.get("$ref", "")).rpartition("/")[2]
    schema = document["components"]["schemas"].get(named, schema)
    needed = schema.get("required", ())
    return [
        {"name": name, "needed": name in needed, "says": told.get("description", "")}
        for name, told in schema.get("properties", {}).items()
    ]
