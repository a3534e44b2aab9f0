"""Reads the label on a photograph: its words with their confidence, its codes, and what may be misread.

Nothing is repaired silently: what the label grammar is asked about is what was read, row by row. Likely
slips stand beside it as proposals, for a person to take or leave.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations

from longhold.base.errors import InputError, Problem
from longhold.intake.photo_codes import PhotoCode, find_codes
from longhold.intake.photo_file import open_photo, photo_library
from longhold.intake.photo_ocr import PhotoLine, read_lines
from longhold.intake.photo_views import View, first_view, further_views, is_dark
from longhold.intake.photo_words import Proposal, Understood, proposals_for, understand, words_for_label

__all__ = ["PhotoCode", "PhotoLine", "PhotoText", "Proposal", "read_photo"]

_NEEDED = ("numpy", "PIL.Image", "cv2", "onnxruntime", "rapidocr", "zxingcpp")
_MOST_VIEWS = 4  # read besides the plain one; each costs as much time as that
_SURE = 0.9  # mean confidence from which a plain view that is understood is not read again
_VERY_SURE = 0.96  # likewise where the label may mean several things
_UNSURE_LINE = 0.8


@dataclass(frozen=True)
class PhotoText:
    """What was read on a photograph.

    Attributes
    ----------
    lines : of print, in reading order, with confidence and place
    codes : bar codes and square codes
    done : what was done to the photograph before the reading that is shown, in words
    tried : every way in which it was read, with how sure and how much was understood
    proposals : likely slips of reading; none is applied
    doubts : what a reader should look at: other readings of the same label, lines that are unsure
    width, height : of the photograph, the right way up and as far as it was made smaller [px]
    """

    lines: tuple[PhotoLine, ...]
    codes: tuple[PhotoCode, ...]
    done: tuple[str, ...]
    tried: tuple[str, ...]
    proposals: tuple[Proposal, ...]
    doubts: tuple[str, ...]
    width: int
    height: int

    @cached_property
    def rows(self) -> tuple[str, ...]:
        """The words, row of print by row of print."""
        return _rows(self.lines)

    @property
    def text(self) -> str:
        """All words, each row of print on a line of its own."""
        return "\n".join(self.rows)

    @property
    def label_words(self) -> str:
        """The words to ask the label grammar about, rows parted by commas; all where they are few enough."""
        return words_for_label(self.rows)[0]

    @property
    def rows_left_out(self) -> int:
        """How many rows ``label_words`` leaves out, because a label is no document."""
        return words_for_label(self.rows)[1]

    @property
    def confidence(self) -> float:
        """Mean confidence of the lines, long ones counting more; 0 without any. A rank, no probability."""
        return _mean_confidence(self.lines)


@dataclass(frozen=True)
class _Pass:
    view: View
    lines: tuple[PhotoLine, ...]
    angle_deg: float
    understood: Understood

    @property
    def confidence(self) -> float:
        return _mean_confidence(self.lines)

    @property
    def good(self) -> bool:
        """Whether another view would hardly tell more."""
        if self.understood.rank == 2:  # many labels do mean several things
            return self.confidence >= _VERY_SURE and not proposals_for(_rows(self.lines))
        return self.understood.rank == 3 and self.confidence >= _SURE

    @property
    def worth(self) -> tuple[int, float]:
        """How far it was understood; of equals, the one that read most letters, and most surely."""
        letters = sum(len(line.text) * line.confidence**4 for line in self.lines)
        return self.understood.rank, round(letters, 3)

    def __str__(self) -> str:
        how = self.view.done or "as it is"
        if not self.lines:
            return f"{how}: no text"
        kind = ("nothing understood", "nearly understood", "several meanings", "understood")
        return f"{how}: confidence {self.confidence:.2f}, {kind[self.understood.rank]}"


def read_photo(data: bytes) -> PhotoText:
    """Words and codes on the photograph of a label, a box or a certificate.

    The photograph is read as it is; where that is unsure, not understood or dark, again straightened,
    brightened, evened out, sharpened or smoothed. Of these the reading is shown that the label grammar
    understands best and that is surest; where another one means something else, that is among the doubts.

    Parameters
    ----------
    data : the content of a JPEG, PNG or WebP file; limits as of ``open_photo``

    Returns
    -------
    PhotoText : may be called from several threads at once; the models are loaded once and stay

    Raises
    ------
    InputError : the file cannot be used, has neither text nor a code, or the extra ``photo`` is missing
    """
    for name in _NEEDED:
        photo_library(name)
    pixels, opened = open_photo(data)
    codes = find_codes(pixels)
    passes = _passes(first_view(pixels))
    best = max(passes, key=lambda one: one.worth)
    lines = tuple(replace(line, box=best.view.in_photo(line.box)) for line in best.lines)
    if not lines and not codes:
        raise InputError(
            Problem(
                "photograph",
                None,
                "shows no text and no code that can be read.",
                "Take it from closer, in even light and without shine, or type the words of the label.",
            )
        )
    return PhotoText(
        lines=lines,
        codes=codes,
        done=(*opened, *((best.view.done,) if best.view.done else ())),
        tried=tuple(str(one) for one in passes),
        proposals=proposals_for(_rows(lines)),
        doubts=tuple(_doubts(best, passes, codes)),
        width=int(pixels.shape[1]),
        height=int(pixels.shape[0]),
    )


def _passes(first: View) -> list[_Pass]:
    done = [_read(first)]
    if done[0].good and not is_dark(first):
        return done
    for view in further_views(first, done[0].angle_deg)[:_MOST_VIEWS]:
        done.append(_read(view))
        if done[-1].good and view.brightened >= is_dark(first):
            break
    return done


def _read(view: View) -> _Pass:
    lines, angle_deg = read_lines(view.pixels)
    words = words_for_label(_rows(lines))[0]
    return _Pass(view, lines, angle_deg, understand(words) if words else Understood(0))


def _rows(lines: tuple[PhotoLine, ...]) -> tuple[str, ...]:
    rows: dict[int, list[str]] = {}
    for line in lines:
        rows.setdefault(line.row, []).append(line.text)
    return tuple(" ".join(texts) for _, texts in sorted(rows.items()))


def _mean_confidence(lines: tuple[PhotoLine, ...]) -> float:
    letters = sum(len(line.text) for line in lines)
    return sum(line.confidence * len(line.text) for line in lines) / letters if letters else 0.0


def _doubts(best: _Pass, passes: list[_Pass], codes: tuple[PhotoCode, ...]) -> list[str]:
    told = []
    for one in passes:
        other = one.understood
        if other.rank >= 2 and other.meaning != best.understood.meaning:
            how = one.view.done or "as it is"
            told.append(f"Read another way ({how}), it means {' or '.join(other.meaning[:2])}.")
    told += [
        f"Unsure of {line.text!r} (confidence {line.confidence:.2f})."
        for line in best.lines
        if line.confidence < _UNSURE_LINE
    ]
    told += [
        f"The trade number {code.gtin} has a wrong check digit."
        for code in codes
        if code.check_digit == "wrong"
    ]
    told += [
        f"One {first.kind} reads in two ways, {first.content} and {second.content}: trust neither."
        for first, second in combinations(codes, 2)
        if first.kind == second.kind and _overlap(first, second)
    ]
    return list(dict.fromkeys(told))


def _overlap(first: PhotoCode, second: PhotoCode) -> bool:
    return all(
        max(min(point[axis] for point in one.box) for one in (first, second))
        <= min(max(point[axis] for point in one.box) for one in (first, second))
        for axis in (0, 1)
    )
