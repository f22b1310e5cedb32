"""A file of balls from anywhere as lines of plain cells: text with any separator, or a workbook (XLSX).

Knows the limits of such a file, and no heading, book or page; the two kinds of file are read by text_lines.py and
workbook.py.
"""

import zipfile
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

from .no_table import NoTable
from .text_lines import text_lines
from .workbook import workbook_lines, workbook_sheets

MOST_BYTES = 20_000_000
MOST_ROWS = 50_000
MOST_LINES = 2 * MOST_ROWS  # blank ones too
MOST_COLUMNS = 200
WORKBOOK = b"PK\x03\x04"  # how a workbook begins, which is an archive (ZIP)
LONG_BYTES = 1_000_000
_BLOCK = 1 << 16
_SAVE_AS_TABLE = "save the table as XLSX or CSV and bring that"
_NO_TABLES = {
    b"\xd0\xcf\x11\xe0": f"it is a workbook of the old kind: {_SAVE_AS_TABLE}",
    b"%PDF": f"it is a document to be printed: {_SAVE_AS_TABLE}",
    b"SQLi": f"it is an SQLite file: {_SAVE_AS_TABLE}",
}

Line = tuple[int, list[str]]


def is_long_table(file: BinaryIO, most_rows: int) -> bool:
    """Whether reading an opened file takes so long that nobody should wait for it, by its size and lines alone.

    A workbook's size is what it unpacks to.
    """
    begins, size, ends = file.read(len(WORKBOOK)), 0, 0
    file.seek(0)
    if begins == WORKBOOK:
        with suppress(zipfile.BadZipFile, ValueError, NotImplementedError), zipfile.ZipFile(file) as archive:
            size = sum(part.file_size for part in archive.infolist())  # of a damaged one 0: that is soon found
    else:
        while block := file.read(_BLOCK):
            size += len(block)
            ends += max(block.count(b"\n"), block.count(b"\r"))
    file.seek(0)
    return size > LONG_BYTES or ends - 1 > most_rows


def sheets_of(path: Path) -> list[str]:
    """The names of a workbook's sheets that hold a value, the first of them read unless another is named; [] of a text.

    NoTable for a damaged workbook.
    """
    return workbook_sheets(path) if _head(path) == WORKBOOK else []


def lines_of(path: Path, sheet: str = "", most_bytes: int = MOST_BYTES) -> Iterator[Line]:
    """Each line that is not blank, with its number in the file and its cells, spaces around them left out.

    A cell of a workbook is the text of its value: a formula's last one, a date as ISO 8601. NoTable for a file that
    is too large, no table, or damaged; it may come after some lines, so who takes all or nothing reads to the end.
    """
    if path.stat().st_size > most_bytes:
        raise NoTable(f"it is larger than {most_bytes / 1e6:g} MB")
    if _head(path).lstrip().startswith(b"{"):
        raise NoTable("it is JSON and no table: a whole book of yours comes back at \u201cYour data\u201d")
    rows = 0
    for number, cells in every_line(path, sheet):
        if number > MOST_LINES:
            raise NoTable(f"it holds more than {MOST_LINES} lines")
        told = [cell.strip() for cell in cells]
        while told and not told[-1]:
            told.pop()
        if not told:
            continue
        rows += 1
        if rows > MOST_ROWS + 1:  # the headings are one of them
            raise NoTable(f"it holds more than {MOST_ROWS} rows")
        if len(told) > MOST_COLUMNS:
            raise NoTable(f"line {number} holds more than {MOST_COLUMNS} values")
        yield number, told


def every_line(path: Path, sheet: str = "") -> Iterator[Line]:
    """Each line with its number in the file, blank ones too, and its cells as they stand; NoTable as of `lines_of`."""
    head = _head(path)
    if head in _NO_TABLES:
        raise NoTable(_NO_TABLES[head])
    return workbook_lines(path, sheet) if head == WORKBOOK else text_lines(path)


def _head(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(4)
