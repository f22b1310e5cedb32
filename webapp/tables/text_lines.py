"""A text file as lines of cells: which encoding it is in, which sign parts its values, where a quote does not end.

Knows CSV as RFC 4180 has it, with other separators too; nothing of what a cell means.
"""

import codecs
import csv
import re
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from itertools import islice
from pathlib import Path
from typing import BinaryIO, TextIO

from .no_table import BrokenLine, NoTable

SEPARATORS = (",", ";", "\t", "|")
_MARKS = (  # the longer ones first: one of UTF-16 begins one of UTF-32
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_BLOCK = 1 << 16
_LONGEST_LINE, _LONGEST_RECORD = 200_000, 50  # signs; lines of one row, which quotes may hold
_SAMPLE = 60
_NO_TEXT = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")


def text_lines(path: Path) -> Iterator[tuple[int, list[str]]]:
    """Each row with the number of its first line; NoTable where a line is no text or its quotes do not end."""
    with path.open("rb") as file:
        encoding = encoding_of(file)
    try:
        with path.open(encoding=encoding, newline="") as text:
            separator = separator_of([line for _, line in islice(_lines(text), _SAMPLE)])
            text.seek(0)
            yield from _rows(text, separator)
    except UnicodeError as error:
        raise NoTable("it is no text in an encoding known here") from error


def encoding_of(file: BinaryIO) -> str:
    """The encoding of a file of bytes: its mark, else UTF-8, UTF-16 without a mark, Windows-1252 or Latin-1.

    The WHATWG's Encoding Standard reads what calls itself Latin-1 as Windows-1252; five bytes of that mean nothing,
    and a file that holds one is read as Latin-1 itself.
    """
    head = file.read(_BLOCK)
    for mark, encoding in _MARKS:
        if head.startswith(mark):
            return encoding
    if head.count(0) * 5 > len(head):  # in UTF-16 nearly every second byte of a table is 0
        low_first, high_first = head[1::2].count(0), head[::2].count(0)
        return "utf-16-le" if low_first > high_first else "utf-16-be"
    file.seek(0)
    for encoding in ("utf-8", "cp1252"):
        if _decodes(file, encoding):
            return encoding
    return "latin-1"


def separator_of(lines: list[str]) -> str:
    """The separator by which the most of these lines have one and the same number of values; a comma when none does.

    Lines below a quote that does not end are not counted.
    """

    def alike(separator: str) -> int:
        widths = Counter[int]()
        with suppress(csv.Error):
            for row in csv.reader(lines, delimiter=separator, strict=True):
                widths[len(row)] += 1
        return max(((width - 1) * times for width, times in widths.items()), default=0)

    return max(SEPARATORS, key=alike)


def _decodes(file: BinaryIO, encoding: str) -> bool:
    decoder = codecs.getincrementaldecoder(encoding)()
    file.seek(0)
    try:
        while block := file.read(_BLOCK):
            decoder.decode(block)
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return False
    return True


def _lines(text: TextIO) -> Iterator[tuple[int, str]]:
    number = 0
    while line := text.readline(_LONGEST_LINE + 1):
        number += 1
        if len(line) > _LONGEST_LINE:
            raise NoTable(f"line {number} is longer than {_LONGEST_LINE} signs")
        if _NO_TEXT.search(line):
            raise NoTable(f"line {number} holds signs that no text has")
        yield number, line


def _rows(text: TextIO, separator: str) -> Iterator[tuple[int, list[str]]]:
    begun = 1

    def watched() -> Iterator[str]:
        for number, line in _lines(text):
            if number - begun >= _LONGEST_RECORD:
                raise BrokenLine(begun, "cannot be read as a row (a quote that opens there does not end)")
            yield line

    rows = csv.reader(watched(), delimiter=separator, strict=True)
    while True:
        try:
            row = next(rows, None)
        except csv.Error as error:
            words = "a quote that opens there does not end" if "end of data" in str(error) else str(error)
            raise BrokenLine(begun, f"cannot be read as a row ({words})") from error
        if row is None:
            return
        yield begun, row
        begun = rows.line_num + 1
