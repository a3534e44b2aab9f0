"""What came from the site, kept with a structure: readings, deliveries, files; and what is made of it."""

from __future__ import annotations

import datetime
import hashlib
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field, replace
from functools import partial
from pathlib import Path, PurePath
from types import MappingProxyType
from typing import Any

from longhold.base.errors import InputError, Problem
from longhold.care.life import LifeInputs, life_file, photograph_as_kept
from longhold.documents.life_file import HandedIn, LifeFile
from longhold.documents.readings_view import reading_words
from longhold.inspect.consequence import placed
from longhold.inspect.delivery import Receipt, check_delivery
from longhold.inspect.observed import refuse_misfit
from longhold.intake.delivery import load_delivery, load_order, order_of_structure
from longhold.intake.load import structure_of
from longhold.intake.photo import read_photo
from longhold.intake.photo_file import picture_type
from longhold.intake.readings import read_readings
from longhold.model.reading import Reading, picture_name
from longhold.model.structure import Structure
from longhold.store import Delivery, GivenReading, KeptReading, NotInStore, Store, Version, every

__all__ = [
    "CheckedIn",
    "TableKept",
    "all_readings",
    "check_in",
    "checked_again",
    "keep_checked",
    "keep_table",
    "kept_readings",
    "life_of",
    "sent_as_file",
    "taken_back_words",
]

_TABLES = {".csv": "text/csv", ".txt": "text/csv"}
_A_DAY = datetime.timedelta(days=1)  # the store counts days in UTC, a reading those of its place
_BOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@dataclass(frozen=True)
class TableKept:
    """What came of a table of readings.

    Attributes
    ----------
    new, already : readings that are new, and that were kept already
    repeated : lines left out, in words
    missing : photographs that it names and that did not come, with it or since the day of the reading
    """

    new: int
    already: int
    repeated: tuple[str, ...]
    missing: tuple[str, ...] = ()


@dataclass(frozen=True)
class CheckedIn:
    """A delivery held against its order.

    Attributes
    ----------
    delivered : name of the list of what came
    files : order, where one was sent, and list, as they were sent: name, media type and bytes
    photographs : of labels, likewise
    read : name of a photograph -> the words that stand on it
    """

    receipt: Receipt
    certificates: bool
    notes: tuple[str, ...]
    delivered: str
    files: tuple[tuple[str, str, bytes], ...]
    photographs: tuple[tuple[str, str, bytes], ...] = ()
    read: Mapping[str, str] = field(default_factory=dict)


def all_readings(store: Store, structure_id: int) -> list[KeptReading]:
    """Every reading that is kept with a structure, by date, those taken back too."""
    return list(every(store.readings, structure_id))


def kept_readings(store: Store, structure_id: int) -> list[KeptReading]:
    """Every reading that is kept with a structure and counts, by date."""
    return [one for one in all_readings(store, structure_id) if one.counts]


def taken_back_words(kept: KeptReading) -> str:
    """When, by whom and why a reading was taken back; blank for one that counts."""
    if kept.turn is None or kept.counts:
        return ""
    by = f" by {kept.turn.author}" if kept.turn.author else ""
    why = f": {kept.turn.why}" if kept.turn.why else ""
    return f"taken back {kept.turn.turned_at:%Y-%m-%d}{by}{why}"


def keep_table(
    store: Store,
    structure_id: int,
    name: str,
    raw: bytes,
    *,
    photographs: Mapping[str, bytes] = MappingProxyType({}),
    author: str,
) -> TableKept:
    """Keep a table of readings as it was sent, and every reading of it; all of it or nothing.

    Parameters
    ----------
    photographs : that came with it, by name; each is kept with the reading that names it, or by itself

    Raises
    ------
    InputError : naming every cell that cannot be used, also where it does not fit the structure
    """
    structure = structure_of(dict(store.newest(structure_id).content))
    with sent_as_file(name, raw) as path:
        found = read_readings(path, partial(refuse_misfit, structure))
    given = [_with_photograph(one, photographs) for one in found.readings]
    named = {picture_name(one.photograph) for one in found.readings}
    file = PurePath(name).name
    sent = [(file, _media(file), raw)]
    sent += [
        (called, picture_type(data) or _media(called), data)
        for called, data in photographs.items()
        if called not in named
    ]
    done = store.keep_readings(structure_id, given, source=file, files=sent, author=author)
    new = sum(one.is_new for one in done)
    missing = _not_there(store, structure_id, found.readings, photographs)
    return TableKept(new, len(done) - new, found.repeated, missing)


def _not_there(
    store: Store, structure_id: int, readings: Sequence[Reading], sent: Mapping[str, bytes]
) -> tuple[str, ...]:
    """Photographs that readings name, and that came neither with them nor since the day of the reading.

    Cameras count from 1 again: a picture of this name that was kept before is of something else.
    """
    wanted = [one for one in readings if picture_name(one.photograph) not in {"", *sent}]
    kept: dict[str, datetime.date] = {}
    for info in every(store.attachments, structure_id) if wanted else ():
        kept[info.name] = max(kept.get(info.name, datetime.date.min), info.kept_at.date())
    missing = {picture_name(one.photograph) for one in wanted if not _may_be_of(one, kept)}
    return tuple(sorted(missing))


def _may_be_of(reading: Reading, kept: Mapping[str, datetime.date]) -> bool:
    day = kept.get(picture_name(reading.photograph))
    return day is not None and day + _A_DAY >= reading.date


def _with_photograph(reading: Reading, photographs: Mapping[str, bytes]) -> GivenReading:
    data = photographs.get(picture_name(reading.photograph))
    if data is None:
        return GivenReading(reading=reading)
    return GivenReading(reading=reading, photograph=data, media_type=picture_type(data) or "image/jpeg")


def check_in(
    structure: Structure,
    order: tuple[str, bytes] | None,
    delivered: tuple[str, bytes],
    *,
    certificates: bool,
    photographs: Mapping[str, bytes] = MappingProxyType({}),
) -> CheckedIn:
    """Hold a delivery against its order.

    Parameters
    ----------
    order : name and bytes of the list that was ordered; None takes the parts of the structure
    delivered : name and bytes of the list of what came
    photographs : of labels, by the name that a line of the list gives them; no other file is looked for

    Raises
    ------
    InputError : what cannot be read in either
    """
    read: dict[str, str] = {}

    def words_of(named: str) -> str:
        name = picture_name(named)
        if name not in photographs:
            said = "is named and was not sent with the list."
            raise InputError(Problem("photo", named, said, "Send it too, or type the words of the label."))
        if name not in read:
            read[name] = read_photo(photographs[name]).label_words
        return read[name]

    found = _held_against(structure, order, delivered, certificates, words_of)
    sent = tuple((name, picture_type(data) or _media(name), data) for name, data in photographs.items())
    return replace(found, photographs=sent, read=read)


def _held_against(
    structure: Structure,
    order: tuple[str, bytes] | None,
    delivered: tuple[str, bytes],
    certificates: bool,
    words_of: Callable[[str], str],
) -> CheckedIn:
    if order is None:
        asked = order_of_structure(structure)
    else:
        with sent_as_file(*order) as path:
            asked = load_order(path, certificates=certificates)
    asked = replace(placed(asked, structure), name=structure.name)
    with sent_as_file(*delivered) as path:
        came = load_delivery(path, photographed=words_of)
    files = [delivered] if order is None else [order, delivered]
    kept = tuple((PurePath(name).name, _media(name), raw) for name, raw in files)
    notes = dict.fromkeys(one for one in (*asked.notes, *came.notes, structure.note) if one)
    return CheckedIn(
        check_delivery(asked, came.lines), certificates, tuple(notes), PurePath(delivered[0]).name, kept
    )


def keep_checked(store: Store, held: Version, found: CheckedIn, *, reference: str, author: str) -> str:
    """Keep a delivery that was checked against a version, with its files; the id under which it is kept."""
    receipt = found.receipt
    content: dict[str, Any] = {
        "version": held.number,
        "certificates": found.certificates,
        "files": _hashes(found.files),
        "photographs": [
            {**one, "read": found.read.get(one["name"], "")} for one in _hashes(found.photographs)
        ],
        "order": _plain(receipt.order),
        "delivered": [_plain(one.delivered) for one in receipt.lines],
        "verdicts": [{"verdict": one.verdict, "reasons": list(one.reasons)} for one in receipt.lines],
        "missing": [one.words for one in receipt.missing],
    }
    kept = store.keep_delivery(
        held.structure_id,
        reference or found.delivered,
        content,
        received_at=datetime.datetime.now(datetime.UTC),
        files=(*found.files, *found.photographs),
        author=author,
    )
    return kept.entry


def _hashes(files: Sequence[tuple[str, str, bytes]]) -> list[dict[str, str]]:
    return [{"name": name, "sha256": hashlib.sha256(raw).hexdigest()} for name, _, raw in files]


def checked_again(store: Store, structure_id: int, entry: str) -> tuple[CheckedIn, Delivery]:
    """A delivery as it was checked when it was kept, from the files that came with it.

    Its photographs are not read anew: the words that were read then are what was held against the order.

    Raises
    ------
    NotInStore : none is kept under this id, or none with its files
    """
    kept = store.delivery(structure_id, entry)
    if not kept.content.get("files"):
        raise NotInStore("delivery", entry[:12], "is kept without the files that it was read from.")
    files = [
        (str(one["name"]), store.attachment_of(structure_id, one["name"], one["sha256"]).data)
        for one in kept.content["files"]
    ]
    read = {str(one["name"]): str(one["read"]) for one in kept.content.get("photographs", ())}
    structure = structure_of(dict(store.at(structure_id, int(kept.content["version"])).content))
    order = files[0] if len(files) > 1 else None
    asked = bool(kept.content["certificates"])

    def words_of(named: str) -> str:
        return read.get(picture_name(named), "")

    return replace(_held_against(structure, order, files[-1], asked, words_of), read=read), kept


def life_of(
    store: Store,
    held: Version,
    as_of: datetime.date,
    *,
    draws: int = 2000,
    seed: int = 1,
    progress: Any = None,
) -> LifeFile:
    """The life file of a structure from what is kept of it.

    Raises
    ------
    InputError : a structure that cannot be assessed, readings that do not fit it
    """
    kept = all_readings(store, held.structure_id)
    found = LifeInputs(
        [one.reading for one in kept if one.counts],
        taken_back=[
            f"{reading_words(one.reading)}, {taken_back_words(one)}" for one in kept if not one.counts
        ],
    )
    of_deliveries = {
        file["sha256"]
        for one in every(store.deliveries, held.structure_id)
        for file in one.content.get("files", ())
    }
    sources = {one.source for one in kept}
    for info in every(store.attachments, held.structure_id):
        file = HandedIn(info.name, store.attachment(info.id).data)
        if info.media_type.startswith("image/"):
            found.photographs.append(photograph_as_kept(file))
        elif info.sha256 in of_deliveries:
            found.deliveries.append(file)
        elif info.name in sources or info.media_type == "text/csv":
            found.tables.append(file)
        else:
            found.decisions.append(file)
    structure = structure_of(dict(held.content))
    return life_file(structure, found, as_of, draws=draws, seed=seed, progress=progress)


@contextmanager
def sent_as_file(name: str, raw: bytes) -> Iterator[Path]:
    """Bytes that were sent as a file of the same ending; what is said of it names it as it was called.

    Raises
    ------
    InputError : as what reads it does
    """
    called = PurePath(name.replace("\\", "/")).name or "table.csv"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"sent{PurePath(called).suffix.lower() or '.csv'}"
        path.write_bytes(raw)
        try:
            yield path
        except InputError as error:
            said = (_said_of(one, str(path), called) for one in error.problems)
            raise InputError(*said, file=called if error.file else None) from None


def _said_of(problem: Problem, path: str, name: str) -> Problem:
    value = name if problem.value == path else problem.value
    return Problem(problem.where.replace(path, name), value, problem.allowed.replace(path, name), problem.do)


def _media(name: str) -> str:
    ending = PurePath(name).suffix.lower()
    return _TABLES.get(ending, _BOOK if ending == ".xlsx" else "application/octet-stream")


def _plain(record: Any) -> dict[str, Any]:
    """A record as JSON holds it, every field of it."""
    found: dict[str, Any] = _jsonable(asdict(record))
    return found


def _jsonable(node: Any) -> Any:
    if isinstance(node, Mapping):
        return {str(key): _jsonable(value) for key, value in node.items()}
    if hasattr(node, "model_dump"):
        return node.model_dump(mode="json")
    if isinstance(node, Iterable) and not isinstance(node, str):
        return [_jsonable(one) for one in node]
    return node
