"""Pages from their templates, and the files that stand beside them."""

from __future__ import annotations

import hashlib
import re
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from markupsafe import Markup
from starlette.responses import HTMLResponse, Response
from starlette.types import Scope

from longhold.base.recent import once
from longhold.base.version import VERSION
from longhold.documents.page import style_sheet, template_text, unbroken_standards
from longhold.documents.templates import Templates
from longhold.documents.words import CAUTION

if TYPE_CHECKING:
    from collections.abc import Mapping

    from longhold.web.accounts_person import Person

__all__ = ["FLOWS", "asset", "asset_url", "is_part", "may_change", "piece", "show"]

FLOWS = (
    ("/label", "A label"),
    ("/joint", "One joint"),
    ("/structures", "Structures"),
    ("/compare", "Compare"),
)
"""Address and name of each way in, as the head of every page lists them."""
_INTO_PAGE = {
    "vary": "HX-Request",
    "hx-retarget": "#content",
    "hx-reselect": "#content > *",
    "hx-reswap": "innerHTML",
}
_KINDS = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".woff2": "font/woff2",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
}
_SENT_FORM = re.compile(r'(<form\b[^>]*\bmethod="post"[^>]*>)(.*?)</form>', re.DOTALL)
_OWN_FORM = re.compile(r'\baction="(?:/login|/logout|/account/password)"')
"""What everybody may send, whatever the role."""
_FONTS = ("regular", "bold", "italic")


def show(template: str, *, scope: Scope, status: int = 200, alone: bool = False, **values: Any) -> Response:
    """One page; a script that asked for it puts what is in it where the last page stood.

    Parameters
    ----------
    template : its name
    scope : of the request
    status : of HTTP
    alone : whether it is only a piece, which stands where the script says
    values : what the template asks for
    """
    person = scope.get("person")
    html = (
        _environment()
        .get_template(template)
        .render(
            here=str(scope.get("path", "")),
            person=person,
            may_change=may_change(scope),
            alone_here=_is_alone(scope),
            **values,
        )
    )
    html = unbroken_standards(html)
    if person is not None:
        html = _SENT_FORM.sub(lambda form: _form_of(form, person), html)
    headers = _INTO_PAGE if is_part(scope) and not alone else {"vary": "HX-Request"}
    return HTMLResponse(html, status_code=status, headers=headers)


def may_change(scope: Scope) -> bool:
    """Whether the one who asks may change anything."""
    person = scope.get("person")
    return person is None or bool(person.may_change)


def piece(template: str, **values: Any) -> Markup:
    """A piece of a page that stands inside another."""
    return Markup(_environment().get_template(template).render(**values))  # noqa: S704  its template escapes


def _is_alone(scope: Scope) -> bool:
    app = scope.get("app")
    return app is None or not app.state.settings.asks_who


def _form_of(form: re.Match[str], person: Person) -> str:
    """A form that sends something: with the token of its person, or shut for whom the role only lets read.

    It is done here so that no template can forget it.
    """
    start, inside = form[1], form[2]
    if not person.may_change and not _OWN_FORM.search(start):
        return f'{start}<fieldset class="shut" disabled>{inside}</fieldset></form>'
    return f'{start}<input type="hidden" name="form_token" value="{person.form_token}">{inside}</form>'


def is_part(scope: Scope) -> bool:
    """Whether the script of a page asks for what goes inside it."""
    headers: Mapping[bytes, bytes] = dict(scope.get("headers", []))
    return headers.get(b"hx-request") == b"true" and headers.get(b"hx-history-restore-request") != b"true"


def asset(name: str) -> tuple[bytes, str] | None:
    """Bytes and media type of a file that pages use; None where there is no such file."""
    kind = _KINDS.get(f".{name.rpartition('.')[2]}")
    if kind is None or name not in _assets():
        return None
    return _assets()[name], kind


@once
def asset_url(name: str) -> str:
    """Its address, which changes with its content, so that browsers may keep it for good.

    Raises
    ------
    KeyError : where there is no such file
    """
    return f"/static/{hashlib.sha256(_assets()[name]).hexdigest()[:12]}/{name}"


@once
def _assets() -> Mapping[str, bytes]:
    found = {
        one.name: one.read_bytes()
        for one in files("longhold.web").joinpath("static").iterdir()
        if one.is_file()
    }
    fonts = files("longhold.documents").joinpath("fonts")
    found |= {f"{name}.woff2": fonts.joinpath(f"{name}.woff2").read_bytes() for name in _FONTS}
    digests = {name: hashlib.sha256(found[f"{name}.woff2"]).hexdigest()[:12] for name in _FONTS}
    faces = {name: f"/static/{digest}/{name}.woff2" for name, digest in digests.items()}
    found["report.css"] = style_sheet(faces, foot="Longhold: a forecast, not a certificate").encode()
    return found


def _own_template(name: str) -> str | None:
    file = files("longhold.web").joinpath("templates", name)
    return file.read_text(encoding="utf-8") if file.is_file() else None


@once
def _environment() -> Templates:
    environment = Templates(lambda name: _own_template(name) or template_text(name))
    environment.globals |= {"caution": CAUTION, "asset_url": asset_url, "flows": FLOWS, "version": VERSION}
    return environment
