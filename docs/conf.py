"""How the documentation is built: `make docs`. Nothing is asked from outside, then or when it is read."""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE / "_site"))

from longhold.base.version import VERSION  # noqa: E402

project = "Longhold"
author = ""
version = release = VERSION
language = "en"
root_doc = "index"

extensions = [
    "myst_parser",
    "sphinx.ext.autodoc",
    "mathml",
    "docstrings",
    "from_tables",
    "look",
]
exclude_patterns = ["_site"]
nitpicky = False
myst_enable_extensions = ["dollarmath", "colon_fence", "attrs_inline"]
myst_heading_anchors = 3
suppress_warnings = ["misc.highlighting_failure"]

html_theme = "basic"
html_theme_options = {"nosidebar": False}
html_math_renderer = "mathml"
html_title = "Longhold"
html_static_path = ["_site/static"]
templates_path = ["_site/templates"]
html_sidebars = {"**": ["contents.html"]}
html_css_files = ["report.css", "docs.css"]
html_show_sphinx = False
html_show_copyright = False
html_show_sourcelink = False
html_copy_source = False
html_use_index = False
html_domain_indices = False
# Pages are read off a disk too, where a browser lets no script fetch the text of another page.
html_show_search_summary = False
html_context = {
    "caution": "A forecast, not a certificate: the local code, its official and a licensed engineer decide."
}

pygments_style = "bw"
autodoc_typehints = "none"
autodoc_member_order = "bysource"
add_module_names = False
