"""Give every reader of what people hand in inputs that were spoiled on purpose, and tell what crashed.

    python tools/fuzz.py --minutes 20                 # bred by the lines that they reach
    python tools/fuzz.py --minutes 2 --only xlsx,ifc  # these alone
    python tools/fuzz.py --inputs 100                 # a fixed number from a fixed seed, as the tests do
    python tools/fuzz.py --minutes 20 --note docs/proof.md

A crash is anything but an answer or a refusal in words for the person who handed it in: any other error, more
than 10 s of a processor, 1 GB more, or a message that only a programmer understands. The exit code is 1 where
there is one; its input lies in build/fuzz/crashes, and is tried again by --input TARGET FILE.
"""

from __future__ import annotations

import argparse
import base64
import datetime
import json
import os
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

from fuzzing.judging import Crash, judge
from fuzzing.plain import Tried, try_plainly
from fuzzing.targets import TARGETS

ROOT = Path(__file__).resolve().parents[1]
BUILD = ROOT / "build" / "fuzz"
_BEGIN, _END = "<!-- fuzzed: written by make fuzz -->", "<!-- /fuzzed -->"


def main(words: list[str] | None = None) -> int:
    """Run what is asked for; the exit code."""
    asked = _asked(words)
    os.environ["LONGHOLD_CONFIG"] = "off"  # lists that the developer had remembered are not tried
    if asked.input:
        crash = judge(TARGETS[asked.input[0]].take, Path(asked.input[1]).read_bytes())
        print("read, or refused as it should be" if crash is None else f"{crash.key}\n{crash.told}")
        return crash is not None
    names = asked.only.split(",") if asked.only else list(TARGETS)
    seconds = 60.0 * asked.minutes / len(names)
    found: dict[str, Tried] = {}
    for name in names:
        found[name] = (
            try_plainly(name, asked.inputs, asked.seed)
            if asked.inputs
            else try_guided(name, seconds, asked.seed)
        )
        print(_row(name, found[name]), flush=True)
        _keep(name, found[name])
    print("\n".join(["", *table(found)]))
    if asked.note:
        _note(asked.note, found, asked)
    return any(tried.crashes for tried in found.values())


def try_guided(name: str, seconds: float, seed: int) -> Tried:
    """One target in a process of its own, which a fault below Python cannot take us along with."""
    BUILD.mkdir(parents=True, exist_ok=True)
    out = BUILD / f"{name}.json"
    out.unlink(missing_ok=True)
    with (BUILD / f"{name}.log").open("w", encoding="utf-8") as log:
        code = subprocess.run(
            [
                sys.executable,
                "-m",
                "fuzzing.guided",
                name,
                str(seconds),
                str(seed),
                str(BUILD / name),
                str(out),
            ],
            cwd=ROOT / "tools",
            stdout=log,
            stderr=subprocess.STDOUT,
            check=False,
        ).returncode
    tried = _read(out)
    for left in sorted(BUILD.glob(f"{out.name}.*-*")):  # crash-, timeout-, oom-, as the library names them
        tried.note(
            Crash(f"{left.name.removeprefix(out.name)[1:].split('-')[0]} of the process", ""),
            left.read_bytes(),
        )
        left.unlink()
    if code and not tried.crashes:
        raise SystemExit(f"{name} ended with {code}; see {BUILD / name}.log")
    return tried


def table(found: dict[str, Tried]) -> list[str]:
    """What was tried, for people: one line for each reader."""
    rows = [
        f"| {words} | {inputs:,} | {read:,} | {crashes} |"
        for words, inputs, read, crashes in [
            *((TARGETS[name].words, one.inputs, one.read, len(one.crashes)) for name, one in found.items()),
            (
                "all",
                sum(one.inputs for one in found.values()),
                sum(one.read for one in found.values()),
                sum(len(one.crashes) for one in found.values()),
            ),
        ]
    ]
    return ["| Reader | Spoiled inputs | Of them read | Crashes |", "|---|--:|--:|--:|", *rows]


def _asked(words: list[str] | None) -> argparse.Namespace:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--minutes", type=float, default=20.0, help="for all readers together")
    asked.add_argument("--inputs", type=int, default=0, help="a fixed number for each, from the seed alone")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--only", default="", help=f"of {', '.join(TARGETS)}")
    asked.add_argument("--note", type=Path, help="a file whose table is written anew")
    asked.add_argument("--input", nargs=2, metavar=("TARGET", "FILE"), help="try one input again")
    return asked.parse_args(words)


def _read(out: Path) -> Tried:
    if not out.exists():
        return Tried()
    told = json.loads(out.read_text(encoding="utf-8"))
    crashes = {key: (Crash(key, said), base64.b64decode(data)) for key, said, _, data in told["crashes"]}
    often = Counter({key: times for key, _, times, _ in told["crashes"]})
    return Tried(told["inputs"], told["read"], seconds=told["seconds"], crashes=crashes, often=often)


def _row(name: str, tried: Tried) -> str:
    return f"{name:12} {tried.inputs:8,} inputs {tried.seconds:7.1f} s {len(tried.crashes):4} crashes"


def _keep(name: str, tried: Tried) -> None:
    for crash, data in tried.crashes.values():
        folder = BUILD / "crashes"
        folder.mkdir(parents=True, exist_ok=True)
        file = folder / f"{name}-{re.sub(r'[^A-Za-z0-9]+', '-', crash.key)[-80:]}"
        file.write_bytes(data)
        print(f"  {tried.often[crash.key]} x {crash.key}\n    {file}\n    {crash.told.strip()[-600:]}")


def _note(file: Path, found: dict[str, Tried], asked: argparse.Namespace) -> None:
    """Write the table into a page, between its two marks."""
    minutes = sum(tried.seconds for tried in found.values()) / 60.0
    alone = "spoiled inputs alone are counted"
    how = f"{asked.inputs} spoiled inputs each" if asked.inputs else f"{minutes:.0f} minutes"
    head = f"Measured on {datetime.date.today()} with seed {asked.seed}, {how}; {alone}:"
    text = file.read_text(encoding="utf-8")
    before, rest = text.split(_BEGIN)
    after = rest.split(_END)[1]
    body = "\n".join(["", head, "", *table(found), ""])
    file.write_text(f"{before}{_BEGIN}{body}{_END}{after}", encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
