"""Letters out of pixels: the reading engine, loaded once, and its lines in the order in which people read."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.intake.photo_file import photo_library

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

__all__ = ["PhotoLine", "read_lines"]

LEAST_CONFIDENCE = 0.5  # of a line that is shown at all
_LONE_CHARACTER = 0.9  # of a line of one character: knots and screw heads look like the letter O
_TALL = 1.5  # a box so many times higher than wide holds a line that runs up or down
_SEARCHED_SIDE = 1120  # pixels of the longer side in which lines are looked for; they are read in full size
_building, _reading = threading.Lock(), threading.Lock()


@dataclass(frozen=True)
class PhotoLine:
    """A line of text on a photograph.

    Attributes
    ----------
    text : as read
    confidence : of the reading engine, 0 to 1; a rank, no probability
    box : its four corners as (x, y) in the photograph [px]
    row : number of the row of print that it stands in, from 0
    """

    text: str
    confidence: float
    box: tuple[tuple[float, float], ...]
    row: int = 0


def read_lines(pixels: NDArray[Any]) -> tuple[tuple[PhotoLine, ...], float]:
    """The lines on a picture in reading order, and the angle [degrees] at which they run, clockwise.

    Parameters
    ----------
    pixels : [high, wide, 3] of red, green and blue

    Raises
    ------
    InputError : the extra ``photo`` is not installed, or came without its models
    """
    engine = _engine()
    with _reading:  # the engine keeps a picture's state in itself; it uses every core by itself
        found, turns, read = engine.run_ocr_steps(pixels[..., ::-1].copy(), {})[:3]
    if found.boxes is None or read.txts is None:
        return (), 0.0
    numpy = photo_library("numpy")
    boxes = [numpy.asarray(box, float) for box in found.boxes]
    flipped = [turn[0] == "180" and turn[1] > 0.9 for turn in turns.cls_res or ()]
    flipped += [False] * (len(boxes) - len(flipped))
    kept = [
        (text.strip(), float(score), box, over)
        for text, score, box, over in zip(read.txts, read.scores, boxes, flipped, strict=True)
        if _is_text(text.strip(), float(score))
    ]
    if not kept:
        return (), 0.0
    along = _direction(numpy, [(box, over) for _, _, box, over in kept])
    return _in_rows(numpy, kept, along), float(numpy.degrees(numpy.arctan2(along[1], along[0])))


def _is_text(text: str, score: float) -> bool:
    if len(text) == 1 and score < _LONE_CHARACTER:
        return False
    return score >= LEAST_CONFIDENCE and any(character.isalnum() for character in text)


def _direction(numpy: Any, boxes: list[tuple[Any, bool]]) -> Any:
    """The way that most of the print runs, as a vector of length one; long lines count more."""
    total = numpy.zeros(2)
    for box, over in boxes:
        across, down = box[1] - box[0], box[3] - box[0]
        tall = numpy.linalg.norm(down) >= _TALL * numpy.linalg.norm(across)
        total += (down if tall else across) * (-1 if over else 1)
    length = numpy.linalg.norm(total)
    return total / length if length > 0 else numpy.array([1.0, 0.0])


def _in_rows(numpy: Any, kept: list[tuple[str, float, Any, bool]], along: Any) -> tuple[PhotoLine, ...]:
    """Sorts lines into rows of print, and each row from its start to its end."""
    across = numpy.array([-along[1], along[0]])
    placed = []
    for text, score, box, _ in kept:
        middle = box.mean(axis=0)
        spread = box @ across
        placed.append(
            (float(middle @ across), float(middle @ along), float(numpy.ptp(spread)), text, score, box)
        )
    placed.sort(key=lambda one: one[0])
    rows: list[list[Any]] = []
    for one in placed:
        last = rows[-1] if rows else None
        if last is not None and one[0] - last[0][0] < 0.45 * min(one[2], last[0][2]):
            last.append(one)
        else:
            rows.append([one])
    return tuple(
        PhotoLine(one[3], one[4], tuple((float(x), float(y)) for x, y in one[5]), number)
        for number, row in enumerate(rows)
        for one in sorted(row, key=lambda one: one[1])
    )


def _engine() -> Any:
    with _building:
        return _built()


@once
def _built() -> Any:
    rapidocr = photo_library("rapidocr")
    models = _models(rapidocr)
    engine = rapidocr.RapidOCR(
        params={
            "Global.log_level": "critical",
            "Global.use_preprocess_img": False,
            "Global.use_vertical_padding": False,
            "Det.limit_type": "max",
            "Det.limit_side_len": _SEARCHED_SIDE,
        }
    )
    with photo_library("omegaconf").flag_override(engine.cfg, "allow_objects", True):
        for kind, model in models.items():
            engine.cfg[kind.capitalize()].session = _session(model)
    return engine


def _session(model: Path) -> Any:
    """A model in memory. Its threads wait asleep: awake, they take processors from others for nothing."""
    onnxruntime = photo_library("onnxruntime")
    options = onnxruntime.SessionOptions()
    options.log_severity_level = 4
    options.enable_cpu_mem_arena = False  # else what the largest photograph took is never given back
    options.add_session_config_entry("session.intra_op.allow_spinning", "0")
    return onnxruntime.InferenceSession(str(model), options, providers=["CPUExecutionProvider"])


def _models(rapidocr: Any) -> dict[str, Path]:
    """The models that came with the library; named, so that it never fetches any.

    Raises
    ------
    InputError : one is missing
    """
    from pathlib import Path

    folder = Path(rapidocr.__file__).parent / "models"
    found = {kind: sorted(folder.glob(f"*_{kind}_*.onnx")) for kind in ("det", "cls", "rec")}
    missing = [kind for kind, files in found.items() if not files]
    if missing:
        said = f"cannot be read: the reading library came without its models ({', '.join(missing)})."
        do = "Run: pip install --force-reinstall 'rapidocr>=3.10'"
        raise InputError(Problem("photographs", None, said, do))
    return {kind: files[0] for kind, files in found.items()}
