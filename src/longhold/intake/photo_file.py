"""Opens a photograph that somebody handed in: pixels the right way up, or the reason why not."""

from __future__ import annotations

import io
import math
from typing import TYPE_CHECKING, Any, NoReturn

from longhold.base.errors import InputError, Problem
from longhold.base.extras import lacking
from longhold.base.limits import MOST_LABEL_BYTES
from longhold.base.quiet import quiet

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from PIL.Image import Image

__all__ = ["MOST_PIXELS", "open_photo", "photo_library", "picture_fault", "picture_type"]

MOST_PIXELS = 60_000_000
LEAST_SIDE = 40  # pixels; below that there is no room for letters
LARGEST_SIDE = 3000  # pixels that are kept of the longer side: fine bars need more than letters do
_KNOWN = ("JPEG", "MPO", "PNG", "WEBP")
_TYPES = (
    ("image/jpeg", {0: b"\xff\xd8\xff"}),
    ("image/png", {0: b"\x89PNG\r\n"}),
    ("image/webp", {0: b"RIFF", 8: b"WEBP"}),  # sound and film are RIFF too
)
_TAKEN = "JPEG, PNG and WebP are read."
_SAVE_AS_JPEG = "Save or export it as JPEG and hand that in."
_OTHERS = (
    (0, b"GIF8", "is a GIF."),
    (0, b"BM", "is a BMP picture."),
    (0, b"II*\0", "is a TIFF."),
    (0, b"MM\0*", "is a TIFF."),
    (0, b"%PDF", "is a PDF."),
    (0, b"PK\3\4", "is a zip file, a workbook or another office document."),
)
_HEIC = "is a HEIC picture, which is not read here."
_HEIC_DO = "Let the phone take or share pictures as JPEG (its most compatible format), or export this one."
_PHONE_CONTAINERS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1")


def picture_type(data: bytes) -> str | None:
    """Media type of a picture by its first bytes; None where they are of no JPEG, PNG or WebP.

    >>> picture_type(b"\\x89PNG\\r\\n\\x1a\\n"), picture_type(b"joint,part")
    ('image/png', None)
    >>> picture_type(b"RIFF....WEBPVP8 "), picture_type(b"RIFF....WAVEfmt ")
    ('image/webp', None)
    """
    for kind, signs in _TYPES:
        if all(data.startswith(sign, at) for at, sign in signs.items()):
            return kind
    return None


def picture_fault(data: bytes) -> str | None:
    """Why a file is no whole picture that can be kept, in words; None where it is one.

    A JPEG is decoded at an eighth of its size, which takes a moment and little memory; of a PNG every piece
    has its sum; of a WebP the head is read. Without the extra ``photo`` the first bytes alone are looked at.

    >>> picture_fault(b"joint,part")
    'is no JPEG, PNG or WebP picture.'
    """
    if picture_type(data) is None:
        return "is no JPEG, PNG or WebP picture."
    try:
        from PIL import Image, ImageFile
    except ImportError:
        return None
    with quiet():
        try:
            image = Image.open(io.BytesIO(data), formats=("JPEG", "PNG", "WEBP"))
            if image.format == "PNG":
                image.verify()
            elif isinstance(image, ImageFile.ImageFile) and image.format in ("JPEG", "MPO"):
                if math.prod(image.size) > MOST_PIXELS:
                    return f"has too many pixels; up to {MOST_PIXELS // 1_000_000} million are kept."
                image.draft(None, (image.width // 8, image.height // 8))
                image.load()
        except Exception:  # whatever a damaged file does to the decoder
            return "begins like a picture and is none, or is cut short."
    return None


def photo_library(name: str) -> Any:
    """A library of the extra ``photo``.

    Raises
    ------
    InputError : it is not installed
    """
    from importlib import import_module

    try:
        return import_module(name)
    except ImportError:
        raise InputError(lacking("a photograph", "photo")) from None


def open_photo(data: bytes) -> tuple[NDArray[Any], tuple[str, ...]]:
    """Pixels of a photograph, the right way up.

    Parameters
    ----------
    data : the file's content, up to ``MOST_LABEL_BYTES``; JPEG, PNG or WebP of up to ``MOST_PIXELS``

    Returns
    -------
    pixels [high, wide, 3] of red, green and blue, 0 to 255; what was done to get them, in words

    Raises
    ------
    InputError : empty, too large, of another kind, animated, cut short or damaged
    """
    _check_bytes(data)
    image_library = photo_library("PIL.Image")
    # damaged notes of a camera are no reason to bother anybody, and too many pixels are refused below
    with quiet():
        try:
            image = image_library.open(io.BytesIO(data), formats=("JPEG", "PNG", "WEBP"))
        except image_library.DecompressionBombError:
            _too_many_pixels("")
        except image_library.UnidentifiedImageError:
            _refuse("is no picture that can be read.", f"{_TAKEN} {_SAVE_AS_JPEG}")
        except Exception:
            _refuse("is damaged: its head cannot be read.", "Take or send the picture again.")
        _check_head(image)
        return _decoded(image)


def _check_bytes(data: bytes) -> None:
    if not isinstance(data, bytes | bytearray | memoryview):
        _refuse("must be the bytes of a picture file.")
    data = bytes(data[:32]) if (size := len(data)) else b""
    if not size:
        _refuse("is empty.", "Hand in the picture itself.")
    if size > MOST_LABEL_BYTES:
        said = f"has {size / 1e6:.0f} MB; up to {MOST_LABEL_BYTES // 1_000_000} MB are read."
        _refuse(said, "Save it smaller, or crop it to the label.")
    if data[4:8] == b"ftyp" and data[8:12] in _PHONE_CONTAINERS:
        _refuse(_HEIC, _HEIC_DO)
    if data[4:8] == b"ftyp":
        _refuse("is a film or an AVIF picture, which is not read here.", f"{_TAKEN} {_SAVE_AS_JPEG}")
    for start, sign, said in _OTHERS:
        if data[start:].startswith(sign):
            _refuse(said, f"{_TAKEN} {_SAVE_AS_JPEG}")


def _check_head(image: Image) -> None:
    wide, high = image.size
    if image.format not in _KNOWN:
        _refuse("is no picture that can be read.", f"{_TAKEN} {_SAVE_AS_JPEG}")
    # some telephones put a second, smaller picture behind the first: the first is the photograph
    if image.format != "MPO" and getattr(image, "n_frames", 1) > 1:
        _refuse("moves: it holds several pictures.", "Hand in one still picture of the label.")
    if wide * high > MOST_PIXELS:
        _too_many_pixels(f" ({wide:,} x {high:,})")
    if min(wide, high) < LEAST_SIDE:
        said = f"is {wide} x {high} pixels; letters need at least {LEAST_SIDE} on each side."
        _refuse(said, "Take it from closer, or do not shrink it.")


def _decoded(image: Image) -> tuple[NDArray[Any], tuple[str, ...]]:
    numpy = photo_library("numpy")
    upright = photo_library("PIL.ImageOps").exif_transpose
    done: list[str] = []
    size = image.size
    try:
        image.draft("RGB", (LARGEST_SIDE, LARGEST_SIDE))
        image.load()
        turned = upright(image)
    except Exception:
        # whatever a damaged file does to the decoder, the person can only fetch the picture anew
        _refuse("is cut short or damaged.", "Send the whole file again, or take the picture anew.")
    if image.getexif().get(0x0112, 1) not in (0, 1):
        done.append("turned as the camera noted")
    if max(turned.size) > LARGEST_SIDE:
        turned.thumbnail((LARGEST_SIDE, LARGEST_SIDE))
    if max(turned.size) < max(size):
        done.append(f"made smaller, to {turned.width:,} x {turned.height:,} pixels")
    if "A" in turned.getbands() or "transparency" in turned.info:
        paper = photo_library("PIL.Image").new("RGBA", turned.size, "white")
        turned = photo_library("PIL.Image").alpha_composite(paper, turned.convert("RGBA"))
        done.append("laid on white where it is transparent")
    return numpy.ascontiguousarray(numpy.asarray(turned.convert("RGB"))), tuple(done)


def _too_many_pixels(size: str) -> NoReturn:
    said = f"has too many pixels{size}; up to {MOST_PIXELS // 1_000_000} million are read."
    _refuse(said, "Take it in a smaller setting, or crop it to the label.")


def _refuse(said: str, do: str = "") -> NoReturn:
    raise InputError(Problem("photograph", None, said, do)) from None
