"""The style, fonts and mark of Longhold's own pages, put beside the pages of the documentation."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import Any

from docutils import nodes
from sphinx.application import Sphinx

from longhold.documents.page import style_sheet

_FONTS = ("regular", "bold", "italic")


def setup(app: Sphinx) -> dict[str, Any]:
    """Write the style when the build has ended; let wide tables scroll by themselves."""
    app.connect("doctree-read", _tables_scroll)
    app.connect("build-finished", _write)
    return {"parallel_read_safe": True, "parallel_write_safe": True}


def _tables_scroll(_app: Sphinx, document: nodes.document) -> None:
    for table in list(document.findall(nodes.table)):
        around = nodes.container(classes=["scrolls"])
        table.replace_self(around)
        around += table


def _write(app: Sphinx, failed: Exception | None) -> None:
    if failed is not None:
        return
    static = Path(app.outdir) / "_static"
    package = files("longhold")
    for name in _FONTS:
        font = package.joinpath("documents", "fonts", f"{name}.woff2")
        (static / f"{name}.woff2").write_bytes(font.read_bytes())
    style = style_sheet({name: f"{name}.woff2" for name in _FONTS}, "Longhold")
    (static / "report.css").write_text(style, encoding="utf-8")
    mark = package.joinpath("web", "static", "mark.svg")
    (static / "mark.svg").write_bytes(mark.read_bytes())
