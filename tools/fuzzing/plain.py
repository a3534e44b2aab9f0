"""A fixed number of inputs from a fixed seed, without watching which lines they reach."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from random import Random
from time import perf_counter

from fuzzing.judging import Crash, judge
from fuzzing.mutating import spoiled
from fuzzing.targets import TARGETS, Target


@dataclass
class Tried:
    """What came of trying one reader.

    Attributes
    ----------
    inputs : how many it was given
    read : how many of them it read; the others it refused, or crashed
    seconds : how long that took
    crashes : each way of crashing, with the first input that did so, and how often it came
    """

    inputs: int = 0
    read: int = 0
    seconds: float = 0.0
    crashes: dict[str, tuple[Crash, bytes]] = field(default_factory=dict)
    often: Counter[str] = field(default_factory=Counter)

    def try_one(self, target: Target, data: bytes) -> None:
        """Give one input to the reader."""

        def counted(given: bytes) -> None:
            target.take(given)
            self.read += 1

        self.note(judge(counted, data), data)

    def note(self, crash: Crash | None, data: bytes) -> None:
        """Count one input."""
        self.inputs += 1
        if crash is not None:
            self.often[crash.key] += 1
            self.crashes.setdefault(crash.key, (crash, data))


def try_plainly(name: str, inputs: int, seed: int, enough: Callable[[Tried], bool] | None = None) -> Tried:
    """The sound inputs of a target, then spoiled ones up to a number of inputs."""
    target, tried, started = TARGETS[name], Tried(), perf_counter()
    for data in _inputs(name, seed):
        if tried.inputs >= inputs or (enough is not None and enough(tried)):
            break
        tried.try_one(target, data)
        tried.seconds = perf_counter() - started
    return tried


def _inputs(name: str, seed: int) -> Iterator[bytes]:
    target, dice = TARGETS[name], Random(f"{name} {seed}")
    seeds = target.seeds()
    yield from seeds
    while True:
        yield spoiled(dice.choice(seeds), seeds, target.form, dice)
