"""Draws invented labels as a telephone would photograph them, for the trial of reading such photographs.

A contact sheet to look at: .venv/bin/python tools/photo_labels.py build/labels.png

Words and numbers are invented; designations are those of open standards. Fonts come with libraries that the
tests need anyway, so that every machine draws the same pictures.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

import cv2
import numpy as np
from PIL import Image, ImageDraw, ImageFont

FRAME = (1600, 1200)
PAPER = {
    "white": (246, 246, 243),
    "cream": (240, 232, 208),
    "yellow": (250, 222, 92),
    "kraft": (196, 160, 116),
}

Pixels = np.ndarray


@dataclass(frozen=True)
class Drawn:
    """One picture to draw.

    Attributes
    ----------
    name : of the picture
    words : lines on the label, the first in large letters
    font : name of a font of ``FONTS``
    paper : name of a color of ``PAPER``
    traits : names of ``TRAITS`` in the order in which they act
    seed : of everything random
    code : digits of an EAN-13 or the content of a QR code; blank for none
    plate : what the words are on: paper, or ``dots``, ``embossed``, ``stamped``
    meant : the words that a person would pick from a long text; blank for all of them
    """

    name: str
    words: tuple[str, ...]
    font: str = "plain"
    paper: str = "white"
    traits: tuple[str, ...] = ()
    seed: int = 1
    code: str = ""
    plate: str = "paper"
    meant: str = ""

    @property
    def text(self) -> str:
        """The true words as a person types them, a comma between the rows."""
        return ", ".join(self.words)


def _matplotlib_font(name: str) -> str:
    spec = find_spec("matplotlib")
    if spec is None or spec.origin is None:
        raise SystemExit("The pictures are drawn with fonts of matplotlib: install the extra dev.")
    return str(Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf" / f"{name}.ttf")


FONTS = {
    "plain": "",  # the one that comes with Pillow
    "sans": "DejaVuSans",
    "sans bold": "DejaVuSans-Bold",
    "mono": "DejaVuSansMono",
    "serif": "DejaVuSerif",
    "slanted": "DejaVuSans-Oblique",
    "book": "STIXGeneral",
    "book bold": "STIXGeneralBol",
    "typewriter": "cmtt10",
    "thin sans": "cmss10",
}


def font(name: str, size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    """A font of ``FONTS`` in a size [px]."""
    file = FONTS[name]
    return ImageFont.truetype(_matplotlib_font(file), size) if file else ImageFont.load_default(size)


def label(drawn: Drawn, wide: int = 900, high: int = 620) -> Pixels:
    """The flat label [high, wide, 3]."""
    makers = {"dots": _dots, "embossed": _embossed, "stamped": _stamped}
    if drawn.plate in makers:
        return makers[drawn.plate](drawn, wide, high)
    picture = Image.new("RGB", (wide, high), PAPER[drawn.paper])
    pen = ImageDraw.Draw(picture)
    pen.rectangle((8, 8, wide - 9, high - 9), outline=(30, 30, 30), width=3)
    room = high - (150 if drawn.code else 40) - 30
    step = min(86, room // len(drawn.words))
    top = 34
    for number, line in enumerate(drawn.words):
        size = int(step * (0.72 if number == 0 else 0.62))
        while pen.textlength(line, font=font(drawn.font, size)) > wide - 70:
            size -= 1
        pen.text((36, top), line, fill=(24, 24, 28), font=font(drawn.font, size))
        top += step
    if drawn.code:
        mark = _code(drawn.code)
        picture.paste(mark, (wide - mark.width - 40, high - mark.height - 24))
    return np.asarray(picture)


def _code(content: str) -> Image.Image:
    import zxingcpp

    kind = zxingcpp.BarcodeFormat.EAN13 if content.isdigit() else zxingcpp.BarcodeFormat.QRCode
    code = zxingcpp.create_barcode(content, kind)
    module = np.asarray(zxingcpp.write_barcode_to_image(code, scale=3 if content.isdigit() else 4))
    if content.isdigit():
        module = np.repeat(module[:1], 110, axis=0)
    return Image.fromarray(module).convert("RGB")


def _mask(line: str, size: int, name: str = "sans bold") -> Pixels:
    face = font(name, size)
    left, top, right, bottom = face.getbbox(line)
    picture = Image.new("L", (int(right - left) + 8, int(bottom - top) + 8), 0)
    ImageDraw.Draw(picture).text((4 - left, 4 - top), line, fill=255, font=face)
    return np.asarray(picture)


def _dots(drawn: Drawn, wide: int, high: int) -> Pixels:
    """Letters of dots, as an ink-jet prints them on a box."""
    picture = np.full((high, wide, 3), PAPER[drawn.paper], np.uint8)
    step = (high - 60) // len(drawn.words)
    for number, line in enumerate(drawn.words):
        small = _mask(line, 11, "mono") > 110
        pitch = min(step / (small.shape[0] + 3), (wide - 60) / small.shape[1])
        for y, x in zip(*np.nonzero(small), strict=True):
            at = (int(30 + x * pitch), int(30 + number * step + y * pitch))
            cv2.circle(picture, at, max(1, int(pitch * 0.46)), (40, 40, 52), -1, cv2.LINE_AA)
    return picture


def _metal(rng: np.random.Generator, wide: int, high: int) -> Pixels:
    """Zinc: grain, brushed in one direction, and spangle."""
    coarse = cv2.resize(
        rng.normal(0, 1, (high // 26, wide // 26)), (wide, high), interpolation=cv2.INTER_NEAREST
    )
    brushed = cv2.GaussianBlur(rng.normal(0, 1, (high, wide)), (31, 1), 0)
    return 150 + 6 * coarse + 12 * brushed + 3 * rng.normal(0, 1, (high, wide))


def _height_map(drawn: Drawn, wide: int, high: int) -> Pixels:
    """How far letters stand out of a plate, 0 to 1, a row below the other."""
    height = np.zeros((high, wide))
    step = (high - 60) // len(drawn.words)
    for number, line in enumerate(drawn.words):
        size = int(min(step * 0.6, 150))
        while _mask(line, size).shape[1] > wide - 60:
            size -= 2
        letters = _mask(line, size)
        top = 30 + number * step
        height[top : top + letters.shape[0], 30 : 30 + letters.shape[1]] = letters / 255.0
    return height


def _relief(height: Pixels, seed: int, deep: float, narrow: float) -> Pixels:
    """Metal with letters that are only seen by their edges: light on one side, shade on the other."""
    ground = _metal(np.random.default_rng(seed), height.shape[1], height.shape[0])
    soft = cv2.GaussianBlur(height, (0, 0), narrow)
    slope = cv2.Sobel(soft, cv2.CV_64F, 1, 0) + cv2.Sobel(soft, cv2.CV_64F, 0, 1)
    grey = np.clip(ground - deep * slope, 0, 255).astype(np.uint8)
    return cv2.cvtColor(grey, cv2.COLOR_GRAY2RGB)


def _embossed(drawn: Drawn, wide: int, high: int) -> Pixels:
    return _relief(_height_map(drawn, wide, high), drawn.seed, deep=34.0, narrow=2.4)


def _stamped(drawn: Drawn, wide: int, high: int) -> Pixels:
    """The head of a bolt: the first mark across it, the others round its rim."""
    height = np.zeros((high, wide))
    middle, radius = (wide // 2, high // 2), min(wide, high) // 2 - 10
    across = _mask(drawn.words[0], 120)
    top, left = middle[1] - across.shape[0] // 2, middle[0] - across.shape[1] // 2
    height[top : top + across.shape[0], left : left + across.shape[1]] = across / 255.0
    for number, letter in enumerate(" ".join(drawn.words[1:])):
        if letter != " ":
            angle = (number - len(" ".join(drawn.words[1:])) / 2 + 0.5) * 16.0
            tile = np.zeros((high, wide))
            mark = _mask(letter, 84)
            x = middle[0] - mark.shape[1] // 2
            tile[middle[1] - radius + 24 :][: mark.shape[0], x : x + mark.shape[1]] = mark / 255.0
            spin = cv2.getRotationMatrix2D(middle, -angle, 1.0)
            height = np.maximum(height, cv2.warpAffine(tile, spin, (wide, high)))
    picture = (_relief(height, drawn.seed, deep=40.0, narrow=2.6) * 0.72).astype(np.uint8)
    inside = np.zeros((high, wide), np.uint8)
    cv2.circle(inside, middle, radius, 255, -1)
    picture[inside == 0] = 40
    return picture


def _background(rng: np.random.Generator, wide: int, high: int) -> Pixels:
    """A plank: grain along it, and a knot or two."""
    grain = cv2.GaussianBlur(rng.normal(0, 1, (high, wide)).astype(np.float32), (0, 0), sigmaX=60, sigmaY=1.2)
    grain = grain / grain.std()
    wood = np.array([148.0, 112.0, 78.0]) + grain[..., None] * np.array([16.0, 14.0, 11.0])
    for _ in range(2):
        at = (int(rng.integers(0, wide)), int(rng.integers(0, high)))
        cv2.ellipse(wood, at, (46, 30), 0, 0, 360, (92, 64, 42), -1)
    return np.clip(wood, 0, 255).astype(np.uint8)


def _placed(flat: Pixels, rng: np.random.Generator, turn: float, lean: float, fill: float = 0.62) -> Pixels:
    """The label on a plank, turned [degrees] and seen from the side (``lean`` as a share of its size)."""
    wide, high = FRAME
    ground = _background(rng, wide, high)
    tall, broad = flat.shape[:2]
    scale = fill * wide / broad
    corners = np.array([[-broad, -tall], [broad, -tall], [broad, tall], [-broad, tall]], float) / 2 * scale
    if lean:
        side = 1 if rng.random() < 0.5 else -1
        far = corners[:, 0] * side > 0
        corners[far, 1] *= 1 - lean
        corners[far, 0] *= 1 - lean * 0.5
        corners[:, 1] += corners[:, 0] * lean * 0.12
    angle = np.deg2rad(turn)
    spin = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    corners = corners @ spin.T + np.array([wide, high]) / 2 + rng.uniform(-30, 30, 2)
    source = np.array([[0, 0], [broad, 0], [broad, tall], [0, tall]], np.float32)
    warp = cv2.getPerspectiveTransform(source, corners.astype(np.float32))
    laid = cv2.warpPerspective(flat, warp, FRAME, flags=cv2.INTER_AREA)
    mask = cv2.warpPerspective(np.full((tall, broad), 255, np.uint8), warp, FRAME)
    shade = cv2.GaussianBlur(mask, (0, 0), 14)[..., None] / 255.0 * 0.35
    ground = ground * (1 - np.roll(shade, (10, 8), (0, 1)))
    share = mask[..., None] / 255.0
    return np.clip(laid * share + ground * (1 - share), 0, 255).astype(np.uint8)


def _curved(flat: Pixels, bend: float) -> Pixels:
    """Paper round a tube: columns crowd towards the sides, lines sag."""
    high, wide = flat.shape[:2]
    x = (np.arange(wide) - wide / 2) / (wide / 2)
    across = np.arcsin(np.clip(x * np.sin(bend), -1, 1)) / bend
    map_x = np.tile(((across + 1) / 2 * (wide - 1)).astype(np.float32), (high, 1))
    sag = (1 - np.cos(across * bend)) * wide * 0.16
    map_y = np.arange(high, dtype=np.float32)[:, None] + sag[None, :].astype(np.float32)
    bent = cv2.remap(
        flat, map_x, map_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=(90, 70, 50)
    )
    light = 0.55 + 0.45 * np.cos(across * bend)
    return np.clip(bent * light[None, :, None], 0, 255).astype(np.uint8)


def _shaded(picture: Pixels, rng: np.random.Generator, least: float) -> Pixels:
    high, wide = picture.shape[:2]
    angle = rng.uniform(0, 2 * np.pi)
    ramp = (
        np.cos(angle) * np.linspace(-1, 1, wide)[None, :] + np.sin(angle) * np.linspace(-1, 1, high)[:, None]
    )
    ramp = (ramp - ramp.min()) / np.ptp(ramp)
    return np.clip(picture * (least + (1 - least) * ramp)[..., None], 0, 255).astype(np.uint8)


def _glared(picture: Pixels, rng: np.random.Generator, strong: float) -> Pixels:
    high, wide = picture.shape[:2]
    y, x = np.mgrid[0:high, 0:wide]
    out = picture.astype(float)
    for left, right in ((0.24, 0.42), (0.45, 0.7)):  # the first where labels have their print
        at = (wide * rng.uniform(left, right), high * rng.uniform(0.28, 0.5))
        size = (wide * rng.uniform(0.08, 0.16), high * rng.uniform(0.1, 0.2))
        spot = np.exp(-(((x - at[0]) / size[0]) ** 2 + ((y - at[1]) / size[1]) ** 2))
        out = out + (255 - out) * (strong * spot)[..., None]
    return np.clip(out, 0, 255).astype(np.uint8)


def _moved(picture: Pixels, rng: np.random.Generator, length: int) -> Pixels:
    """The hand moved: a streak [px] in one direction."""
    kernel = np.zeros((length, length), np.float32)
    angle = rng.uniform(0, np.pi)
    half = (length - 1) / 2
    end = (np.cos(angle) * half, np.sin(angle) * half)
    start = (round(half - end[0]), round(half - end[1]))
    cv2.line(kernel, start, (round(half + end[0]), round(half + end[1])), 1.0, 1)
    return cv2.filter2D(picture, -1, kernel / kernel.sum())


def _noisy(picture: Pixels, rng: np.random.Generator, strong: float) -> Pixels:
    """Grain of the sensor, some of it in color and a few pixels wide."""
    high, wide = picture.shape[:2]
    fine = rng.normal(0, strong, (high, wide, 1))
    blotch = cv2.resize(rng.normal(0, strong * 0.7, (high // 3, wide // 3, 3)), (wide, high))
    return np.clip(picture + fine + blotch, 0, 255).astype(np.uint8)


def _dark(picture: Pixels, rng: np.random.Generator, light: float) -> Pixels:
    """So little light that the grain shows: photons are counted."""
    photons = 420 * light
    counted = rng.poisson(np.clip(picture / 255.0, 0, 1) * photons) / photons * 255 * light * 1.6
    return np.clip(_noisy(counted, rng, 5.0), 0, 255).astype(np.uint8)


def _squeezed(picture: Pixels, quality: int) -> Pixels:
    done, data = cv2.imencode(".jpg", picture[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])
    if not done:
        raise SystemExit("The picture could not be written as JPEG.")
    return cv2.imdecode(data, cv2.IMREAD_COLOR)[..., ::-1]


def _small(picture: Pixels, share: float) -> Pixels:
    return cv2.resize(picture, None, fx=share, fy=share, interpolation=cv2.INTER_AREA)


TRAITS: dict[str, Callable[[Pixels, np.random.Generator], Pixels]] = {
    "tilt": lambda picture, rng: _placed(picture, rng, rng.choice([-1, 1]) * rng.uniform(8, 17), 0.0),
    "steep tilt": lambda picture, rng: _placed(
        picture, rng, rng.choice([-1, 1]) * rng.uniform(24, 38), 0.0, 0.56
    ),
    "side view": lambda picture, rng: _placed(picture, rng, rng.uniform(-9, 9), rng.uniform(0.34, 0.44), 0.7),
    "laid": lambda picture, rng: _placed(picture, rng, rng.uniform(-3, 3), 0.04),
    "far": lambda picture, rng: _placed(picture, rng, rng.uniform(-6, 6), 0.1, 0.25),
    "quarter turn": lambda picture, _: np.rot90(picture).copy(),
    "upside down": lambda picture, _: np.rot90(picture, 2).copy(),
    "bent": lambda picture, rng: _curved(picture, rng.uniform(0.8, 1.0)),
    "shade": lambda picture, rng: _shaded(picture, rng, 0.3),
    "glare": lambda picture, rng: _glared(picture, rng, 0.93),
    "soft": lambda picture, rng: cv2.GaussianBlur(picture, (0, 0), rng.uniform(2.6, 3.4)),
    "very soft": lambda picture, rng: cv2.GaussianBlur(picture, (0, 0), rng.uniform(4.2, 5.2)),
    "moved": lambda picture, rng: _moved(picture, rng, 15),
    "grain": lambda picture, rng: _noisy(picture, rng, 26.0),
    "dark": lambda picture, rng: _dark(picture, rng, 0.09),
    "jpeg": lambda picture, _: _squeezed(picture, 24),
    "small": lambda picture, _: _small(picture, 0.4),
}


def photograph(drawn: Drawn) -> Pixels:
    """The picture [high, wide, 3] as red, green, blue."""
    rng = np.random.default_rng(drawn.seed)
    picture = label(drawn)
    for trait in drawn.traits:
        picture = TRAITS[trait](picture, rng)
    return np.ascontiguousarray(picture)


def encoded(picture: Pixels, form: str = "JPEG", quality: int = 82, **told: object) -> bytes:
    """The bytes of a picture file."""
    out = io.BytesIO()
    Image.fromarray(picture).save(out, form, quality=quality, **told)
    return out.getvalue()


def contact_sheet(drawn: list[Drawn], columns: int = 6, wide: int = 400) -> Image.Image:
    """All pictures small, with their names."""
    high = wide * 3 // 4
    rows = -(-len(drawn) // columns)
    sheet = Image.new("RGB", (columns * wide, rows * (high + 22)), "white")
    pen = ImageDraw.Draw(sheet)
    for number, one in enumerate(drawn):
        row, column = divmod(number, columns)
        small = Image.fromarray(photograph(one))
        small.thumbnail((wide - 6, high))
        at = (column * wide, row * (high + 22))
        sheet.paste(small, (at[0] + 3, at[1] + 20))
        pen.text((at[0] + 4, at[1] + 3), f"{one.name}: {', '.join(one.traits)}", fill="black")
    return sheet


def _numbered(start: str, rows: list[tuple]) -> Iterator[Drawn]:
    for number, (words, face, paper, traits, *rest) in enumerate(rows, start=1):
        code = rest[0] if rest else ""
        plate = rest[1] if len(rest) > 1 else "paper"
        meant = PANEL_MEANT if words == PANEL else ""
        yield Drawn(
            f"{start}{number:02}", tuple(words.split(" / ")), face, paper, tuple(traits.split(", ")),
            seed=1000 * sum(map(ord, start)) + 17 * number, code=code, meant=meant, plate=plate,
        )  # fmt: skip


EAN = "2012345678903"  # of the range that GS1 leaves for use inside a company
QR = "ART 30417 LOT 88"

CLEAN = [
    ("JOIST HANGER 46 X 200 / ASTM A653 G185 / 18 GA / LOT 4471", "plain", "white", "laid", EAN),
    ("FRAMING ANGLE / 2 x 2 x 5 in / ASTM A653 G90 / Qty 50", "sans", "yellow", "laid"),
    ("POST BASE 90 / S250GD+Z275 EN 10346 / t = 2.5 mm", "sans bold", "white", "laid"),
    ("COMMON NAILS 10d / ASTM A153 Class D / 3 in x 0.148 in / 5 lb", "mono", "kraft", "laid"),
    ("LAG SCREWS 1/2 x 6 / Hot-dip galvanized / ASTM A153 Class C / 25 pcs", "serif", "white", "laid"),
    ("DECK SCREWS 5 x 60 / Stainless steel 316 / 100 pieces", "plain", "cream", "laid", EAN),
    ("HEX BOLT M12 x 180 / A4-70 / ISO 3506-1 / 20 Stk", "sans", "white", "laid", QR),
    ("STRAP TIE 16 GA / G60 / ASTM A653", "slanted", "yellow", "laid"),
    ("TRUSS PLATE / DX51D+Z350 / EN 10346", "sans bold", "white", "laid"),
    ("WOOD SCREWS #10 x 3 / Zinc plated / ASTM F1941 / 200 ct", "plain", "kraft", "laid"),
    ("BEAM SEAT / ISO 1461 / 6 mm steel / Batch 7 1203", "mono", "white", "laid"),
    ("RING SHANK NAILS 8d / Type 304 stainless / 1 lb", "serif", "yellow", "laid", EAN),
    ("WASHERS 12 mm / ASTM B695 Class 55 / 50 pcs", "sans", "white", "tilt"),
    ("ANGLE BRACKET 90 / G185 / Made for treated wood", "plain", "cream", "shade, laid"),
]

HARD = [
    (
        "JOIST HANGER 46 X 200 / ASTM A653 G185 / 18 GA / LOT 4471",
        "plain",
        "white",
        "side view, shade, very soft",
        EAN,
    ),
    ("FRAMING ANGLE / 2 x 2 x 5 in / ASTM A653 G90 / Qty 50", "sans", "yellow", "steep tilt, grain, jpeg"),
    ("POST BASE 90 / S250GD+Z275 EN 10346 / t = 2.5 mm", "sans bold", "white", "tilt, glare, soft"),
    ("COMMON NAILS 10d / ASTM A153 Class D / 3 in x 0.148 in / 5 lb", "mono", "kraft", "bent, laid, dark"),
    (
        "LAG SCREWS 1/2 x 6 / Hot-dip galvanized / ASTM A153 Class C / 25 pcs",
        "serif",
        "white",
        "side view, moved, jpeg",
    ),
    ("DECK SCREWS 5 x 60 / Stainless steel 316 / 100 pieces", "plain", "cream", "bent, tilt, jpeg", EAN),
    ("HEX BOLT M12 x 180 / A4-70 / ISO 3506-1 / 20 Stk", "sans", "white", "far, soft, jpeg", QR),
    ("STRAP TIE 16 GA / G60 / ASTM A653", "slanted", "yellow", "tilt, moved, grain"),
    ("TRUSS PLATE / DX51D+Z350 / EN 10346", "sans bold", "white", "side view, dark"),
    ("WOOD SCREWS #10 x 3 / Zinc plated / ASTM F1941 / 200 ct", "plain", "kraft", "tilt, shade, very soft"),
    ("BEAM SEAT / ISO 1461 / 6 mm steel / Batch 7 1203", "mono", "white", "far, grain"),
    ("RING SHANK NAILS 8d / Type 304 stainless / 1 lb", "serif", "yellow", "bent, side view, shade", EAN),
    ("WASHERS 12 mm / ASTM B695 Class 55 / 50 pcs", "sans", "white", "tilt, small, jpeg"),
    ("ANGLE BRACKET 90 / G185 / Made for treated wood", "plain", "cream", "laid, upside down, soft"),
    ("JOIST HANGER 51 X 180 / ASTM A653 G185 / 16 GA", "sans", "white", "side view, glare", QR),
    ("RAFTER CLIP / Z275 / EN 10346 / 1.5 mm", "plain", "kraft", "laid, quarter turn, shade"),
    ("BOLTS 5/8 x 10 / ASTM F2329 / 10 pcs", "sans bold", "cream", "bent, laid, moved, soft, grain"),
    ("STRAP 30 x 1.2 / AZM150 / ASTM A792M", "mono", "white", "steep tilt, shade, grain, jpeg"),
    ("DECKING SCREWS / 4.5 x 70 / A2 / EN 14592 / 250", "plain", "yellow", "side view, grain, jpeg", EAN),
    ("HOLD-DOWN 3.0 mm / Z600 / EN 10346", "serif", "white", "far, dark"),
    ("BOX NAILS 8d / Hot-dip galvanized / ASTM A153 Class D", "plain", "kraft", "tilt, dark, soft"),
    ("PLATE 100 x 200 / ZM310 / EN 10346", "sans", "white", "side view, very soft"),
    ("POST CAP / ASTM A653 G90 / 14 GA / Lot B 2275", "sans", "cream", "bent, tilt, glare, soft"),
    ("CARRIAGE BOLTS 3/8 x 4 / ASTM B695 Class 55", "plain", "white", "moved, tilt, dark"),
    ("DOWEL 16 x 300 / 1.4401 / EN 10088", "sans bold", "yellow", "side view, shade, very soft, grain"),
    ("NAIL PLATE / DX51D+Z275 / EN 10346", "mono", "white", "tilt, small, soft"),
    ("SCREWS 6 x 120 / Fe/Zn 12 / ISO 2081", "plain", "white", "side view, soft, grain"),
    ("HANGER / G 185 / Lot 3 0196", "serif", "kraft", "laid, upside down, dark"),
]

HELD_OUT_CLEAN = [
    ("RIDGE TIE 40 / ASTM A653M Z180 / 20 GA", "book", "white", "laid"),
    ("STAIR ANGLE 10 in / ASTM A123 / 1/4 in plate", "thin sans", "cream", "laid", EAN),
    ("SIDING NAILS 7d / 305 stainless / 500 ct", "typewriter", "yellow", "laid"),
    ("SLEEPER BRACKET / S350GD+ZM310 / EN 10346", "book bold", "white", "laid"),
    ("THREADED ROD M16 / ISO 10684 / 1 m", "book", "kraft", "tilt"),
    ("PURLIN CLEAT / G115 / ASTM A653 / 12 GA", "book bold", "cream", "shade, laid", QR),
]

HELD_OUT_HARD = [
    ("RIDGE TIE 40 / ASTM A653M Z180 / 20 GA", "book", "white", "side view, shade, soft"),
    ("STAIR ANGLE 10 in / ASTM A123 / 1/4 in plate", "thin sans", "cream", "tilt, dark", EAN),
    ("SIDING NAILS 7d / 305 stainless / 500 ct", "typewriter", "yellow", "bent, tilt, jpeg"),
    ("SLEEPER BRACKET / S350GD+ZM310 / EN 10346", "book bold", "white", "side view, glare"),
    ("THREADED ROD M16 / ISO 10684 / 1 m", "book", "kraft", "far, soft, jpeg"),
    ("PURLIN CLEAT / G115 / ASTM A653 / 12 GA", "book bold", "cream", "tilt, moved, grain", QR),
    ("FENCE STAPLES / Class 3 / ASTM A641", "thin sans", "white", "steep tilt, soft"),
    ("COACH SCREWS 10 x 90 / A4 / 316L", "book", "white", "bent, laid, dark"),
    ("TIE ROD / ASTM F593 / 304 / 4 pcs", "book bold", "yellow", "laid, upside down, grain"),
    ("MENDING PLATE / G40 / 20 GA", "typewriter", "kraft", "side view, moved"),
    ("GIRT BRACKET / Z450 / AS 1397", "thin sans", "white", "tilt, small, jpeg"),
    ("SPIKES 60d / Hot-dip galvanized / ASTM A153", "book", "cream", "side view, very soft"),
    ("SADDLE 3 mm / DX53D+ZA255 / EN 10346", "book bold", "white", "laid, quarter turn, soft"),
    ("BEAM SHOE / ASTM A653 G210 / 7 GA", "book", "yellow", "bent, side view, shade", EAN),
]

PANEL = (
    "STRUCTURAL SCREWS 8 x 160 / Head: disk. Drive: T40. Length of thread 80 mm / "
    "Hot-dip galvanized to ISO 10684 / Pre-drill near ends and edges of timber / "
    "Wear eye protection. Keep out of reach of children. / Store in a dry place, stack no higher than 4 / "
    "Net weight 2.4 kg. Contents 50 pieces / Do not use a hammer drill. Clutch at step 12. / "
    "Contact with damp concrete is to be avoided / Dispose of the box as paper / "
    "Drawing 7 of 12, issue B / Packed by shift 3, line 2 / Order number 55 0812 17 / LOT 88 4471 / "
    "See the leaflet inside for distances and loads / Cardboard made of old paper"
)

PANEL_MEANT = "screws 8 x 160, hot-dip galvanized to ISO 10684"

REAL = [
    (
        "JOIST HANGER / Balkenschuh / Steel S250GD+Z275 / Stahl S250GD+Z275 / EN 10346",
        "plain",
        "white",
        "side view",
    ),
    (
        "SCREWS 5 x 80 / Schrauben / Stainless steel A2 / Edelstahl A2 / Acier inoxydable A2",
        "sans",
        "white",
        "tilt",
    ),
    ("STRAP 40 / Galvanized Z275 / Verzinkt Z275 / Galvanise Z275", "plain", "yellow", "bent, laid"),
    (PANEL, "plain", "white", "laid"),
    (PANEL, "plain", "kraft", "side view, shade, jpeg"),
    ("ASTM A153 CLASS D / NAILS 10d / 4471 09:22", "mono", "kraft", "laid", "", "dots"),
    ("DX51D+Z275 / EN 10346", "mono", "white", "tilt, soft, jpeg", "", "dots"),
    ("G185 / H 46-200", "sans bold", "white", "laid", "", "embossed"),
    ("Z275 / EN 10346", "sans bold", "white", "side view, shade", "", "embossed"),
    ("ASTM A653 G90 / 18 GA", "sans bold", "white", "tilt, soft, jpeg", "", "embossed"),
    ("A4-70", "sans bold", "white", "laid", "", "stamped"),
    ("A2-70 / M12", "sans bold", "white", "tilt", "", "stamped"),
    ("316 / F593", "sans bold", "white", "far, soft", "", "stamped"),
]

SETS = {
    "clean": list(_numbered("c", CLEAN)),
    "hard": list(_numbered("h", HARD)),
    "held out, clean": list(_numbered("kept-c", HELD_OUT_CLEAN)),
    "held out, hard": list(_numbered("kept-h", HELD_OUT_HARD)),
    "of other kinds": list(_numbered("real", REAL)),
}


if __name__ == "__main__":
    target = Path(sys.argv[1])
    target.parent.mkdir(parents=True, exist_ok=True)
    names = sys.argv[2:] or list(SETS)
    contact_sheet([one for name in names for one in SETS[name]]).save(target)
    print(target)
