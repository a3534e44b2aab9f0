"""Disks where writing goes wrong, made by the system where it lets us; structures quick to assess."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import textwrap
from collections.abc import Callable
from pathlib import Path

import pytest

INSIDE = """
name = "{name}"
design_life = "50 years"
[code]
pack = "us_irc"
edition = "2021"
[site]
name = "{name} site"
distance_to_salt_water = "{salt} miles"
[site.climate]
station = "Wilmington NC"
[timbers.joist]
species = "southern pine"
preservative = "none"
size = "2x8"
[[joints]]
id = "A1"
name = "strap"
place = "damp_inside"
main = "joist"
parts = [{{ id = "strap", kind = "strap", size = "16 ga", label = "G185" }}]
"""


@pytest.fixture
def quick() -> Callable[..., str]:
    """Text of a structure file without rain on its timber, which needs no simulation."""

    def made(name: str = "deck", salt: int = 40) -> str:
        return INSIDE.format(name=name, salt=salt)

    return made


MOUNT = 'mount -t tmpfs -o size={size} none "$1" && shift && exec "$@"'


def _may_mount() -> bool:
    if shutil.which("unshare") is None:
        return False
    tried = subprocess.run(["unshare", "-m", "mount", "-t", "tmpfs", "none", "/mnt"], capture_output=True)
    return tried.returncode == 0


@pytest.fixture
def on_small_disk(tmp_path: Path) -> Callable[..., str]:
    """Runs a script with a small disk of its own in the folder ``disk``; gives what it prints.

    The script has ``fill`` and ``make_room``, ``left`` for the names on the disk, and ``run`` of the command,
    which gives its exit code and what it says. Where this user may mount nothing, to fill the disk is to let
    no file grow past 500 bytes, and ``be_read_only`` refuses what begins a file.
    """
    disk = tmp_path / "disk"
    disk.mkdir()
    start = """
        import contextlib, io, os, sys
        from pathlib import Path
        from longhold.cli.main import run as _run
        disk, limited = Path(sys.argv[1]), sys.argv[2] == "limit"
        def run(*words):
            out, err = io.StringIO(), io.StringIO()
            with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
                code = _run([str(word) for word in words])
            return code, err.getvalue().strip()
        def fill():
            if limited:
                import resource
                resource.setrlimit(resource.RLIMIT_FSIZE, (500, resource.RLIM_INFINITY))
                return
            with (disk / "ballast").open("wb", buffering=0) as stream, contextlib.suppress(OSError):
                while True:
                    stream.write(b"x" * 1024)
        def make_room():
            if limited:
                import resource
                resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
            else:
                (disk / "ballast").unlink()
        def be_read_only():
            if not limited:
                import subprocess
                subprocess.run(["mount", "-o", "remount,ro", disk], check=True)
                return
            import errno, tempfile
            def refused(*_, **__):
                raise OSError(errno.EROFS, "Read-only file system")
            tempfile.mkstemp, os.access = refused, lambda _, way: way != os.W_OK
        def left():
            return sorted(str(one.relative_to(disk)) for one in disk.rglob("*") if one.name != "ballast")
    """

    def ran(script: str, *words: object, size: str = "512k") -> str:
        way = "mount" if _may_mount() else "limit"
        plain = [sys.executable, "-c", textwrap.dedent(start) + textwrap.dedent(script), disk, way, *words]
        mounted = ["unshare", "-m", "sh", "-c", MOUNT.format(size=size), "sh", disk, *plain]
        done = subprocess.run(
            [str(word) for word in (mounted if way == "mount" else plain)],
            capture_output=True,
            text=True,
            timeout=300,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    return ran
