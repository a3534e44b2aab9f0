"""Choosing for a kept structure: what work costs, the choice as it stands, and the papers from it."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from typing import Annotated, Any

from fastapi import APIRouter, Form, Request
from markupsafe import Markup
from starlette.responses import RedirectResponse, Response

from longhold.base.errors import Fault, InputError, LongholdError, Problem
from longhold.choose.options import group_joints
from longhold.documents.choice_page import choice_part
from longhold.intake.load import structure_of
from longhold.store import NotInStore, Store
from longhold.web.asked import Asked, ask_work
from longhold.web.cost_form import DEMO_COSTS, CostForm, cost_words
from longhold.web.failures import refusal
from longhold.web.files_out import attachment, today
from longhold.web.guard import REPORT_POLICY
from longhold.web.pages import show
from longhold.web.purchase_question import Question, asked_under, keep_question, last_asked
from longhold.web.purchase_work import FILES, Made, Purchase, chosen, made, missing, written
from longhold.web.structure_pages import Kept
from longhold.web.supplier_lists import HeldList, held_list
from longhold.web.waiting import left_out

__all__ = ["router"]

router = APIRouter(include_in_schema=False, prefix="/structures/{number}/choose")


@router.get("/costs")
def costs(request: Request, store: Kept, number: int, offers: int, of: str = "") -> Response:
    """The form of costs; ``of`` is the choice whose costs are changed."""
    held, listed = store.newest(number), held_list(store, offers)
    try:
        structure_of(dict(held.content))
    except InputError:
        return RedirectResponse(f"/structures/{number}", 303)  # the sheet says what is wrong, cell by cell
    before = asked_under(store, number, of) if of else last_asked(store, number)
    given: Mapping[str, str] = DEMO_COSTS if listed.is_demo else {}
    # invented costs never slip under a real list, nor real ones under the invented list
    if before is not None and held_list(store, before.offers).is_demo == listed.is_demo:
        given = before.costs
    return _costs(request, store, number, listed, CostForm.of(given, listed.currencies), of)


@router.post("/costs")
async def said(request: Request, store: Kept, number: int) -> Response:
    """The costs as typed, and the choice under them."""
    sent = await request.form()
    texts = {name: str(value) for name, value in sent.items() if isinstance(value, str)}
    return await asyncio.to_thread(_said, request, store, number, texts)


@router.get("/made/{key}")
def choice(request: Request, store: Kept, number: int, key: str) -> Response:
    """The choice, once it is computed."""
    asked = asked_under(store, number, key)
    back = f"/structures/{number}/choose/costs?offers={asked.offers}&of={key}"
    try:
        found = _asked(request, store, asked, back)
    except (NotInStore, Fault):
        raise
    except LongholdError as error:
        problems = (
            error.problems if isinstance(error, InputError) else [Problem("the choice", None, str(error))]
        )
        listed = held_list(store, asked.offers)
        form = CostForm.of(asked.costs, listed.currencies)
        form = replace(form, problems={"": [str(one) for one in problems]})
        return _costs(request, store, number, listed, form, key)
    if found.instead is not None:
        return found.instead
    purchase = found.found
    part = partial(choice_part, found=purchase.found, refused=purchase.listed.refused, as_of=purchase.as_of)
    return show(
        "chosen.html.j2",
        scope=request.scope,
        held=(held := store.at(number, asked.version)),
        left_out=left_out(store, held),
        asked=asked,
        key=key,
        purchase=purchase,
        top=part("choice_lede.html.j2"),
        order=part("choice_order.html.j2"),
        swap=part("choice_swap.html.j2") if purchase.found.substitution is not None else "",
        rest=part("choice_years.html.j2", change_assumed=partial(_change_link, back), field_words=cost_words),
        costs_at=back,
    )


@router.post("/made/{key}/change")
def changed(
    store: Kept,
    number: int,
    key: str,
    use: Annotated[str, Form()] = "",
    free: Annotated[str, Form()] = "",
    ban: Annotated[str, Form()] = "",
    unban: Annotated[str, Form()] = "",
    out: Annotated[str, Form()] = "",
    back: Annotated[str, Form()] = "",
    renew: Annotated[str, Form()] = "",
) -> Response:
    """The same question with one thing said: an item that is used, not wanted, out of stock, or none of it.

    ``use`` and ``free`` are JSON lists of a joint and, one after the other, parts with their items; the
    others are items.
    """
    asked = asked_under(store, number, key)
    if use:
        joint, *pairs = _where(use)
        alike = _alike(store, asked, joint)
        for part, item in zip(pairs[::2], pairs[1::2], strict=True):
            asked = asked.with_lock(*((one, part, item) for one in alike))
            asked = asked.with_items("bans", item, said=False).with_items("without", item, said=False)
    elif free:
        joint, part, _ = _where(free)
        asked = asked.without_lock(joint, part)
    elif ban:
        asked = asked.with_items("bans", ban, said=True).with_items("without", ban, said=False)
        asked = replace(asked, locks=tuple(one for one in asked.locks if one[2] != ban))
    elif unban:
        asked = asked.with_items("bans", unban, said=False)
    elif out:
        asked = asked.with_items("without", out, said=True)
    elif back:
        asked = asked.with_items("without", back, said=False)
    elif renew:
        asked = replace(asked, version=store.newest(number).number)
    items = held_list(store, asked.offers).items
    if unknown := {*asked.bans, *asked.without, *(one[2] for one in asked.locks)} - items:
        raise InputError(Problem("item", min(unknown), "is not on the list."))
    return RedirectResponse(f"/structures/{number}/choose/made/{keep_question(store, asked)}", 303)


@router.get("/made/{key}/papers")
def papers(request: Request, store: Kept, number: int, key: str) -> Response:
    """The papers, ready to be taken."""
    asked = asked_under(store, number, key)
    back = f"/structures/{number}/choose/made/{key}"
    found = _papers(request, store, asked, back)
    if isinstance(found, Response):
        return found
    purchase, done = found
    return show(
        "papers_page.html.j2",
        scope=request.scope,
        held=(held := store.at(number, asked.version)),
        left_out=left_out(store, held),
        key=key,
        files=[(name, *told, missing(name)) for name, told in FILES.items()],
        told=done.told,
        purchase=purchase,
    )


@router.get("/made/{key}/papers/{name}")
def paper(request: Request, store: Kept, number: int, key: str, name: str) -> Response:
    """One of the files."""
    if name not in FILES:
        return refusal(request.scope, 404)
    if said := missing(name):
        return refusal(request.scope, 503, f"{name} {said}.")
    asked = asked_under(store, number, key)
    there = f"/structures/{number}/choose/made/{key}/papers"
    found = _papers(request, store, asked, there)
    if isinstance(found, Response):
        return RedirectResponse(there, 303)  # it is computed anew there, and the page says so
    purchase, done = found
    media = FILES[name][2]
    headers = attachment(f"{store.at(number, asked.version).name} {name.replace('_', ' ')}")
    if media.startswith("text/html"):
        headers["content-security-policy"] = REPORT_POLICY
    return Response(written(name, purchase, done), media_type=media, headers=headers)


def _said(request: Request, store: Store, number: int, texts: Mapping[str, str]) -> Response:
    offers = int(texts["offers"]) if texts.get("offers", "").isdecimal() else 0
    listed = held_list(store, offers)
    form = CostForm.of(texts, listed.currencies).judged()
    of = texts.get("of", "")
    if form.problems:
        return _costs(request, store, number, listed, form, of)
    before = asked_under(store, number, of) if of else None
    asked = Question(number, store.newest(number).number, offers, form.texts)
    if before is not None and before.offers == offers:
        asked = replace(asked, locks=before.locks, bans=before.bans, without=before.without)
    return RedirectResponse(f"/structures/{number}/choose/made/{keep_question(store, asked)}", 303)


def _costs(
    request: Request, store: Store, number: int, listed: HeldList, form: CostForm, of: str
) -> Response:
    return show(
        "costs.html.j2",
        scope=request.scope,
        status=422 if form.problems else 200,
        held=(held := store.newest(number)),
        left_out=left_out(store, held),
        listed=listed,
        demo=DEMO_COSTS,
        form=form,
        problems=form.problems,
        of=of,
    )


def _asked(request: Request, store: Store, asked: Question, back: str) -> Asked[Purchase]:
    day = today()
    title = f"Choosing for {store.at(asked.structure, asked.version).name}"
    return ask_work(request, f"choice {asked.key} {day}", title, back, chosen(store, asked, day))


def _papers(request: Request, store: Store, asked: Question, back: str) -> tuple[Purchase, Made] | Response:
    """The choice and its papers, or the page that says how far they are."""
    first = _asked(request, store, asked, back)
    if first.instead is not None:
        return first.instead
    title = f"Papers for {first.found.found.market.structure.name}"
    beside = left_out(store, store.at(asked.structure, asked.version))
    key = f"papers {asked.key} {first.found.as_of} {beside}"
    done = ask_work(request, key, title, back, partial(made, first.found, beside))
    return (first.found, done.found) if done.instead is None else done.instead


def _alike(store: Store, asked: Question, joint: str) -> tuple[str, ...]:
    """Joints that are chosen for together with one, as the page shows them."""
    structure = structure_of(dict(store.at(asked.structure, asked.version).content))
    groups = group_joints(structure.joints, apart={one[0] for one in asked.locks})
    for group in groups:
        if joint in group.ids:
            return group.ids
    raise InputError(Problem("joint", joint, "is no joint of the structure."))


def _where(text: str) -> list[str]:
    try:
        found: Any = json.loads(text)
    except ValueError:
        found = None
    if (
        isinstance(found, list)
        and len(found) % 2
        and len(found) > 1
        and all(isinstance(one, str) for one in found)
    ):
        return found
    raise InputError(Problem("the button", None, "was not understood.", "Load the page again."))


def _change_link(costs_at: str, where: str) -> Markup:
    """Where an assumption about costs is changed."""
    name = {"access": "access.moderate"}.get(where.removeprefix("costs."), where.removeprefix("costs."))
    return Markup(' <a class="small on-screen" href="{}#{}">Change</a>').format(costs_at, name)
