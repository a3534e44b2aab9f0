"""A checked delivery in words: one row for each line, and the sentence that opens it."""

from __future__ import annotations

from typing import NamedTuple

from longhold.documents.words import plural
from longhold.inspect.delivery import VERDICTS, Receipt, Verdict

__all__ = ["ReceiptRow", "receipt_lede", "receipt_rows"]


class ReceiptRow(NamedTuple):
    """One line: what it is, its verdict in words, why, and the verdict by its short name."""

    line: str
    verdict: str
    why: str
    kind: Verdict
    quantity: int


def receipt_rows(found: Receipt) -> tuple[ReceiptRow, ...]:
    """Delivered lines in their order, then ordered lines that did not come."""
    came = tuple(
        ReceiptRow(
            one.delivered.words,
            VERDICTS[one.verdict],
            _sentences(one.reasons),
            one.verdict,
            one.delivered.quantity,
        )
        for one in found.lines
    )
    missing = tuple(
        ReceiptRow(one.words, "did not come", f"{plural(one.quantity, 'piece')} ordered.", "refused", 0)
        for one in found.missing
    )
    return came + missing


def _sentences(reasons: tuple[str, ...]) -> str:
    return " ".join(f"{one[:1].upper()}{one[1:].rstrip('.?')}." for one in reasons)


def receipt_lede(found: Receipt) -> str:
    """How many lines may be used and how many not, in a sentence."""
    told = [
        f"{found.count(verdict):,} {words}" for verdict, words in VERDICTS.items() if found.count(verdict)
    ]
    missing = f" {plural(len(found.missing), 'ordered line')} did not come." if found.missing else ""
    return f"{plural(len(found.lines), 'line')} delivered: {', '.join(told)}.{missing}"
