"""Files that cannot be read as text are refused with the reason."""

from pathlib import Path

import pytest

from longhold.base import files
from longhold.base.errors import InputError
from longhold.base.files import read_file


def refusal(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        read_file(path, "a structure")
    return str(caught.value)


def test_a_missing_file_is_told_with_names_like_it(tmp_path):
    (tmp_path / "deck.toml").write_text("x", encoding="utf-8")
    assert "there is no such file. Did you mean" in refusal(tmp_path / "dek.toml")
    assert "There is no folder" in refusal(tmp_path / "decks" / "deck.toml")


def test_a_folder_and_an_empty_file_are_told(tmp_path):
    assert "is a folder" in refusal(tmp_path)
    empty = tmp_path / "empty.toml"
    empty.write_text(" \n", encoding="utf-8")
    assert "is empty" in refusal(empty)


def test_bytes_that_are_not_utf8_are_placed(tmp_path):
    path = tmp_path / "deck.toml"
    path.write_bytes(b'name = "deck"\nnote = "caf\xe9"\n')
    assert "is not UTF-8 text: the fault is at byte 25 (line 2)" in refusal(path)


def test_utf16_and_zero_bytes_are_told(tmp_path):
    path = tmp_path / "deck.toml"
    path.write_bytes('name = "deck"'.encode("utf-16"))
    assert "is UTF-16 text" in refusal(path)
    path.write_bytes(b"na\x00me")
    assert "zero byte" in refusal(path)
    path.write_bytes(b"PK\x03\x04\x00\x00")
    assert "is a workbook or another zip file" in refusal(path)


def test_a_file_over_the_limit_is_not_read(tmp_path, monkeypatch):
    monkeypatch.setattr(files, "MOST_BYTES", 1_000_000)
    path = tmp_path / "deck.toml"
    path.write_bytes(b"#" * 1_000_001)
    assert "is larger than 1 MB" in refusal(path)
    path.write_bytes(b"#" * 1_000_000)
    assert len(read_file(path, "a structure")) == 1_000_000
