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
    inputs : how many spoiled ones it was given
    read : how many of them it read; the others it refused, or crashed
    sound : how many of the inputs that nobody spoiled it read
    seconds : how long that took
    crashes : each way of crashing, with the first input that did so, and how often it came
    """

    inputs: int = 0
    read: int = 0
    sound: int = 0
    seconds: float = 0.0
    crashes: dict[str, tuple[Crash, bytes]] = field(default_factory=dict)
    often: Counter[str] = field(default_factory=Counter)

    def try_one(self, target: Target, data: bytes) -> None:
        """Give one spoiled input to the reader."""
        is_read, crash = _tried(target, data)
        self.inputs += 1
        self.read += is_read
        self.note(crash, data)

    def try_sound(self, target: Target, data: bytes) -> None:
        """Give one sound input to the reader, which is not counted among the spoiled ones."""
        is_read, crash = _tried(target, data)
        self.sound += is_read
        self.note(crash, data)

    def note(self, crash: Crash | None, data: bytes) -> None:
        """Keep what crashed."""
        if crash is not None:
            self.often[crash.key] += 1
            self.crashes.setdefault(crash.key, (crash, data))


def try_plainly(name: str, inputs: int, seed: int, enough: Callable[[Tried], bool] | None = None) -> Tried:
    """The sound inputs of a target, then so many spoiled ones."""
    target, tried, started = TARGETS[name], Tried(), perf_counter()
    seeds = target.seeds()
    for data in seeds:
        tried.try_sound(target, data)
    for data in _spoiled(name, seeds, seed):
        if tried.inputs >= inputs or (enough is not None and enough(tried)):
            break
        tried.try_one(target, data)
        tried.seconds = perf_counter() - started
    return tried


def _tried(target: Target, data: bytes) -> tuple[bool, Crash | None]:
    read = []
    crash = judge(lambda given: read.append(target.take(given)), data)
    return bool(read), crash


def _spoiled(name: str, seeds: list[bytes], seed: int) -> Iterator[bytes]:
    target, dice = TARGETS[name], Random(f"{name} {seed}")
    while True:
        yield spoiled(dice.choice(seeds), seeds, target.form, dice)
