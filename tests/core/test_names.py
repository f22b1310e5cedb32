"""How wedges, swings and numbers are called; the places on the clock from a clock face."""

import pytest

from webapp.card.names import Names

NAMES = Names({"a": "56", "b": "Lob wedge"}, {90.0: "hip", 135.0: ""}, mirrored=False)
MIRRORED = Names(NAMES.clubs, NAMES.swings, mirrored=True)


@pytest.mark.parametrize(
    ("swing_deg", "name", "mirrored"),
    [(90.0, "hip", "hip"), (135.0, "10:30", "1:30"), (60.0, "8:00", "4:00"), (180.0, "full", "full")],
)
def test_a_swing_has_its_own_name_else_its_place_on_the_clock(swing_deg: float, name: str, mirrored: str) -> None:
    assert NAMES.swing(swing_deg) == name
    assert MIRRORED.swing(swing_deg) == mirrored


def test_a_number_is_called_by_its_wedge_and_its_swing() -> None:
    assert NAMES.cell(("b", 90.0)) == "Lob wedge hip"
    assert MIRRORED.cell(("a", 135.0)) == "56 1:30"


def test_a_wedge_without_a_name_is_one_all_the_same() -> None:
    assert NAMES.cell(("c", 90.0)) == "a wedge hip"
