"""Workbooks (XLSX) that people hand in: opened only after the file itself has been found harmless.

Only written values are read: no formula is computed, no macro is run, no link is followed.
"""

from __future__ import annotations

import io
import lzma
import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, NoReturn
from xml.parsers import expat

from longhold.base.errors import InputError, Problem
from longhold.base.extras import lacking
from longhold.base.files import BROKEN_ZIP, read_bytes
from longhold.base.quiet import quiet

if TYPE_CHECKING:
    from types import ModuleType

__all__ = [
    "Cell",
    "Row",
    "Sheet",
    "Workbook",
    "column_letters",
    "is_workbook_name",
    "macro_words",
    "open_workbook",
    "openpyxl_or_refuse",
]

_ENDINGS = {".xlsx", ".xlsm", ".xltx", ".xltm", ".xls", ".xlsb", ".ods"}
_MOST_UNPACKED = 250_000_000
_MOST_SHARED_TEXT = 80_000_000
_MOST_ENTRIES = 5_000
_LONGEST_TEXT = 1 << 20  # a cell holds 32,767 letters; readers take a text without end in ever longer turns
_MOST_ROWS = 1_048_576
_OLD_FORMAT = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_SAVE_AS = "Open it in a spreadsheet program and save it as .xlsx."
_MACRO = re.compile(r"(?i)(^|/)vbaProject\.bin$|^xl/macrosheets/")
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")


class Cell(NamedTuple):
    """One cell: its written value (None where empty), its number format, and why it has no value."""

    value: Any
    format: str = "General"
    fault: str = ""

    @property
    def is_empty(self) -> bool:
        """Whether nobody sees anything in it."""
        return not self.fault and (
            self.value is None or (isinstance(self.value, str) and not self.value.strip())
        )


class Row(NamedTuple):
    """One row: its number, from 1, and its cells from column A."""

    number: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Sheet:
    """One visible sheet of a workbook; its rows are read one after the other, never at random."""

    name: str
    book: Workbook

    def rows(self) -> Iterator[Row]:
        """Rows that hold anything, from the top.

        Raises
        ------
        InputError : a sheet that breaks off or is none
        """
        values = self.book.read(self.name, written=True)
        formulas = self.book.read(self.name, written=False) if self.book.has_formulas else None
        for number, cells in values:
            said = next(formulas, (number, ()))[1] if formulas is not None else ()
            row = tuple(_cell(one, said[at] if at < len(said) else None) for at, one in enumerate(cells))
            if not all(cell.is_empty for cell in row):
                yield Row(number, row)


@dataclass(frozen=True)
class Workbook:
    """An opened workbook.

    Attributes
    ----------
    file : its name, for messages
    sheets : visible ones, in order
    has_formulas : whether any cell of it holds a formula
    written : its written values as the library reads them; to open it may take as long as to read a sheet
    """

    file: str
    raw: bytes
    names: tuple[str, ...]
    has_formulas: bool
    written: Any = field(repr=False, compare=False)

    @property
    def sheets(self) -> tuple[Sheet, ...]:
        """Visible sheets, in order."""
        return tuple(Sheet(name, self) for name in self.names)

    def read(self, name: str, *, written: bool) -> Iterator[tuple[int, tuple[Any, ...]]]:
        """Number and cells of each row of a sheet that has cells, with written values or with formulas."""
        book = self.written if written else _opened(self.file, self.raw, written=False)
        sheet = book[name]
        sheet.reset_dimensions()  # what a file says of its own size may be wrong, or absurd
        rows = enumerate(sheet.rows, 1)
        while (row := self._next_row(name, rows)) is not None:
            yield row

    def _next_row(
        self, name: str, rows: Iterator[tuple[int, tuple[Any, ...]]]
    ) -> tuple[int, tuple[Any, ...]] | None:
        with quiet():
            try:
                for number, cells in rows:
                    if number > _MOST_ROWS:
                        break
                    if cells:
                        return number, cells
                else:
                    return None
            except Exception as error:  # a broken sheet breaks the library in many ways
                _refuse(self.file, f"sheet {name!r} cannot be read: {_what_is_wrong(error)}.", _SAVE_AS)
        raise InputError(Problem(self.file, None, f"sheet {name!r} has a row past {_MOST_ROWS:,}.", _SAVE_AS))


def is_workbook_name(path: Path) -> bool:
    """Whether a file's name says that it is a workbook of any make."""
    return path.suffix.lower() in _ENDINGS


def macro_words(name: str, raw: bytes) -> str:
    """What is done with the macros of a file; blank where it is no workbook, or has none.

    Parameters
    ----------
    name, raw : of the file, and its bytes
    """
    if not is_workbook_name(Path(name)):
        return ""
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as package:
            held = any(_MACRO.search(one) for one in package.namelist())
    except BROKEN_ZIP:  # whoever reads the file tells what is wrong with it
        return ""
    return f"{name} holds macros: none was run, and nothing of them was read." if held else ""


def column_letters(index: int) -> str:
    """The letters of a column from its index, 0 for A.

    >>> column_letters(0), column_letters(27)
    ('A', 'AB')
    """
    text = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        text = chr(65 + rest) + text
    return text


def openpyxl_or_refuse() -> ModuleType:
    """The library that reads and writes workbooks.

    Raises
    ------
    InputError : it is not installed
    """
    try:
        import openpyxl
    except ImportError:
        raise InputError(lacking("a workbook", "xlsx")) from None
    return openpyxl  # type: ignore[no-any-return]


def open_workbook(path: Path, holding: str, if_empty: str = "") -> Workbook:
    """A workbook, after the file has been found to be one that does no harm.

    Parameters
    ----------
    path, holding, if_empty : as of ``read_file``

    Raises
    ------
    InputError : no such file, no workbook, another kind of workbook, too large when unpacked, with a
        document type (which no workbook has, and which can make a reader fetch or repeat text), or broken
    """
    openpyxl_or_refuse()
    file = str(path)
    raw = read_bytes(path, holding, if_empty)
    formulas = _check_package(file, raw)
    book = _opened(file, raw, written=True)
    names = tuple(sheet.title for sheet in book.worksheets if sheet.sheet_state == "visible")
    if not names:
        _refuse(file, "has no visible sheet.")
    return Workbook(file, raw, names, formulas, book)


def _opened(file: str, raw: bytes, written: bool) -> Any:
    with quiet():
        try:
            return openpyxl_or_refuse().load_workbook(
                io.BytesIO(raw), read_only=True, data_only=written, keep_links=False
            )
        except Exception as error:  # a broken workbook breaks the library in many ways
            _refuse(file, f"cannot be read as a workbook: {_what_is_wrong(error)}.", _SAVE_AS)


def _cell(read: Any, said: Any) -> Cell:
    value = read.value
    if value is None:
        if said is not None and getattr(said, "data_type", "") == "f":
            return Cell(
                None,
                fault="holds a formula whose value is not written: save the list from a spreadsheet program",
            )
        return _EMPTY
    if read.data_type == "e":
        return Cell(None, fault=f"holds the error {value}")
    try:
        written_as = read.number_format or "General"
    except Exception:  # a style that the file does not hold, or that is no number
        return Cell(None, fault="has a number format that this file does not hold: save it anew")
    return Cell(_unescaped(value) if isinstance(value, str) else value, written_as)


_EMPTY = Cell(None)
_ESCAPED = re.compile("_x([0-9A-Fa-f]{4})_")


def _unescaped(text: str) -> str:
    """Signs that XML cannot hold, as ECMA-376 writes them (ST_Xstring)."""
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), text) if "_x" in text else text


def _check_package(file: str, raw: bytes) -> bool:
    """Refuse what is no harmless workbook; whether one that is holds formulas."""
    if raw.startswith(_OLD_FORMAT):
        _refuse(
            file,
            "is an old workbook (.xls), or one locked with a password.",
            f"{_SAVE_AS} Without a password.",
        )
    if not raw.startswith(b"PK"):
        _refuse(
            file,
            "is not a workbook (.xlsx), whatever its name says.",
            "If it is a list of text lines, name it .csv.",
        )
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as package:
            names = [entry.filename for entry in package.infolist()]
            _check_kind(file, names)
            _check_size(file, package.infolist())
            return _check_parts(file, package)
    except BROKEN_ZIP as error:
        _refuse(file, f"is broken: {_what_is_wrong(error)}.", "Ask for it again, or save it anew.")


def _check_kind(file: str, names: list[str]) -> None:
    if "xl/workbook.xml" in names:
        return
    if "xl/workbook.bin" in names:
        _refuse(file, "is a binary workbook (.xlsb).", _SAVE_AS)
    if "content.xml" in names:
        _refuse(file, "is an OpenDocument file (.ods).", _SAVE_AS)
    _refuse(file, "is a zip file, but no workbook (.xlsx).")


def _check_size(file: str, entries: list[zipfile.ZipInfo]) -> None:
    """Sizes as the file states them, which the zip reader never goes past."""
    unpacked = sum(entry.file_size for entry in entries)
    shared = sum(entry.file_size for entry in entries if entry.filename.endswith("sharedStrings.xml"))
    if len(entries) > _MOST_ENTRIES:
        _refuse(file, f"holds {len(entries):,} files, more than {_MOST_ENTRIES:,}.")
    if unpacked > _MOST_UNPACKED or shared > _MOST_SHARED_TEXT:
        most = f"{_MOST_UNPACKED // 1_000_000} MB in all, {_MOST_SHARED_TEXT // 1_000_000} MB of text"
        said = f"unpacks to {unpacked / 1e6:,.0f} MB, more than is read ({most})."
        _refuse(file, said, "Is it the right file?")


def _check_parts(file: str, package: zipfile.ZipFile) -> bool:
    formulas = False
    for entry in package.infolist():
        if not entry.filename.endswith((".xml", ".rels", ".vml")):
            continue
        with package.open(entry) as stream:
            _refuse_text_without_end(file, entry.filename, stream)
        with package.open(entry) as stream:
            _refuse_document_type(file, entry.filename, stream)
        if entry.filename.startswith("xl/worksheets/") and not formulas:
            with package.open(entry) as stream:
                formulas = _holds(stream, _FORMULA)
    return formulas


def _holds(stream: Any, wanted: re.Pattern[bytes]) -> bool:
    tail = b""
    while chunk := stream.read(1 << 20):
        if wanted.search(tail + chunk):
            return True
        tail = chunk[-80:]
    return False


def _refuse_text_without_end(file: str, part: str, stream: Any) -> None:
    while chunk := stream.read(_LONGEST_TEXT):
        if len(chunk) == _LONGEST_TEXT and b"<" not in chunk and b">" not in chunk:
            said = f"its part {part} holds a text of more than a million letters, which no cell can."
            _refuse(file, said, "It may be meant to do harm: do not use it.")


class _Started(Exception):  # noqa: N818  no error, but the end of what is read here
    pass


class _DocumentTypeError(Exception):
    pass


def _refuse_document_type(file: str, part: str, stream: Any) -> None:
    """Read a part up to its first element, before which alone a document type can stand."""

    def started(*_: Any) -> None:
        raise _Started

    def has_type(*_: Any) -> None:
        raise _DocumentTypeError

    parser = expat.ParserCreate()
    parser.StartElementHandler = started
    parser.StartDoctypeDeclHandler = has_type
    try:
        while chunk := stream.read(1 << 16):
            parser.Parse(chunk, False)
        parser.Parse(b"", True)
    except _Started:
        return
    except _DocumentTypeError:
        said = f"its part {part} declares entities or a document type, which no workbook needs."
        _refuse(file, said, "It may be meant to do harm: do not use it.")
    except expat.ExpatError as error:
        _refuse(
            file, f"is broken: its part {part} is not XML ({error}).", "Ask for it again, or save it anew."
        )


def _refuse(file: str, allowed: str, do: str = "") -> NoReturn:
    raise InputError(Problem(file, None, allowed, do)) from None


def _what_is_wrong(error: Exception) -> str:
    """What a library says of the file; what it says of its own code helps nobody."""
    if isinstance(error, zlib.error | lzma.LZMAError):
        return "a part of it cannot be unpacked"
    text = (str(error).splitlines() or [""])[0].rstrip(".")
    return text[:150] if text and isinstance(error, _OF_THE_FILE) else "it is not written as workbooks are"


_OF_THE_FILE = (zipfile.BadZipFile, zipfile.LargeZipFile, SyntaxError, OSError)
"""Among them the fault of XML, which is a SyntaxError."""
