"""The life file: one archive on a structure that can be read without Longhold."""

from __future__ import annotations

import csv
import datetime
import hashlib
import io
import json
import re
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from longhold.assessment.findings import Assessment
from longhold.base.files import MOST_BYTES, unpacked
from longhold.base.sheet_cells import plain_cell
from longhold.base.version import VERSION
from longhold.documents.exchange import assessment_json, described
from longhold.documents.life_summary import life_summary
from longhold.documents.papers.html import record_html
from longhold.model.reading import Reading, picture_name
from longhold.model.structure import Structure

__all__ = ["MANIFEST", "HandedIn", "LifeFile", "Photograph", "life_bytes", "manifest_faults"]

MANIFEST = "manifest.json"
_STAMP = (1980, 1, 1, 0, 0, 0)
_LEVEL = 6


@dataclass(frozen=True)
class HandedIn:
    """A file as somebody handed it in, never changed."""

    name: str
    content: bytes


@dataclass(frozen=True)
class Photograph:
    """A photograph.

    Attributes
    ----------
    taken : date and time that the camera wrote into it; blank where it wrote none
    position : latitude and longitude that it wrote into it, in words; blank where it wrote none
    """

    file: HandedIn
    taken: str = ""
    position: str = ""


@dataclass(frozen=True)
class LifeFile:
    """All that is known of a structure.

    Attributes
    ----------
    text : the structure as TOML
    answer : with the readings, where there are any
    readings : of all tables, read
    tables, deliveries, decisions : files as handed in
    missing : photographs that a reading names and nobody handed in, each with the reading, in words
    as_of : date of the archive
    taken_back : readings that no longer count, with the reason, in words
    """

    structure: Structure
    text: str
    answer: Assessment
    readings: Sequence[Reading]
    tables: Sequence[HandedIn]
    deliveries: Sequence[HandedIn]
    decisions: Sequence[HandedIn]
    photographs: Sequence[Photograph]
    missing: Sequence[str]
    as_of: datetime.date
    taken_back: Sequence[str] = ()


def life_bytes(life: LifeFile, summary_pdf: bytes | None = None) -> bytes:
    """The archive; the same life gives the same bytes.

    Parameters
    ----------
    summary_pdf : the summary as PDF; None leaves the page alone
    """
    content = dict(_content(life, summary_pdf))
    content[MANIFEST] = _manifest(life, content)
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED, compresslevel=_LEVEL) as archive:
        for name in sorted(content, key=lambda one: (one != "README.txt", one)):
            entry = zipfile.ZipInfo(name, _STAMP)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, content[name])
    return buffer.getvalue()


def manifest_faults(archive: zipfile.ZipFile) -> list[str]:
    """What in an archive differs from its manifest, in sentences; none where all is as it was written.

    Raises
    ------
    KeyError, TypeError, one of ``BROKEN_ZIP`` : it has no manifest that can be read, or is damaged
    """
    told: dict[str, str] = dict(json.loads(_manifest_in(archive))["files"])
    names = {one for one in archive.namelist() if one != MANIFEST}
    found = [f"{name} is missing." for name in sorted(set(told) - names)]
    found += [f"{name} is not in the manifest." for name in sorted(names - set(told))]
    for name in sorted(names & set(told)):
        if _digest(archive, name) != told[name]:
            found.append(f"{name} is not what was written.")
    return found


def _manifest_in(archive: zipfile.ZipFile) -> bytes:
    found = bytearray()
    for piece in unpacked(archive, archive.getinfo(MANIFEST)):
        found += piece
        if len(found) > MOST_BYTES:
            raise ValueError("a manifest is not that large")
    return bytes(found)


def _digest(archive: zipfile.ZipFile, name: str) -> str:
    """SHA-256 of a file, read piece by piece: what it unpacks to may be past all memory."""
    digest = hashlib.sha256()
    for piece in unpacked(archive, archive.getinfo(name)):
        digest.update(piece)
    return digest.hexdigest()


def _content(life: LifeFile, summary_pdf: bytes | None) -> Iterator[tuple[str, bytes]]:
    yield "README.txt", _readme(life).encode()
    yield "structure.toml", life.text.encode()
    yield "structure.json", _json(described(life.structure))
    yield "answer.json", _json(assessment_json(life.answer))
    yield "summary.html", record_html(life_summary(life)).encode()
    if summary_pdf is not None:
        yield "summary.pdf", summary_pdf
    if life.readings:
        yield "readings.csv", _readings(life.readings).encode()
    if life.photographs:
        yield "photographs.csv", _photographs(life).encode()
    for folder, files in (
        ("readings", life.tables),
        ("deliveries", life.deliveries),
        ("decisions", life.decisions),
        ("photographs", [one.file for one in life.photographs]),
    ):
        for number, file in enumerate(files, start=1):
            yield f"{folder}/{number:03d}-{_plain_name(file.name)}", file.content


def _readme(life: LifeFile) -> str:
    lines = [
        f"Life file of {life.structure.name}",
        f"Written {life.as_of.isoformat()} by Longhold {VERSION}. It can be read without Longhold.",
        "",
        "summary.html, summary.pdf   what stands, what was forecast, what was read and delivered",
        "structure.toml, .json       the structure as it was described",
        "answer.json                 the forecast with the readings, every number with its unit in its name",
        "readings.csv                all readings by date; readings/ holds the tables as they were handed in",
        "deliveries/, decisions/     as they were handed in",
        "photographs.csv             which photograph is of what; photographs/ holds them, never changed",
        "manifest.json               SHA-256 of every file, the version and the inputs' hash",
        "",
        "A forecast, not a certificate: the local code, its official and a licensed engineer decide.",
    ]
    if life.missing:
        lines += ["", f"Named by a reading and not handed in: {'; '.join(life.missing)}."]
    if life.taken_back:
        lines += ["", f"Taken back, and counted nowhere: {'; '.join(life.taken_back)}."]
    return "\n".join(lines) + "\n"


def _manifest(life: LifeFile, content: Mapping[str, bytes]) -> bytes:
    return _json(
        {
            "kind": "longhold life file",
            "version": VERSION,
            "written": life.as_of.isoformat(),
            "inputs_sha256": life.answer.inputs_sha256,
            "seed": life.answer.seed,
            "draws": life.answer.draws,
            "files": {name: hashlib.sha256(content[name]).hexdigest() for name in sorted(content)},
        }
    )


def _json(value: object) -> bytes:
    return (json.dumps(value, indent=2, sort_keys=True, ensure_ascii=False, allow_nan=False) + "\n").encode()


_HEADS = (
    *("date", "joint", "piece", "part", "face", "measured", "words", "value", "unit"),
    *("uncertainty", "spots", "instrument", "photograph", "note"),
)
_UNITS = {"zinc": "um", "metal_lost": "um", "diameter_left": "mm", "thickness_left": "mm"}
_UNITS |= {"chloride": "mg/m2/d", "moisture": "%"}


def _readings(readings: Sequence[Reading]) -> str:
    rows = []
    for one in sorted(readings, key=lambda one: (one.date, one.joint, one.part, one.face)):
        told = one.model_dump(mode="json") | {"unit": _UNITS.get(one.measured, "")}
        rows.append([_plain_cell(told[head]) for head in _HEADS])
    return _csv(_HEADS, rows)


def _plain_cell(value: object) -> object:
    """Blank for nothing; a number without the digits that only a change of units left behind."""
    if isinstance(value, float):
        return float(f"{value:.9g}")
    return "" if value is None else value


def _photographs(life: LifeFile) -> str:
    named: dict[str, list[str]] = {}
    for one in life.readings:
        if one.photograph:
            named.setdefault(picture_name(one.photograph), []).append(
                " ".join(word for word in (one.joint, one.piece, one.part) if word)
            )
    rows = [
        [
            f"{number:03d}-{_plain_name(one.file.name)}",
            one.file.name,
            one.taken,
            one.position,
            "; ".join(dict.fromkeys(named.get(picture_name(one.file.name), []))),
        ]
        for number, one in enumerate(life.photographs, start=1)
    ]
    return _csv(("file", "handed in as", "taken", "position", "of"), rows)


def _csv(heads: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(heads)
    writer.writerows([plain_cell(one) if isinstance(one, str) else one for one in row] for row in rows)
    return text.getvalue()


def _plain_name(name: str) -> str:
    """A file's name without folders or signs that a system may stumble on."""
    last = re.split(r"[\\/]", name)[-1]
    return re.sub(r"[^A-Za-z0-9._-]+", "-", last).strip(".-")[-80:] or "file"
