"""What would pass here: by the code, by the chance to last in this joint, and by the class of stainless."""

from __future__ import annotations

from functools import partial

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from longhold.assessment.allowed import AllowedPart, allowed_at, allowed_together, setting_of
from longhold.assessment.bar import asked_words
from longhold.assessment.rule_facts import joint_named
from longhold.base.errors import InputError
from longhold.documents.allowed_view import (
    ALLOWED_GROUPS,
    allowed_heads,
    allowed_rows,
    part_heading,
    undecided_because,
)
from longhold.intake.load import structure_of
from longhold.model.structure import Joint, Structure
from longhold.web.asked import ask_work
from longhold.web.joint_form import JointForm
from longhold.web.pages import show
from longhold.web.structure_pages import Kept
from longhold.web.work import Progress

__all__ = ["router"]

router = APIRouter(include_in_schema=False)


@router.get("/joint/allowed")
def in_one_joint(request: Request) -> Response:
    """For the joint of a form."""
    back = f"/joint?{request.url.query}"
    try:
        structure = structure_of(JointForm.of(request.query_params).given())
        return _shown(request, structure, structure.joints[0], back, f"{back}&change=1")
    except InputError:
        return RedirectResponse(back, 303)  # the form says what is wrong, field by field


@router.get("/structures/{number}/allowed/{joint}")
def in_a_structure(request: Request, store: Kept, number: int, joint: str, version: int = 0) -> Response:
    """For one joint of a kept structure; with ``version`` as it once was, which is not changed."""
    held = store.at(number, version) if version else store.newest(number)
    structure = structure_of(dict(held.content))
    there, of_version = f"/structures/{number}", f"?version={version}" if version else ""
    back, change = f"{there}/answer{of_version}", "" if version else there
    said = f"This is of version {held.number}. " if version else ""
    return _shown(request, structure, joint_named(structure, joint), back, change, said)


def _shown(
    request: Request, structure: Structure, joint: Joint, back: str, change: str, said: str = ""
) -> Response:
    alone = structure.model_copy(update={"joints": [joint]})
    of = f"allowed {alone.model_dump_json()}"
    asked = ask_work(request, of, "What would pass here", back, partial(_allowed, alone, joint))
    if asked.instead is not None:
        return asked.instead
    parts = [
        (one, part_heading(one), allowed_rows(one, structure), undecided_because(one)) for one in asked.found
    ]
    return show(
        "allowed.html.j2",
        scope=request.scope,
        joint=joint,
        parts=parts,
        heads=allowed_heads(structure),
        groups=ALLOWED_GROUPS,
        bar=asked_words(structure.target_chance),
        life=f"{structure.design_life:g} years",
        back=back,
        change=change,
        said=said,
    )


def _allowed(structure: Structure, joint: Joint, step: Progress) -> tuple[AllowedPart, ...]:
    setting, total = setting_of(structure, joint), len(joint.parts) + 1
    step(0, total)
    together = allowed_together(structure, joint, setting=setting)
    found = [together] if together is not None else []
    for done, part in enumerate(joint.parts, start=1):
        step(done, total)
        found += allowed_at(structure, joint, part, setting=setting)
    return tuple(found)
