"""Names that stand inside a longer text."""

from __future__ import annotations

import re
from collections.abc import Iterable

from longhold.base.recent import once

__all__ = ["named_in"]

_SHORT = 4


def named_in(text: str, spellings: Iterable[str]) -> tuple[str, ...]:
    """The spellings that stand in a longer text as whole words, in the text's order.

    Where one spelling lies within another, the longer counts. A spelling of up to four letters counts only
    as it is written, so that "Ca" is no copper azole.

    >>> named_in("CuAz type B / ACQ; a can of oil", ("CA", "CuAz", "CuAz type B", "ACQ"))
    ('CuAz type B', 'ACQ')
    """
    found: list[tuple[int, str]] = []
    left = text
    for spelling in sorted(set(spellings), key=lambda one: (-len(one), one)):
        pattern = _whole(spelling)
        found += [(match.start(), spelling) for match in pattern.finditer(left)]
        left = pattern.sub(lambda match: " " * len(match.group()), left)
    return tuple(spelling for _, spelling in sorted(found))


@once
def _whole(spelling: str) -> re.Pattern[str]:
    flags = 0 if len(spelling) <= _SHORT else re.IGNORECASE
    words = r"[\s-]*".join(re.escape(word) for word in re.split(r"[\s-]+", spelling))
    return re.compile(rf"(?<![\w-]){words}(?!\w|-(?!treated))", flags)
