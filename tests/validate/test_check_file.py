"""Check files that cannot be used are refused with the reason."""

import pytest

from longhold.base.errors import InputError
from longhold.validate.check_file import read_rows


def refusal(path, data: bytes) -> str:
    path.write_bytes(data)
    with pytest.raises(InputError) as caught:
        read_rows(path, ["a", "b"])
    return str(caught.value)


def test_rows_are_read_by_column(tmp_path):
    path = tmp_path / "x.csv"
    path.write_bytes(b'\xef\xbb\xbfa, b ,c\r\n1,"2, two",3\r\n\r\n')
    assert read_rows(path, ["a", "b"]) == [{"a": "1", "b": "2, two", "c": "3"}]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (b"a,b\n", "a header but no rows"),
        (b"a,c\n1,2\n", "lacks column b. Its columns are a, c"),
        (b"x,y\n1,2\n", "lacks columns a, b"),
        (b"a;b\n1;2\n", "Save it with commas"),
        (b"a,b,b\n1,2,3\n", "a column twice: b"),
        (b"a,b\n1,2\n1,2,3\n1\n", "lines 3, 4"),
        (b'a,b\n"1,2\n', "is not CSV: line 2"),
        (b"a,b\n\xff,2\n", "is not UTF-8 text: the fault is at byte 4 (line 2)"),
        (b"PK\x03\x04\x00", "not text"),
    ],
)
def test_bad_files_are_refused(tmp_path, data, says):
    assert says in refusal(tmp_path / "x.csv", data)


def test_a_missing_file_is_told(tmp_path):
    with pytest.raises(InputError, match="there is no such file"):
        read_rows(tmp_path / "none.csv", ["a"])
