"""What the cells and headings of a table from anywhere mean: numbers, days, headings, suggestions, wedges, rows."""

from datetime import date, datetime, time
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.tables.chosen import LEAVE_OUT, Chosen
from webapp.tables.headings import NO_HEADINGS, below_headings
from webapp.tables.looking import Look, look_through, place_of
from webapp.tables.matching import Known, answer_for, loft_of
from webapp.tables.no_table import NoTable
from webapp.tables.row_of_line import Left, Read, Wedge, read_lines
from webapp.tables.suggesting import suggested_decimal, suggested_unit, suggestions
from webapp.tables.told_moment import ORDERS, orders_of, pattern, told
from webapp.tables.told_number import number_told

Lines = list[tuple[int, list[str]]]


def numbered(*rows: str) -> Lines:
    """Rows whose values are parted by a stroke, as lines."""
    return [(at, [cell.strip() for cell in row.split("|")]) for at, row in enumerate(rows, 1) if row]


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("54", 54), ("54.5", 54.5), ("54,5", 54.5), (" 54 ", 54), ("-3,25", -3.25), ("\N{MINUS SIGN}3.2", -3.2),
        ("+7", 7), (".5", 0.5), (",5", 0.5), ("0.123", 0.123), ("0,123", 0.123), ("1,234.5", 1234.5),
        ("1.234,5", 1234.5), ("1,234,567", 1234567), ("1.234.567,25", 1234567.25), ("7 100", 7100),
        ("7\u202f100,5", 7100.5),
        ("7'100", 7100), ("1.2345", 1.2345), ("1e2", 100),
    ],
)  # fmt: skip
def test_a_number_is_read_as_it_is_written_anywhere(text: str, value: float) -> None:
    assert number_told(text) == value


@pytest.mark.parametrize(
    "text",
    ["=54", "=1+1", "far", "", "5 4", "1,23,4", "1.2.3", "nan", "inf", "0x10", "1_000", "٥", "1,234.567.8", "12-"],
)
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="must be a number"):
        number_told(text)


def test_a_number_that_can_mean_two_is_the_one_that_can_be_or_is_refused() -> None:
    assert number_told("74,321", 0, 400) == 74.321
    assert number_told("7,100", 100, 20000) == 7100
    with pytest.raises(ValueError, match=r"can be 7100 or 7\.1"):
        number_told("7,100", 0, 20000)
    assert number_told("7,100", decimal=",") == 7.1
    assert number_told("7,100", decimal=".") == 7100
    with pytest.raises(ValueError, match="with a point before decimals"):
        number_told("54,5", decimal=".")


@given(value=st.decimals(0, 99_999, places=2), thousands=st.sampled_from([",", ".", " ", ""]))
def test_every_written_number_comes_back(value: Any, thousands: str) -> None:
    """Independent: Python's own format writes the thousands."""
    decimal = "," if thousands == "." else "."
    text = f"{value:,.2f}".replace(",", "T").replace(".", decimal).replace("T", thousands)
    assert number_told(text) == float(value)


MONTHS = {  # the months' names, from memory
    "de": "Januar Februar März April Mai Juni Juli August September Oktober November Dezember",
    "es": "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre",
    "fr": "janvier février mars avril mai juin juillet août septembre octobre novembre décembre",
    "it": "gennaio febbraio marzo aprile maggio giugno luglio agosto settembre ottobre novembre dicembre",
    "pt": "janeiro fevereiro março abril maio junho julho agosto setembro outubro novembro dezembro",
    "nl": "januari februari maart april mei juni juli augustus september oktober november december",
}


@pytest.mark.parametrize("language", MONTHS)
def test_a_month_is_read_by_its_name_in_seven_languages(language: str) -> None:
    for month, name in enumerate(MONTHS[language].split(), 1):
        for text in (f"3. {name} 2025", f"3 de {name} de 2025", f"3 {name.upper()} 2025 9:30", f"3-{name}-25"):
            assert told(text, "mdy").day == date(2025, month, 3), text


@pytest.mark.parametrize("text", ["3. Mond 2025", "3. M 2025", "3 de 2025"])
def test_a_word_that_is_no_month_is_no_day(text: str) -> None:
    with pytest.raises(ValueError, match="must be a day"):
        told(text, "dmy")


def test_a_day_is_read_in_the_order_that_is_said() -> None:
    assert told("03/05/2025", "dmy").day == date(2025, 5, 3)
    assert told("03/05/2025", "mdy").day == date(2025, 3, 5)
    assert told("25-05-03", "ymd").day == date(2025, 5, 3)
    for order in ORDERS:  # what needs no order
        assert told("2025-05-03T09:30:15Z", order) == (date(2025, 5, 3), time(9, 30, 15), 0, True)
        assert told("3 May 2025 9:05 pm", order) == (date(2025, 5, 3), time(21, 5), None, False)
        assert told("May 3, 2025", order).day == date(2025, 5, 3)
        assert told("03-MAY-25", order).day == date(2025, 5, 3)
    assert told("3.5.2025", "dmy", "12:30 AM").clock == time(0, 30)
    assert told("2025-05-03 23:30 +02:00", "ymd").moment() == datetime(2025, 5, 3, 21, 30)
    assert told("2025-05-03", "ymd").moment() == datetime(2025, 5, 3, 12)


@pytest.mark.parametrize(
    ("text", "clock"),
    [
        ("yesterday", ""),
        ("31/02/2025", ""),
        ("45.5", ""),
        ("2025-05-03", "25:00"),
        ("2025-05-03", "13:00 pm"),
        ("3/5/2025 soon", ""),
    ],
)
def test_what_is_no_day_or_time_is_refused(text: str, clock: str) -> None:
    with pytest.raises(ValueError, match="must be a"):
        told(text, "dmy", clock)


@given(moment=st.datetimes(datetime(2000, 1, 1), datetime(2099, 12, 31)), order=st.sampled_from(list(ORDERS)))
def test_days_agree_with_the_library(moment: datetime, order: str) -> None:
    """Independent: strftime writes, in each order and with each sign."""
    parts = {"y": "%Y", "m": "%m", "d": "%d"}
    for sign in "-/.":
        text = moment.strftime(sign.join(parts[part] for part in order) + " %H:%M:%S")
        assert told(text, order).moment() == moment.replace(microsecond=0)


def test_the_order_of_days_is_in_doubt_only_where_it_matters() -> None:
    def orders(*texts: str) -> tuple[str, ...]:
        return orders_of({pattern(text): 1 for text in texts})

    assert orders("2025-05-03") == ("ymd",)
    assert orders("03/05/2025", "04/05/2025") == ("dmy", "mdy")
    assert orders("03/05/2025", "13/05/2025") == ("dmy",)
    assert orders("03/05/2025", "05/13/2025") == ("mdy",)
    assert orders("05/05/2025") == ("dmy",)  # either order says the same
    assert len(orders("01-02-03")) == 3
    assert pattern("75.5") == pattern("Average") == ""


def test_headings_are_found_below_titles_and_told_apart() -> None:
    look = look_through(numbered("Range night", "", "Stick | Flight | Flight | ", "56 | 54,5 | 60 | x", "Average | 55"))
    assert (look.heading_line, look.n_rows) == (3, 2)
    look = look_through(numbered("Stick | Flight | flight | | N", "56 | 54,5 | 60 | x"))
    assert [column.name for column in look.columns] == [
        "Stick", "Flight (column 2)", "flight (column 3)", "(column 4)", "N",
    ]  # fmt: skip
    assert place_of(look.columns, " stick ") == 0
    assert place_of(look.columns, "Flight") == 1
    assert place_of(look.columns, "#4") == 3
    with pytest.raises(NoTable, match=r"2 columns are called 'FLIGHT': name one by its place, such as #2"):
        place_of(look.columns, "FLIGHT")
    with pytest.raises(NoTable, match="no column is called 'Club'; there are: Stick, "):
        place_of(look.columns, "Club")
    for no_place in ("#0", "#9", "#" + "9" * 5000, "#²"):
        with pytest.raises(NoTable, match="no column is called"):
            place_of(look.columns, no_place)


def test_headings_that_are_named_are_looked_for() -> None:
    rows = numbered("a | b | c", "Stick | Flight |", "56 | 54")
    assert look_through(rows).heading_line == 1
    assert look_through(rows, named=["Flight", "Stick"]).heading_line == 2
    assert look_through(rows, heading_line=2).heading_line == 2
    with pytest.raises(NoTable, match="no row stands below"):
        look_through(rows, heading_line=3)
    with pytest.raises(NoTable, match="line 9 is none"):
        look_through(rows, heading_line=9)
    with pytest.raises(NoTable, match="it holds no row"):
        look_through([])


@pytest.mark.parametrize(
    ("lines", "asked", "heading_line", "n_rows"),
    [
        (("56 | 9:00 | 54,5", "56 | 9:00 | 52"), 0, NO_HEADINGS, 2),
        (("56 | 9:00 | 54,5",), 0, NO_HEADINGS, 1),
        (("Stick | 2025", "56 | 52"), 0, NO_HEADINGS, 2),  # a heading left out as no ball is told; a lost ball is not
        (("Stick | 2025", "56 | 52"), 1, 1, 1),
        (("Stick | Far", "56 | 52"), NO_HEADINGS, NO_HEADINGS, 2),
        (("Range night", "56 | 52"), 0, 1, 1),
    ],
)
def test_a_first_line_of_values_is_no_heading(
    lines: tuple[str, ...], asked: int, heading_line: int, n_rows: int
) -> None:
    look = look_through(numbered(*lines), asked)
    assert (look.heading_line, look.n_rows) == (heading_line, n_rows)
    if heading_line == NO_HEADINGS:
        assert [column.name for column in look.columns][:2] == ["(column 1)", "(column 2)"]
        assert next(below_headings(numbered(*lines), look.heading_line))[0] == 1


def test_a_look_tells_the_same_table_and_the_same_headings_apart() -> None:
    one = look_through(numbered("Stick | Flight", "56 | 54"))
    same = look_through([(7, ["Stick", "Flight"]), (9, ["56", "54"])])
    other = look_through(numbered("stick | FLIGHT", "56 | 55"))
    assert one.digest == same.digest != other.digest
    assert one.headings == same.headings == other.headings != look_through(numbered("Stick | Far", "56 | 54")).headings


BAG = [Known("id-56", "56", 56), Known("id-sand", "Sand", 58), Known("id-a", "A", 60), Known("id-b", "B", 60)]


@pytest.mark.parametrize(
    ("word", "answer"),
    [
        ("sand", "id-sand"), ("56", "id-56"), ("56°", "id-56"), ("Wedge 56 deg", "id-56"), ("56,0", "id-56"),
        ("SW58", "id-sand"),
        ("60", ""), ("52°", "52"), ("Gap 50.5", "50.5"), ("Gap", ""), ("Driver", ""), ("7 iron", ""), ("54/58", ""),
        ("155", ""),
    ],
)  # fmt: skip
def test_a_wedge_is_found_by_its_name_or_its_loft(word: str, answer: str) -> None:
    assert answer_for(word, BAG) == answer
    assert loft_of("56 to 58") is None


def test_a_bent_wedge_goes_by_its_name_and_by_its_loft_where_no_other_does() -> None:
    bent = Known("id-54", "54", 55)
    assert [answer_for(word, [bent]) for word in ("54", "SW 54", "SW 55", "53")] == ["id-54", "id-54", "id-54", "53"]
    assert answer_for("SW 54", [bent, Known("id-sand", "Sand", 54)]) == ""
    assert answer_for("54", [bent, Known("id-sand", "Sand", 54)]) == "id-54"


def test_suggestions_come_from_values_and_units_alone() -> None:
    rows = ["carry | Flight (m) | Stick | When | Arm | Strike | Ground | Far [m] | Seen by"]
    rows += [f"{at} | {40 + at},5 | 56 | 0{at}/05/2025 | 9:00 | clean | mat | {140 + at} | laser" for at in range(1, 6)]
    look = look_through(numbered(*rows))
    found = suggestions(look, lambda word: word == "56")
    assert found == {"carry": 1, "club": 2, "made_at": 3, "swing": 4, "contact": 5, "surface": 6, "judged_by": 8}
    assert suggested_unit(look, 1) == "m"
    plain = look_through(numbered(*[row.replace("(m)", "").replace("[m]", "") for row in rows]))
    assert "carry" not in suggestions(plain, lambda word: False)
    assert suggested_decimal(look) == ""
    assert suggested_decimal(look_through(numbered("a | b", "54,5 | 7.100"))) == ","


@pytest.mark.parametrize(
    ("head", "rows", "wanted"),
    [
        (
            "Day | Time | Loft | Swing | Carry yd",
            ["2025-05-01 | 09:3{}:00 | 56 | 09:00:00 | 5{}"] * 6,
            {"date": 0, "time": 1, "club": 2, "swing": 3, "carry": 4},
        ),
        (
            "Day | Time | Loft | Carry yd",
            ["2025-05-01 | 09:3{}:00 | 56 | 5{}"] * 6,
            {"date": 0, "time": 1, "club": 2, "carry": 3},
        ),
        (
            "Day | Loft | Swing | Carry yd",
            ["2025-05-01 | 56 | 09:00:00 | 5{1}", "2025-05-01 | 56 | full | 5{1}"] * 3,
            {"made_at": 0, "club": 1, "swing": 2, "carry": 3},
        ),
        (
            "Day | Time | Loft | Swing | Carry yd",
            ["1 May 2025 | 9:3{} | 56 | 9:00 | 5{}"] * 6,
            {"date": 0, "time": 1, "club": 2, "swing": 3, "carry": 4},
        ),
        (
            "Day | Loft | Swing | Carry yd",
            ["2025-05-01 | 56 | 9:0{} | 5{}"] * 6,
            {"made_at": 0, "club": 1, "swing": 2, "carry": 3},
        ),
        (
            "Day | When | Time | Loft | Carry yd",
            ["2025-05-01 | 2025-05-01 09:3{0} | 9:3{0} | 56 | 5{0}"] * 6,
            {"made_at": 1, "swing": 2, "club": 3, "carry": 4},
        ),
    ],
    ids=[
        "of a workbook",
        "a time of a workbook",
        "swings of a workbook",
        "as text",
        "a swing is no time",
        "a moment in one column",
    ],
)
def test_a_day_and_a_time_in_columns_of_their_own_are_suggested_as_such(
    head: str, rows: list[str], wanted: dict[str, int]
) -> None:
    look = look_through(numbered(head, *(row.format(at, at) for at, row in enumerate(rows))))
    assert suggestions(look, lambda word: word == "56") == wanted


HEAD = "Stick | Flight | When | Arm | Spin"


def rows_of(*rows: str, head: str = HEAD, **more: Any) -> list[Read | Left]:
    """What a table's rows become, with the columns of HEAD by their obvious meaning."""
    lines = numbered(head, *rows)
    look: Look = look_through(lines)
    columns = {"club": 0, "carry": 1, "made_at": 2, "swing": 3, "spin_rpm": 4}
    chosen = Chosen(**{"columns": columns, "unit": "m", "dates": "dmy", **more})
    wedges = {"56": Wedge("id-56", "56"), "gap": Wedge("id-new", "50", "50"), "driver": None}
    return list(read_lines(below_headings(lines, look.heading_line), look, chosen, wedges))


def test_a_row_becomes_a_row_of_our_own_table() -> None:
    (read,) = rows_of("56 | 54,5 m | 03/05/2025 09:30:10 | 9:00 | 7100 rpm")
    assert isinstance(read, Read)
    assert read.row == {
        "club": "56", "club_id": "id-56", "carry": "54.5", "unit": "m", "swing": "9:00", "spin_rpm": "7100",
        "made_at": "2025-05-03T09:30:10.000Z",
    }  # fmt: skip
    assert (read.line, read.visit) == (2, "2025-05-03 ")


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("Average | 54 | |", "sums up other rows"),
        ("total: | 54 | |", "sums up other rows"),
        (" | 54 | 03/05/2025 | 9:00", "names no wedge: it may sum up other rows"),
        ("56 | =2*27 | 03/05/2025 | 9:00", "carry begins with = and is no value"),
        ("56 | 54 yd | 03/05/2025 | 9:00", "carry is in yd, where m was said"),
        ("56 | far | 03/05/2025 | 9:00", "carry must be a number, not 'far'"),
        ("56 | 54 | 03/05/2025 | 9:00 | 7.100", "spin_rpm can be 7100 or 7.1"),
        ("56 | 54 | 2025 | 9:00", "made_at must be a day"),
        ("56 | 54 |  | 9:00", "made_at is empty"),
        ("Driver | 54 | 03/05/2025 | 9:00", "wedge 'Driver' was to be left out"),
        ("56 | 54 | 03/05/2025 | 9:00 | 7 | 8 | 9", "holds 7 values where the headings name 5"),
    ],
)
def test_a_row_that_cannot_be_read_is_left_out_with_its_line_and_reason(row: str, reason: str) -> None:
    good = "56 | 54 | 03/05/2025 | 9:00 | 7200"
    before, left, after = rows_of(good, row, good)
    assert isinstance(before, Read)
    assert isinstance(after, Read)
    assert isinstance(left, Left)
    assert left.line == 3
    assert reason in left.reason


def test_of_several_wrong_cells_the_first_is_named() -> None:
    words = ("bay_offset", "carry", "meant", "roll", "launch_deg", "loft_deg", "run_index", "spin_rpm", "temperature_c")
    (left,) = rows_of(
        "56 | " + " | ".join("far" for _ in words),
        head="Stick | " + " | ".join(words),
        columns={"club": 0, **{word: at for at, word in enumerate(words, 1)}},
        day="2025-05-03",
    )
    assert isinstance(left, Left)
    assert left.reason == "bay_offset must be a number, not 'far'"


def test_answers_stand_for_what_does_not_say_so_itself() -> None:
    answers = {"swing": {"half": "9:00", "": "full", "chip": LEAVE_OUT}}
    half, empty, chip = rows_of(
        "56 | 54 | 03/05/2025 | Half", "56 | 54 | 03/05/2025", "56 | 54 | 03/05/2025 | chip", answers=answers
    )
    assert isinstance(half, Read)
    assert isinstance(empty, Read)
    assert (half.row["swing"], empty.row["swing"]) == ("9:00", "full")
    assert isinstance(chip, Left)
    assert chip.reason == "swing 'chip' was to be left out"


@pytest.mark.parametrize(
    "told", [None, [], {"columns": 3}, {"columns": {"carry": "1"}}, {"columns": {}, "unit": 1}, {"strange": 1},
             {"columns": {}, "answers": {"club": 1}}, {"columns": {}, "of_all": {"swing": 1}}],
)  # fmt: skip
def test_what_no_table_was_chosen_by_is_not_taken_for_a_choice(told: Any) -> None:
    assert Chosen.of(told) is None
    sound = Chosen({"carry": 1}, "m", answers={"club": {"a": "56"}})
    assert Chosen.of(sound.plain()) == sound


def test_a_clock_that_a_spreadsheet_took_for_a_time_of_day_is_a_swing() -> None:
    (read,) = rows_of("56 | 54 | 03/05/2025 | 09:00:00")
    assert isinstance(read, Read)
    assert read.row["swing"] == "09:00"


def test_a_new_wedge_brings_its_loft_and_rows_keep_their_order() -> None:
    first, second = rows_of("Gap | 54 | 03/05/2025 09:30 | 9:00", "Gap | 54 | 03/05/2025 09:30 | 9:00")
    assert isinstance(first, Read)
    assert isinstance(second, Read)
    assert (first.row["club"], first.row["loft_deg"]) == ("50", "50")
    assert first.row["made_at"] < second.row["made_at"]
    assert first.essence == second.essence


def test_what_makes_a_ball_is_not_what_is_said_of_it_besides() -> None:
    row = "56 | 54 | 03/05/2025 | 9:00 | 7200"
    one, other = rows_of(row)[0], rows_of(row, unit="yd", of_all={"surface": "grass"})[0]
    assert isinstance(one, Read)
    assert isinstance(other, Read)
    assert one.essence == other.essence
    undated = [rows_of(row, rest, columns={"club": 0, "carry": 1}, day="2025-05-03")[0] for rest in (row, "56 | 55")]
    assert undated[0].essence != undated[1].essence  # type: ignore[union-attr]
