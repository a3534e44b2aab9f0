"""An assessment that a page waits for: there, or still computed, or not to be had."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from starlette.requests import Request
from starlette.responses import Response

from longhold.assessment.line import assess
from longhold.base.version import VERSION
from longhold.intake.load import structure_of
from longhold.web.pages import is_part, show
from longhold.web.work import Progress

if TYPE_CHECKING:
    from longhold.assessment.findings import Assessment
    from longhold.model.structure import Structure

__all__ = ["PATIENCE_S", "Asked", "ask_for", "ask_work"]

PATIENCE_S = 1.2
_CLIMATE = (
    "The first answer for a climate simulates two years of weather in the timber, which takes about half a "
    "minute; after that it is there in a second."
)


Found = TypeVar("Found")


@dataclass(frozen=True)
class Asked(Generic[Found]):
    """What came of asking: what was found, or the page to show in place of it."""

    answer: Found | None = None
    instead: Response | None = None

    @property
    def found(self) -> Found:
        """What was found.

        Raises
        ------
        ValueError : where there is only a page in place of it
        """
        if self.answer is None:
            raise ValueError("nothing was found yet")
        return self.answer


def ask_for(request: Request, given: Mapping[str, Any], title: str, back: str) -> Asked[Assessment]:
    """The assessment of a structure, computed once for all who ask for the same.

    Parameters
    ----------
    request : that wants it; its address shows the answer once it is there
    given : the structure as typed
    title : of the computation, for people
    back : address where the structure can be changed

    Raises
    ------
    InputError : what cannot be used in the structure
    """
    structure = structure_of(dict(given))
    return ask_work(request, structure.model_dump_json(), title, back, partial(_assessed, structure))


def ask_work(
    request: Request,
    of: str,
    title: str,
    back: str,
    compute: Callable[[Progress], Found],
    said: str = _CLIMATE,
) -> Asked[Found]:
    """Any computation, done once for all who ask for the same.

    Parameters
    ----------
    request, title, back : as of ``ask_for``
    of : text of everything that the result depends on besides the release
    compute : called with what notes its progress, which ends it where somebody stopped it
    said : why it takes its time

    Raises
    ------
    InputError : what the computation refuses
    """
    key = hashlib.sha256(f"{VERSION} {of}".encode()).hexdigest()
    # a page that looks again by itself must not begin anew what somebody has just stopped
    after_stop = not is_part(request.scope)
    task = request.app.state.work.ask(key, title, compute, after_stop=after_stop)
    if not task.wait(PATIENCE_S):
        return Asked(instead=show("working.html.j2", scope=request.scope, task=task, back=back, said=said))
    if task.state == "stopped":
        return Asked(instead=show("stopped.html.j2", scope=request.scope, task=task, back=back))
    if task.error is not None:
        raise task.error
    return Asked(answer=task.result)


def _assessed(structure: Structure, step: Progress) -> Assessment:
    return assess(structure, progress=step)
