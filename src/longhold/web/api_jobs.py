"""For programs: assessments as jobs, which are asked for, heard of, called off, and kept."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Request, Response
from pydantic import Field
from starlette.datastructures import QueryParams

from longhold.store import Job, Store
from longhold.store.records import JobState
from longhold.web.accounts_person import Author
from longhold.web.api_common import LIMIT, MORE_PROBLEMS, PROBLEMS, Id, Limit, Number, Offset, Shape
from longhold.web.failures import RefusedError
from longhold.web.jobs import ASSESSMENT, assessment_inputs
from longhold.web.joint_form import JointForm
from longhold.web.structure_pages import Kept
from longhold.web.waiting import left_out

__all__ = ["router"]

router = APIRouter(prefix="/api", tags=["assessments"], responses=PROBLEMS)
_Text = Annotated[str, Field(max_length=300)]
Draws = Annotated[int, Field(ge=200, le=20_000, description="Draws of the uncertain inputs.")]
Seed = Annotated[int, Field(ge=0, le=2**31 - 1)]
_Law = Annotated[
    Literal["both", "calibrated", "printed"],
    Field(description="Loss in air: ISO 9223 as printed, moved to measured sites, or both by halves."),
]


class JobItem(Shape):
    """Where a job stands."""

    id: int
    kind: str
    author: str
    state: JobState
    progress: float = Field(description="Share that is done, 0 to 1.")
    stage: str = Field(description="What it is at, in words.")
    fault: str = Field(description="Why nothing came of it, in words.")
    attempt: int
    queued_at: datetime
    started_at: datetime | None
    ended_at: datetime | None


class KeptJobItem(JobItem):
    """Where a job on a structure that is kept stands."""

    left_out: str = Field(
        default="",
        description="What was typed in its sheet, cannot be used and is not in the version assessed.",
    )


class PageOfJobs(Shape):
    """Some jobs, the newest first."""

    items: list[JobItem]
    total: int
    offset: int
    next_offset: int | None


class AssessStructure(Shape):
    """A structure to assess, as it stands in a JSON structure file."""

    structure: dict[str, Any]
    draws: Draws = 2000
    seed: Seed = 1
    air_law: _Law = "both"


class AssessKept(Shape):
    """A version of a structure that is kept."""

    version: Annotated[Number, Field(description="Number of the version; 0 for the newest.")] = 0
    draws: Draws = 2000
    seed: Seed = 1
    air_law: _Law = "both"


class JointPart(Shape):
    """One part of a joint."""

    kind: _Text
    label: _Text
    size: _Text = ""
    count: _Text = ""


class AssessJoint(Shape):
    """One joint, as the page asks for it: quantities with their units, the rest as usual where left out."""

    at: Annotated[_Text, Field(description='Latitude and longitude, such as "33.97 -77.92".')]
    parts: Annotated[list[JointPart], Field(min_length=1, max_length=4)]
    salt_water: _Text | None = None
    place: _Text | None = None
    species: _Text | None = None
    preservative: _Text | None = None
    use_category: _Text | None = None
    timber_size: _Text | None = None
    side_size: _Text | None = None
    demand: _Text | None = None
    life: _Text | None = None
    code: Annotated[_Text, Field(description='Pack and edition, such as "us_irc 2021".')] | None = None
    application: _Text | None = None
    role: _Text | None = None
    units: _Text | None = None
    shore: _Text | None = None
    setting: _Text | None = None
    access: _Text | None = None


@router.post("/assessments", summary="Assess a structure", status_code=202)
def assess_structure(
    request: Request, store: Kept, author: Author, sent: AssessStructure, response: Response
) -> JobItem:
    """Queue the assessment of a structure; one that is under way already is given instead of a second."""
    inputs = assessment_inputs(sent.structure, sent.draws, sent.seed, sent.air_law)
    return _queued(request, store, author, inputs, response)


@router.post("/assessments/joint", summary="Assess one joint", status_code=202)
def assess_joint(
    request: Request, store: Kept, author: Author, sent: AssessJoint, response: Response
) -> JobItem:
    """Queue the assessment of one joint, told in the words of the page that asks for one."""
    pairs = [(name, text) for name, text in sent.model_dump(exclude={"parts"}, exclude_none=True).items()]
    pairs += [(name, text) for part in sent.parts for name, text in part.model_dump().items()]
    inputs = assessment_inputs(JointForm.of(QueryParams(pairs)).given())
    return _queued(request, store, author, inputs, response)


@router.post("/structures/{number}/assessments", summary="Assess a structure that is kept", status_code=202)
def assess_kept(
    request: Request, store: Kept, author: Author, number: Id, sent: AssessKept, response: Response
) -> KeptJobItem:
    """Queue the assessment of one version of a structure that is kept."""
    held = store.at(number, sent.version) if sent.version else store.newest(number)
    inputs = assessment_inputs(held.content, sent.draws, sent.seed, sent.air_law)
    queued = _queued(request, store, author, inputs, response)
    return KeptJobItem(**queued.model_dump(), left_out=left_out(store, held))


@router.get("/jobs", summary="List the jobs")
def jobs(store: Kept, state: JobState | None = None, offset: Offset = 0, limit: Limit = LIMIT) -> PageOfJobs:
    """Every job, the newest first, or those in one state."""
    return PageOfJobs.model_validate(store.jobs(state=state, offset=offset, limit=limit))


@router.get("/jobs/{number}", summary="Tell where a job stands")
def job(store: Kept, number: Id) -> JobItem:
    """One job; ask again while its state is queued or running."""
    return JobItem.model_validate(store.job(number))


@router.get("/jobs/{number}/result", summary="Give what came of a job", responses=MORE_PROBLEMS)
def result(store: Kept, number: Id) -> dict[str, Any]:
    """What came of a job that is done: the document that its operation names, as of ``assess --json``."""
    found = store.job(number)
    if found.result is None:
        is_underway = found.state in ("queued", "running")
        title = "Not done yet" if is_underway else "Nothing came of it"
        raise RefusedError(409, f"Job {number} is {found.state}. {found.fault}".strip(), title=title)
    return dict(found.result)


@router.post("/jobs/{number}/cancel", summary="Call a job off")
def canceled(store: Kept, number: Id) -> JobItem:
    """A waiting job never starts, a running one stops at its next joint; one that is over stays as it is."""
    return JobItem.model_validate(store.cancel(number))


@router.post("/jobs/{number}/again", summary="Queue a job again", responses=MORE_PROBLEMS)
def again(request: Request, store: Kept, number: Id) -> JobItem:
    """Queue a job again that was interrupted, failed or canceled."""
    if (state := store.job(number).state) in ("queued", "running", "done"):
        raise RefusedError(
            409,
            f"Job {number} is {state}; only one that came to nothing can be queued again.",
            title="Not to be queued again",
        )
    queued = store.queue_again(number)
    request.app.state.jobs.wake()
    return JobItem.model_validate(queued)


def _queued(
    request: Request, store: Store, author: str, inputs: dict[str, Any], response: Response
) -> JobItem:
    queued: Job = store.queue_job(ASSESSMENT, inputs, author=author, once=True)
    request.app.state.jobs.wake()
    response.headers["location"] = f"/api/jobs/{queued.id}"
    return JobItem.model_validate(queued)
