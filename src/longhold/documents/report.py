"""The report: one HTML file that needs nothing outside itself."""

from __future__ import annotations

import base64
import datetime
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from longhold.base.sources import Source
from longhold.codes.vocabulary import vocabulary
from longhold.documents.alike import alike_told_once
from longhold.documents.calculation import Book, result
from longhold.documents.charts import Setting
from longhold.documents.equations import set_equation, set_symbol, set_units
from longhold.documents.figures import chance, share
from longhold.documents.joint_view import JointView, joint_view
from longhold.documents.lives import deciding, deciding_years
from longhold.documents.site_view import reasons, site_view
from longhold.documents.words import (
    CAUTIONS,
    MARK_MEANINGS,
    OUTCOMES,
    code_words,
    outcome_words,
    plural,
    sentences,
    verdict_words,
)

if TYPE_CHECKING:
    import jinja2

    from longhold.assessment.findings import Assessment, JointFinding
    from longhold.base.marks import Mark

__all__ = ["report_html"]

_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_FOOT_LETTERS = 90
_UNIT_AFTER_SPACE = re.compile(r"(?<=\d) (?=(?:%|µm|mil|mm|°[CF])(?!\w))|(?<=m²) (?=d\))")


@dataclass(frozen=True)
class Elsewhere:
    """One more site: its assessment, and why it differs."""

    structure: Any
    reasons: list[str]


@dataclass(frozen=True)
class Cell:
    """One joint at one site."""

    years: str
    chance: str
    outcome: str
    code: str


@dataclass(frozen=True)
class ComparisonRow:
    """One joint at every site."""

    id: str
    name: str
    decides: str
    cells: tuple[Cell, ...]


def report_html(assessments: Sequence[Assessment], as_of: datetime.date) -> str:
    """The report on one structure as a self-contained HTML page.

    Parameters
    ----------
    assessments : the structure on its site first, then the same joints on other sites, if any
    as_of : date that the report carries

    Raises
    ------
    ValueError : where there is no assessment
    """
    if not assessments:
        raise ValueError("a report needs at least one assessment")
    assessments = [alike_told_once(one) for one in assessments]
    main, *others = assessments
    structure = main.structure
    built = None if structure.build_date is None else structure.build_date.year
    setting = Setting(structure.design_life, built, structure.units)
    joints = [joint_view(finding, structure, setting) for finding in main.worst_first]
    first = joints[0].finding if joints and joints[0].finding.outcome != "holds" else None
    sources = _sources(assessments)
    html = (
        _environment()
        .get_template("report.html.j2")
        .render(
            main=main,
            structure=structure,
            as_of=as_of,
            built=built,
            css=_css(_foot(main, as_of)),
            lede=_lede(main),
            first_to_fall=first,
            built_count=sum(finding.joint.quantity for finding in main.findings),
            code_title=_code_title(main),
            joints=joints,
            groups=_groups(joints),
            outcomes=OUTCOMES,
            others=[Elsewhere(other.structure, reasons(main, other)) for other in others],
            sites=[one.structure.site.name for one in assessments],
            comparison=_comparison(assessments),
            site_views=[site_view(one) for one in assessments],
            sources=sources,
            source_ids={source.id for source, _ in sources},
            mark_meanings=MARK_MEANINGS,
            cautions=CAUTIONS,
            book=Book(),
        )
    )
    return _UNIT_AFTER_SPACE.sub("\u00a0", html)


def _lede(main: Assessment) -> str:
    life, total = f"{main.structure.design_life:g} years", len(main.findings)
    site = main.structure.site.name
    counts = {outcome: main.count(outcome) for outcome in OUTCOMES}
    if counts["holds"] == total:
        return f"At {site}, {plural(total, 'kind of joint', 'kinds of joint')} hold for {life}."
    of_all = f"{counts['fails']} of {plural(total, 'kind of joint', 'kinds of joint')}"
    told = [f"{of_all} {'falls' if counts['fails'] == 1 else 'fall'} short of {life} or of the code"]
    if counts["refer"]:
        told.append(f"{counts['refer']} cannot be answered without a person or a missing fact")
    if counts["holds"]:
        told.append(f"{counts['holds']} {'holds' if counts['holds'] == 1 else 'hold'}")
    return f"At {site}, {', '.join(told)}."


def _groups(joints: Sequence[JointView]) -> list[tuple[str, list[JointView]]]:
    by_outcome = [
        (outcome, [view for view in joints if view.finding.outcome == outcome]) for outcome in OUTCOMES
    ]
    return [(outcome, views) for outcome, views in by_outcome if views]


def _comparison(assessments: Sequence[Assessment]) -> list[ComparisonRow]:
    elsewhere = [{finding.joint.id: finding for finding in other.findings} for other in assessments]
    return [
        ComparisonRow(
            finding.joint.id,
            finding.joint.name,
            finding.decides,
            tuple(_cell(site.get(finding.joint.id)) for site in elsewhere),
        )
        for finding in assessments[0].worst_first
    ]


def _cell(finding: JointFinding | None) -> Cell:
    if finding is None:
        return Cell("not assessed", "not assessed", "not assessed", "not assessed")
    return Cell(
        deciding_years(finding),
        chance(deciding(finding)[1]),
        outcome_words(finding.outcome).lower(),
        code_words(finding),
    )


def _code_title(main: Assessment) -> str:
    code = main.structure.code
    titles = dict.fromkeys(part.code.title for finding in main.findings for part in finding.parts)
    return f"{next(iter(titles), code.pack)}, {code.edition}"


def _sources(assessments: Sequence[Assessment]) -> list[tuple[Source, list[Mark]]]:
    found: dict[str, tuple[Source, dict[Mark, None]]] = {}
    for one in assessments:
        for source, marks in one.sources:
            found.setdefault(source.id, (source, {}))[1].update(dict.fromkeys(marks))
    return [(source, list(marks)) for source, marks in (found[name] for name in sorted(found))]


def _foot(main: Assessment, as_of: datetime.date) -> str:
    name = main.structure.name
    name = name if len(name) <= _FOOT_LETTERS else f"{name[:_FOOT_LETTERS]}…"
    run = f"Longhold {main.version} · seed {main.seed} · inputs {main.inputs_sha256[:12]}"
    return f"{name} · {as_of.isoformat()} · {run}"


def _css(foot: str) -> str:
    text = _file("templates/report.css").decode()
    for name in ("regular", "bold", "italic"):
        font = base64.b64encode(_file(f"fonts/{name}.woff2")).decode()
        text = text.replace(f"FONT_{name.upper()}", f"data:font/woff2;base64,{font}")
    return text.replace("PAGE_FOOT", _css_string(foot))


def _css_string(text: str) -> str:
    """A string for a style sheet in which nothing can end the string or the style element."""
    return '"' + re.sub(r"[^A-Za-z0-9 .,:;()-]", lambda letter: f"\\{ord(letter[0]):06x}", text) + '"'


def _day(date: datetime.date) -> str:
    return f"{date.day} {_MONTHS[date.month - 1]} {date.year}"


def _fact_words(name: str) -> str:
    fact = vocabulary().get(name)
    return fact.noun if fact is not None else name.replace("_", " ")


def _given_words(given: tuple[str, Any]) -> str:
    name, value = given
    fact = vocabulary().get(name)
    return fact.sentence(value) if fact is not None else f"{name.replace('_', ' ')}: {value}"


@cache
def _file(path: str) -> bytes:
    return files("longhold.documents").joinpath(*path.split("/")).read_bytes()


@cache
def _environment() -> jinja2.Environment:
    import jinja2
    from markupsafe import Markup

    environment = jinja2.Environment(
        loader=jinja2.FunctionLoader(lambda name: _file(f"templates/{name}").decode()),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= {
        "day": _day,
        "dotted": lambda text: text if text.endswith((".", "?", "!")) else f"{text}.",
        "equation": set_equation,
        "fact_words": _fact_words,
        "failed_because": lambda rule: [one for one in rule.failed_because if rule.says not in one],
        "first_sentence": lambda text: sentences(text)[0],
        "given_words": _given_words,
        "joined": lambda lines: set_units("; ".join(str(line).rstrip(".") for line in lines)),
        "lower_first": lambda text: text[:1].lower() + text[1:],
        "other_sentences": lambda text: sentences(text)[1],
        "plural": plural,
        "result": result,
        "share": share,
        "style": Markup,
        "symbol": set_symbol,
        "units": set_units,
        "upper_first": lambda text: text[:1].upper() + text[1:],
        "verdict_words": verdict_words,
    }
    return environment
