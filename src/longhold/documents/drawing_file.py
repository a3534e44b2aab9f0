"""The section of a joint as a picture of its own: an SVG file that needs nothing outside itself."""

from __future__ import annotations

from typing import TYPE_CHECKING

from markupsafe import Markup

from longhold.base.recent import once
from longhold.documents.charts import Setting
from longhold.documents.drawings import joint_drawing
from longhold.documents.page import style_text, template_text
from longhold.documents.svg import tag

if TYPE_CHECKING:
    from longhold.assessment.findings import Assessment, JointFinding

__all__ = ["drawing_svg"]

_LIGHT_ONLY = ":root"


def drawing_svg(assessment: Assessment, finding: JointFinding) -> str:
    """The section of one joint with the depth gone on each face, as an SVG file in ink on white.

    Parameters
    ----------
    assessment : which the finding belongs to
    finding : of the joint
    """
    structure = assessment.structure
    drawing = joint_drawing(structure, finding, Setting.of(structure))
    inside = [
        tag("title", f"{structure.name}: {finding.joint.id} {finding.joint.name}"),
        tag("style", _style()),
        tag("defs", Markup(template_text("patterns.svg"))),  # noqa: S704 - a file of ours
    ]
    head, _, rest = str(drawing).partition(">")
    opened = head.replace("<svg", '<svg xmlns="http://www.w3.org/2000/svg"', 1)
    return f"{opened}>{Markup('').join(inside)}{rest}\n"


@once
def _style() -> Markup:
    """Of the report's style sheet what drawings use, in its light colors."""
    css = style_text()
    colors = css[css.index(_LIGHT_ONLY) : css.index("}", css.index(_LIGHT_ONLY)) + 1]
    colors = colors.replace(_LIGHT_ONLY, "svg").replace("light dark", "light")
    rules = [line for line in css.splitlines() if line.startswith(("svg ", ".hatch", "@font-face"))]
    return Markup("\n".join([colors, *rules]))  # noqa: S704 - a file of ours
