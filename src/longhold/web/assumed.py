"""What was assumed, changed where it is shown."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from markupsafe import Markup

from longhold.base.errors import InputError
from longhold.documents.words import upper_first
from longhold.model.field_words import field_words as named
from longhold.web.editing import Spot, change, find_spot
from longhold.web.judging import Told, judge
from longhold.web.pages import piece
from longhold.web.spoken import spoken

if TYPE_CHECKING:
    from longhold.model.structure import Structure

__all__ = ["NotTaken", "change_forms", "field_words", "joint_of", "path_of", "why_not"]


class NotTaken(NamedTuple):
    """What was said of a field and cannot be used.

    Attributes
    ----------
    path : of the field inside the structure
    name : the field as the page calls it
    typed : what was said
    said : why not, and what to do
    joint : id of the joint that it belongs to; blank for none
    """

    path: str
    name: str
    typed: str
    said: str
    joint: str


def why_not(given: Mapping[str, Any], path: str, typed: str) -> NotTaken | None:
    """What keeps a structure that can be assessed from being so with one value as typed; None for nothing.

    Parameters
    ----------
    given : the structure, which can be assessed
    path : of the field
    typed : its text

    Raises
    ------
    InputError : a path that leads to nothing
    """
    try:
        told = judge(change(given, path, typed)).told
    except InputError as error:
        if _spot(path) is None:
            raise
        told = tuple(Told(path, spoken(given, path), one.allowed) for one in error.problems)
    if not told:
        return None
    here = next((one for one in told if one.where == path), told[0])
    said = here.said if here.where == path else f"{here.name}: {here.said}"
    return NotTaken(path, spoken(given, path), typed, upper_first(said), joint_of(given, path))


def joint_of(given: Mapping[str, Any], path: str) -> str:
    """Id of the joint that a path leads into; blank for none."""
    spot = _spot(path)
    if spot is None or spot.record[:1] != ("joints",):
        return ""
    joint: Mapping[str, Any] = given["joints"][spot.record[1]]
    return str(joint.get("id", ""))


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


def field_words(structure: Structure) -> Callable[[str], str]:
    """What calls the field of an assumption as the page does."""
    given = structure.model_dump(mode="json", include={"joints": {"__all__": {"id": True, "parts": True}}})

    def words(where: str) -> str:
        if path := path_of(structure, where):
            return spoken(given, path)
        owner, _, below = where.partition(".")
        of_joint = owner == "joints" and below
        return f"{below.partition('.')[0]}, {named(where)}" if of_joint else spoken(given, where)

    return words


def change_forms(
    structure: Structure,
    action: str,
    kept: Sequence[tuple[str, str]],
    method: Literal["get", "post"] = "post",
    not_taken: NotTaken | None = None,
) -> Callable[[str], Markup]:
    """What makes, for the field of an assumption, the small form that says otherwise.

    Parameters
    ----------
    structure : as assessed
    action, method : where a form is sent, and how; it sends ``path`` and ``value``
    kept : names and texts that every form sends with them
    not_taken : what was said last and cannot be used, to stand beside its field
    """

    called = field_words(structure)

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
            name=called(where),
            wrong=not_taken if not_taken is not None and not_taken.path == path else None,
        )

    return form


def _spot(path: str) -> Spot | None:
    try:
        return find_spot(path)
    except InputError:
        return None
