"""One HTML page that needs nothing outside itself: style, fonts, and what every template may use."""

from __future__ import annotations

import base64
import datetime
import re
from collections.abc import Iterable, Mapping, Sequence
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from longhold.assessment.words import enough_words
from longhold.base.quantities import System
from longhold.base.recent import once
from longhold.base.sources import Source
from longhold.codes.vocabulary import vocabulary
from longhold.documents.calculation import Book, result
from longhold.documents.equations import set_equation, set_symbol, set_units
from longhold.documents.figures import share
from longhold.documents.first_in import first_in
from longhold.documents.svg import tag
from longhold.documents.words import (
    CAUTION,
    MARK_MEANINGS,
    lower_first,
    plural,
    sentences,
    upper_first,
    verdict_words,
)
from longhold.model.field_words import field_words

if TYPE_CHECKING:
    from longhold.base.marks import Mark
    from longhold.documents.templates import Templates

__all__ = ["fragment", "page", "style_sheet", "style_text", "template_text", "unbroken_standards"]

_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_FONTS = ("regular", "bold", "italic")
_MIXED_NUMBER = re.compile(r"(?<!\w)(\d+-\d+/\d+)(?!\w)")
_NUMBER = re.compile(r"\b(?:EN|ISO|IEC)(?: ISO| IEC)? \d{3,5}(?:-\d+)+\b")
_STANDARD = re.compile(
    r"<(?P<closed>style|script|title|textarea|option|svg)\b.*?</(?P=closed)>|<[^>]*>"
    rf"|(?P<number>{_NUMBER.pattern})",
    re.DOTALL,
)
_UNIT_AFTER_SPACE = re.compile(
    r"(?<=\d) (?=(?:%|µm|mil|mm|°[CF])(?!\w))|(?<=m²) (?=d\))|(?<=\bC[1-5X]) (?=\d)"
)


def page(
    template: str,
    foot: str,
    used: Iterable[Sequence[tuple[Source, Sequence[Mark]]]],
    units: System,
    **values: Any,
) -> str:
    """A page from its template.

    Parameters
    ----------
    template : its name
    foot : words at the foot of each printed page
    used : sources with the marks under which they were used, one list for each answer on the page
    units : of the reader
    values : what the template asks for besides style, sources, marks and the book of calculations
    """
    return unbroken_standards(fragment(template, used, units, css=_css(foot), **values))


def fragment(
    template: str,
    used: Iterable[Sequence[tuple[Source, Sequence[Mark]]]],
    units: System,
    **values: Any,
) -> Markup:
    """The same without a style, for a page that has one already; the parameters are those of ``page``."""
    sources = _together(used)
    html = (
        _environment()
        .get_template(template)
        .render(
            sources=sources,
            source_ids={source.id for source, _ in sources},
            mark_meanings=MARK_MEANINGS,
            book=Book(),
            units=units,
            **values,
        )
    )
    return Markup(_UNIT_AFTER_SPACE.sub("\u00a0", html))  # noqa: S704  every template escapes


def unbroken_standards(html: str) -> str:
    """A page on which the number of a standard stays on one line; it would part at its hyphens.

    >>> unbroken_standards('<p title="EN 1993-1-4">by EN 1993-1-4</p>')
    '<p title="EN 1993-1-4">by <span class="unbroken">EN 1993-1-4</span></p>'
    """
    if not _NUMBER.search(html):  # most pages have none, and to go from tag to tag takes longer
        return html
    return _STANDARD.sub(
        lambda found: f'<span class="unbroken">{found[0]}</span>' if found["number"] else found[0], html
    )


def _together(
    used: Iterable[Sequence[tuple[Source, Sequence[Mark]]]],
) -> list[tuple[Source, list[Mark]]]:
    found: dict[str, tuple[Source, dict[Mark, None]]] = {}
    for one in used:
        for source, marks in one:
            found.setdefault(source.id, (source, {}))[1].update(dict.fromkeys(marks))
    return [(source, list(marks)) for source, marks in (found[name] for name in sorted(found))]


def template_text(name: str) -> str:
    """Text of one of our own template files."""
    return _file(f"templates/{name}").decode()


def style_text() -> str:
    """The style sheet with its fonts inside it; what stands at the foot of a sheet of paper is left open."""
    inside = {name: base64.b64encode(_file(f"fonts/{name}.woff2")).decode() for name in _FONTS}
    return _with_fonts({name: f"data:font/woff2;base64,{font}" for name, font in inside.items()})


def style_sheet(fonts: Mapping[str, str], foot: str) -> str:
    """The style sheet for pages whose fonts stand beside them.

    Parameters
    ----------
    fonts : address of the regular, bold and italic font
    foot : words at the foot of each printed page
    """
    return _with_fonts(fonts).replace("PAGE_FOOT", _css_string(foot))


def _with_fonts(addresses: Mapping[str, str]) -> str:
    text = template_text("report.css")
    for name in _FONTS:
        text = text.replace(f"FONT_{name.upper()}", addresses[name])
    return text


def _css(foot: str) -> str:
    return style_text().replace("PAGE_FOOT", _css_string(foot))


def _css_string(text: str) -> str:
    """A string for a style sheet in which nothing can end the string or the style element."""
    return '"' + re.sub(r"[^A-Za-z0-9 .,:;()-]", lambda letter: f"\\{ord(letter[0]):06x}", text) + '"'


def _unbroken(text: str) -> Markup:
    """Text whose mixed numbers, such as 1-1/2, stay on one line.

    >>> _unbroken("10d common x 1-1/2 in")
    Markup('10d common x <span class="unbroken">1-1/2</span> in')
    """
    pieces = _MIXED_NUMBER.split(text)
    return Markup("").join(
        tag("span", piece, class_="unbroken") if place % 2 else piece for place, piece in enumerate(pieces)
    )


def _day(date: datetime.date) -> str:
    return f"{date.day} {_MONTHS[date.month - 1]} {date.year}"


def _fact_words(name: str) -> str:
    fact = vocabulary().get(name)
    return fact.noun if fact is not None else name.replace("_", " ")


def _given_words(given: tuple[str, Any]) -> str:
    name, value = given
    fact = vocabulary().get(name)
    return fact.sentence(value) if fact is not None else f"{name.replace('_', ' ')}: {value}"


@once
def _file(path: str) -> bytes:
    return files("longhold.documents").joinpath(*path.split("/")).read_bytes()


@once
def _environment() -> Templates:
    from longhold.documents.templates import Templates

    environment = Templates(template_text)
    environment.globals["caution"] = CAUTION
    environment.filters |= {
        "day": _day,
        "dotted": lambda text: text if text.endswith((".", "?", "!")) else f"{text}.",
        "equation": set_equation,
        "fact_words": _fact_words,
        "field_words": field_words,
        "failed_because": lambda rule: [one for one in rule.failed_because if rule.says not in one],
        "first_in": first_in,
        "first_sentence": lambda text: sentences(text)[0],
        "enough_words": enough_words,
        "given_words": _given_words,
        "joined": lambda lines: set_units("; ".join(str(line).rstrip(".") for line in lines)),
        "lower_first": lower_first,
        "other_sentences": lambda text: sentences(text)[1],
        "plural": plural,
        "result": result,
        "share": share,
        "style": Markup,
        "symbol": set_symbol,
        "unbroken": _unbroken,
        "units": set_units,
        "upper_first": upper_first,
        "verdict_words": verdict_words,
    }
    return environment
