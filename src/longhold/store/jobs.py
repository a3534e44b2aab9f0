"""Computations that take longer than a page may, kept so that a restart forgets none."""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from longhold.store.connecting import Connected
from longhold.store.errors import NotInStore, StoreError
from longhold.store.given import (
    author_line,
    document_text,
    inputs_hash,
    line,
    may_be_id,
    page_bounds,
    utc_now,
)
from longhold.store.records import Job, JobState, Page
from longhold.store.tables import JobRow
from longhold.store.workers import is_gone, this_worker

__all__ = ["Jobs"]

KIND_AT_MOST, WORDS_AT_MOST = 100, 4000
_STOPPED = "The program was stopped while it ran."
SILENT = datetime.timedelta(minutes=15)


class Jobs(Connected):
    """Jobs: queued by a page, claimed by a worker, heard of while they run, over one way or another."""

    def queue_job(self, kind: str, inputs: Mapping[str, Any], *, author: str = "", once: bool = False) -> Job:
        """Ask for a computation.

        Parameters
        ----------
        once : gives the job of this kind with these inputs that is queued or running already, if there is one

        Raises
        ------
        StoreError : inputs that JSON cannot hold
        """
        name, who = line("kind", kind, KIND_AT_MOST), author_line(author)
        kept, hashed = document_text("inputs", inputs), inputs_hash(inputs)
        with self._writing() as session:
            if once:
                wanted = (JobRow.inputs_hash == hashed) & (JobRow.kind == name)
                alive = JobRow.state.in_(("queued", "running"))
                found = session.scalar(select(JobRow).where(wanted, alive).order_by(JobRow.id).limit(1))
                if found is not None:
                    return _job(found)
            row = JobRow(
                kind=name,
                inputs=kept,
                inputs_hash=hashed,
                author=who,
                state="queued",
                progress=0.0,
                stage="",
                fault="",
                attempt=0,
                worker="",
                queued_at=utc_now(),
            )
            session.add(row)
            session.flush()
            return _job(row)

    def claim_job(self, kinds: Iterable[str] | None = None) -> Job | None:
        """Take the job that has waited longest, to run it in this process; None where none waits.

        No two workers get the same one.
        """
        waiting = select(JobRow).where(JobRow.state == "queued")
        if kinds is not None:
            waiting = waiting.where(JobRow.kind.in_(list(kinds)))
        with self._writing() as session:
            row = session.scalar(waiting.order_by(JobRow.id).limit(1).with_for_update(skip_locked=True))
            if row is None:
                return None
            row.state, row.worker, row.attempt = "running", this_worker(), row.attempt + 1
            row.progress, row.stage, row.fault = 0.0, "", ""
            row.started_at = row.heard_at = utc_now()
            row.ended_at = None
            return _job(row)

    def progress(self, job: Job, share: float, stage: str = "") -> bool:
        """Tell how far a claimed job is; False says to stop, since it was canceled or given to another.

        Parameters
        ----------
        share : 0 to 1
        stage : what it is at, in words for people

        Raises
        ------
        StoreError : a share that is not 0 to 1
        NotInStore : no such job
        """
        if not 0.0 <= share <= 1.0:
            raise StoreError("progress", share, "must be a share from 0 to 1.")
        with self._writing() as session:
            row = _there(session, job.id)
            if not _is_mine(row, job):
                return False
            row.progress, row.heard_at = float(share), utc_now()
            row.stage = line("stage", stage[:WORDS_AT_MOST], WORDS_AT_MOST, may_be_empty=True, lines=True)
            return True

    def finish(self, job: Job, result: Mapping[str, Any]) -> Job:
        """Keep what came out of a claimed job; one that was canceled meanwhile stays canceled.

        Raises
        ------
        StoreError : a result that JSON cannot hold
        NotInStore : no such job
        """
        return self._ended(job, "done", result=document_text("result", result), progress=1.0)

    def fail(self, job: Job, fault: str) -> Job:
        """Keep why a claimed job failed, in words for people; one that was canceled stays canceled.

        Raises
        ------
        NotInStore : no such job
        """
        words = "".join(sign for sign in fault if sign.isprintable() or sign == "\n")
        return self._ended(job, "failed", fault=words[:WORDS_AT_MOST])

    def interrupt(self, job: Job) -> Job:
        """Let go of a claimed job because the program is being stopped; it can be queued again.

        Raises
        ------
        NotInStore : no such job
        """
        return self._ended(job, "interrupted", fault=_STOPPED)

    def _ended(self, job: Job, state: JobState, **kept: object) -> Job:
        """End a job with what is kept of it, if whoever asks still has it."""
        with self._writing() as session:
            row = _there(session, job.id)
            if _is_mine(row, job):
                for name, value in kept.items():
                    setattr(row, name, value)
                _end(row, state)
            return _job(row)

    def cancel(self, job_id: int) -> Job:
        """Call a job off: a waiting one never starts, a running one is told at its next ``progress``.

        Raises
        ------
        NotInStore : no such job
        """
        with self._writing() as session:
            row = _there(session, job_id)
            if row.state in ("queued", "running"):
                _end(row, "canceled")
            return _job(row)

    def queue_again(self, job_id: int) -> Job:
        """Put a job that was interrupted, failed or canceled back in the queue, at its old place.

        Raises
        ------
        NotInStore : no such job
        StoreError : it is waiting, running or done
        """
        with self._writing() as session:
            row = _there(session, job_id)
            if row.state not in ("interrupted", "failed", "canceled"):
                raise StoreError("job", job_id, f"is {row.state}.", "Only a job that came to nothing can be.")
            row.state, row.worker, row.fault, row.progress = "queued", "", "", 0.0
            row.ended_at = None
            return _job(row)

    def find_interrupted(self, silent: datetime.timedelta = SILENT) -> tuple[Job, ...]:
        """Mark and give the running jobs whose process has died; a server asks when it starts, and at times.

        Parameters
        ----------
        silent : after so long without ``progress`` a process that cannot be seen from here counts as dead
        """
        now, gone = utc_now(), []
        with self._writing() as session:
            running = select(JobRow).where(JobRow.state == "running").order_by(JobRow.id)
            for row in session.scalars(running.with_for_update(skip_locked=True)):
                dead = is_gone(row.worker)
                if dead is None:
                    dead = now - (row.heard_at or row.queued_at) > silent
                if dead:
                    row.fault = _STOPPED
                    _end(row, "interrupted")
                    gone.append(_job(row))
        return tuple(gone)

    def job(self, job_id: int) -> Job:
        """One job as it stands.

        Raises
        ------
        NotInStore : no such job
        """
        with self._reading() as session:
            row = session.get(JobRow, job_id) if may_be_id(job_id) else None
            if row is None:
                raise _missing(job_id)
            return _job(row)

    def jobs(self, *, state: JobState | None = None, offset: int = 0, limit: int = 50) -> Page[Job]:
        """Jobs, the newest first, all of them or those in one state."""
        page_bounds(offset, limit)
        wanted = [] if state is None else [JobRow.state == state]
        with self._reading() as session:
            total = session.scalar(select(func.count()).select_from(JobRow).where(*wanted)) or 0
            found = select(JobRow).where(*wanted).order_by(JobRow.id.desc()).offset(offset).limit(limit)
            return Page(tuple(map(_job, session.scalars(found))), total, offset)


def _missing(job_id: int) -> NotInStore:
    return NotInStore("job", job_id, "there is none with this number in the store.")


def _there(session: Session, job_id: int) -> JobRow:
    row = session.get(JobRow, job_id, with_for_update=True) if may_be_id(job_id) else None
    if row is None:
        raise _missing(job_id)
    return row


def _is_mine(row: JobRow, job: Job) -> bool:
    return row.state == "running" and row.attempt == job.attempt


def _end(row: JobRow, state: JobState) -> None:
    row.state, row.ended_at = state, utc_now()


def _job(row: JobRow) -> Job:
    state: JobState = row.state  # type: ignore[assignment]
    return Job(
        row.id,
        row.kind,
        json.loads(row.inputs),
        row.inputs_hash,
        row.author,
        state,
        row.progress,
        row.stage,
        None if row.result is None else json.loads(row.result),
        row.fault,
        row.attempt,
        row.queued_at,
        row.started_at,
        row.ended_at,
    )
