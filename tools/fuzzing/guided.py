"""Inputs that are bred by which lines of ours they reach, for a while, in a process of its own.

    python -m fuzzing.guided TARGET SECONDS SEED KEPT OUT

KEPT is a folder of inputs that reached something new, read and added to; OUT gets what came of it as JSON.
"""

from __future__ import annotations

import base64
import json
import os
import sys
from pathlib import Path
from random import Random
from time import perf_counter

import atheris

with atheris.instrument_imports(include=["longhold"]):
    from fuzzing.mutating import spoiled
    from fuzzing.plain import Tried
    from fuzzing.targets import TARGETS

_MOST_MB = 4_000
_LONGEST_S = 120  # a reader that cannot be stopped from within; the input is left beside OUT
_EVERY = 20
_ANEW = 0.3  # begins with a sound one: what was spoiled often enough is refused at its first line


def main(name: str, seconds: str, seed: str, kept: str, out: str) -> None:
    """Try one target."""
    target, tried = TARGETS[name], Tried()
    seeds = target.seeds()
    folder = Path(kept)
    folder.mkdir(parents=True, exist_ok=True)
    with atheris.instrument_imports(include=["longhold"]):  # rooms are imported when they are first asked
        for number, data in enumerate(seeds):
            (folder / f"sound-{number}").write_bytes(data)
            tried.try_sound(target, data)
    started = perf_counter()
    most = 2 * max(map(len, seeds)) + 10_000

    def one(data: bytes) -> None:
        if data in seeds:  # the library begins with what lies in the folder
            return
        tried.try_one(target, data)
        tried.seconds = perf_counter() - started
        if tried.inputs % _EVERY == 0 or tried.seconds > float(seconds):
            _write(Path(out), tried)
        if tried.seconds > float(seconds):
            os._exit(0)  # what runs it from outside would go on

    def bred(data: bytes, size: int, number: int) -> bytes:
        dice = Random(number)
        if dice.random() < 0.15 and target.form == "text":
            return bytes(atheris.Mutate(data, size))
        held = dice.choice(seeds) if dice.random() < _ANEW else data
        return spoiled(held, seeds, target.form, dice, size)

    options = [f"-max_len={most}", f"-seed={seed}", f"-timeout={_LONGEST_S}", f"-rss_limit_mb={_MOST_MB}"]
    atheris.Setup(
        [sys.argv[0], *options, "-verbosity=0", f"-artifact_prefix={out}.", str(folder)],
        one,
        custom_mutator=bred,
    )
    atheris.Fuzz()


def _write(out: Path, tried: Tried) -> None:
    crashes = [
        [crash.key, crash.told, tried.often[crash.key], base64.b64encode(data).decode()]
        for crash, data in tried.crashes.values()
    ]
    told = {"inputs": tried.inputs, "read": tried.read, "seconds": tried.seconds, "crashes": crashes}
    beside = out.with_suffix(".part")
    beside.write_text(json.dumps(told), encoding="utf-8")
    beside.replace(out)


if __name__ == "__main__":
    main(*sys.argv[1:])
