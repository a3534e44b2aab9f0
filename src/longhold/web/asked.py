"""An assessment that a page waits for: there, or still computed, or not to be had."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from longhold.assessment.line import assess
from longhold.base.version import VERSION
from longhold.intake.load import structure_of
from longhold.web.pages import show

if TYPE_CHECKING:
    from longhold.assessment.findings import Assessment
    from longhold.model.structure import Structure

__all__ = ["Asked", "ask_for"]

_PATIENCE_S = 1.2


@dataclass(frozen=True)
class Asked:
    """What came of asking: what was found, or the page to show in place of it."""

    answer: Assessment | None = None
    instead: Response | None = None

    @property
    def found(self) -> Assessment:
        """What was found.

        Raises
        ------
        ValueError : where there is only a page in place of it
        """
        if self.answer is None:
            raise ValueError("nothing was found yet")
        return self.answer


def ask_for(request: Request, given: Mapping[str, Any], title: str, back: str) -> Asked:
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
    key = hashlib.sha256(f"{VERSION} {structure.model_dump_json()}".encode()).hexdigest()
    task = request.app.state.work.ask(key, title, partial(_assessed, structure))
    if not task.wait(_PATIENCE_S):
        return Asked(instead=show("working.html.j2", scope=request.scope, task=task, back=back))
    if task.state == "stopped":
        return Asked(instead=RedirectResponse(back, 303))
    if task.error is not None:
        raise task.error
    return Asked(answer=task.result)


def _assessed(structure: Structure, step: Callable[[int, int], None]) -> Assessment:
    return assess(structure, progress=step)
