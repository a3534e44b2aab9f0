"""What was assumed, changed where it is shown."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Literal

from markupsafe import Markup

from longhold.base.errors import InputError
from longhold.web.editing import Spot, find_spot
from longhold.web.pages import piece

if TYPE_CHECKING:
    from longhold.model.structure import Structure

__all__ = ["change_forms", "path_of"]


def path_of(structure: Structure, where: str) -> str:
    """The path inside a structure that an assumption stands for; blank where it stands for no one field.

    Assumptions speak of joints and parts by their ids, paths by their places.
    """
    steps = where.split(".")
    if steps[0] == "joints" and len(steps) > 2:
        ids = [joint.id for joint in structure.joints]
        if steps[1] not in ids:
            return ""
        number = ids.index(steps[1])
        parts = [part.id for part in structure.joints[number].parts]
        below = [f"parts[{parts.index(steps[2])}]", *steps[3:]] if steps[2] in parts else steps[2:]
        where = ".".join([f"joints[{number}]", *below])
    spot = _spot(where)
    return where if spot is not None and spot.field is not None else ""


def change_forms(
    structure: Structure,
    action: str,
    kept: Sequence[tuple[str, str]],
    method: Literal["get", "post"] = "post",
) -> Callable[[str], Markup]:
    """What makes, for the field of an assumption, the small form that says otherwise.

    Parameters
    ----------
    structure : as assessed
    action, method : where a form is sent, and how; it sends ``path`` and ``value``
    kept : names and texts that every form sends with them
    """

    def form(where: str) -> Markup:
        path = path_of(structure, where)
        spot = _spot(path) if path else None
        if spot is None or spot.field is None:
            return Markup("")
        what = spot.field.what
        choices = ("yes", "no") if what.kind == "yes_no" else () if what.many else what.choices
        return piece(
            "change_assumed.html.j2",
            action=action,
            method=method,
            kept=kept,
            path=path,
            choices=choices,
            name=where,
        )

    return form


def _spot(path: str) -> Spot | None:
    try:
        return find_spot(path)
    except InputError:
        return None
