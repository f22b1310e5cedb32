"""The drawings: where things stand, how trust is seen, what is never mirrored, and that text is escaped."""

import math
import re
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from tests.demo_card import SWINGS_DEG, demo_card
from webapp.card.card_data import Card, CardSwing, Twins
from webapp.draw.arm import arm
from webapp.draw.charts import Said, number_over_visits, strike_over_visits
from webapp.draw.dial import HEIGHT_MM, clubs_that_fit, dial, lane_radii
from webapp.draw.shaft_label import NUMBER_MM, shaft_label
from webapp.draw.svg import Svg, join, tag
from webapp.draw.yard_pole import ROW_MM, groups, spread_rows, yard_pole
from webapp.units import whole
from webapp.views.card_view import face_of

CORNER_START = re.compile(r"M([\d.]+) ([\d.]+)H([\d.]+)")


def parsed(svg: Svg) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def cell_of(root: ElementTree.Element, key: str) -> ElementTree.Element:
    found = root.find(f".//g[@data-cell='{key}']")
    assert found is not None
    return found


def number_of(cell: ElementTree.Element) -> ElementTree.Element:
    found = cell.find("text[@data-part='carry']")
    assert found is not None
    return found


def box_of(cell: ElementTree.Element) -> tuple[float, float, float]:
    box = cell.find("rect")
    assert box is not None
    left, width = float(box.get("x", "nan")), float(box.get("width", "nan"))
    return left, left + width, float(box.get("y", "nan"))


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_number_stands_where_its_arm_crosses_its_lane(mirrored: bool) -> None:
    root = parsed(dial(face_of(demo_card(mirrored)), mirrored, "yd"))
    side, hub_x = (1, 6.5) if mirrored else (-1, 47.5)
    for radius, club in zip((37, 28.8, 20.6, 12.4), ("46", "51", "56", "60"), strict=True):
        for swing_deg in SWINGS_DEG:
            left, right, top = box_of(cell_of(root, f"{club}:{swing_deg:g}"))
            angle = math.radians(swing_deg)
            assert (left + right) / 2 == pytest.approx(hub_x + side * radius * math.sin(angle), abs=0.02)
            assert top + 4.8 * 1.08 / 2 == pytest.approx(44.2 + radius * math.cos(angle), abs=0.02)


@pytest.mark.parametrize("mirrored", [False, True])
def test_the_old_corner_sits_off_the_arm_in_both_hands(mirrored: bool) -> None:
    everything_old = dict.fromkeys([(club, deg) for club in ("46", "51") for deg in (45.0, 135.0)], "old")
    root = parsed(dial(face_of(demo_card(mirrored, everything_old)), mirrored, "yd"))
    for key, arm_rises in (("46:45", False), ("46:135", True), ("51:45", False), ("51:135", True)):
        cell = cell_of(root, key)
        corner = cell.find("path")
        assert corner is not None
        start = CORNER_START.match(corner.get("d", ""))
        assert start is not None
        left, right, top = box_of(cell)
        assert float(start[2]) == pytest.approx(top, abs=0.01)
        # The arm climbs outwards through the outer top corner above 9:00 and falls from the inner top corner below.
        arm_goes_through_right = mirrored if arm_rises else not mirrored
        assert float(start[3]) == pytest.approx(left if arm_goes_through_right else right, abs=0.01)


@pytest.mark.parametrize("draw", [dial, yard_pole])
def test_text_is_never_mirrored(draw: object) -> None:
    assert callable(draw)
    plain, mirrored = draw(face_of(demo_card()), False, "yd"), draw(face_of(demo_card(True)), True, "yd")
    assert "transform" not in mirrored
    carries = [
        sorted(node.text or "" for node in parsed(svg).iter("text") if node.get("data-part") == "carry")
        for svg in (plain, mirrored)
    ]
    assert carries[0] == carries[1]


def test_mirroring_turns_arms_and_hours_together() -> None:
    plain, mirrored = dial(face_of(demo_card()), False, "yd"), dial(face_of(demo_card(True)), True, "yd")
    assert "9:00" in plain
    assert "3:00" not in plain
    assert "3:00" in mirrored
    assert "9:00" not in mirrored
    plain_x = float(number_of(cell_of(parsed(plain), "46:90")).get("x", "nan"))
    mirrored_x = float(number_of(cell_of(parsed(mirrored), "46:90")).get("x", "nan"))
    assert plain_x == pytest.approx(54 - mirrored_x)


def test_the_arm_drawing_points_at_its_hour() -> None:
    line = parsed(arm(90, False)).find(".//line")
    other = parsed(arm(90, True)).find(".//line")
    assert line is not None
    assert other is not None
    assert float(line.get("x2", "nan")) < 12 < float(other.get("x2", "nan"))
    assert float(line.get("y2", "nan")) == pytest.approx(12)


def test_lanes_stand_at_equal_steps() -> None:
    assert lane_radii(SWINGS_DEG, 4) == pytest.approx([37, 28.8, 20.6, 12.4])
    assert lane_radii(SWINGS_DEG, 2) == pytest.approx([37, 12.4])
    assert lane_radii(SWINGS_DEG, 1) == [37]


def test_arms_that_stand_close_leave_room_for_fewer_lanes() -> None:
    assert clubs_that_fit(SWINGS_DEG) == 4
    assert clubs_that_fit([45, 60, 75, 90, 135, 180]) < 4


@pytest.mark.parametrize("swings_deg", [SWINGS_DEG, (90.0, 180.0), (45.0, 90.0, 180.0)])
def test_no_two_boxes_of_a_dial_overlap(swings_deg: tuple[float, ...]) -> None:
    card = demo_card()
    fewer = replace(
        card,
        swings=tuple(swing for swing in card.swings if swing.swing_deg in swings_deg),
        cells={place: cell for place, cell in card.cells.items() if place[1] in swings_deg},
    )
    root = parsed(dial(face_of(fewer), False, "yd"))
    boxes = [box_of(cell) for cell in root.iter("g") if cell.get("data-cell")]
    height = 4.8 * 1.08
    for place, (left, right, top) in enumerate(boxes):
        for other_left, other_right, other_top in boxes[place + 1 :]:
            apart = right < other_left or other_right < left or abs(top - other_top) > height - 0.2
            assert apart


def test_rows_of_the_pole_keep_their_distance_and_their_order() -> None:
    heights = [10.0, 10.1, 10.2, 40.0, 40.5, 79.9]
    rows = spread_rows(heights, ROW_MM, 3.0, 80.4)
    steps = [b - a for a, b in pairwise(rows)]
    assert min(steps) == pytest.approx(ROW_MM)
    assert sum(rows[:3]) == pytest.approx(sum(heights[:3]))
    assert rows[-1] == pytest.approx(79.9)


def test_eighteen_rows_fit_on_the_pole() -> None:
    rows = spread_rows([40.0] * 18, ROW_MM, 3.0, 80.4)
    assert rows[0] >= 3.0
    assert rows[-1] <= 80.4 + 1e-9


def test_the_pole_is_true_to_scale() -> None:
    root = parsed(yard_pole(face_of(demo_card()), False, "yd"))
    at = {
        int(text.text or ""): float(text.get("y", "nan"))
        for group in root.findall(".//g[@data-ticks='yd']")
        for text in group.findall("text")
    }
    steps = [at[mark] - at[mark + 10] for mark in sorted(at)[:-1]]
    assert steps == pytest.approx([steps[0]] * len(steps), abs=0.02)


def test_a_pole_of_six_wedges_is_taller_and_keeps_its_rows_apart() -> None:
    card = demo_card()
    more = {"43": 8.0, "64": -9.0}
    face = face_of(
        replace(
            card,
            clubs=(*card.clubs, *(replace(card.clubs[0], id=name, name=name) for name in more)),
            cells=card.cells
            | {
                (name, deg): replace(cell, club_id=name, typical_carry_m=cell.typical_carry_m + further_m)
                for name, further_m in more.items()
                for (club, deg), cell in card.cells.items()
                if club == card.clubs[0].id
            },
        )
    )
    pole = parsed(yard_pole(face, False, "yd"))
    rows = [float(number_of(cell).get("y", "nan")) for cell in pole.iter("g") if cell.get("data-cell")]
    assert len(rows) == 24
    assert min(b - a for a, b in pairwise(sorted(rows))) >= ROW_MM - 0.02
    assert float(pole.get("viewBox", "").split()[3]) >= max(rows)
    bars = {float(line.get("x1", "nan")) for line in pole.findall(".//line[@class='two-in-three']")}
    assert len(bars) == 6
    assert max(bars) < 16.9, "bars end before the leaders turn"


def test_the_spreads_of_the_pole_stand_a_millimetre_from_the_cut() -> None:
    """Common practice, no source: who cuts by hand is half a millimetre off, and once more where the paper slips."""
    pole = parsed(yard_pole(face_of(demo_card()), False, "yd"))
    ends = [float(text.get("x")) for text in pole.iter("text") if text.get("text-anchor") == "end"]  # type: ignore[arg-type]
    assert max(ends) <= 54 - 1.1


def test_the_pole_brackets_each_run_of_twins() -> None:
    """85 with two clubs and 73, 72, 71 with three are choices to make ahead; 61 and 62 are no twins here."""
    card = demo_card()
    near = (("51", 135.0), ("56", 180.0)), (("56", 135.0), ("60", 180.0)), (("60", 180.0), ("51", 90.0))
    face = face_of(replace(card, twins=tuple(Twins(one, other, 0.9) for one, other in near)))
    carries = sorted(face.carries.values(), key=lambda carry: (-carry.carry_m, carry.key))
    joined = [[whole(carry.carry_m, "yd") for carry in carries[a : b + 1]] for a, b in groups(carries, face.twins)]
    assert joined == [[85, 85], [73, 72, 71]]
    assert len(parsed(yard_pole(face, False, "yd")).findall(".//path[@class='twins']")) == 2


def test_the_pole_holds_the_ticks_of_every_unit_and_breaks_where_nothing_carries() -> None:
    root = parsed(yard_pole(face_of(demo_card()), False, "yd"))
    assert {group.get("data-ticks") for group in root.iter("g")} >= {"yd", "m"}
    assert len(root.findall(".//g[@class='uncovered']")) == 1


def test_a_shaft_label_shows_its_wedge_three_times() -> None:
    card = demo_card()
    root = parsed(shaft_label(face_of(card), face_of(card).lanes[2], False, "yd", "1 May 2025"))
    assert root.get("viewBox") == "0 0 42 40"
    carries = [node.text for node in root.iter("text") if node.get("data-part") == "carry"]
    assert carries == ["85", "73", "61", "42"] * 3
    feet = [node.text for node in root.iter("text") if node.get("class") == "label-foot"]
    assert feet == ["1 May 2025 · yd"] * 3


def test_a_shaft_label_of_six_swings_keeps_the_size_of_its_digits() -> None:
    card, club = demo_card(), demo_card().clubs[2]
    more = {deg: replace(card.cells[club.id, 90.0], swing_deg=deg) for deg in (60.0, 110.0)}
    swings = sorted([*card.swings, *(CardSwing(deg, "") for deg in more)], key=lambda swing: swing.swing_deg)
    cells = {**card.cells, **{(club.id, deg): cell for deg, cell in more.items()}}
    face = face_of(replace(card, swings=tuple(swings), cells=cells))
    root = parsed(shaft_label(face, face.lanes[2], False, "yd", "1 May 2025"))
    sizes = [node.get("font-size") for node in root.iter("text") if node.get("data-part") == "carry"]
    assert sizes == [f"{NUMBER_MM:g}"] * 6 * 3


def test_metres_are_shown_when_asked_for() -> None:
    root = parsed(dial(face_of(demo_card()), False, "m"))
    assert number_of(cell_of(root, "46:180")).text == "102"
    assert float(number_of(cell_of(root, "46:180")).get("data-m", "nan")) == pytest.approx(102.4128)


def test_a_players_words_are_escaped_and_kept_short() -> None:
    card = demo_card()
    named = replace(card, swings=(replace(card.swings[0], name="a & b < c of a long name"), *card.swings[1:]))
    svg = dial(face_of(named), False, "yd")
    lines = [node.text or "" for node in parsed(svg).iter("tspan")]
    assert "a & b < c" in lines
    assert all(len(line) <= 10 for line in lines)


@pytest.mark.parametrize(
    "svg",
    [
        dial(face_of(demo_card()), False, "yd", ["yards"]),
        yard_pole(face_of(demo_card()), True, "m", "metres"),
        shaft_label(face_of(demo_card()), face_of(demo_card()).lanes[0], False, "yd", "1 May 2025"),
        arm(45, False),
    ],
)
def test_drawings_hold_no_style_no_script_and_no_colour_of_their_own(svg: Svg) -> None:
    assert " style=" not in svg
    assert "<style" not in svg
    assert "<script" not in svg
    assert not re.search(r'(fill|stroke)="#', svg)


def test_plain_text_is_escaped_and_finished_svg_is_not() -> None:
    assert join("a<b", tag("g")) == "a&lt;b<g/>"
    drawn = tag("text", "x", class_="n", data_cell='"', x=1.0, y=None)
    assert drawn == '<text class="n" data-cell="&quot;" x="1">x</text>'


def test_an_empty_card_is_still_a_drawing() -> None:
    empty = Card(as_of="2025-05-01T09:30:00.000Z", ball="range", clubs=(), swings=(), cells={})
    assert parsed(dial(face_of(empty), False, "yd")).tag == "svg"
    assert parsed(yard_pole(face_of(empty), False, "yd")).tag == "svg"


@pytest.mark.parametrize("swing_deg", [15, 90, 135, 165, 180])
@pytest.mark.parametrize("name", ["full", "all the way", "as far as it goes", "a" * 40, "a b " * 10])
def test_no_name_is_cut_off_by_the_edge_of_the_dial(swing_deg: float, name: str) -> None:
    card = demo_card()
    cells = {(club.id, swing_deg): replace(card.cells[club.id, 90.0], swing_deg=swing_deg) for club in card.clubs}
    one = replace(card, swings=(CardSwing(swing_deg, name.strip()),), cells=cells)
    root = parsed(dial(face_of(one), False, "yd"))
    (text,) = (text for text in root.iter("text") if text.get("class") == "swing-name")
    size = float(text.get("font-size", "nan"))
    for line in text.iter("tspan"):
        assert float(line.get("y", "nan")) - size * 0.74 > 0
        assert float(line.get("y", "nan")) < HEIGHT_MM


def test_a_name_breaks_after_its_hyphen() -> None:
    card = demo_card()
    names = ["three-quarter", "half-way up", "belt-to-belt"]
    swings = [replace(swing, name=name) for swing, name in zip(card.swings, names, strict=False)]
    root = parsed(dial(face_of(replace(card, swings=(*swings, *card.swings[3:]))), False, "yd"))
    lines = [
        [line.text for line in text.iter("tspan")] for text in root.iter("text") if text.get("class") == "swing-name"
    ]
    assert lines[:3] == [["three-", "quarter"], ["half-way", "up"], ["belt-to-", "belt"]]


def test_a_name_never_covers_a_number() -> None:
    card = demo_card()
    named = {75.0: "hip high", 90.0: "belt to belt", 105.0: "shoulder and more", 180.0: "full"}
    swings = tuple(replace(card.swings[0], swing_deg=deg, name=name) for deg, name in named.items())
    pair = card.clubs[:2]
    cells = {(club.id, deg): replace(card.cells[club.id, 90.0], swing_deg=deg) for club in pair for deg in named}
    close = replace(card, swings=swings, cells=cells, clubs=pair)
    root = parsed(dial(face_of(close), False, "yd"))
    written = ["".join(text.itertext()) for text in root.iter("text") if text.get("class") == "swing-name"]
    # Between two close arms there is no room on either side; the swing table names that one.
    assert written == ["hip high", "shoulderand more", "full"]


@pytest.mark.parametrize(("visits", "counted"), [(12, 12), (13, 0)])
def test_the_counts_of_many_visits_never_run_into_one_another(visits: int, counted: int) -> None:
    rows = [
        {"day": f"2026-03-{day:02}", "carry": 60.0 + day, "low": 58.0, "high": 80.0, "label": f"n {day}"}
        for day in range(1, visits + 1)
    ]
    drawn = number_over_visits(rows, [], "yd", Said("a number", "over visits"))
    assert sum(text.startswith("n ") for text in parsed(drawn).itertext()) == counted


def test_each_day_along_a_plot_stands_below_its_visit() -> None:
    """At midnight the name of the next day stood nearer to an evening visit than its own."""
    days = ("2026-11-20T18:30", "2026-11-24T08:10", "2026-11-27T20:00", "2026-11-27T21:45")
    rows = [
        {"day": f"{day}:10.000Z", "carry": 60.0, "low": 58.0, "high": 62.0, "spread": 3.0, "cost": 1.0, "label": "n 9"}
        for day in days
    ]
    said = Said("a number", "over visits")
    for drawn in (number_over_visits(rows, [], "yd", said), strike_over_visits(rows, "yd", said)):
        names = re.findall(r"<text[^>]*translate\(([\d.]+),[^>]*>(\d+ \w+)<", drawn)
        points = re.findall(r'<path[^>]*translate\(([\d.]+),[\d.]+\)[^>]*d="M[^"]*A', drawn)
        assert len(points) == 4
        assert [day for _, day in names] == ["20 Nov", "24 Nov", "27 Nov"]
        below = [float(points[visit]) for visit in (0, 1, 3)]
        assert [float(at) for at, _ in names] == pytest.approx(below, abs=0.5)
