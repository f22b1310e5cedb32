"""Nothing that was promised is lost when a server or a browser is killed; the long form is kills.py run by itself."""

from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import Playwright

from .kills import Count, kill_browsers, kill_servers


def test_no_acknowledged_batch_is_lost_or_halved_when_the_server_is_killed_under_load() -> None:
    # On the disk, while deploy/test keeps the folders of all other tests in memory.
    with TemporaryDirectory(dir="/var/tmp") as folder:
        count = kill_servers(Path(folder), 4)
    assert count.promised >= 4 * 3
    assert (count.kills, count.lost, count.partial) == (4, 0, 0)


def test_every_ball_called_saved_is_found_when_the_browser_is_killed(playwright: Playwright, tmp_path: Path) -> None:
    assert kill_browsers(playwright, tmp_path, 2) == Count(kills=2, promised=2)
