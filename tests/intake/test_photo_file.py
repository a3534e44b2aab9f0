"""Which picture files are opened, and what is said of the others."""

from __future__ import annotations

import io
import struct
import subprocess
import sys
import zlib

import numpy as np
import pytest
from PIL import Image

from longhold.base.errors import InputError
from longhold.intake import photo_file
from longhold.intake.photo import read_photo
from longhold.intake.photo_file import open_photo


def picture(form="PNG", size=(120, 80), mode="RGB", **told):
    out = io.BytesIO()
    Image.new(mode, size, "white").save(out, form, **told)
    return out.getvalue()


def bomb(wide, high):
    """A PNG of a few bytes whose head claims a huge picture."""
    head = struct.pack(">IIBBBBB", wide, high, 8, 2, 0, 0, 0)
    chunks = b""
    for kind, body in ((b"IHDR", head), (b"IDAT", zlib.compress(b"\0" * 100)), (b"IEND", b"")):
        chunks += struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
    return b"\x89PNG\r\n\x1a\n" + chunks


def animated(form):
    out = io.BytesIO()
    frames = [Image.fromarray(np.full((80, 80, 3), shade, np.uint8)) for shade in (10, 120, 240)]
    frames[0].save(out, form, save_all=True, append_images=frames[1:], duration=100)
    return out.getvalue()


@pytest.mark.parametrize("form", ["PNG", "JPEG", "WEBP"])
def test_the_three_forms_are_opened(form):
    pixels, done = open_photo(picture(form))
    assert (pixels.shape, pixels.dtype, done) == ((80, 120, 3), np.uint8, ())


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is empty"),
        (b"hello, this is no picture at all", "is no picture that can be read"),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "HEIC"),
        (b"\0\0\0\x18ftypmp42\0\0\0\0mp42isom", "film"),
        (picture("GIF"), "is a GIF"),
        (picture("TIFF"), "is a TIFF"),
        (picture("BMP"), "is a BMP picture"),
        (b"%PDF-1.7 ...", "is a PDF"),
        (b"PK\3\4 a workbook", "zip file"),
        (picture(size=(30, 500)), "letters need at least 40"),
        (animated("PNG"), "holds several pictures"),
        (animated("WEBP"), "holds several pictures"),
        (bomb(9_000, 9_000), "9,000 x 9,000"),  # above our limit, below the library's
        (bomb(12_000, 12_000), "too many pixels"),  # the library warns
        (bomb(60_000, 60_000), "too many pixels"),  # the library refuses
        (bomb(800, 600), "cut short or damaged"),  # its pixels are missing
        (picture("JPEG", size=(400, 300))[:-300], "cut short or damaged"),
        (picture("JPEG")[:20], "is"),
    ],
)
def test_what_cannot_be_used_says_why_and_what_to_do(data, said):
    with pytest.raises(InputError, match=said) as refused:
        open_photo(data)
    (problem,) = refused.value.problems
    assert problem.where == "photograph"
    assert problem.do


def test_a_head_that_is_cut_off_is_no_picture():
    with pytest.raises(InputError, match=r"photograph: is (no picture|damaged)"):
        open_photo(picture("JPEG")[:12])


def test_a_file_above_the_limit_is_refused_unread(monkeypatch):
    monkeypatch.setattr(photo_file, "MOST_LABEL_BYTES", 2_000_000)
    with pytest.raises(InputError, match="has 3 MB; up to 2 MB"):
        open_photo(picture() + bytes(3_000_000))


def test_only_bytes_are_taken():
    with pytest.raises(InputError, match="must be the bytes"):
        open_photo("label.jpg")


def test_the_camera_s_note_turns_the_picture():
    image = Image.new("RGB", (120, 80), "white")
    image.paste("black", (0, 0, 20, 80))  # a bar on the left
    note = Image.Exif()
    note[0x0112] = 6  # Exif 2.32, orientation 6: the first row of the file is the right side of the scene
    out = io.BytesIO()
    image.save(out, "PNG", exif=note)
    pixels, done = open_photo(out.getvalue())
    assert pixels.shape == (120, 80, 3)
    assert pixels[5, 40].max() == 0  # the bar is at the top
    assert pixels[115, 40].min() == 255
    assert done == ("turned as the camera noted",)


def test_damaged_notes_of_the_camera_are_passed_over_in_silence():
    """Found by tools/fuzz.py: a warning for programmers on the terminal, which is an error in the tests."""
    held = io.BytesIO()
    broken = b"Exif\0\0II*\0\x08\0\0\0\x05\0\x12\x01"
    Image.new("RGB", (64, 48), "white").save(held, "JPEG", exif=broken)
    pixels, done = open_photo(held.getvalue())
    assert pixels.shape == (48, 64, 3)
    assert done == ()


def test_a_large_picture_is_made_smaller_and_says_so():
    pixels, done = open_photo(picture("JPEG", size=(5000, 2500)))
    assert max(pixels.shape) <= 3000
    assert "made smaller" in done[0]


@pytest.mark.parametrize("mode", ["L", "RGBA", "LA", "P", "1", "I;16"])
def test_every_kind_of_pixel_becomes_red_green_blue(mode):
    out = io.BytesIO()
    Image.new(mode, (60, 50)).save(out, "PNG")
    assert open_photo(out.getvalue())[0].shape == (50, 60, 3)


def test_clear_pixels_are_white_paper():
    out = io.BytesIO()
    Image.new("RGBA", (60, 50), (0, 0, 0, 0)).save(out, "PNG")
    pixels, done = open_photo(out.getvalue())
    assert pixels.min() == 255
    assert done == ("laid on white where it is transparent",)


@pytest.mark.parametrize("missing", ["cv2", "PIL.Image", "rapidocr", "zxingcpp", "onnxruntime"])
def test_a_missing_extra_is_named(monkeypatch, missing):
    monkeypatch.setitem(sys.modules, missing, None)
    with pytest.raises(InputError, match=r"pip install 'longhold\[photo\]'"):
        read_photo(picture())


def test_nothing_of_the_extra_is_imported_before_a_photograph_is_read():
    code = (
        "import sys, longhold.intake.photo, longhold.intake.photo_told, longhold.cli.main;"
        "print({'PIL', 'cv2', 'rapidocr', 'onnxruntime', 'zxingcpp'} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"
