"""The card made of plain rows: the worked examples of gaps, order, trust and cold start, and what it leaves out."""

import math
from dataclasses import dataclass, replace
from typing import Any

import pytest

from webapp.card.build import build, estimate
from webapp.card.card_data import Card, CardCell, faces, shown
from webapp.card.card_text import as_plain, as_text
from webapp.card.rows import Rows, heirs_of
from webapp.draw.dial import clubs_that_fit
from webapp.estimate.phone import Heard, read, replay
from webapp.facts import SETTINGS
from webapp.fits.fitting import candidates
from webapp.moments import moved
from webapp.units import YARD_M, whole

NOW = "2025-05-01T09:30:00.000Z"
FULL_YD = {"46": 112, "51": 99, "56": 85, "60": 72}


@dataclass(frozen=True)
class Club:
    id: str
    name: str
    loft_deg: float
    retired: bool = False
    follows: str = ""


@dataclass(frozen=True)
class Swing:
    swing_deg: float
    name: str = ""


def a_ball(
    carry_yd: float | None,
    club: str = "56",
    swing_deg: float = 90.0,
    bucket: str = "today",
    days_ago: float = 0.0,
    **more: Any,
) -> dict[str, Any]:
    return {
        "id": "",
        "club_id": club,
        "swing_deg": swing_deg,
        "carry_m": None if carry_yd is None else carry_yd * YARD_M,
        "landed": "unseen" if carry_yd is None else "seen",
        "contact": "clean",
        "bucket_id": bucket,
        "visit_id": bucket,
        "struck_at": moved(NOW, days=-days_ago),
        "ball": "range",
        "mode": "swing",
        "meant_carry_m": 61 * YARD_M,
        "judged_by": "monitor",
        "surface": "mat",
        "counted": True,
        "aside": False,
        "bucket_aside": 0,
        "course": False,
        "lie": "level",
        **more,
    }


def the_rows(
    balls: list[dict[str, Any]] | None = None,
    full_yd: dict[str, float] | None = None,
    clubs: list[Club] | None = None,
    swings: list[Swing] | None = None,
    open_buckets: tuple[str, ...] = (),
    most_strikes: int = 0,
    **settings: Any,
) -> Rows:
    full_yd = FULL_YD if full_yd is None else full_yd
    balls = balls or []
    return Rows(
        clubs=clubs or [Club(name, name, float(name)) for name in FULL_YD],
        swings=swings or [Swing(45.0), Swing(90.0), Swing(135.0), Swing(180.0)],
        full_carries={club: carry_yd * YARD_M for club, carry_yd in full_yd.items()},
        balls=sorted((ball for ball in balls if ball["counted"]), key=lambda ball: ball["struck_at"]),
        strikes=balls,
        settings={**{name: field.default for name, field in SETTINGS.items()}, **settings},
        open_buckets=open_buckets,
        most_strikes=most_strikes,
    )


def a_card(*told: Any, mirrored: bool = False, **more: Any) -> Card:
    return build(the_rows(*told, **more), NOW, mirrored)


def yards(cell: CardCell) -> int:
    return whole(cell.shown_carry_m, "yd")


def ten_in_each_of_three_visits(days_ago: float = 1.0) -> list[dict[str, Any]]:
    return [
        a_ball(61 + (ball % 5 - 2), bucket=f"visit {visit}", days_ago=days_ago + 3 * visit)
        for visit in range(3)
        for ball in range(10)
    ]


def test_it_guesses_every_cell_before_a_ball_is_hit() -> None:
    card = a_card()
    cells = card.cells
    assert [yards(cells["56", deg]) for deg in (45.0, 90.0, 135.0)] == pytest.approx([42, 60, 72], abs=2)
    assert yards(cells["56", 180.0]) == 85
    assert {cell.trust for (_, deg), cell in cells.items() if deg < 180} == {"guess"}
    assert {cell.trust for (_, deg), cell in cells.items() if deg == 180} == {"told"}


def test_it_shows_no_numbers_for_an_empty_bag() -> None:
    card = a_card(clubs=[Club("46", "46", 46.0, retired=True)], full_yd={})
    assert card.clubs == ()
    assert card.cells == {}


def test_it_works_with_two_wedges() -> None:
    card = a_card(clubs=[Club("50", "50", 50.0), Club("58", "58", 58.0)], full_yd={"50": 80})
    assert len(card.cells) == 8
    assert [gap.weaker.name for gap in card.gaps] == ["58"]


def test_gaps_are_of_the_carries_on_show() -> None:
    card = a_card()
    assert [whole(gap.gap_m, "yd") for gap in card.gaps] == [13, 14, 13]
    assert not any(gap.warn for gap in card.gaps)


def test_a_wide_gap_is_warned_and_a_junior_is_given_more_room() -> None:
    wide = {**FULL_YD, "56": 80}
    card, junior = a_card(full_yd=wide), a_card(full_yd=wide, junior=True)
    assert [whole(gap.gap_m, "yd") for gap in card.gaps] == [13, 19, 8]
    assert [gap.warn for gap in card.gaps] == [False, True, False]
    assert not any(gap.overlap for gap in card.gaps)
    assert not any(gap.warn for gap in junior.gaps)
    assert whole(junior.gap_limit_m, "yd") == 20


def test_the_player_may_set_the_gap_limit() -> None:
    card = a_card(gap_limit_m=12 * YARD_M)
    assert all(gap.limit_m == pytest.approx(12 * YARD_M) for gap in card.gaps)


def test_a_gap_tells_the_yards_a_degree() -> None:
    card = a_card(clubs=[Club("45", "45", 45.0), Club("52", "52", 52.0)], full_yd={"45": 120, "52": 101})
    (gap,) = card.gaps
    assert gap.loft_step_deg == 7
    assert gap.per_degree_m == pytest.approx(19 / 7 * YARD_M)


def test_thirty_balls_in_one_visit_are_early() -> None:
    cell = a_card([a_ball(61 + (ball % 5 - 2)) for ball in range(30)]).cells["56", 90.0]
    assert (cell.trust, cell.n, cell.visits) == ("early", 30, 1)


def test_ten_balls_in_each_of_three_visits_are_settled_and_old_after_sixty_days() -> None:
    settled = a_card(ten_in_each_of_three_visits()).cells["56", 90.0]
    old = a_card(ten_in_each_of_three_visits(days_ago=61)).cells["56", 90.0]
    still = a_card([*ten_in_each_of_three_visits(days_ago=61), a_ball(61)]).cells["56", 90.0]
    assert (settled.trust, settled.n, settled.visits) == ("settled", 30, 3)
    assert old.trust == "old"
    assert still.trust == "old"
    assert yards(old) == pytest.approx(yards(settled), abs=1)


def test_a_juniors_numbers_are_old_after_forty_five_days() -> None:
    balls = ten_in_each_of_three_visits(days_ago=50)
    assert a_card(balls).cells["56", 90.0].trust == "settled"
    assert a_card(balls, junior=True).cells["56", 90.0].trust == "old"


def test_it_tells_when_the_last_ball_was_hit() -> None:
    cells = a_card([a_ball(61, days_ago=3), a_ball(60, days_ago=8)]).cells
    assert cells["56", 90.0].last_made_at == moved(NOW, days=-3)
    assert cells["46", 90.0].last_made_at is None


def test_a_longer_swing_that_carries_less_marks_both_out_of_order() -> None:
    balls = [a_ball(71 + ball % 3 - 1, "51", 90.0, f"visit {ball % 3}") for ball in range(18)]
    balls += [a_ball(66 + ball % 3 - 1, "51", 135.0, f"visit {ball % 3}") for ball in range(18)]
    cells = a_card(balls).cells
    assert [cell.out_of_order for cell in (cells["51", 90.0], cells["51", 135.0])] == [True, True]
    assert not cells["56", 90.0].out_of_order


def test_mirroring_turns_the_names_and_moves_no_number() -> None:
    plain, mirrored = a_card(), a_card(mirrored=True)
    assert [swing.name for swing in plain.swings] == ["7:30", "9:00", "10:30", "full"]
    assert [swing.name for swing in mirrored.swings] == ["4:30", "3:00", "1:30", "full"]
    assert mirrored.cells == plain.cells


def test_a_players_own_name_for_a_swing_is_never_mirrored() -> None:
    swings = [Swing(90.0, "belt to belt"), Swing(180.0)]
    assert a_card(swings=swings, mirrored=True).swings[0].name == "belt to belt"


def test_range_balls_leave_the_card_of_own_balls_guessed_or_told() -> None:
    cells = a_card(ten_in_each_of_three_visits(), ball="own").cells
    assert {cell.trust for cell in cells.values()} == {"guess", "told"}
    assert all(cell.n == 0 for cell in cells.values())


def test_a_new_wedge_starts_from_the_old_ones_numbers_as_a_guess() -> None:
    old, new = Club("old", "56", 56.0, retired=True), Club("new", "56", 56.0, follows="old")
    balls = [{**ball, "club_id": "old", "carry_m": 70 * YARD_M} for ball in ten_in_each_of_three_visits()]
    before = a_card(clubs=[Club("new", "56", 56.0)], full_yd={})
    cell = a_card(balls, clubs=[old, new], full_yd={}).cells["new", 90.0]
    assert (cell.trust, cell.n) == ("guess", 0)
    assert abs(yards(cell) - 70) < abs(yards(before.cells["new", 90.0]) - 70)
    assert yards(cell) == pytest.approx(70, abs=4)


def test_wedges_that_took_each_others_place_have_no_heir() -> None:
    """Two phones without signal can note that; whoever follows the one to the other would go round for ever."""
    circle = [Club(own, "56", 56.0, retired=True, follows=other) for own, other in ("ab", "bc", "ca")]
    assert heirs_of([*circle, Club("60", "60", 60.0)]) == {"60": "60"}


def test_distance_called_balls_never_move_the_card() -> None:
    aimed = [a_ball(50, mode="distance", counted=False, meant_carry_m=60 * YARD_M) for _ in range(20)]
    card = a_card(aimed)
    assert card.cells == a_card().cells
    assert card.strikes.overall is not None
    assert card.strikes.overall.all_m == pytest.approx(-10 * YARD_M)


def replayed_m(card: Card, carries_m: list[float]) -> float:
    """The number [m] of 56 9:00 on a phone that hears these clean balls of the open visit."""
    assert card.phone is not None
    cell = next(at for at, one in enumerate(card.phone.cells) if (one.club_id, one.swing_deg) == ("56", 90.0))
    after = replay(read(card.phone.estimate), [[Heard(cell, carry_m, "clean") for carry_m in carries_m]])
    return math.exp(float(after.m[cell]))


def test_the_phone_gets_each_cell_without_the_open_visit_and_replays_it() -> None:
    past, today = ten_in_each_of_three_visits(), [a_ball(66, bucket="open"), a_ball(64, bucket="open")]
    card = a_card([*past, *today], open_buckets=("open",))
    phone = card.phone
    assert phone is not None
    assert phone.open_buckets == ("open",)
    states = {(state.club_id, state.swing_deg): state for state in phone.cells}
    state = states["56", 90.0]
    assert (state.n0, state.visits0, state.recent0) == (30, 3, 30)
    assert state.read0 == (10 * "1",) * 3
    assert replayed_m(card, [ball["carry_m"] for ball in today]) == pytest.approx(
        card.cells["56", 90.0].typical_carry_m, abs=0.3 * YARD_M
    )
    assert states["56", 180.0].told
    assert not states["56", 45.0].told


def test_a_number_that_moved_follows_its_newer_balls_and_no_other_number_forgets() -> None:
    past, now = (
        ten_in_each_of_three_visits(10),
        [a_ball(67 + at % 3, bucket=f"new {at % 2}", days_ago=2 + at % 2) for at in range(10)],
    )
    others = [{**ball, "swing_deg": 135.0, "carry_m": ball["carry_m"] * 1.2} for ball in past]
    before = a_card([*past, *others, *now])
    after = a_card([*past, *others, *now], moved_cells=[f"56:90 {now[1]['struck_at']}"])
    assert before.cells["56", 90.0].n == 40
    cell = after.cells["56", 90.0]
    assert (cell.n, cell.visits, cell.trust) == (10, 2, "early")
    assert cell.typical_carry_m > before.cells["56", 90.0].typical_carry_m + 0.5 * YARD_M
    assert (after.cells["56", 135.0].n, after.cells["56", 135.0].trust) == (30, "settled")


def test_a_number_that_moved_keeps_its_balls_until_one_of_its_own_kind_is_struck() -> None:
    """One own ball left a settled range number of thirty balls a guess of none."""
    past, move = ten_in_each_of_three_visits(10), f"56:90 {moved(NOW, days=-5)}"
    own = a_ball(70, bucket="own", days_ago=2, ball="own")
    told, untold = (a_card([*past, own], moved_cells=moves).cells["56", 90.0] for moves in ([move], []))
    assert (told.n, told.trust) == (30, "settled")
    assert told.typical_carry_m == pytest.approx(untold.typical_carry_m, abs=0.3 * YARD_M)
    since = a_card([*past, own, a_ball(62, bucket="since", days_ago=2)], moved_cells=[move]).cells["56", 90.0]
    assert (since.n, since.trust) == (1, "early")
    bag = [Club("new", "56", 56, follows="56"), Club("56", "old", 56, retired=True)]
    follows = [*past, a_ball(62, "new", bucket="since", days_ago=2)]
    after = a_card(follows, {}, bag, moved_cells=[move.replace("56:", "new:")]).cells["new", 90.0]
    before = a_card(follows, {}, bag).cells["new", 90.0]
    assert after.half_width_m > before.half_width_m + 0.2 * YARD_M


@pytest.mark.parametrize("entry", ["", "56:90", "56:90 soon", f"56:90 {moved(NOW, days=-0.5)}", f"60:90 {NOW}"])
def test_a_move_without_a_ball_since_or_a_moment_changes_nothing(entry: str) -> None:
    past = ten_in_each_of_three_visits()
    assert replace(a_card(past, moved_cells=[entry]), phone=None) == replace(a_card(past), phone=None)


def test_the_phone_replays_a_number_that_moved_in_the_open_visit_as_the_server_reckons_it() -> None:
    past, today = ten_in_each_of_three_visits(), [a_ball(66 + at % 3, bucket="open") for at in range(6)]
    card = a_card([*past, *today], open_buckets=("open",), moved_cells=[f"56:90 {NOW}"])
    assert card.phone is not None
    state = next(state for state in card.phone.cells if (state.club_id, state.swing_deg) == ("56", 90.0))
    assert (state.n0, state.visits0) == (0, 0)
    carry_m = replayed_m(card, [ball["carry_m"] for ball in today])
    assert carry_m == pytest.approx(card.cells["56", 90.0].typical_carry_m, abs=0.3 * YARD_M)


@pytest.mark.parametrize("other", [{"aside": True}, {"bucket_aside": 1}, {"ball": "own"}, {"course": True}])
def test_balls_that_say_nothing_of_the_strike_enter_neither_its_cost_nor_the_aim(other: dict[str, Any]) -> None:
    balls = [a_ball(61 + at % 2, mode="distance") for at in range(20)]
    odd = [a_ball(30, mode="distance", contact="fat", counted=False, **other) for _ in range(20)]
    assert a_card([*balls, *odd]).strikes == a_card(balls).strikes


def test_hidden_cells_are_kept_and_leave_both_faces() -> None:
    card = a_card(hidden_cells=["46:45", "60:45", "60:90", "60:135", "60:180"])
    seen = shown(card)
    assert len(card.cells) == 16
    assert len(seen.cells) == 11
    assert [club.name for club in seen.clubs] == ["46", "51", "56"]
    assert len(seen.swings) == 4


def test_a_number_that_is_hidden_covers_no_distance_and_leaves_no_hole_beyond_the_others() -> None:
    longest = ["46:180", "46:135", "51:180"]
    whole_card, card = a_card(), a_card(hidden_cells=longest)
    numbers = sorted(cell.shown_carry_m for cell in shown(card).cells.values())
    assert max(high for _, high in whole_card.uncovered) > numbers[-1]
    assert all(numbers[0] < low < high < numbers[-1] for low, high in card.uncovered)
    between = a_card(hidden_cells=["51:180"])
    assert max(high - low for low, high in between.uncovered) > max(high - low for low, high in whole_card.uncovered)


@pytest.mark.parametrize(("n_clubs", "n_swings", "sizes"), [(4, 4, [4]), (5, 4, [3, 2]), (6, 4, [3, 3]), (2, 2, [2])])
def test_more_than_a_face_can_carry_goes_to_a_second_card(n_clubs: int, n_swings: int, sizes: list[int]) -> None:
    clubs = [Club(str(loft), str(loft), float(loft)) for loft in range(44, 44 + 4 * n_clubs, 4)]
    swings = [Swing(180.0 / n_swings * (place + 1)) for place in range(n_swings)]
    cut = faces(a_card(clubs=clubs, swings=swings, full_yd={}), clubs_that_fit)
    assert [len(face.clubs) for face in cut] == sizes
    assert all(len(face.cells) <= 18 for face in cut)
    assert sum(len(face.cells) for face in cut) == n_clubs * n_swings


def test_it_says_what_the_numbers_rest_on() -> None:
    assert a_card().basis == ("range balls",)
    assert a_card([a_ball(61), a_ball(60)]).basis == ("range balls", "mat", "by monitor")


def test_the_lines_call_a_swing_as_the_player_does_and_its_data_by_degrees() -> None:
    card = a_card(swings=[Swing(90.0, "waist, easy"), Swing(180.0)], clubs=[Club("56", "56", 56.0)])
    waist, full = as_text(card, "yd").splitlines()[1:]
    assert waist.split()[:3] == ["56", "waist,", "easy"]
    assert full.split()[:3] == ["56", "full", "85"]
    assert waist.index("n   0") == full.index("n   0")  # a long name moves every line's columns alike
    assert [cell["swing_deg"] for cell in as_plain(card)["cells"]] == [90.0, 180.0]
    assert "waist" not in repr(as_plain(card))


def test_a_number_moved_at_the_very_ball_that_begins_it() -> None:
    past, first = ten_in_each_of_three_visits(10), a_ball(66, bucket="first", days_ago=2)
    card = a_card([*past, first], moved_cells=[f"56:90 {first['struck_at']}"])
    assert card.cells["56", 90.0].n == 1
    assert card.phone is not None
    state = next(state for state in card.phone.cells if (state.club_id, state.swing_deg) == ("56", 90.0))
    assert (state.n0, state.moves) == (1, False)  # it has moved, and no ball that the phone hears moves it again


def test_only_as_many_strikes_as_were_read_at_most_are_the_latest() -> None:
    balls = [a_ball(61) for _ in range(3)]
    assert [a_card(balls, most_strikes=most).strikes.latest for most in (3, 4)] == [3, 0]


def test_a_number_by_eye_is_called_so_in_what_fits() -> None:
    made = estimate(the_rows([{**ball, "judged_by": "eye"} for ball in ten_in_each_of_three_visits()]), NOW)
    assert made.pooled is not None
    place = ("56", 90.0)
    settled = replace(made.card.cells[place], trust="settled")
    card = replace(made.card, cells={**made.card.cells, place: settled})
    found = {(one.club_id, one.swing_deg): one.trust for one in candidates(card, made.pooled)}
    assert (settled.by_eye, found[place], found["56", 180.0]) == (True, "settled by eye", "told")
