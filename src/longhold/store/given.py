"""What callers hand in, checked before any of it reaches the database."""

from __future__ import annotations

import datetime
import hashlib
import json
import re
import unicodedata
from collections.abc import Mapping
from typing import Any

from longhold.base.files import MOST_BYTES
from longhold.store.errors import StoreError

__all__ = [
    "author_line",
    "checked_hash",
    "document_text",
    "inputs_hash",
    "line",
    "may_be_id",
    "name_key",
    "page_bounds",
    "sha256",
    "utc_now",
]


PAGE_AT_MOST, AUTHOR_AT_MOST = 500, 200


def utc_now() -> datetime.datetime:
    """The time now, in UTC."""
    return datetime.datetime.now(datetime.UTC)


def sha256(data: str | bytes) -> str:
    """Hexadecimal SHA-256 of bytes, or of text as UTF-8.

    >>> sha256("")[:8]
    'e3b0c442'
    """
    return hashlib.sha256(data.encode() if isinstance(data, str) else data).hexdigest()


def document_text(where: str, document: Mapping[str, Any]) -> str:
    """A document as JSON text, in the order it came in; dates become text, as structure files have them.

    Raises
    ------
    StoreError : it holds what JSON cannot, or is larger than a structure file may be

    >>> document_text("content", {"name": "Deck", "build_date": datetime.date(2026, 5, 1)})
    '{"name":"Deck","build_date":"2026-05-01"}'
    """
    try:
        text = json.dumps(
            _plain(document), ensure_ascii=False, allow_nan=False, separators=(",", ":"), default=_told
        )
        size = len(text.encode())
    except UnicodeEncodeError:
        raise StoreError(where, None, "holds half a character, which no text can.", "Type it anew.") from None
    except RecursionError:
        raise StoreError(where, None, "is nested too deep to be kept.") from None
    except (TypeError, ValueError) as error:
        said = f"cannot be kept as JSON: {error}."
        raise StoreError(where, None, said, "Numbers must be finite, keys text.") from None
    if size > MOST_BYTES:
        raise StoreError(where, None, f"is larger than {MOST_BYTES // 1_000_000} MB, the most that is kept.")
    return text


def inputs_hash(document: Mapping[str, Any]) -> str:
    """What results and jobs are found again by: a hash that the order of keys does not change.

    >>> inputs_hash({"a": 1, "b": 2}) == inputs_hash({"b": 2, "a": 1})
    True
    """
    plain = json.loads(document_text("inputs", document))
    return sha256(json.dumps(plain, sort_keys=True, ensure_ascii=False, separators=(",", ":")))


def checked_hash(where: str, given: str) -> str:
    """A hash as ``inputs_hash`` writes it.

    Raises
    ------
    StoreError : it is none
    """
    if not re.fullmatch("[0-9a-f]{64}", given):
        raise StoreError(where, given, "must be a SHA-256 of 64 hexadecimal digits in small letters.")
    return given


def may_be_id(number: int) -> bool:
    """Whether a row can have this number at all; databases refuse to even look for larger ones.

    >>> may_be_id(1), may_be_id(0), may_be_id(10**30)
    (True, False, False)
    """
    return 0 < number < 2**31


def page_bounds(offset: int, limit: int) -> tuple[int, int]:
    """Bounds of a page.

    Raises
    ------
    StoreError : a limit that is not 1 to 500, an offset below 0
    """
    if not 0 <= offset < 2**31 or not 0 < limit <= PAGE_AT_MOST:
        raise StoreError("limit", limit, f"must be 1 to {PAGE_AT_MOST}, and offset 0 to 2,147,483,647.")
    return offset, limit


def author_line(author: str) -> str:
    """Who did something; may be empty.

    Raises
    ------
    StoreError : too long, or with a sign that cannot be seen
    """
    return line("author", author, AUTHOR_AT_MOST, may_be_empty=True)


def _plain(node: Any) -> Any:
    """The same with plain dictionaries, refusing keys that JSON would silently turn into text."""
    if isinstance(node, Mapping):
        for key in node:
            if not isinstance(key, str):
                raise TypeError(f"the key {key!r} is not text")
        return {key: _plain(value) for key, value in node.items()}
    return [_plain(value) for value in node] if isinstance(node, list | tuple) else node


def _told(value: Any) -> str:
    if isinstance(value, datetime.date):
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} has no form in JSON")


def line(where: str, text: str, most: int, *, may_be_empty: bool = False, lines: bool = False) -> str:
    """Text without spaces around it, of up to ``most`` characters; ``lines`` lets it have several lines.

    Raises
    ------
    StoreError : empty, too long, or with a sign that cannot be seen

    >>> line("name", "  Back deck ", 200)
    'Back deck'
    """
    found = unicodedata.normalize("NFC", text).strip()
    if not found and not may_be_empty:
        raise StoreError(where, None, "is empty.", f"Give text of up to {most} characters.")
    if len(found) > most:
        raise StoreError(where, found, f"must be text of up to {most} characters; it has {len(found)}.")
    kept = "\n\t" if lines else ""
    if any(unicodedata.category(sign) in {"Cc", "Cs"} and sign not in kept for sign in found):
        raise StoreError(where, found, "holds a sign that cannot be seen.", "Type it anew.")
    return found


def name_key(name: str) -> str:
    """What two names that people take for the same have in common.

    >>> name_key("Back  Deck") == name_key("back deck")
    True
    """
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())
