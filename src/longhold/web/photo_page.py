"""A photograph of a label: sent, read, and shown for correction before anybody interprets it."""

from __future__ import annotations

import hashlib
from functools import partial
from typing import Annotated

from fastapi import APIRouter, File, Request, UploadFile
from starlette.responses import RedirectResponse, Response

from longhold.base.errors import InputError
from longhold.intake.photo import PhotoText, read_photo
from longhold.web.asked import PATIENCE_S
from longhold.web.pages import show
from longhold.web.work import Progress

__all__ = ["router"]

router = APIRouter(include_in_schema=False, prefix="/label/photo")


@router.post("")
def sent(request: Request, photo: Annotated[UploadFile | None, File()] = None) -> Response:
    """Take a photograph in; it is read and kept in memory for a while, and written nowhere."""
    if photo is None or not photo.filename:
        said = "No photograph was chosen: choose one first."
        return show("photo.html.j2", scope=request.scope, status=422, found=None, said=(), unchosen=said)
    data = photo.file.read()
    key = f"photo-{hashlib.sha256(data).hexdigest()}"
    request.app.state.work.ask(key, "Reading the photograph", partial(_read, data))
    return RedirectResponse(f"/label/photo/{key}", 303)


@router.get("")
def nothing_sent() -> Response:
    """To the page where a photograph is chosen: this address is where it is sent to."""
    return RedirectResponse("/label", 303)


@router.get("/{key}")
def read(request: Request, key: str) -> Response:
    """What was read, in a field where it can be put right."""
    task = request.app.state.work.find(key)
    if task is None:
        said = "That photograph is not held any more: photographs are kept in memory alone. Send it again."
        return _refused(request, [said], 404)
    if not task.wait(PATIENCE_S):
        return show("working.html.j2", scope=request.scope, task=task, back="/label", said="")
    if isinstance(task.error, InputError):
        reasons = [f"The photograph {one.allowed} {one.do}".strip() for one in task.error.problems]
        return _refused(request, reasons, 422)
    if task.error is not None:
        raise task.error
    if task.state == "stopped":
        return RedirectResponse("/label", 303)
    return show("photo.html.j2", scope=request.scope, found=task.result)


def _read(data: bytes, step: Progress) -> PhotoText:
    step(0, 1)
    return read_photo(data)


def _refused(request: Request, said: list[str], status: int) -> Response:
    return show("photo.html.j2", scope=request.scope, status=status, found=None, said=said)
