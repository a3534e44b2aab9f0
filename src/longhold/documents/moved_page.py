"""The page on two versions of a structure: one HTML file that stands alone."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from longhold.assessment.bar import bar_words
from longhold.documents.lives import deciding_end
from longhold.documents.moved_values import rename_words
from longhold.documents.moved_view import came_and_went, input_rows, joint_views, moved_lede
from longhold.documents.page import fragment, page
from longhold.documents.words import code_words, outcome_words, upper_first

if TYPE_CHECKING:
    from longhold.assessment.findings import JointFinding
    from longhold.assessment.moved import Moved

__all__ = ["found_words", "moved_html", "moved_part"]

_FOOT_LETTERS = 90


def moved_html(found: Moved, files: tuple[str, str], as_of: datetime.date) -> str:
    """The page as a self-contained HTML file.

    Parameters
    ----------
    found : the two versions held against each other
    files : names of the earlier and the later file
    as_of : date that the page carries
    """
    new = found.versions.new
    name = new.name if len(new.name) <= _FOOT_LETTERS else f"{new.name[:_FOOT_LETTERS]}…"
    foot = f"{name} · {as_of.isoformat()} · Longhold {found.version} · seed {found.seed}"
    return page("moved.html.j2", foot, [], new.units, **_values(found, files, as_of))


def moved_part(found: Moved, names: tuple[str, str], as_of: datetime.date) -> Markup:
    """The same for a page that has a head and a style of its own; ``names`` are those of the two versions."""
    values = _values(found, names, as_of)
    return fragment("moved_part.html.j2", [], found.versions.new.units, **values)


def _values(found: Moved, files: tuple[str, str], as_of: datetime.date) -> dict[str, Any]:
    views = joint_views(found)
    return {
        "main": found,
        "structure": found.versions.new,
        "files": files,
        "as_of": as_of,
        "lede": moved_lede(found),
        "inputs": (*input_rows(found), *came_and_went(found)),
        "renames": [rename_words(one) for one in found.versions.renames],
        "views": [view for view in views if not view.small],
        "small": [view.id for view in views if view.small],
        "still": [move.after.joint.id for move in found.joints if not move.moved],
        "others": [
            (
                word,
                one.joint,
                f"{outcome_words(one.outcome).lower()}: {bar_words(one, structure, code_beside=True)}",
                found_words(one),
            )
            for word, some, structure in (
                ("Added", found.added, found.versions.new),
                ("Removed", found.removed, found.versions.old),
            )
            for one in some
        ],
    }


def found_words(finding: JointFinding) -> str:
    """A joint that is in one version only, in a sentence."""
    end = deciding_end(finding)
    return f"{upper_first(end)}; code: {code_words(finding)}."
