"""What is said when something goes wrong: a page for people, problem details (RFC 9457) for programs."""

from __future__ import annotations

import logging
import secrets
from collections.abc import Mapping, Sequence
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response
from starlette.types import Scope

from longhold.base.errors import InputError, Problem
from longhold.base.whole_files import NO_ROOM, UnwrittenError
from longhold.documents.words import upper_first
from longhold.store import EditedMeanwhile, StoreFault, StoreFull
from longhold.web.pages import show

__all__ = ["RefusedError", "handle_failures", "place_of_fault", "problem_details", "refusal"]

_LOG = logging.getLogger("longhold.web")
_TITLES: Mapping[int, str] = {
    400: "That cannot be read",
    401: "Sign in first",
    403: "Not allowed",
    404: "Nothing is here",
    405: "Not possible here",
    409: "Not in a state for this",
    413: "Too large",
    415: "That kind of file is not read",
    421: "Wrong address",
    422: "Something to put right",
    429: "Too many at once",
    500: "A fault of Longhold's own",
    503: "Not possible at the moment",
    507: "No room left",
}
_COMPLAINTS: Mapping[str, str] = {
    "missing": "is missing.",
    "int": "must be a whole number.",
    "float": "must be a number.",
    "finite": "must be a number.",
    "bool": "must be yes or no.",
    "greater_than_equal": "must be {ge} or more.",
    "greater_than": "must be more than {gt}.",
    "less_than_equal": "must be {le} or less.",
    "less_than": "must be less than {lt}.",
    "string_too_long": "must have {max_length} characters or fewer.",
    "string_too_short": "must have {min_length} characters or more.",
    "string_type": "must be text.",
    "list": "must be a list.",
    "dict": "must be an object with names and values.",
    "model": "must be an object with names and values.",
    "literal_error": "must be {expected}.",
    "enum": "must be {expected}.",
    "extra_forbidden": "is none of the names that are taken here.",
}
"""By the start of the kind of complaint of the validation library, with what it tells of its limits."""
_SAID: Mapping[int, str] = {
    401: "This server asks who you are.",
    403: "Your role does not allow this. Ask an owner of this server.",
    404: "The address may have been mistyped, or what it named was put away. What was saved is listed under "
    "Structures.",
    405: "This address does not take what was sent to it.",
    429: "Wait a minute, then try again.",
}


_UNREAD_BODY = "There was an error parsing the body"  # what the web library says of bytes that are no text


class RefusedError(Exception):
    """A request that is not answered, with the status and what is said to the person.

    Parameters
    ----------
    title : a usual one of the status where blank
    """

    def __init__(
        self, status: int, said: str = "", headers: Mapping[str, str] | None = None, *, title: str = ""
    ) -> None:
        super().__init__(status)
        self.status, self.said, self.headers, self.title = status, said, headers, title


def refusal(scope: Scope, status: int, said: str = "", **more: Any) -> Response:
    """A refusal as the asker can read it: JSON below ``/api``, a page elsewhere.

    Parameters
    ----------
    scope : of the request
    status : of HTTP
    said : what happened and what to do, for people; a usual sentence where empty
    more : members of the problem details besides those of RFC 9457
    """
    said = said or _SAID.get(status, "")
    if str(scope.get("path", "")).startswith("/api/"):
        return problem_details(status, said, **more)
    values = {"title": _TITLES.get(status, "Refused"), "said": upper_first(said), **more}
    return show("failure.html.j2", scope=scope, status=status, **values)


def problem_details(status: int, said: str, **more: Any) -> JSONResponse:
    """Problem details by RFC 9457."""
    body = {"type": "about:blank", "title": _TITLES.get(status, "Refused"), "status": status, "detail": said}
    return JSONResponse({**body, **more}, status_code=status, media_type="application/problem+json")


def handle_failures(app: FastAPI) -> None:
    """Register what answers in place of a traceback."""
    _answer_refusals(app)
    _answer_faults(app)


def _answer_refusals(app: FastAPI) -> None:
    @app.exception_handler(HTTPException)
    async def _refused(request: Request, error: HTTPException) -> Response:
        if error.detail == _UNREAD_BODY:
            return _unread(request, error)
        said = error.detail if isinstance(error.detail, str) and error.status_code not in _SAID else ""
        answer = refusal(request.scope, error.status_code, said)
        answer.headers.update(error.headers or {})
        return answer

    @app.exception_handler(EditedMeanwhile)
    async def _edited_meanwhile(request: Request, error: EditedMeanwhile) -> Response:
        newest = None if error.current is None else error.current.number
        return refusal(
            request.scope,
            409,
            str(error),
            title="Not the newest version",
            expecting=error.expecting,
            newest=newest,
        )

    @app.exception_handler(RefusedError)
    async def _not_allowed(request: Request, error: RefusedError) -> Response:
        more = {"title": error.title} if error.title else {}
        answer = refusal(request.scope, error.status, error.said, **more)
        answer.headers.update(error.headers or {})
        return answer

    @app.exception_handler(RequestValidationError)
    async def _not_valid(request: Request, error: RequestValidationError) -> Response:
        problems = _problems(error.errors())
        of_address = any(one["loc"][:1] == ("path",) for one in error.errors())
        if of_address and not request.url.path.startswith("/api/"):
            return refusal(request.scope, 404)
        if _is_of_whole_body(error) and (said := _of_another_kind(request)):
            return refusal(request.scope, 415, said)
        return refusal(request.scope, 422, "Some values cannot be used.", problems=problems)

    @app.exception_handler(InputError)
    async def _not_usable(request: Request, error: InputError) -> Response:
        return _unusable(request, error)


def _answer_faults(app: FastAPI) -> None:
    @app.exception_handler(StoreFault)
    async def _not_now(request: Request, error: StoreFault) -> Response:
        return refusal(request.scope, 507 if isinstance(error, StoreFull) else 503, str(error))

    @app.exception_handler(OSError)
    async def _of_the_system(request: Request, error: OSError) -> Response:
        if not _is_full(error):
            raise error
        return _full_disk(request)

    @app.exception_handler(Exception)
    async def _own_fault(request: Request, error: Exception) -> Response:
        reference = secrets.token_hex(4)
        route = getattr(request.scope.get("route"), "path", "no route")
        place = place_of_fault(error)
        _LOG.error("fault %s: %s at %s, %s %s", reference, type(error).__name__, place, request.method, route)
        said = "Nothing that was saved is lost. Please report it with this reference."
        return refusal(request.scope, 500, said, reference=reference)


def _unread(request: Request, error: HTTPException) -> Response:
    """Of a body that could not be read: the web library says so too where there was no room to put it."""
    if _is_full(error.__cause__):
        return _full_disk(request)
    other = _of_another_kind(request)
    words = "The body is not JSON in UTF-8." if request.url.path.startswith("/api/") else ""
    return refusal(request.scope, 415 if other else 400, other or words or str(error.detail))


def _unusable(request: Request, error: InputError) -> Response:
    if _is_full(error):
        return _full_disk(request)
    problems = [{"where": one.where, "said": str(one)} for one in error.problems]
    return refusal(request.scope, 422, "Some values cannot be used.", problems=problems)


def _is_full(error: BaseException | None) -> bool:
    if isinstance(error, UnwrittenError):
        return error.is_full
    return isinstance(error, OSError) and error.errno in NO_ROOM


def _full_disk(request: Request) -> Response:
    said = (
        "The disk of this server is full; what was just sent may not be saved. Free some space, see whether "
    )
    return refusal(request.scope, 507, f"{said}it is there, then send it again.")


def _is_of_whole_body(error: RequestValidationError) -> bool:
    return any(one["loc"] == ("body",) or one["type"] == "json_invalid" for one in error.errors())


def _of_another_kind(request: Request) -> str:
    """Why a body cannot be read at all, if its kind or coding is none that the API takes; else blank."""
    if not request.url.path.startswith("/api/"):
        return ""
    coding = request.headers.get("content-encoding", "identity")
    if coding.casefold() != "identity":
        return "A body that is packed is not unpacked here. Send it as it is, without content-encoding."
    kind = request.headers.get("content-type", "").partition(";")[0].strip().casefold()
    if kind == "application/json" or kind.endswith("+json"):
        return ""
    return "The body must be JSON. Send it with content-type: application/json."


def _problems(errors: Sequence[Any]) -> list[dict[str, str]]:
    return [{"where": _where(error), "said": _in_own_words(error)} for error in errors]


def _where(error: Mapping[str, Any]) -> str:
    # of a body that is no JSON the library names the character in place of a field
    return "" if error["type"] == "json_invalid" else ".".join(str(step) for step in error["loc"][1:])


def _in_own_words(error: Mapping[str, Any]) -> str:
    """What the validation library complains of, as the page says it."""
    name = str(error["loc"][-1]).replace("_", " ")
    if error["type"] == "json_invalid":
        return f"the body is not JSON: the fault is at character {error['loc'][-1]}."
    if error["loc"] == ("body",):
        name = "the body"
    for start, said in _COMPLAINTS.items():
        if str(error["type"]).startswith(start):
            said = said.format_map(error.get("ctx") or {})
            of_address = error["loc"][0] == "query" and error["type"] != "missing"
            return str(Problem(name, error["input"], said)) if of_address else f"{name} {said}"
    return f"{name} cannot be used."


def place_of_fault(error: BaseException) -> str:
    """Where in our code it happened; without values, which may be personal."""
    trace, place = error.__traceback__, "?"
    while trace is not None:
        place = f"{trace.tb_frame.f_globals.get('__name__', '?')}:{trace.tb_lineno}"
        trace = trace.tb_next
    return place
