"""Nothing promised is lost when a server, a command or a browser is killed or a disk fails; at length: kills.py."""

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from playwright.sync_api import Playwright

from . import disks
from .kills import COMMANDS, OF_FILES, Count, kill_browsers, kill_servers


@pytest.mark.usefixtures("log_of_servers")
@pytest.mark.parametrize(("processes", "kills"), [(1, 3), (2, 1)])
def test_no_acknowledged_batch_is_lost_or_halved_when_the_server_is_killed_under_load(
    processes: int, kills: int
) -> None:
    # On the disk, while deploy/test keeps the folders of all other tests in memory.
    with TemporaryDirectory(dir="/var/tmp") as folder:
        count = kill_servers(Path(folder), kills, processes=processes)
    assert count.promised >= kills * 3
    assert (count.kills, count.lost, count.partial) == (kills, 0, 0)


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_that_is_killed_leaves_nothing_lost_doubled_or_half_there(
    tmp_path: Path, command: str, store_url: str
) -> None:
    assert COMMANDS[command](tmp_path / command, 2, store_url).wrong == []


@pytest.mark.parametrize("command", OF_FILES)
def test_what_is_done_to_files_and_killed_leaves_nothing_lost_doubled_or_half_there(
    tmp_path: Path, command: str
) -> None:
    assert OF_FILES[command](tmp_path / command, 2).wrong == []


@pytest.mark.usefixtures("log_of_servers")
def test_a_full_and_a_read_only_disk_are_told_apart_and_lose_nothing(tmp_path: Path) -> None:
    if not disks.may_mount(tmp_path / "mounted"):
        pytest.skip("no disk may be mounted here")
    disks.full_disk(tmp_path / "full")  # each asserts that nothing is lost
    disks.read_only_disk(tmp_path / "read-only")


@pytest.mark.files_only  # with a log a host needs no room to take a file
def test_a_file_for_which_the_disk_has_no_room_is_taken_whole_or_not_at_all(tmp_path: Path) -> None:
    if not disks.may_mount(tmp_path / "mounted"):
        pytest.skip("no disk may be mounted here")
    assert "with room: 6000 balls came" in disks.full_disk_during_a_job(tmp_path / "full in a job")


def test_a_book_without_its_log_is_whole_and_seen_to_be_older(tmp_path: Path) -> None:
    assert "seen to be missing" in disks.log_removed(tmp_path / "log")


@pytest.mark.usefixtures("log_of_servers")
def test_a_clock_eleven_years_off_loses_nothing_and_opens_no_old_code(tmp_path: Path) -> None:
    disks.clock_years_off(tmp_path / "clock")  # asserts that nothing is lost


@pytest.mark.usefixtures("log_of_servers")
def test_every_ball_called_saved_is_found_when_the_browser_is_killed(playwright: Playwright, tmp_path: Path) -> None:
    assert kill_browsers(playwright, tmp_path, 2) == Count(kills=2, promised=2)
