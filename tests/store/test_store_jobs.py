"""Jobs: none is run twice, none is forgotten, and a dead process is found out."""

import datetime
import os
import subprocess
import sys
import textwrap
import threading

import pytest

from longhold.store import NotInStore, StoreError
from longhold.store.workers import is_gone, this_worker


def test_a_job_from_queue_to_result(store):
    asked = store.queue_job("assessment", {"structure": 1}, author="Ann")
    assert (asked.state, asked.progress, asked.is_over) == ("queued", 0.0, False)
    job = store.claim_job()
    assert (job.id, job.state, job.attempt, job.inputs) == (asked.id, "running", 1, {"structure": 1})
    assert store.progress(job, 0.5, "joint 3 of 6")
    half = store.job(job.id)
    assert (half.progress, half.stage) == (0.5, "joint 3 of 6")
    done = store.finish(job, {"outcome": "passes"})
    assert store.job(job.id) == done
    assert (done.state, done.progress, done.result, done.is_over) == (
        "done",
        1.0,
        {"outcome": "passes"},
        True,
    )
    assert done.queued_at <= done.started_at <= done.ended_at
    assert store.claim_job() is None


def test_the_longest_waiting_of_the_kinds_asked_for_goes_first(store):
    ids = {kind: store.queue_job(kind, {}).id for kind in ("choice", "assessment", "papers")}
    assert store.claim_job(["papers", "assessment"]).id == ids["assessment"]
    assert store.claim_job(["assessment"]) is None
    assert store.claim_job().id == ids["choice"]


def test_the_same_question_asked_twice_is_one_job(store):
    first = store.queue_job("assessment", {"a": 1, "b": 2}, once=True)
    assert store.queue_job("assessment", {"b": 2, "a": 1}, once=True).id == first.id
    assert store.queue_job("papers", {"a": 1, "b": 2}, once=True).id != first.id
    store.finish(store.claim_job(["assessment"]), {})
    assert store.queue_job("assessment", {"a": 1, "b": 2}, once=True).id != first.id


def test_a_failure_is_kept_in_words(store):
    store.queue_job("assessment", {})
    failed = store.fail(store.claim_job(), "joints[0]: no such\x00 joint.\nSay another.")
    assert (failed.state, failed.fault) == ("failed", "joints[0]: no such joint.\nSay another.")


def test_a_canceled_job_tells_its_worker_to_stop(store):
    waiting = store.queue_job("assessment", {})
    assert store.cancel(waiting.id).state == "canceled"
    assert store.claim_job() is None
    store.queue_job("assessment", {})
    job = store.claim_job()
    assert store.progress(job, 0.1)
    store.cancel(job.id)
    assert not store.progress(job, 0.2)
    assert store.finish(job, {"late": True}).state == "canceled"
    assert store.job(job.id).result is None


def test_a_worker_that_lost_its_job_cannot_finish_it_for_another(store):
    store.queue_job("assessment", {})
    lost = store.claim_job()
    store.cancel(lost.id)
    store.queue_again(lost.id)
    again = store.claim_job()
    assert (again.id, again.attempt) == (lost.id, 2)
    assert not store.progress(lost, 0.9)
    assert store.finish(lost, {"by": "the first"}).state == "running"
    assert store.finish(again, {"by": "the second"}).result == {"by": "the second"}
    with pytest.raises(StoreError, match="is done"):
        store.queue_again(lost.id)


def test_every_job_is_claimed_once_by_eight_threads(store):
    wanted = {store.queue_job("assessment", {"number": number}).id for number in range(24)}
    claimed, gate = [], threading.Barrier(8)

    def work() -> None:
        gate.wait(30)
        while job := store.claim_job():
            claimed.append(job.id)
            store.finish(job, {})

    threads = [threading.Thread(target=work) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(claimed) == sorted(wanted)
    assert store.jobs(state="done").total == 24


def test_a_job_of_a_process_that_died_is_found_and_can_be_queued_again(store, place):
    store.queue_job("assessment", {"number": 1})
    script = """
        import os, signal, sys
        from longhold.store import Store
        store = Store.open(sys.argv[1])
        job = store.claim_job()
        store.progress(job, 0.25, "begun")
        os.kill(os.getpid(), signal.SIGKILL)
    """
    done = subprocess.run([sys.executable, "-c", textwrap.dedent(script), place], timeout=60)
    assert done.returncode == -9
    assert store.jobs(state="running").total == 1
    (found,) = store.find_interrupted()
    assert (found.state, found.progress, found.inputs) == ("interrupted", 0.25, {"number": 1})
    assert store.find_interrupted() == ()
    store.queue_again(found.id)
    assert store.finish(store.claim_job(), {}).state == "done"


def test_a_job_of_a_process_that_lives_is_left_alone(store):
    store.queue_job("assessment", {})
    job = store.claim_job()
    assert store.find_interrupted(silent=datetime.timedelta(0)) == ()
    assert store.progress(job, 0.5)


def test_a_number_given_to_a_later_process_is_not_taken_for_the_former():
    host, number, _ = this_worker().split(" ")
    assert is_gone(f"{host} {number} another-start:1") is True
    assert is_gone(f"{host} {os.getpid()} unknown") is None
    assert is_gone(f"elsewhere {number} x") is None
    assert is_gone("") is None


def test_what_is_not_there_or_no_share_is_refused(store):
    with pytest.raises(NotInStore):
        store.job(5)
    store.queue_job("assessment", {})
    job = store.claim_job()
    for share in (-0.1, 1.1, float("nan")):
        with pytest.raises(StoreError, match="0 to 1"):
            store.progress(job, share)
