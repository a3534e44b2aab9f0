"""Papers as one HTML page that needs nothing outside itself and prints well."""

from __future__ import annotations

from longhold.base.quantities import System
from longhold.documents.page import page, template_text
from longhold.documents.papers.model import Papers, Record

__all__ = ["papers_html", "record_html"]


def papers_html(papers: Papers) -> str:
    """All papers as a self-contained page; the card begins a sheet of its own in print."""
    units: System = "us" if papers.head.us_paper else "si"
    return page(
        "papers.html.j2",
        f"{papers.head.structure[:60]}, {papers.head.foot}",
        [],
        units,
        papers=papers,
        head=papers.head,
        papers_css=template_text("papers.css"),
    )


def record_html(record: Record) -> str:
    """A paper by itself as a self-contained page."""
    units: System = "us" if record.head.us_paper else "si"
    return page(
        "record.html.j2",
        f"{record.head.structure[:60]}, {record.head.foot}",
        [],
        units,
        paper=record.paper,
        head=record.head,
        papers_css=template_text("papers.css"),
    )
