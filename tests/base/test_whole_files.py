"""Whatever goes wrong while a file is written, the old one or the whole new one stands there, no leftover."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys

import pytest

from longhold.base import whole_files
from longhold.base.whole_files import IsThereError, UnwrittenError, remove_abandoned, whole_file


def names(folder):
    return sorted(entry.name for entry in folder.iterdir())


@pytest.mark.parametrize(
    ("code", "do", "is_full"),
    [
        (errno.ENOSPC, "Make room on the disk", True),
        (errno.EDQUOT, "Make room on the disk", True),
        (errno.EROFS, "Choose a folder that may be written", False),
        (errno.EIO, "Input/output error", False),
    ],
)
@pytest.mark.parametrize("step", ["mkstemp", "write", "fsync", "replace"])
def test_a_step_that_fails_leaves_the_old_file_and_says_which_it_is(
    tmp_path, monkeypatch, step, code, do, is_full
):
    target = tmp_path / "deck.html"
    target.write_text("old", encoding="utf-8")

    def refused(*_, **__):
        raise OSError(code, os.strerror(code))

    where = {"mkstemp": whole_files.tempfile, "fsync": os, "replace": os}
    if step in where:
        monkeypatch.setattr(where[step], step, refused)

    def write() -> None:
        with whole_file(target) as part:
            part.write_text("half of the new", encoding="utf-8")
            if step == "write":
                refused()

    with pytest.raises(UnwrittenError) as told:
        write()
    assert str(told.value).startswith(f"{target}: cannot be written: ")
    assert do in str(told.value)
    assert told.value.is_full == is_full
    assert target.read_text(encoding="utf-8") == "old"
    assert names(tmp_path) == ["deck.html"]


def test_a_file_that_is_there_stays_where_it_is_not_to_be_replaced(tmp_path):
    target = tmp_path / "deck.toml"
    target.write_text("old", encoding="utf-8")
    with pytest.raises(IsThereError), whole_file(target, replace=False) as part:
        part.write_text("new", encoding="utf-8")
    assert target.read_text(encoding="utf-8") == "old"
    assert names(tmp_path) == ["deck.toml"]


def test_a_disk_without_links_gets_whole_new_files_too(tmp_path, monkeypatch):
    def no_links(*_):
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    target = tmp_path / "deck.toml"
    with whole_file(target, replace=False) as part:
        part.write_text("new", encoding="utf-8")
    with pytest.raises(IsThereError), whole_file(target, replace=False) as part:
        part.write_text("newer", encoding="utf-8")
    assert target.read_text(encoding="utf-8") == "new"
    assert names(tmp_path) == ["deck.toml"]


def test_folders_on_the_way_are_made_or_named_where_they_cannot_be(tmp_path):
    with whole_file(tmp_path / "a" / "b.txt", folders=True) as part:
        part.write_text("text", encoding="utf-8")
    with (
        pytest.raises(UnwrittenError, match=r"b\.txt: cannot be written"),
        whole_file(tmp_path / "a" / "b.txt" / "c.txt", folders=True),
    ):
        pass


def test_a_private_file_is_for_its_owner_alone(tmp_path):
    with whole_file(tmp_path / "store.db", private=True):
        pass
    assert stat.S_IMODE((tmp_path / "store.db").stat().st_mode) == 0o600


def test_who_may_read_a_file_stays_so_when_it_is_replaced(tmp_path):
    target = tmp_path / "deck.html"
    for mode in (0o600, 0o640, 0o664):
        target.write_text("old", encoding="utf-8")
        target.chmod(mode)
        with whole_file(target) as part:
            assert stat.S_IMODE(part.stat().st_mode) == 0o600
            part.write_text("new", encoding="utf-8")
        assert stat.S_IMODE(target.stat().st_mode) == mode


def test_a_new_file_is_as_any_other_and_the_mask_is_not_touched(tmp_path, monkeypatch):
    (tmp_path / "other").touch()
    monkeypatch.setattr(os, "umask", lambda _: pytest.fail("was set for the whole process"))
    with whole_file(tmp_path / "deck.html"):
        pass
    assert (tmp_path / "deck.html").stat().st_mode == (tmp_path / "other").stat().st_mode


def test_a_file_that_cannot_be_read_is_not_told_as_one_that_cannot_be_written(tmp_path):
    target, missing = tmp_path / "deck.html", tmp_path / "photo.jpg"
    with pytest.raises(FileNotFoundError) as told, whole_file(target) as part:
        part.write_bytes(missing.read_bytes())
    assert told.value.filename == str(missing)
    with pytest.raises(OSError, match="no picture"), whole_file(target):
        raise OSError("no picture")
    with pytest.raises(UnwrittenError, match=r"deck\.html: cannot be written"), whole_file(target) as part:
        os.listdir(part)  # names it, as opening it would
    assert names(tmp_path) == []


def test_a_name_as_long_as_the_system_takes(tmp_path):
    target = tmp_path / ("ü" * 127)
    with whole_file(target) as part:
        part.write_text("text", encoding="utf-8")
    assert target.read_text(encoding="utf-8") == "text"


def test_leftovers_of_a_killed_writer_go_and_no_others(tmp_path):
    killed = subprocess.Popen([sys.executable, "-c", ""])
    killed.wait()
    mine, elsewhere = f"{whole_files._host()}-{os.getpid()}", f"00000000-{killed.pid}"
    dead = f"{whole_files._host()}-{killed.pid}"
    left = [f".deck.{dead}-a_b1.part", f".deck.{dead}-a_b1.part-journal", f".order.pdf.{dead}-x.part"]
    stay = [f".deck.{mine}-x.part", f".deck.{elsewhere}-x.part", ".deck.part", "deck", "x.part"]
    for name in (*left, *stay):
        (tmp_path / name).write_text("", encoding="utf-8")
    remove_abandoned(tmp_path, "deck")
    assert names(tmp_path) == sorted([left[2], *stay])
    remove_abandoned(tmp_path)
    assert names(tmp_path) == sorted(stay)
    remove_abandoned(tmp_path / "missing")
