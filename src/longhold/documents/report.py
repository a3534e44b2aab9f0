"""The report: one HTML file that needs nothing outside itself."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from longhold.assessment.bar import asked_words, bar_words
from longhold.documents.alike import alike_told_once
from longhold.documents.charts import Setting
from longhold.documents.joint_view import JointView, joint_view
from longhold.documents.lives import deciding_years
from longhold.documents.page import fragment, page
from longhold.documents.site_view import reasons, site_view
from longhold.documents.words import CAUTIONS, ORDER, OUTCOMES, code_words, outcome_words, plural

if TYPE_CHECKING:
    from longhold.assessment.findings import Assessment, Assumption, JointFinding
    from longhold.model.structure import Structure

__all__ = ["report_html", "report_part"]

_FOOT_LETTERS = 90


@dataclass(frozen=True)
class Elsewhere:
    """One more site: its assessment, why it differs, and what nobody told of it."""

    structure: Any
    reasons: list[str]
    assumed: list[Assumption]


@dataclass(frozen=True)
class Cell:
    """One joint at one site."""

    years: str
    outcome: str
    bar: str
    code: str


@dataclass(frozen=True)
class ComparisonRow:
    """One joint at every site."""

    id: str
    name: str
    decides: str
    cells: tuple[Cell, ...]


def report_html(assessments: Sequence[Assessment], as_of: datetime.date, left_out: str = "") -> str:
    """The report on one structure as a self-contained HTML page.

    Parameters
    ----------
    assessments : the structure on its site first, then the same joints on other sites, if any
    as_of : date that the report carries
    left_out : what the assessed structure is without, as a sentence to stand at its top; blank for nothing

    Raises
    ------
    ValueError : where there is no assessment
    """
    if not assessments:
        raise ValueError("a report needs at least one assessment")
    assessments = [alike_told_once(one) for one in assessments]
    main = assessments[0]
    used = [one.sources for one in assessments]
    values = {**_values(assessments, as_of), "left_out": left_out}
    return page("report.html.j2", _foot(main, as_of), used, main.structure.units, **values)


def report_part(
    template: str, assessments: Sequence[Assessment], as_of: datetime.date, **more: Any
) -> Markup:
    """A part of the report for a page that has a head and a style of its own.

    Parameters
    ----------
    template : of that part
    assessments : the structure on its site first, then the same joints on other sites, if any
    as_of : date that it carries
    more : what the template asks for besides
    """
    assessments = [alike_told_once(one) for one in assessments]
    used, units = [one.sources for one in assessments], assessments[0].structure.units
    return fragment(template, used, units, **_values(assessments, as_of), **more)


def _assumed_of_site(found: Assessment) -> list[Assumption]:
    return [one for one in found.assumptions if one.where.startswith("site.")]


def _values(assessments: Sequence[Assessment], as_of: datetime.date) -> dict[str, Any]:
    main, *others = assessments
    structure = main.structure
    setting = Setting.of(structure)
    shown: dict[tuple[object, ...], str] = {}
    joints = [joint_view(finding, structure, setting, shown) for finding in main.worst_first]
    first = joints[0].finding if joints and joints[0].finding.outcome != "holds" else None
    return {
        "main": main,
        "structure": structure,
        "as_of": as_of,
        "left_out": "",
        "built": setting.built,
        "lede": _lede(main),
        "first_to_fall": first,
        "built_count": sum(finding.joint.quantity for finding in main.findings),
        "code_title": _code_title(main),
        "joints": joints,
        "groups": _groups(joints),
        "outcomes": OUTCOMES,
        "order_words": ORDER,
        "asked": asked_words(structure.target_chance),
        "others": [
            Elsewhere(other.structure, reasons(main, other), _assumed_of_site(other)) for other in others
        ],
        "sites": [one.structure.site.name for one in assessments],
        "comparison": _comparison(assessments),
        "site_views": [site_view(one.structure.site, one.site, one.structure.units) for one in assessments],
        "cautions": CAUTIONS,
    }


def _lede(main: Assessment) -> str:
    asked = asked_words(main.structure.target_chance)
    life, total = f"{main.structure.design_life:g} years", len(main.findings)
    site = main.structure.site.name
    counts = {outcome: main.count(outcome) for outcome in OUTCOMES}
    if counts["holds"] == total:
        return f"At {site}, {plural(total, 'kind of joint', 'kinds of joint')} hold for {life} ({asked})."
    of_all = f"{counts['fails']} of {plural(total, 'kind of joint', 'kinds of joint')}"
    told = [
        f"{of_all} {'falls' if counts['fails'] == 1 else 'fall'} short of {life} ({asked}) or of the code"
    ]
    if counts["refer"]:
        told.append(f"{counts['refer']} {'is' if counts['refer'] == 1 else 'are'} undecided")
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
            tuple(_cell(site.get(finding.joint.id), assessments[0].structure) for site in elsewhere),
        )
        for finding in assessments[0].worst_first
    ]


def _cell(finding: JointFinding | None, structure: Structure) -> Cell:
    if finding is None:
        return Cell(*4 * ("not assessed",))
    return Cell(
        deciding_years(finding),
        outcome_words(finding.outcome).lower(),
        bar_words(finding, structure, code_beside=True),
        code_words(finding),
    )


def _code_title(main: Assessment) -> str:
    code = main.structure.code
    titles = dict.fromkeys(part.code.title for finding in main.findings for part in finding.parts)
    return f"{next(iter(titles), code.pack)}, {code.edition}"


def _foot(main: Assessment, as_of: datetime.date) -> str:
    name = main.structure.name
    name = name if len(name) <= _FOOT_LETTERS else f"{name[:_FOOT_LETTERS]}…"
    run = f"Longhold {main.version} · seed {main.seed} · inputs {main.inputs_sha256[:12]}"
    return f"{name} · {as_of.isoformat()} · {run}"
