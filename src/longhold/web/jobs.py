"""Computations that the store remembers: run beside the page, called off on demand, found after a restart."""

from __future__ import annotations

import json
import logging
import secrets
import threading
import time
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from longhold.assessment.line import assess
from longhold.base.asked_on import asked_on
from longhold.base.errors import Fault, InputError
from longhold.care.refused import refused
from longhold.care.site import checked_again
from longhold.documents.exchange import assessment_json
from longhold.documents.readings_exchange import readings_json
from longhold.documents.receipt_exchange import receipt_json
from longhold.documents.receipt_words import effect_rows
from longhold.inspect.consequence import cost_move
from longhold.inspect.learn import update
from longhold.intake.load import structure_of
from longhold.model.offer import Offer
from longhold.model.reading import Reading
from longhold.store import Job, Store, StoreError, StoreFault
from longhold.web.failures import place_of_fault

__all__ = ["ASSESSMENT", "READINGS", "REFUSED", "JobRunner", "assessment_inputs"]

ASSESSMENT = "assessment"
READINGS = "readings"
"""The forecast as the readings that are kept leave it."""
REFUSED = "refused"
"""What refused lines of a delivery that is kept would do, and what may take their place."""
_LOG = logging.getLogger("longhold.web")
_LOOKS_EVERY_S, _TELLS_EVERY_S, _ASKS_EVERY_S = 2.0, 0.5, 60.0
_LEAVES_WITHIN_S = 3.0


class _LetGoError(Exception):
    """The job is no longer ours, or the server closes."""


def assessment_inputs(
    content: Mapping[str, Any], draws: int = 2000, seed: int = 1, air_law: str = "both"
) -> dict[str, Any]:
    """Everything that an assessment depends on, as a job keeps it.

    Parameters
    ----------
    content : a structure as it stands in a file
    draws, seed, air_law : as of ``assess``

    Raises
    ------
    InputError : what cannot be used in the structure
    """
    structure_of(dict(content))
    return {"structure": dict(content), "draws": draws, "seed": seed, "air_law": air_law}


def _assessed(inputs: Mapping[str, Any], step: Callable[[int, int], None]) -> dict[str, Any]:
    found = assess(
        structure_of(dict(inputs["structure"])),
        draws=inputs["draws"],
        seed=inputs["seed"],
        air_law=inputs["air_law"],
        progress=step,
    )
    return assessment_json(found)


def _learned(inputs: Mapping[str, Any], step: Callable[[int, int], None]) -> dict[str, Any]:
    readings = [Reading.model_validate_json(json.dumps(one)) for one in inputs["readings"]]
    structure = structure_of(dict(inputs["structure"]))
    found = update(structure, readings, draws=inputs["draws"], seed=inputs["seed"], progress=step)
    return readings_json(found, ())


def _refused(store: Store, inputs: Mapping[str, Any], step: Callable[[int, int], None]) -> dict[str, Any]:
    checked, kept = checked_again(store, inputs["structure_id"], inputs["entry"])
    structure = structure_of(dict(store.at(kept.structure_id, inputs["version"]).content))
    offers = [Offer.model_validate_json(json.dumps(one)) for one in inputs["offers"]]
    found = refused(checked.receipt, structure, offers, step, draws=inputs["draws"], seed=inputs["seed"])
    rows = effect_rows(found.found, [cost_move(one.line, offers) for one in found.found])
    notes = (*checked.notes, *inputs.get("left_aside", ()))  # a job of an earlier version has none
    told = receipt_json(checked.receipt, rows, notes, found.other if offers else None)
    return {**told, "entry": kept.entry}


class JobRunner:
    """Runs the jobs of a store, one after another, in a thread of its own.

    Parameters
    ----------
    store : that keeps them
    compute : what a kind of job is computed with, by kind
    """

    def __init__(
        self,
        store: Store,
        compute: Mapping[str, Callable[[Mapping[str, Any], Callable[[int, int], None]], Any]] | None = None,
    ) -> None:
        self._store = store
        self._compute = compute or {
            ASSESSMENT: _assessed,
            READINGS: _learned,
            REFUSED: partial(_refused, store),
        }
        self._woken, self._closing = threading.Event(), threading.Event()
        # a step may take half a minute, and nobody who stops the server waits for it
        self._thread = threading.Thread(target=self._run, name="longhold-jobs", daemon=True)

    def start(self) -> None:
        """Begin, with what a server that was stopped left behind told as interrupted."""
        self._store.find_interrupted()
        self._thread.start()

    def wake(self) -> None:
        """Look for work now."""
        self._woken.set()

    def close(self) -> None:
        """Stop; what runs is let go of at its next step, and can be queued again."""
        self._closing.set()
        self._woken.set()
        if self._thread.is_alive():
            self._thread.join(_LEAVES_WITHIN_S)

    def _run(self) -> None:
        asked = time.monotonic()
        while not self._closing.is_set():
            self._woken.clear()
            try:
                job = self._store.claim_job(self._compute)
                if job is not None:
                    self._run_one(job)
                    continue
                if time.monotonic() - asked > _ASKS_EVERY_S:
                    asked = time.monotonic()
                    self._store.find_interrupted()
            except (StoreError, StoreFault) as error:
                _LOG.error("jobs wait: the store answers with %s", type(error).__name__)
            self._woken.wait(_LOOKS_EVERY_S)

    def _run_one(self, job: Job) -> None:
        try:
            with asked_on("program"):
                result = self._compute[job.kind](job.inputs, self._step_of(job))
            self._store.finish(job, result)
        except _LetGoError:
            if self._closing.is_set():
                self._store.interrupt(job)
        except (Fault, InputError) as error:
            self._store.fail(job, str(error))
        except Exception as error:
            reference = secrets.token_hex(4)
            _LOG.error(
                "fault %s: %s at %s, job %s",
                reference,
                type(error).__name__,
                place_of_fault(error),
                job.kind,
            )
            self._store.fail(job, f"A fault of Longhold's own. Please report it with reference {reference}.")

    def _step_of(self, job: Job) -> Callable[[int, int], None]:
        told = 0.0

        def step(done: int, total: int) -> None:
            nonlocal told
            if self._closing.is_set():
                raise _LetGoError
            if time.monotonic() - told < _TELLS_EVERY_S and done < total:
                return
            told = time.monotonic()
            share = done / total if total else 0.0
            if not self._store.progress(job, min(1.0, share), f"{done} of {total} joints"):
                raise _LetGoError

        return step
