"""Every source that a number of an assessment came from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from longhold.assessment.findings import JointFinding, PartFinding, SiteFinding
from longhold.assessment.prepare import Prepared
from longhold.base.marks import Mark
from longhold.base.sources import Source, register

__all__ = ["sources_used"]


def sources_used(
    prepared: Prepared, site: SiteFinding, findings: Sequence[JointFinding]
) -> tuple[tuple[Source, tuple[Mark, ...]], ...]:
    """Sources with the marks under which they were used, by id."""
    marks: dict[str, set[Mark]] = {}
    for source, mark in _uses(prepared, site, findings):
        marks.setdefault(source, set()).add(mark)
    return tuple((register()[name], tuple(sorted(marks[name]))) for name in sorted(marks))


def _uses(
    prepared: Prepared, site: SiteFinding, findings: Sequence[JointFinding]
) -> Iterator[tuple[str, Mark]]:
    yield prepared.site.climate.source, prepared.site.climate.mark
    yield from ((step.source, step.mark) for step in site.calculation.steps())
    for finding in findings:
        yield from ((couple.source, couple.mark) for couple in finding.couples)
        for part, described in zip(finding.parts, finding.joint.parts, strict=True):
            yield described.measures.source, described.measures.mark
            yield from _part_uses(part)


def _part_uses(part: PartFinding) -> Iterator[tuple[str, Mark]]:
    yield part.protection.source, part.protection.mark
    yield from ((layer.source, layer.mark) for layer in part.protection.layers)
    yield from ((verdict.source, verdict.mark) for verdict in part.code.verdicts)
    for face in part.faces:
        yield from ((step.source, step.mark) for step in face.calculation.steps())
    if part.strength is not None:
        yield from ((step.source, step.mark) for step in part.strength.calculation.steps())
