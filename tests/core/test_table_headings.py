"""Where the headings of a table stand: never below a ball, which would be lost unsaid."""

import pytest

from webapp.tables.headings import NO_HEADINGS
from webapp.tables.looking import look_through


@pytest.mark.parametrize(
    "rows",
    [
        ("51 | full | 54", "51 | full | 55", "PW | full | lost", "51 | full | 57", "51 | full | 58"),
        ("SW | full | 54", "SW | full | 55", "LW | full | lost", "SW | full | 57"),
        ("51 | full | 54", "PW | full | lost", "SW | full | 55"),  # one column has a number above alone
        ("SW | full | 54", "LW | full | lost"),  # nothing stands below it
        ("SW | 54 | 2025-05-03", "LW | lost | soon", "SW | 55 | tomorrow"),  # one has a number, another only a day
        ("SW | full | 54m", "SW | full | 55m"),
        ("SW | full | 54 yds", "SW | full | 55 yards"),
        ("Range night", "SW | full | 54", "LW | full | lost", "SW | full | 57"),
        ("Gap | 9:00 | lost | clean", "Gap | 9:00 | 54 | clean", "Sand | 10:30 | 61 | thin"),
        ("Gap | lost | 18:04:59", "Gap | 54 | 18:05:20"),
        ("Gap | lost | 6:04 pm", "Gap | 54 | 6:05 pm"),
    ],
)
def test_a_row_without_a_number_below_balls_is_no_heading(rows: tuple[str, ...]) -> None:
    look = look_through([(at, row.split(" | ")) for at, row in enumerate(rows, 1)])
    assert (look.heading_line, look.n_rows) == (NO_HEADINGS, len(rows))


@pytest.mark.parametrize(
    ("rows", "line"),
    [
        (("Range night | 2025-05-03", "Stick | Flight | Arm", "56 | 54,5 | full"), 2),  # a day above numbers
        (("Bay | 4", "", "Arm | Stick | Flight", "full | Sand | 54"), 3),
        (("Stick | Flight | Arm", "LW | lost | full", "SW | 54m | full"), 1),
        (("Range night | 18:05", "Stick | Flight | Arm", "56 | 54 | 9:00"), 2),  # a time of day above numbers
        (("Begun | 18:05 | mat", "Stick | Flight | Arm", "56 | 54 | 9:00"), 2),
        (("Stick | Flight | Arm", "LW | lost | 9:00", "SW | 54 | 9:00"), 1),
        (("Range 2 | bay 4", "Sand 56 | 54m away"), 1),  # words with a number in them are no values
    ],
)
def test_headings_below_a_title_with_a_value_are_found(rows: tuple[str, ...], line: int) -> None:
    look = look_through([(at, row.split(" | ")) for at, row in enumerate(rows, 1) if row])
    assert look.heading_line == line
