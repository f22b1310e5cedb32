"""The limits that all hosts count together hold when their place is away: each host then counts for itself."""

from pathlib import Path

from tests.browser.server import free_port
from webapp.throttle import CODES

from .hosts import Host, Phone

A_MINUTE = int(CODES.partition(" ")[0])


def test_limits_hold_and_nobody_is_turned_away_while_their_shared_place_is_not_there(tmp_path: Path) -> None:
    host = Host(tmp_path / "one", "", CLOCKYARD_LIMITS_STORAGE=f"redis://127.0.0.1:{free_port()}").start()
    try:
        phone = Phone().start_book(host)
        link, _ = phone.coach_link(host)
        assert Phone().ask(host, "GET", link).status == 200
        guesser = Phone()
        assert [guesser.post(host, "/open", code="AAAAA").status for _ in range(A_MINUTE + 1)] == [404] * A_MINUTE + [
            429
        ]
    finally:
        host.stop()
