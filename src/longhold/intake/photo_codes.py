"""Bar codes and square codes on a photograph, and whether a trade number's check digit is right."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from longhold.intake.photo_file import photo_library

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["PhotoCode", "find_codes", "gtin_in", "has_right_check_digit"]

_LENGTHS = (8, 12, 13, 14)
_TRADE_KINDS = frozenset({"EAN-8", "EAN-13", "UPC-A", "UPC-E", "ITF-14"})
_SQUARE = frozenset({"QR Code", "Data Matrix", "Aztec", "PDF417"})
_LEAST_READINGS = 2
_LEAST_CHARACTERS = 4  # of a bar code that has no check digit; shorter ones are mostly stripes of wood


@dataclass(frozen=True)
class PhotoCode:
    """A code on a photograph.

    Attributes
    ----------
    kind : EAN-13, QR Code, Data Matrix ...
    content : what it says
    gtin : the trade number in it, as printed; blank where there is none
    check_digit : ``right`` or ``wrong``; blank where it holds no trade number
    box : its four corners as (x, y) in the photograph [px], clockwise from its own top left
    """

    kind: str
    content: str
    gtin: str
    check_digit: str
    box: tuple[tuple[float, float], ...]


def has_right_check_digit(number: str) -> bool:
    """Whether the last digit of a trade number (GTIN-8, 12, 13 or 14) fits the others.

    The digits before it count 3 and 1 by turns, from the right; with it the sum is a multiple of ten
    (GS1 General Specifications, section on check digit calculations).

    >>> has_right_check_digit("2012345678903"), has_right_check_digit("2012345678904")
    (True, False)
    """
    if len(number) not in _LENGTHS or not (number.isascii() and number.isdigit()):
        return False
    weighed = sum(int(digit) * (3 if place % 2 else 1) for place, digit in enumerate(reversed(number)))
    return weighed % 10 == 0


def gtin_in(kind: str, content: str) -> str:
    """The trade number that a code holds: a retail code's digits, or what follows (01) or /01/; else blank.

    >>> gtin_in("QR Code", "(01)02012345678903(10)88")
    '02012345678903'
    """
    if kind in _TRADE_KINDS:
        return content if content.isdigit() else ""
    marked = re.search(r"(?:\(01\)|/01/)(\d{14}|\d{13}|\d{12}|\d{8})(?!\d)", content)
    return marked[1] if marked else ""


def find_codes(pixels: NDArray[Any]) -> tuple[PhotoCode, ...]:
    """Every code that can be read on a picture, top to bottom.

    A square code corrects its own errors. A bar code has one check digit at most, which blurred stripes or
    the grain of wood meet once in ten: it counts where two treatments of the picture read the same.

    Parameters
    ----------
    pixels : [high, wide, 3] of red, green and blue

    Raises
    ------
    InputError : the extra ``photo`` is not installed
    """
    cv2 = photo_library("cv2")
    gray = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    found: dict[tuple[str, str], list[PhotoCode]] = {}
    for shrunk, picture in _attempts(cv2, gray):
        for code in {(one.kind, one.content): one for one in _read(picture, shrunk)}.values():
            found.setdefault((code.kind, code.content), []).append(code)
    sure = [
        alike[0] for (kind, _), alike in found.items() if kind in _SQUARE or len(alike) >= _LEAST_READINGS
    ]
    return tuple(sorted(sure, key=lambda code: min(y for _, y in code.box)))


def _attempts(cv2: Any, gray: NDArray[Any]) -> Any:
    """The picture, then with even contrast, then larger and smaller: each reads what others miss."""
    yield 1.0, gray
    even = cv2.createCLAHE(clipLimit=3.0, tileGridSize=(8, 8)).apply(gray)
    yield 1.0, even
    for factor in (2.0, 0.5):
        if max(gray.shape) * factor <= 4000 and min(gray.shape) * factor >= 60:
            yield factor, cv2.resize(even, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)


def _read(gray: NDArray[Any], factor: float) -> list[PhotoCode]:
    zxing = photo_library("zxingcpp")
    kinds = zxing.BarcodeFormat
    wanted = [kinds.EAN13, kinds.EAN8, kinds.UPCA, kinds.UPCE, kinds.ITF14, kinds.Code128, kinds.Code39]
    wanted += [kinds.DataBar, kinds.QRCode, kinds.DataMatrix, kinds.Aztec, kinds.PDF417]
    codes = []
    for one in zxing.read_barcodes(gray, formats=zxing.BarcodeFormats(wanted)):
        kind, content = str(one.format), one.text.strip()
        gtin = gtin_in(kind, content)
        if not content or (not gtin and len(content) < _LEAST_CHARACTERS):
            continue
        place = one.position
        corners = (place.top_left, place.top_right, place.bottom_right, place.bottom_left)
        box = tuple((corner.x / factor, corner.y / factor) for corner in corners)
        verdict = ("right" if has_right_check_digit(gtin) else "wrong") if gtin else ""
        if kind == "UPC-E":  # its digit belongs to the number that it abbreviates; the reader has checked it
            verdict = "right"
        codes.append(PhotoCode(kind, content, gtin, verdict, box))
    return codes
