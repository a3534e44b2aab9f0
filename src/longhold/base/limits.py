"""How much is taken of what people hand in, all in one place, and why each limit is its own."""

from __future__ import annotations

__all__ = [
    "MOST_ATTACHED_BYTES",
    "MOST_BODY_BYTES",
    "MOST_BYTES",
    "MOST_LABEL_BYTES",
    "MOST_LIFE_PHOTO_BYTES",
    "MOST_PHOTO_BYTES",
    "MOST_UNPACKED_BYTES",
]

_MEBIBYTE = 1024 * 1024

MOST_BODY_BYTES = 25 * _MEBIBYTE
"""One request to the page: many people send at once, and all of it passes through one server's memory."""
MOST_UNPACKED_BYTES = 100_000_000
"""All files of one request, unpacked: tables shrink to a quarter in an archive, pictures hardly at all."""
MOST_PHOTO_BYTES = 10 * _MEBIBYTE
"""One photograph that comes with readings: the store keeps it for ever, and base64 adds a third to it."""
MOST_ATTACHED_BYTES = 20 * _MEBIBYTE
"""One file that the store keeps: a row of a database is written and read whole."""
MOST_BYTES = 50_000_000
"""One file that is read: what is made of it takes many times its size. It need not pass through a request."""
MOST_LABEL_BYTES = 25_000_000
"""One photograph that is read for its label and kept nowhere; its pixels are limited besides."""
MOST_LIFE_PHOTO_BYTES = 100_000_000
"""One photograph that a life file takes from a folder: it is copied as it is, and only its head is read."""
