"""Ways to make a photograph easier to read; each keeps where its pixels came from."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from longhold.intake.photo_file import photo_library

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["View", "first_view", "further_views", "is_dark"]

_LARGEST = 2000  # pixels of the longer side that letters are read in
_SMALLEST = 900  # pixels of the longer side below which a picture is enlarged
_LEVEL = 4.0  # degrees of tilt that the engine reads as well as none
_DARK, _GLARE = 80.0, 250.0  # of 255, for half of the pixels and for the brightest
_VERY_DARK = 32.0  # of 255, for half of the pixels: print in the dark is often not even found
_SOFT = 60.0  # variance of the second derivative, of a picture with even contrast


@dataclass(frozen=True)
class View:
    """A photograph made ready for reading.

    Attributes
    ----------
    done : what was done to it, in words; blank for nothing
    pixels : [high, wide, 3] of red, green and blue
    back : [3, 3], takes a point of it to a point of the photograph
    brightened : whether it was
    """

    done: str
    pixels: NDArray[Any]
    back: NDArray[Any]
    brightened: bool = False

    def in_photo(self, box: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
        """Corners of a box as they stand in the photograph [px]."""
        numpy = photo_library("numpy")
        points = numpy.column_stack([numpy.asarray(box, float), numpy.ones(len(box))]) @ self.back.T
        return tuple((round(float(x / w), 1), round(float(y / w), 1)) for x, y, w in points)


def first_view(pixels: NDArray[Any]) -> View:
    """The photograph in a size in which letters are read well, nothing else done to it."""
    cv2, numpy = photo_library("cv2"), photo_library("numpy")
    longer = max(pixels.shape[:2])
    factor = min(1.0, _LARGEST / longer) if longer >= _SMALLEST else min(3.0, _SMALLEST * 1.6 / longer)
    if factor == 1.0:
        return View("", pixels, numpy.eye(3))
    way = cv2.INTER_AREA if factor < 1 else cv2.INTER_CUBIC
    sized = cv2.resize(pixels, None, fx=factor, fy=factor, interpolation=way)
    done = "" if factor < 1 else f"enlarged {factor:.1f} times"
    return View(done, sized, numpy.diag([1 / factor, 1 / factor, 1.0]))


def is_dark(view: View) -> bool:
    """Whether a photograph is so dark that print may have gone unfound."""
    return float(photo_library("numpy").median(view.pixels)) < _VERY_DARK


def further_views(first: View, angle_deg: float) -> list[View]:
    """Other views, those first that mend what is wrong with this photograph.

    Parameters
    ----------
    first : the plain view
    angle_deg : at which the lines were found to run; 0 where none were found
    """
    cv2 = photo_library("cv2")
    flat = _flattened(first) or _levelled(first, angle_deg)
    ground = flat or first
    makers: list[tuple[float, str, Callable[[Any, Any], Any]]] = [
        (*_need(cv2, ground.pixels, "dark"), _brightened),
        (*_need(cv2, ground.pixels, "glare"), _evened),
        (*_need(cv2, ground.pixels, "soft"), _sharpened),
        (*_need(cv2, ground.pixels, "grain"), _smoothed),
    ]
    makers.sort(key=lambda maker: -maker[0])
    made = [
        View(_both(ground.done, words), work(cv2, ground.pixels), ground.back, work is _brightened)
        for _, words, work in makers
    ]
    return ([flat] if flat else []) + made


def _both(first: str, second: str) -> str:
    return f"{first}, {second}" if first else second


_WORDS = {
    "dark": "brightened and given even contrast",
    "glare": "light and shade evened out",
    "soft": "sharpened",
    "grain": "smoothed",
}


def _need(cv2: Any, pixels: NDArray[Any], trait: str) -> tuple[float, str]:
    """How much a picture has of a trait, 0 and up; 1 is plenty."""
    numpy = photo_library("numpy")
    gray = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    if trait == "dark":
        much = _DARK / max(1.0, float(numpy.median(gray)))
    elif trait == "glare":
        much = float((gray > _GLARE).mean()) * 20
    elif trait == "soft":
        scaled = cv2.normalize(cv2.medianBlur(gray, 3), None, 0, 255, cv2.NORM_MINMAX)
        much = _SOFT / max(1.0, float(cv2.Laplacian(scaled, cv2.CV_64F).var()))
    else:
        much = float(numpy.abs(gray.astype(float) - cv2.medianBlur(gray, 3)).mean()) / 6.0
    return much, _WORDS[trait]


def _brightened(cv2: Any, pixels: NDArray[Any]) -> NDArray[Any]:
    """Grain taken out first, or contrast would raise it; then contrast within each neighborhood."""
    numpy = photo_library("numpy")
    calm = cv2.bilateralFilter(pixels, 7, 30, 5)
    light = cv2.cvtColor(calm, cv2.COLOR_RGB2LAB)
    low, high = numpy.percentile(light[..., 0], (1, 99.5))
    stretched = (light[..., 0].astype(float) - low) / max(8.0, high - low)
    light[..., 0] = numpy.clip(stretched, 0, 1) ** 0.8 * 255
    light[..., 0] = cv2.createCLAHE(clipLimit=2.0, tileGridSize=(8, 8)).apply(light[..., 0])
    return cv2.cvtColor(light, cv2.COLOR_LAB2RGB)  # type: ignore[no-any-return]


def _evened(cv2: Any, pixels: NDArray[Any]) -> NDArray[Any]:
    """Each pixel against the paper around it: shade and the rim of a glare go, print stays."""
    numpy = photo_library("numpy")
    gray = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    paper = cv2.medianBlur(cv2.dilate(gray, numpy.ones((9, 9), numpy.uint8)), 41).astype(float)
    flat = numpy.clip(255 - (paper - gray) * (255 / numpy.maximum(40.0, paper)) * 1.6, 0, 255)
    return cv2.cvtColor(flat.astype(numpy.uint8), cv2.COLOR_GRAY2RGB)  # type: ignore[no-any-return]


def _sharpened(cv2: Any, pixels: NDArray[Any]) -> NDArray[Any]:
    """What blur took from the edges is added back twice, at two widths."""
    sharp = pixels
    for width, much in ((4.0, 1.2), (1.8, 0.8)):
        sharp = cv2.addWeighted(sharp, 1 + much, cv2.GaussianBlur(sharp, (0, 0), width), -much, 0)
    return sharp


def _smoothed(cv2: Any, pixels: NDArray[Any]) -> NDArray[Any]:
    return cv2.bilateralFilter(cv2.medianBlur(pixels, 3), 9, 45, 6)  # type: ignore[no-any-return]


def _levelled(first: View, angle_deg: float) -> View | None:
    """The picture turned so that its lines run level; None where they do."""
    if abs(angle_deg) < _LEVEL:
        return None
    cv2, numpy = photo_library("cv2"), photo_library("numpy")
    high, wide = first.pixels.shape[:2]
    turn = cv2.getRotationMatrix2D((wide / 2, high / 2), angle_deg, 1.0)
    cos, sin = abs(turn[0, 0]), abs(turn[0, 1])
    new_wide, new_high = int(high * sin + wide * cos), int(high * cos + wide * sin)
    turn[0, 2] += (new_wide - wide) / 2
    turn[1, 2] += (new_high - high) / 2
    turned = cv2.warpAffine(
        first.pixels, turn, (new_wide, new_high), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
    )
    back = first.back @ numpy.linalg.inv(numpy.vstack([turn, [0, 0, 1]]))
    return View(_both(first.done, f"turned by {angle_deg:.0f} degrees"), turned, back)


def _flattened(first: View) -> View | None:
    """The sheet cut out and seen from straight above; None where no sheet stands out from its background."""
    cv2, numpy = photo_library("cv2"), photo_library("numpy")
    corners = _sheet(cv2, numpy, first.pixels)
    if corners is None:
        return None
    top, right, bottom, left = (float(numpy.linalg.norm(corners[i] - corners[(i + 1) % 4])) for i in range(4))
    wide, high = max(top, bottom), max(left, right)
    grow = min(2.5, _LARGEST * 0.8 / max(wide, high))
    if grow < 1:
        grow = 1.0
    wide, high = wide * grow, high * grow
    target = numpy.array([[0, 0], [wide, 0], [wide, high], [0, high]], numpy.float32)
    warp = cv2.getPerspectiveTransform(corners.astype(numpy.float32), target)
    flat = cv2.warpPerspective(first.pixels, warp, (int(wide), int(high)), flags=cv2.INTER_CUBIC)
    back = first.back @ numpy.linalg.inv(warp)
    return View(_both(first.done, "cut out and straightened"), flat, back)


def _sheet(cv2: Any, numpy: Any, pixels: NDArray[Any]) -> NDArray[Any] | None:
    """Corners of the largest bright four-sided patch, clockwise from the top left; None without one."""
    high, wide = pixels.shape[:2]
    factor = 500 / max(high, wide)
    small = cv2.GaussianBlur(cv2.resize(pixels, None, fx=factor, fy=factor), (0, 0), 2.5)
    light = cv2.cvtColor(small, cv2.COLOR_RGB2LAB)[..., 0]
    _, bright = cv2.threshold(light, 0, 255, cv2.THRESH_BINARY + cv2.THRESH_OTSU)
    bright = cv2.morphologyEx(bright, cv2.MORPH_CLOSE, numpy.ones((9, 9), numpy.uint8))
    edges = cv2.findContours(bright, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)[0]
    area = small.shape[0] * small.shape[1]
    for edge in sorted(edges, key=cv2.contourArea, reverse=True)[:3]:
        hull = cv2.convexHull(edge)
        four = cv2.approxPolyDP(hull, 0.03 * cv2.arcLength(hull, True), True)
        fills = cv2.contourArea(edge) / max(1.0, cv2.contourArea(four))
        if len(four) == 4 and 0.04 * area < cv2.contourArea(four) < 0.93 * area and fills > 0.85:
            return _clockwise(numpy, four.reshape(4, 2).astype(float) / factor)
    return None


def _clockwise(numpy: Any, points: NDArray[Any]) -> NDArray[Any]:
    middle = points.mean(axis=0)
    around = points[numpy.argsort(numpy.arctan2(points[:, 1] - middle[1], points[:, 0] - middle[0]))]
    start = int(numpy.argmin(around.sum(axis=1)))
    return numpy.roll(around, -start, axis=0)  # type: ignore[no-any-return]
