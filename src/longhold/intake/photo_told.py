"""What was read on a photograph, laid out for a person and as plain objects for programs."""

from __future__ import annotations

from typing import Any

from longhold.intake.photo import PhotoCode, PhotoText
from longhold.labels.explain import Heading

__all__ = ["photo_headings", "photo_json"]


def photo_headings(read: PhotoText, corrected: str | None = None) -> tuple[Heading, ...]:
    """Words, codes, doubts and proposals, in the order in which a person checks them.

    Parameters
    ----------
    read : what was read
    corrected : the words that a person put in place of those read; None where nobody did
    """
    return tuple(heading for heading in _all(read, corrected) if heading.lines)


def _all(read: PhotoText, corrected: str | None) -> list[Heading]:
    sure: dict[int, float] = {}
    for line in read.lines:
        sure[line.row] = min(line.confidence, sure.get(line.row, 1.0))
    words = tuple((f"{sure[row]:.2f}", text) for row, text in zip(sorted(sure), read.rows, strict=True))
    slips = tuple(
        ("", f"{one.written!r} may be {one.meant!r} ({one.why}): then {one.then}.") for one in read.proposals
    )
    if slips:
        slips += (("", 'Nothing of this was put right. Where it is so: --text "WORDS".'),)
    doubts = list(read.doubts)
    if read.rows_left_out and corrected is None:
        doubts.append(
            f"{read.rows_left_out} rows that say least of metal are left out below, for want of room."
        )
    return [
        Heading("Read on the photograph, and how sure (1.00 at most); compare it with the label", words),
        Heading("Codes", tuple((code.kind, _code_words(code)) for code in read.codes)),
        Heading("Done to the photograph", (("", ", ".join(read.done)),) if read.done else ()),
        Heading("Look at", tuple(("", doubt) for doubt in doubts)),
        Heading("Perhaps misread", slips),
        Heading("Taken instead, as corrected", (("", corrected),) if corrected is not None else ()),
    ]


def _code_words(code: PhotoCode) -> str:
    if not code.gtin:
        return code.content
    number = "trade number" if code.content == code.gtin else f"trade number {code.gtin}"
    return f"{code.content} ({number}, check digit {code.check_digit})"


def photo_json(read: PhotoText) -> dict[str, Any]:
    """The same as plain objects; places in pixels of the photograph, the right way up."""
    return {
        "text": read.text,
        "confidence": round(read.confidence, 3),
        "width_px": read.width,
        "height_px": read.height,
        "lines": [
            {
                "text": line.text,
                "confidence": round(line.confidence, 3),
                "row": line.row,
                "box_px": [list(corner) for corner in line.box],
            }
            for line in read.lines
        ],
        "codes": [
            {
                "kind": code.kind,
                "content": code.content,
                "gtin": code.gtin,
                "check_digit": code.check_digit,
                "box_px": [list(corner) for corner in code.box],
            }
            for code in read.codes
        ],
        "done": list(read.done),
        "tried": list(read.tried),
        "rows_left_out": read.rows_left_out,
        "proposals": [
            {"row": one.row, "written": one.written, "meant": one.meant, "then": one.then, "why": one.why}
            for one in read.proposals
        ],
        "doubts": list(read.doubts),
    }
