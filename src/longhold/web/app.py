"""The application: its layers, its pages, and what all of them share."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Annotated

from fastapi import Depends, FastAPI, Form
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from longhold.base.errors import InputError
from longhold.base.version import VERSION
from longhold.store import NotInStore, Store
from longhold.web import (
    accounts_pages,
    allowed_pages,
    answer_pages,
    api,
    care_pages,
    choose_pages,
    compare_pages,
    delivery_pages,
    field_pages,
    joint_page,
    label_page,
    offers_pages,
    photo_page,
    structure_pages,
    visit_pages,
)
from longhold.web.accounts_door import Door
from longhold.web.accounts_pages import SignIn
from longhold.web.accounts_person import check_form
from longhold.web.accounts_proxy import Proxied
from longhold.web.accounts_safe import refuse_without_owner
from longhold.web.accounts_tls import refuse_without_tls
from longhold.web.failures import handle_failures, refusal
from longhold.web.guard import Guard
from longhold.web.jobs import JobRunner
from longhold.web.pages import asset, asset_url, show
from longhold.web.settings import Settings
from longhold.web.work import Work

__all__ = ["make_app"]

_FOREVER = "public, max-age=31536000, immutable"


def make_app(settings: Settings | None = None) -> FastAPI:
    """The page as an ASGI application.

    Parameters
    ----------
    settings : of the server; those of a page for this machine alone if not given

    Raises
    ------
    InputError : other machines would reach it without TLS, or without an owner's account
    """
    settings = settings or Settings()
    refuse_without_tls(settings)
    store = Store.open(settings.store)
    try:
        refuse_without_owner(settings, store)
    except InputError:
        store.close()
        raise
    work, jobs = Work(settings.workers), JobRunner(store)

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        jobs.start()
        yield
        work.close()
        jobs.close()
        store.close()

    app = FastAPI(
        title="Longhold",
        version=VERSION,
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
        lifespan=life,
        dependencies=[Depends(check_form)],
    )
    app.state.work = work
    app.state.store = store
    app.state.settings = settings
    app.state.jobs = jobs
    app.state.sign_in = SignIn(store)
    if settings.asks_who:
        app.add_middleware(Door, settings=settings, store=store)
    app.add_middleware(Guard, settings=settings)
    if settings.proxy:
        app.add_middleware(Proxied, proxy=settings.proxy)
    handle_failures(app)
    app.add_exception_handler(NotInStore, structure_pages.not_kept)

    @app.get("/", include_in_schema=False)
    def home(request: Request) -> Response:
        return show("home.html.j2", scope=request.scope)

    @app.get("/static/{digest}/{name}", include_in_schema=False)
    def static(request: Request, name: str) -> Response:
        found = asset(name)
        if found is None:
            return refusal(request.scope, 404)
        content, kind = found
        return Response(content, media_type=kind, headers={"cache-control": _FOREVER})

    @app.post("/work/{key}/stop", include_in_schema=False)
    def stop(key: str, back: Annotated[str, Form()] = "/") -> Response:
        if (task := work.find(key)) is not None:
            task.stop()
        return RedirectResponse(back if back.startswith("/") and not back.startswith("//") else "/", 303)

    @app.get("/favicon.ico", include_in_schema=False)
    def icon() -> Response:
        return RedirectResponse(asset_url("mark.svg"), 308)

    rooms = (
        accounts_pages,
        label_page,
        photo_page,
        joint_page,
        structure_pages,
        answer_pages,
        allowed_pages,
        compare_pages,
        offers_pages,
        choose_pages,
        care_pages,
        visit_pages,
        delivery_pages,
        field_pages,
        api,
    )
    for room in rooms:
        app.include_router(room.router)

    api.describe(app)

    return app
