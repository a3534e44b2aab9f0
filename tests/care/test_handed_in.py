"""What comes in one request: its bounds hold for all of it, whatever an archive claims of itself."""

from __future__ import annotations

import io
import struct
import tracemalloc
import zipfile

import pytest
from PIL import Image

from longhold.base.errors import InputError
from longhold.base.limits import MOST_PHOTO_BYTES
from longhold.care import handed_in
from longhold.care.handed_in import table_and_photographs

TABLE = b"joint,part,face,date,measured,reading\n"


def picture(kind):
    """A small picture, as a camera would write it."""
    written = io.BytesIO()
    Image.new("RGB", (16, 16), "gray").save(written, kind)
    return written.getvalue()


JPEG = picture("JPEG")


def archive_of(how=zipfile.ZIP_DEFLATED, **files):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", how) as archive:
        for name, content in files.items():
            archive.writestr(name.replace("_", "."), content)
    return packed.getvalue()


def claiming(data, size):
    """An archive of one file that says in both its heads that it unpacks to another size (APPNOTE 4.3)."""
    forged, here = bytearray(data), struct.pack("<I", size)
    forged[22:26] = here
    at = data.rindex(b"PK\1\2") + 24
    forged[at : at + 4] = here
    return bytes(forged)


def test_a_forged_size_unpacks_to_no_more_than_a_few_pieces():
    bomb = claiming(archive_of(a_csv=bytes(60_000_000)), 100)
    tracemalloc.start()
    try:
        with pytest.raises(InputError, match="no archive that can be opened"):
            table_and_photographs([("a.zip", bomb)])
        assert tracemalloc.get_traced_memory()[1] < 10_000_000
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize("how", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_what_cannot_be_unpacked_in_bounded_steps_is_not(how):
    with pytest.raises(InputError, match="no archive that can be opened"):
        table_and_photographs([("a.zip", archive_of(how, a_csv=TABLE))])


def test_one_request_has_one_bound_however_many_archives_it_comes_in(monkeypatch):
    monkeypatch.setattr(handed_in, "MOST_UNPACKED_BYTES", 1_000_000)
    half = [(f"{at}.zip", archive_of(**{f"p{at}_jpg": JPEG + bytes([at]) * 400_000})) for at in range(3)]
    table = ("r.csv", TABLE)
    assert len(table_and_photographs([table, *half[:2]]).photographs) == 2
    with pytest.raises(InputError, match=r"2\.zip.* more than 1 MB"):
        table_and_photographs([table, *half])
    many = [(f"{at}.jpg", JPEG) for at in range(500)]
    with pytest.raises(InputError, match="more than 500 files"):
        table_and_photographs([*many, table])


def test_a_photograph_has_the_bound_that_it_has_elsewhere():
    exact, over = JPEG.ljust(MOST_PHOTO_BYTES, b"\0"), JPEG.ljust(MOST_PHOTO_BYTES + 1, b"\0")
    assert table_and_photographs([("r.csv", TABLE), ("a.jpg", exact)]).photographs["a.jpg"] == exact
    with pytest.raises(InputError, match=r"a\.jpg.*must be 10 MiB or less"):
        table_and_photographs([("r.csv", TABLE), ("z.zip", archive_of(a_jpg=over))])


@pytest.mark.parametrize("at", [40, 45])
def test_damaged_packing_is_refused(at):
    whole = bytearray(archive_of(a_csv=TABLE * 50))
    whole[at] ^= 0xFF
    with pytest.raises(InputError, match="no archive that can be opened"):
        table_and_photographs([("a.zip", bytes(whole))])


def test_a_file_without_a_name_is_refused():
    packed = archive_of(a_csv=TABLE).replace(b"a.csv", b"\0.csv")
    with pytest.raises(InputError, match="has no name"):
        table_and_photographs([("a.zip", packed)])


def test_sound_is_no_picture():
    with pytest.raises(InputError, match="neither a table"):
        table_and_photographs([("r.csv", TABLE), ("a.webp", b"RIFF\x24\0\0\0WAVEfmt ")])
    found = table_and_photographs([("r.csv", TABLE), ("a.webp", picture("WEBP"))])
    assert set(found.photographs) == {"a.webp"}


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_what_begins_like_a_picture_and_is_none_is_refused(kind):
    """First bytes of a picture and zeros after them; a picture cut short, as a lost connection leaves it."""
    whole = picture(kind)
    for broken in (whole[:12].ljust(10_000, b"\0"), whole[: len(whole) // 2]):
        with pytest.raises(InputError, match=r"a\.jpg.*begins like a picture and is none, or is cut short"):
            table_and_photographs([("r.csv", TABLE), ("a.jpg", broken)])
    assert table_and_photographs([("r.csv", TABLE), ("a.jpg", whole)]).photographs == {"a.jpg": whole}
