"""Make the fonts of the printed papers from the released ones: what is not needed is left out.

Usage: python tools/paper_fonts.py FOLDER, a folder with the TrueType files named below, as their makers
release them under the SIL Open Font License. Needs fonttools.
"""

from __future__ import annotations

import sys
from pathlib import Path

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

TARGET = Path(__file__).parents[1] / "src" / "longhold" / "documents" / "papers" / "fonts"
FONTS = {
    "AtkinsonHyperlegibleNext_400Regular.ttf": "text_regular.ttf",
    "AtkinsonHyperlegibleNext_700Bold.ttf": "text_bold.ttf",
    "AtkinsonHyperlegibleNext_400Regular_Italic.ttf": "text_italic.ttf",
    "NotoSans_400Regular.ttf": "more_regular.ttf",
    "NotoSans_700Bold.ttf": "more_bold.ttf",
}
LETTERS = (
    *((0x0020, 0x024F), (0x02B0, 0x03FF), (0x0400, 0x052F), (0x1E00, 0x1EFF)),
    *((0x2000, 0x206F), (0x2070, 0x209F), (0x20A0, 0x20BF), (0x2100, 0x218F)),
    *((0x2190, 0x22FF), (0xFFFD, 0xFFFD)),
)


def main(folder: Path) -> None:
    """Write the fonts and the list of letters that all of them together can print."""
    covered: dict[str, set[int]] = {"regular": set(), "bold": set()}
    TARGET.mkdir(parents=True, exist_ok=True)
    for released, ours in FONTS.items():
        font = TTFont(next(folder.rglob(released)), recalcTimestamp=False)
        options = Options()
        options.hinting = False
        options.name_IDs = ["*"]
        options.notdef_outline = True
        subsetter = Subsetter(options)
        subsetter.populate(unicodes=[one for first, last in LETTERS for one in range(first, last + 1)])
        subsetter.subset(font)
        font.save(TARGET / ours)
        weight = "bold" if "bold" in ours else "regular"
        if "italic" not in ours:
            covered[weight] |= set(font.getBestCmap())
    letters = sorted(covered["regular"] & covered["bold"])
    (TARGET / "letters.txt").write_text(
        "".join(f"{first:04X}-{last:04X}\n" for first, last in _runs(letters))
    )


def _runs(numbers: list[int]) -> list[tuple[int, int]]:
    runs: list[tuple[int, int]] = []
    for number in numbers:
        if runs and runs[-1][1] == number - 1:
            runs[-1] = runs[-1][0], number
        else:
            runs.append((number, number))
    return runs


if __name__ == "__main__":
    main(Path(sys.argv[1]))
