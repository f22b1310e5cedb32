"""A workbook (XLSX) as lines of cells: the values of one sheet, never a formula's own text.

Knows openpyxl and what a hostile archive may hold; nothing of what a cell means. What a part unpacks to is looked up in
the archive's list before anything is unpacked, and Python's zipfile never unpacks more than that list says.
"""

import re
import warnings
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import fromstring

from ..typed import is_read_in_two_ways
from .no_table import NoTable

MOST_UNPACKED = 150_000_000  # 50,000 rows of 40 values unpack to about 100 MB
_MOST_STRINGS, _MOST_OF_THE_REST = 20_000_000, 4_000_000
_MOST_PARTS, _MOST_BLANK = 2_000, 200_000
_MOST_COLUMNS = 201  # one more than lines.py takes, so that it sees them and says so
_SHEET, _STRINGS = "worksheet+xml", "sharedStrings+xml"  # how the types of such parts end (ECMA-376)
_MIDNIGHT = time()
# "<!DOCTYPE" in UTF-8 and in UTF-16 of either order; in whatever else it may stand, expat itself limits what blows up.
_DECLARES = re.compile(rb"<\x00?!\x00?D\x00?O\x00?C\x00?T\x00?Y\x00?P\x00?E")
_BLOCK, _LONGEST_DECLARATION = 1 << 16, 20
_TYPES = "[Content_Types].xml"
_TOO_MUCH = "it would unpack to more than a table of balls can hold, so it was not unpacked"


def workbook_sheets(path: Path) -> list[str]:
    """The names of the sheets that hold a value, in their order; NoTable for a damaged or hostile workbook."""
    with _opened(path) as workbook:
        return [sheet.title for sheet in workbook.worksheets if next(_rows(sheet), None)]


def workbook_lines(path: Path, sheet: str = "") -> Iterator[tuple[int, list[str]]]:
    """Each row of the named sheet with its number, else of the first that holds a value.

    NoTable for a damaged or hostile workbook, and where no value stands.
    """
    found = False
    with _opened(path) as workbook:
        for one in workbook.worksheets:
            if sheet and one.title != sheet:
                continue
            for number, values in _rows(one):
                found = True
                yield number, values
            if found:
                break
    if not found:
        raise NoTable(
            f"the workbook has no sheet {sheet!r} that holds a value" if sheet else "the workbook holds no value"
        )


@contextmanager
def _opened(path: Path) -> Iterator[Any]:
    _look_before_unpacking(path)
    from openpyxl import load_workbook  # first needed here: loading it takes a fifth of a second

    # What openpyxl leaves out of a workbook, such as drawings, holds no value.
    warnings.filterwarnings("ignore", module="openpyxl")
    try:
        with path.open("rb") as file:
            yield load_workbook(file, read_only=True, data_only=True, keep_links=False)
    except NoTable:
        raise
    except Exception as error:
        # A damaged archive fails in any of a dozen ways inside zipfile, the parser and openpyxl.
        raise NoTable(f"the workbook is damaged ({type(error).__name__})") from error


def _rows(sheet: Any) -> Iterator[tuple[int, list[str]]]:
    sheet.reset_dimensions()  # what a file says of its size may be wrong, and vast
    for number, values in enumerate(sheet.iter_rows(max_col=_MOST_COLUMNS, values_only=True), 1):
        width = next((at for at in range(len(values), 0, -1) if values[at - 1] is not None), 0)
        if width:
            yield number, [text_of(value) for value in values[:width]]
        elif number > _MOST_BLANK:
            raise NoTable("it holds more lines than can be read")


def text_of(value: Any) -> str:
    """A cell's value as text: dates and times as ISO 8601, numbers with a point that nobody takes for a thousand."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(int(value))
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == _MIDNIGHT else value.isoformat()
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, timedelta):
        return str(value)
    if isinstance(value, float):
        text = str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
        return text + "0" if is_read_in_two_ways(text) else text
    return str(value)


def _look_before_unpacking(path: Path) -> None:
    """Refuse an archive by its list of parts; each is called what its type says, as openpyxl looks them up."""
    try:
        with zipfile.ZipFile(path) as archive:
            parts = archive.infolist()
            if len(parts) > _MOST_PARTS or _TYPES not in archive.NameToInfo:
                raise NoTable("it is an archive and no workbook (XLSX)")
            if sum(part.file_size for part in parts) > MOST_UNPACKED:
                raise NoTable(_TOO_MUCH)
            if archive.getinfo(_TYPES).file_size > _MOST_OF_THE_REST:
                raise NoTable(_TOO_MUCH)
            _refuse_entities(archive, archive.getinfo(_TYPES))
            types = fromstring(archive.read(_TYPES))
            told = {one.get("PartName", "").lstrip("/"): one.get("ContentType", "") for one in types}
            read = [part for part in parts if part.filename in told or part.filename.endswith((".xml", ".rels"))]
            _weigh(read, told)
            for part in read:
                _refuse_entities(archive, part)
    except NoTable:
        raise
    except Exception as error:
        raise NoTable("it begins like a workbook and is none, or is damaged") from error


def _weigh(parts: Iterable[zipfile.ZipInfo], told: Mapping[str, str]) -> None:
    strings = rest = 0
    for part in parts:
        kind = told.get(part.filename, "")
        if kind.endswith(_STRINGS):
            strings += part.file_size
        elif not kind.endswith(_SHEET):
            rest += part.file_size
    if strings > _MOST_STRINGS or rest > _MOST_OF_THE_REST:
        raise NoTable(_TOO_MUCH)


def _refuse_entities(archive: zipfile.ZipFile, part: zipfile.ZipInfo) -> None:
    """Refuse a part that declares a type, and with it entities that could blow up; no workbook needs one."""
    before = b""
    with archive.open(part) as unpacked:
        while block := unpacked.read(_BLOCK):
            if _DECLARES.search(before + block):
                raise NoTable("a part of the workbook declares entities, which none needs")
            before = block[-_LONGEST_DECLARATION:]
