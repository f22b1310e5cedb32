"""How a wedge is taken to launch the ball: by its loft, by its own readings, and how far either may be off."""

import pytest

from webapp.conditions.launches import ClubLaunch, Reading, corners, launch_of_cell, launch_of_loft


@pytest.mark.parametrize(
    ("loft_deg", "launch_deg", "spin"),
    [(46.0, 26.0, 205.0), (52.0, 29.0, 232.0), (56.0, 31.0, 250.0), (60.0, 33.0, 250.0), (36.0, 24.0, 195.0)],
)
def test_a_weaker_wedge_launches_higher_with_more_spin(loft_deg, launch_deg, spin):
    # Common practice, no source: 29 + 0.5 (loft - 52) degrees and 205 + 4.5 (loft - 46) rpm per m/s, both within ends.
    assert launch_of_loft(loft_deg) == pytest.approx(ClubLaunch(launch_deg, spin))


def test_the_launch_of_a_lob_wedge_ends_at_34_degrees():
    assert launch_of_loft(70.0) == ClubLaunch(34.0, 250.0)


def test_five_readings_of_a_cell_replace_the_rule():
    told = [Reading(27.0 + i, 7000.0, 28.0) for i in range(5)]
    assert launch_of_cell(56.0, told) == pytest.approx(ClubLaunch(29.0, 250.0))


def test_four_readings_do_not():
    assert launch_of_cell(46.0, [Reading(20.0, 4000.0, 28.0)] * 4) == launch_of_loft(46.0)


def test_launch_and_spin_are_replaced_each_by_its_own_readings():
    told = [Reading(22.0, None, 28.0)] * 5 + [Reading(None, 5600.0, 28.0)] * 4
    assert launch_of_cell(46.0, told) == ClubLaunch(22.0, 205.0)


def test_a_reading_without_ball_speed_tells_nothing_of_spin():
    assert launch_of_cell(46.0, [Reading(None, 9000.0, 0.0)] * 9) == launch_of_loft(46.0)


def test_the_corners_lie_four_degrees_and_a_seventh_of_the_spin_apart_from_the_rule():
    # Common practice and judgement, not measurement: +-4 degrees, +-15%.
    found = corners(ClubLaunch(30.0, 200.0))
    assert {one.launch_deg for one in found} == {26.0, 34.0}
    assert sorted({round(one.spin_rpm_per_mps, 6) for one in found}) == [170.0, 230.0]
    assert len(set(found)) == 4
