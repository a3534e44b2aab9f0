"""Mathematics as MathML, which browsers set themselves: no script and no font from elsewhere."""

from __future__ import annotations

from typing import Any

from docutils import nodes
from latex2mathml.converter import convert
from sphinx.application import Sphinx


def setup(app: Sphinx) -> dict[str, Any]:
    """Register the renderer under the name mathml."""
    app.add_html_math_renderer("mathml", (_inline, None), (_display, None))
    return {"parallel_read_safe": True, "parallel_write_safe": True}


def _inline(translator: Any, node: nodes.math) -> None:
    translator.body.append(convert(node.astext()))
    raise nodes.SkipNode


def _display(translator: Any, node: nodes.math_block) -> None:
    translator.body.append(f'<div class="math">{convert(node.astext(), display="block")}</div>')
    raise nodes.SkipNode
