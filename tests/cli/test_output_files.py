"""Output files are whole or not there."""

import os
import stat

import pytest

from longhold.base.errors import InputError
from longhold.cli.output import check_target, write_new, write_whole


def names(folder):
    return sorted(entry.name for entry in folder.iterdir())


def test_a_file_is_written_whole_with_the_usual_rights(tmp_path):
    path = tmp_path / "report.html"
    path.write_text("old", encoding="utf-8")
    write_whole(path, "new µ\n")
    assert path.read_bytes() == "new µ\n".encode()
    assert names(tmp_path) == ["report.html"]
    mask = os.umask(0)
    os.umask(mask)
    assert stat.S_IMODE(path.stat().st_mode) == 0o666 & ~mask


def test_a_failure_leaves_the_old_file_and_nothing_else(tmp_path, monkeypatch):
    path = tmp_path / "report.html"
    path.write_text("old", encoding="utf-8")

    def stopped(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", stopped)
    with pytest.raises(KeyboardInterrupt):
        write_whole(path, "new")
    assert path.read_text(encoding="utf-8") == "old"
    assert names(tmp_path) == ["report.html"]


def test_a_full_disk_is_told_and_leaves_nothing(tmp_path, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(InputError, match="No space left on device"):
        write_whole(tmp_path / "report.html", "new")
    assert names(tmp_path) == []


def test_a_link_is_followed_not_replaced(tmp_path):
    real = tmp_path / "real.html"
    real.write_text("old", encoding="utf-8")
    link = tmp_path / "link.html"
    link.symlink_to(real)
    write_whole(link, "new")
    assert link.is_symlink()
    assert real.read_text(encoding="utf-8") == "new"


def test_a_new_file_never_replaces_one(tmp_path):
    path = tmp_path / "structure.toml"
    write_new(path, "first")
    with pytest.raises(InputError, match="is there already and is not overwritten"):
        write_new(path, "second")
    assert path.read_text(encoding="utf-8") == "first"
    assert names(tmp_path) == ["structure.toml"]


def test_targets_are_refused_before_any_work(tmp_path):
    with pytest.raises(InputError, match=r"--report is .*there is no folder"):
        check_target(tmp_path / "missing" / "out.html", "--report")
    with pytest.raises(InputError, match="no plain file"):
        check_target(tmp_path, "--report")
    check_target(tmp_path / "out.html", "--report")
