"""Any file of rows as lines of cells: encodings, separators, quotes, workbooks, limits, and files made to do harm."""

import csv
import io
import zipfile
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime, time
from pathlib import Path
from typing import Any

import pandas
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from tests.conftest import UNTIMED
from webapp.tables import lines as limits
from webapp.tables.kept_lines import keep, kept
from webapp.tables.lines import is_long_table, lines_of, sheets_of
from webapp.tables.no_table import NoTable

FUZZ = settings(suppress_health_check=[*UNTIMED, HealthCheck.function_scoped_fixture], max_examples=150)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "table"


def read(path: Path, content: bytes | str, encoding: str = "utf-8") -> list[tuple[int, list[str]]]:
    path.write_bytes(content if isinstance(content, bytes) else content.encode(encoding))
    return list(lines_of(path))


def workbook(*rows: list[Any], sheets: int = 1) -> bytes:
    book = Workbook()
    for at in range(sheets):
        sheet = book.active if at == 0 else book.create_sheet()
        assert sheet
        for row in rows if at == sheets - 1 else ():
            sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def repacked(content: bytes, **parts: bytes) -> bytes:
    """A workbook with other parts in place of its own; a name's dots and strokes are written __ and ___."""
    named = {name.replace("___", "/").replace("__", "."): part for name, part in parts.items()}
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in dict.fromkeys((*old.namelist(), *named)):
            new.writestr(name, named.get(name, b"") or old.read(name))
    return out.getvalue()


MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
STRINGS = f'<sst xmlns="{MAIN}"><si><t>Stick</t></si><si><r><t>Sa</t></r><r><t>nd</t></r></si></sst>'.encode()


def with_strings(strings: bytes = STRINGS, part: str = "xl/sharedStrings.xml") -> bytes:
    """A workbook whose words stand in a part of their own (ECMA-376, part 1, 18.4), as spreadsheets write them."""
    plain = workbook(["x"])
    with zipfile.ZipFile(io.BytesIO(plain)) as archive:
        types = archive.read("[Content_Types].xml").decode()
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"
    types = types.replace("</Types>", f'<Override PartName="/{part}" ContentType="{kind}"/></Types>')
    cells = "".join(f'<row r="{at}"><c r="A{at}" t="s"><v>{at - 1}</v></c></row>' for at in (1, 2))
    sheet = f'<worksheet xmlns="{MAIN}"><sheetData>{cells}</sheetData></worksheet>'
    named = {part.replace("/", "___").replace(".", "__"): strings, "[Content_Types]__xml": types.encode()}
    return repacked(plain, xl___worksheets___sheet1__xml=sheet.encode(), **named)


def test_words_in_a_part_of_their_own_are_read(path: Path) -> None:
    assert read(path, with_strings()) == [(1, ["Stick"]), (2, ["Sand"])]


ENCODINGS = ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252", "latin-1"]


@pytest.mark.parametrize("encoding", ENCODINGS)
@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_encoding_separator_and_line_end_gives_the_same_cells(
    path: Path, encoding: str, separator: str, end: str
) -> None:
    rows = [["Schläger", "Länge"], ["Sand", "54"], ["Gäp", "61"]]
    text = end.join(separator.join(row) for row in rows) + end
    assert read(path, text, encoding) == list(enumerate(rows, 1))


def test_a_text_that_is_no_utf_8_is_read_as_the_encoding_standard_reads_latin_1(path: Path) -> None:
    # WHATWG Encoding Standard: the label latin1 means windows-1252, where 0x92 is a typographic apostrophe.
    assert read(path, b"name,n\nHeron\x92s,1\n")[1][1] == ["Heron’s", "1"]
    assert read(path, b"name,n\nHeron\x81,\xe4\n")[1][1] == ["Heron\x81", "ä"]  # 0x81 means nothing in windows-1252


@pytest.mark.parametrize(
    ("text", "rows"),
    [  # RFC 4180, section 2, rules 1, 2, 5, 6 and 7
        ("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
        ("aaa,bbb,ccc\r\nzzz,yyy,xxx", [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
        ('"aaa","bbb","ccc"\r\nzzz,yyy,xxx', [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
        ('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx', [["aaa", "b\r\nbb", "ccc"], ["zzz", "yyy", "xxx"]]),
        ('"aaa","b""bb","ccc"\r\n1,2,3', [["aaa", 'b"bb', "ccc"], ["1", "2", "3"]]),
    ],
)
def test_it_reads_the_examples_of_rfc_4180(path: Path, text: str, rows: list[list[str]]) -> None:
    assert [cells for _, cells in read(path, text)] == rows


def test_a_line_is_called_by_its_number_in_the_file_and_blank_ones_are_passed_over(path: Path) -> None:
    found = read(path, 'club,carry\n\n , \n"56\n",54\n51,60,,\n')
    assert found == [(1, ["club", "carry"]), (4, ["56", "54"]), (6, ["51", "60"])]


def test_a_comma_before_decimals_does_not_part_values_where_semicolons_do(path: Path) -> None:
    assert read(path, "a;b;c\n1,5;2,5;3\n4,5;5,5;6\n")[1][1] == ["1,5", "2,5", "3"]


CELL = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Co", "Cn")), max_size=8).map(str.strip)
TABLE = st.integers(2, 5).flatmap(lambda n: st.lists(st.lists(CELL, min_size=n, max_size=n), min_size=2, max_size=8))


@FUZZ
@given(table=TABLE, separator=st.sampled_from([",", ";", "\t", "|"]), encoding=st.sampled_from(["utf-8", "utf-16"]))
def test_what_pandas_reads_of_a_quoted_table_is_read_here_too(
    path: Path, table: list[list[str]], separator: str, encoding: str
) -> None:
    """Independent: pandas.read_csv, told the separator and the encoding that are found out here."""
    heading = [f"h{at}" for at in range(len(table[0]))]
    out = io.StringIO()
    csv.writer(out, delimiter=separator, quoting=csv.QUOTE_ALL).writerows([heading, *table])
    found = read(path, out.getvalue(), encoding)
    theirs = pandas.read_csv(
        path, sep=separator, encoding=encoding, dtype=str, keep_default_na=False, skip_blank_lines=False
    )
    wanted = [[cell.strip() for cell in row] for row in theirs.to_numpy().tolist()]
    mine = [cells + [""] * (len(heading) - len(cells)) for _, cells in found[1:]]
    assert mine == [row for row in wanted if any(row)]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"club,carry\n56,\x0054\n5,6\n", "line 2 holds signs that no text has"),
        (b"club,carry\n56,5\x074\n", "line 2 holds signs that no text has"),
        (b'club,carry\n56,"54\n51,60\n', "line 2 cannot be read as a row"),
        (b'club,carry\n"' + b"56,54\n" * 100, "line 2 cannot be read as a row .a quote that opens there does not end"),
        (b'club,carry\n56,"5"4\n', "line 2 cannot be read as a row"),
        (b'club;carry\n56;54,5\n56;54\n56;"54\n51;60\n', "line 4 cannot be read as a row"),
        (b",".join([b"a"] * 300), "line 1 holds more than 200 values"),
        (b"x" * 300_000, "line 1 is longer than"),
        (b"\xd0\xcf\x11\xe0 old", "a workbook of the old kind"),
        (b"%PDF-1.4", "a document to be printed"),
        (b"SQLite format 3\x00", "it is an SQLite file"),
        (b' {"program": "clockyard"}', "it is JSON and no table: a whole book"),
        (b"PK\x03\x04 broken", "begins like a workbook and is none"),
        ("a,b\n1,2\n".encode("utf-16")[:-1], "no text in an encoding known here"),
    ],
)
def test_what_is_no_table_is_refused_in_words(path: Path, content: bytes, words: str) -> None:
    with pytest.raises(NoTable, match=words):
        read(path, content)


def test_a_table_is_read_up_to_its_limits_and_not_beyond(path: Path) -> None:
    assert len(read(path, "a,b\n" + "1,2\n" * limits.MOST_ROWS)) == limits.MOST_ROWS + 1
    with pytest.raises(NoTable, match="more than 50000 rows"):
        read(path, "a,b\n" + "1,2\n" * (limits.MOST_ROWS + 1))
    with pytest.raises(NoTable, match="larger than 20 MB"):
        read(path, b"a,b\n" + b"x" * limits.MOST_BYTES)
    with pytest.raises(NoTable, match="more than 100000 lines"):
        read(path, "a,b\n" + "\n" * limits.MOST_LINES + "1,2\n")


def test_a_workbook_gives_values_as_text(path: Path) -> None:
    content = workbook(
        ["Stick", "Flight", "When", "Clock", "Yes"],
        ["Sand", 54.5, datetime(2025, 5, 3, 9, 30), time(9, 0), True],
        [56, 60.0, datetime(2025, 5, 4), None, None],
        ["Gäp", 7.125, None, None, "=1+1"],
    )
    assert read(path, content) == [
        (1, ["Stick", "Flight", "When", "Clock", "Yes"]),
        (2, ["Sand", "54.5", "2025-05-03T09:30:00", "09:00:00", "1"]),
        (3, ["56", "60", "2025-05-04"]),
        (4, ["Gäp", "7.1250"]),  # a formula that nobody worked out has no value; 7.125 is no 7125
    ]


def test_a_formula_gives_its_last_value_and_is_never_worked_out(path: Path) -> None:
    sheet = b"""<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>
        <row r="1"><c r="A1" t="inlineStr"><is><t>n</t></is></c></row>
        <row r="3"><c r="A3"><f>1+1</f><v>54</v></c></row></sheetData></worksheet>"""
    content = repacked(workbook(["x"]), xl___worksheets___sheet1__xml=sheet)
    assert read(path, content) == [(1, ["n"]), (3, ["54"])]


def test_the_first_sheet_with_a_value_is_read(path: Path) -> None:
    assert read(path, workbook(["a", "b"], [1, 2], sheets=3)) == [(1, ["a", "b"]), (2, ["1", "2"])]
    with pytest.raises(NoTable, match="holds no value"):
        read(path, workbook())


def test_another_sheet_is_read_by_its_name(path: Path) -> None:
    book = Workbook()
    for name in ("Monday", "  Blank ", "Tuesday"):
        sheet = book.create_sheet(name)
        if name != "  Blank ":
            sheet.append([name, 1])
    book.save(path)
    assert sheets_of(path) == ["Monday", "Tuesday"]
    assert list(lines_of(path)) == list(lines_of(path, "Monday")) == [(1, ["Monday", "1"])]
    assert list(lines_of(path, "Tuesday")) == [(1, ["Tuesday", "1"])]
    for name in ("  Blank ", "Sunday"):
        with pytest.raises(NoTable, match=f"no sheet '{name}' that holds a value"):
            list(lines_of(path, name))


def test_a_text_has_no_sheets(path: Path) -> None:
    path.write_text("a,b")
    assert sheets_of(path) == []


NUMBERS = st.one_of(st.integers(-999, 99999), st.floats(-1e6, 1e6, allow_nan=False), st.booleans(), st.none(), CELL)


@FUZZ
@given(table=st.lists(st.lists(NUMBERS, min_size=1, max_size=5), min_size=1, max_size=6))
def test_what_openpyxl_reads_whole_is_read_here_line_by_line(path: Path, table: list[list[Any]]) -> None:
    """Independent of the lines read one by one: openpyxl with the whole workbook in memory."""
    table = [[f"_{cell}" if isinstance(cell, str) and cell else cell for cell in row] for row in table]
    content = workbook(*table)
    sheet = load_workbook(io.BytesIO(content), data_only=True).active
    assert sheet
    wanted = [[cell for cell in row if cell not in (None, "")] for row in sheet.iter_rows(values_only=True)]
    try:
        found = [[cell for cell in cells if cell] for _, cells in read(path, content)]
    except NoTable:
        found = []
    assert [len(row) for row in found] == [len(row) for row in wanted if row]
    for mine, theirs in zip(found, (row for row in wanted if row), strict=True):
        for cell, value in zip(mine, theirs, strict=True):
            assert cell == value.strip() if isinstance(value, str) else float(cell) == pytest.approx(float(value))


def test_a_bomb_dressed_as_a_workbook_is_refused_before_it_is_unpacked(path: Path) -> None:
    blown = b"<worksheet>" + b" " * 200_000_000
    content = repacked(workbook(["a", "b"]), xl___worksheets___sheet1__xml=blown)
    assert len(content) < 1_000_000
    with pytest.raises(NoTable, match="so it was not unpacked"):
        read(path, content)


@pytest.mark.parametrize("name", ["xl___styles__xml", "xl___media___hidden__bin"])
def test_no_part_that_is_read_whole_may_be_vast(path: Path, name: str) -> None:
    vast = b" " * (160_000_000 if "hidden" in name else 25_000_000)
    with pytest.raises(NoTable, match="so it was not unpacked"):
        read(path, repacked(workbook(["a", "b"]), **{name: vast}))


@pytest.mark.parametrize("part", ["xl/sharedStrings.xml", "xl/worksheets/words.xml", "xl/media/words.bin"])
def test_words_are_weighed_under_whatever_name_they_stand(path: Path, part: str) -> None:
    assert len(read(path, with_strings(part=part))) == 2
    with pytest.raises(NoTable, match="so it was not unpacked"):
        read(path, with_strings(STRINGS + b" " * 25_000_000, part))


# One entity that blows nothing up: whatever names one is refused, before it can.
HOSTILE = '<?xml version="1.0"?>{}<!DOCTYPE x [<!ENTITY laugh "ha">]><x>&laugh;</x>'
PARTS = ["xl___worksheets___sheet1__xml", "[Content_Types]__xml", "xl___workbook__xml", "xl___styles__xml"]


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16-le", "utf-16-be", "utf-16"])
@pytest.mark.parametrize("ahead", [0, 65_535 - 25, 65_535, 200_000])
def test_a_workbook_that_names_entities_is_refused(path: Path, part: str, encoding: str, ahead: int) -> None:
    hostile = HOSTILE.format(" " * ahead).encode(encoding)
    with pytest.raises(NoTable, match="a part of the workbook declares entities"):
        read(path, repacked(workbook(["a", "b"], ["c", "d"]), **{part: hostile}))


def test_entities_among_the_words_are_refused(path: Path) -> None:
    with pytest.raises(NoTable, match="declares entities"):
        read(path, with_strings(HOSTILE.encode(), "xl/media/words.bin"))


def test_a_sheet_that_says_it_is_vast_is_read_as_it_is(path: Path) -> None:
    sheet = b"""<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">
        <dimension ref="A1:XFD1048576"/><sheetData><row r="1"><c r="A1"><v>1</v></c><c r="XFD1"><v>2</v></c></row>
        <row r="90000"><c r="A90000"><v>3</v></c></row></sheetData></worksheet>"""
    assert read(path, repacked(workbook(["x"]), xl___worksheets___sheet1__xml=sheet)) == [(1, ["1"]), (90000, ["3"])]
    far = sheet.replace(b'r="90000"', b'r="1000000000"')
    with pytest.raises(NoTable):
        read(path, repacked(workbook(["x"]), xl___worksheets___sheet1__xml=far))


@FUZZ
@given(content=st.one_of(st.binary(max_size=400), st.text(max_size=200).map(str.encode)))
def test_any_bytes_are_lines_or_refused(path: Path, content: bytes) -> None:
    try:
        found = read(path, content)
    except NoTable:
        return
    assert all(cells and any(cells) for _, cells in found)
    assert [number for number, _ in found] == sorted({number for number, _ in found})


WORKBOOK = workbook(["Stick", "Flight"], ["Sand", 54.5], [56, datetime(2025, 5, 3)])


@FUZZ
@given(at=st.integers(0, len(WORKBOOK) - 1), bytes_=st.binary(min_size=1, max_size=12))
def test_a_workbook_with_any_bytes_changed_is_lines_or_refused(path: Path, at: int, bytes_: bytes) -> None:
    changed = WORKBOOK[:at] + bytes_ + WORKBOOK[at + len(bytes_) :]
    with suppress(NoTable):
        read(path, changed)


@FUZZ
@given(at=st.integers(0, 3000), bytes_=st.binary(min_size=1, max_size=30))
def test_a_sheet_with_any_bytes_changed_is_lines_or_refused(path: Path, at: int, bytes_: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(WORKBOOK)) as archive:
        sheet = archive.read("xl/worksheets/sheet1.xml")
    at %= len(sheet)
    changed = sheet[:at] + bytes_ + sheet[at + len(bytes_) :]
    with suppress(NoTable):
        read(path, repacked(WORKBOOK, xl___worksheets___sheet1__xml=changed))


@FUZZ
@given(table=TABLE)
def test_kept_lines_come_back_as_they_were(tmp_path: Path, table: list[list[str]]) -> None:
    told = [(number * 3, cells) for number, cells in enumerate(table, 1)]
    assert list(keep(iter(told), tmp_path / "kept")) == told
    assert list(kept(tmp_path / "kept")) == told


def test_lines_that_were_not_read_to_their_end_are_not_kept(tmp_path: Path) -> None:
    next(keep(iter([(1, ["a"]), (2, ["b"])]), tmp_path / "kept"))
    assert not (tmp_path / "kept").exists()


@pytest.mark.parametrize(
    ("make", "is_long"),
    [
        (lambda: b"a,b\n" + b"1,2\n" * 30, False),
        (lambda: b"a,b\n" + b"1,2\n" * 31, True),
        (lambda: b"a,b\r" + b"1,2\r" * 31, True),
        (lambda: b"a" * 1_000_001, True),
        (lambda: workbook(["a", "b"], *([at, at] for at in range(500))), False),
        (lambda: workbook(*([f"cell {at}", "x" * 90] for at in range(9_000))), True),  # packed it has under 1 MB
        (lambda: b"PK\x03\x04" + b"\n" * 99, False),  # damaged, which is soon found
        (lambda: b"a,b\n" + b"1,2\n" * 99 + workbook(["a"]), True),  # no workbook, whatever lies behind the text
    ],
    ids=["rows", "more rows", "of an old computer", "bytes", "workbook", "packed", "damaged", "two at once"],
)
def test_a_table_is_long_by_what_it_holds(make: Callable[[], bytes], is_long: bool) -> None:
    content = make()
    file = io.BytesIO(content)
    assert len(content) < 1_000_000 or content.startswith(b"aaa")
    assert is_long_table(file, 30) is is_long
    assert file.tell() == 0


def test_a_row_that_goes_on_below_the_lines_looked_at_does_not_hide_the_separator(path: Path) -> None:
    text = "club;carry;note\n" + "56;54,5;\n" * 58 + '56;54,5;"a\nb, c"\n'
    assert read(path, text)[-1] == (60, ["56", "54,5", "a\nb, c"])
