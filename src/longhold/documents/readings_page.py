"""The page on a forecast that readings corrected: one HTML file that stands alone."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import TYPE_CHECKING

from longhold.documents.charts import life_line
from longhold.documents.figures import share
from longhold.documents.lives import deciding
from longhold.documents.page import page
from longhold.documents.readings_view import cause_rows, joint_pairs, joint_rows, reading_rows, readings_lede
from longhold.documents.thresholds_view import figure_words, turns_on
from longhold.inspect.spreads import spread_rows

if TYPE_CHECKING:
    from longhold.inspect.learn import Updated

__all__ = ["readings_html"]

_FOOT_LETTERS = 90


def readings_html(found: Updated, file: str, repeated: Sequence[str], as_of: datetime.date) -> str:
    """The page as a self-contained HTML file.

    Parameters
    ----------
    found : the answer before the readings and after
    file : name of the table of readings
    repeated : lines of it that were left out, in words
    as_of : date that the page carries
    """
    main = found.after
    structure = main.structure
    name = structure.name if len(structure.name) <= _FOOT_LETTERS else f"{structure.name[:_FOOT_LETTERS]}…"
    foot = f"{name} · {as_of.isoformat()} · Longhold {main.version} · seed {main.seed}"
    pairs = zip(joint_rows(found), joint_pairs(found), strict=True)
    life = structure.design_life
    joints = [
        (
            row,
            life_line(deciding(before)[0], life, f"Before: {row.end_before}"),
            life_line(deciding(after)[0], life, f"After: {row.end_after}"),
        )
        for row, (before, after) in pairs
    ]
    return page(
        "readings.html.j2",
        foot,
        [main.sources],
        structure.units,
        main=main,
        structure=structure,
        file=file,
        repeated=repeated,
        as_of=as_of,
        lede=readings_lede(found),
        joints=joints,
        readings=reading_rows(found),
        causes=cause_rows(found),
        spreads=[
            (row["meaning"], figure_words(row["value"], row["unit"]), row["mark"].value)
            for row in spread_rows()
        ],
        turns_on=turns_on("readings"),
        distinct=share(found.lesson.distinct),
        evidence=found.lesson.log_evidence,
    )
