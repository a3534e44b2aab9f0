"""Every source that a number of an assessment came from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType

from longhold.assessment.findings import JointFinding, PartFinding, SiteFinding
from longhold.base.marks import Mark
from longhold.base.sources import Source, register
from longhold.base.trace import Section

__all__ = ["air_sources_used", "sources_used"]


def sources_used(
    site: SiteFinding, findings: Sequence[JointFinding], own: Mapping[str, Source] | None = None
) -> tuple[tuple[Source, tuple[Mark, ...]], ...]:
    """Sources with the marks under which they were used, by id; ``own`` are those of the user's own rules."""
    return _by_source(_uses(site, findings), own or {})


def air_sources_used(
    site: SiteFinding, calculations: Iterable[Section]
) -> tuple[tuple[Source, tuple[Mark, ...]], ...]:
    """The same for the air of a site, and calculations that start from it."""
    return _by_source([*_site_uses(site), *(use for one in calculations for use in _step_uses(one))])


def _by_source(
    uses: Iterable[tuple[str, Mark]], own: Mapping[str, Source] = MappingProxyType({})
) -> tuple[tuple[Source, tuple[Mark, ...]], ...]:
    known = {**register(), **own}
    marks: dict[str, set[Mark]] = {}
    for source, mark in uses:
        marks.setdefault(source, set()).add(mark)
    return tuple((known[name], tuple(sorted(marks[name]))) for name in sorted(marks))


def _uses(site: SiteFinding, findings: Sequence[JointFinding]) -> Iterator[tuple[str, Mark]]:
    yield from _site_uses(site)
    for finding in findings:
        yield from ((couple.source, couple.mark) for couple in finding.couples)
        for part, described in zip(finding.parts, finding.joint.parts, strict=True):
            yield described.measures.source, described.measures.mark
            yield from _part_uses(part)


def _site_uses(site: SiteFinding) -> Iterator[tuple[str, Mark]]:
    yield site.climate.source, site.climate.mark
    for estimate in (site.air_load.chloride_mg_m2_d, site.air_load.sulphur_dioxide_mg_m2_d):
        yield estimate.source, estimate.mark
    if site.shore is not None:
        yield site.shore.source, site.shore.mark
    yield from _step_uses(site.calculation)


def _step_uses(calculation: Section) -> Iterator[tuple[str, Mark]]:
    yield from ((step.source, step.mark) for step in calculation.steps())


def _part_uses(part: PartFinding) -> Iterator[tuple[str, Mark]]:
    yield part.protection.source, part.protection.mark
    yield from ((layer.source, layer.mark) for layer in part.protection.layers)
    yield from ((verdict.source, verdict.mark) for verdict in part.code.verdicts)
    for face in part.faces:
        yield from ((step.source, step.mark) for step in face.calculation.steps())
    if part.stainless is not None:
        yield from ((one.source, one.mark) for one in (*part.stainless.reasons, *part.stainless.notes))
        if part.stainless.calculation is not None:
            yield from _step_uses(part.stainless.calculation)
    if part.strength is not None:
        yield from ((step.source, step.mark) for step in part.strength.calculation.steps())
