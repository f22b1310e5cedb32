"""While PostgreSQL is away a host shows and takes nothing and says so; afterwards everything is as it was."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from tests import factories as make
from tests.factories import NOW, Raw
from webapp import create_app
from webapp.store.directory import Directory
from webapp.store.faults import LogAway
from webapp.store.open_directory import open_directory

from .line import Line
from .postgres import Cluster, until

Pair = tuple[Cluster, Cluster]
SECRET = "a secret for tests only, 0123456789abcdef"
HASTE_S = 2.0
TRIES_AT_ONCE = {"breaker.AGAIN_S": 0.0}
# PostgreSQL may take its time over being asked to give up: a line that is shut first hears no word of why.
HEARS_WHY = {"watchdog._GRACE_S": 60.0}


@contextmanager
def hasty(**more_s: float) -> Iterator[None]:
    """Let this process give a statement up sooner than after its five seconds; more of its times can be named."""
    with pytest.MonkeyPatch.context() as for_now:
        for name, seconds in {"watchdog.MOST_S": HASTE_S, "line.MOST_S": HASTE_S, **more_s}.items():
            for_now.setattr(f"webapp.store.log.{name}", seconds)
        yield


def a_phone(folder: Path, url: str) -> tuple[FlaskClient, str, list[Raw]]:
    """A phone with a book of ten balls on one host, and a coach link to it."""
    app = create_app({"DATA": folder, "SECRET": SECRET, "TESTING": True, "STORE_URL": url})
    client = app.test_client()
    bucket, club = make.a_bucket(), make.a_club()
    visit = [bucket, club, *make.f1_balls(bucket, club)]
    with open_directory(folder, store_url=url) as directory:
        book_id = directory.new_book(NOW)
        client.set_cookie("book", directory.new_device(book_id, "Phone", NOW))
        link = directory.new_link(book_id, "Coach", NOW, "2999-01-01T00:00:00.000Z", {"days": True})
        with directory.open_book(book_id) as book:
            book.add(visit, None, NOW)
    return client, link, visit


def sent(client: FlaskClient, facts: list[Raw]) -> tuple[int, dict[str, object]]:
    """What the server answers to a batch: its status and its words."""
    token = client.get("/api/token").get_json()["csrf"]
    answer = client.post("/api/facts", json={"facts": facts}, headers={"X-CSRFToken": token})
    return answer.status_code, answer.get_json()


def test_everything_says_that_the_log_is_away_reads_too(tmp_path: Path, own_cluster: Cluster, line: Line) -> None:
    client, link, visit = a_phone(tmp_path / "host", own_cluster.url(port=line.port))
    pages = ["/card", "/bucket", "/visits", "/api/session", "/api/facts", f"/w/{link}", "/export/book.json"]
    before = {page: client.get(page).status_code for page in pages}
    assert set(before.values()) == {200}
    line.cut()
    another = make.a_shot(visit[0], visit[1])
    with hasty():
        for page in pages:
            answer = client.get(page)
            assert answer.status_code == 503, page
            words = answer.get_json()["error"] if page.startswith("/api/") else answer.get_data(as_text=True)
            assert "Nothing is lost" in str(words)
        status, told = sent(client, [another])
    assert (status, told["error"]["code"]) == (503, "log_away")  # type: ignore[index]
    line.mend()
    until(lambda: client.get("/api/session").status_code == 200)
    assert {page: client.get(page).status_code for page in pages} == before
    assert sent(client, [another])[1]["taken"] == [another["id"]]


def test_a_failover_costs_an_idle_host_nothing(tmp_path: Path, own_cluster: Cluster, line: Line) -> None:
    """Every connection that waits in the pool is broken by it."""
    client, _, visit = a_phone(tmp_path / "host", own_cluster.url(port=line.port))
    line.cut()
    line.mend()
    assert client.get("/card").status_code == 200
    line.cut()
    line.mend()
    another = make.a_shot(visit[0], visit[1])
    assert sent(client, [another])[1]["taken"] == [another["id"]]


def test_a_silent_line_is_given_up_and_no_fact_is_doubled(tmp_path: Path, own_cluster: Cluster, line: Line) -> None:
    client, _, visit = a_phone(tmp_path / "host", own_cluster.url(port=line.port))
    another = make.a_shot(visit[0], visit[1])
    line.fall_silent()
    with hasty():
        status, told = sent(client, [another])
    assert (status, told["error"]["code"]) == (503, "log_away")  # type: ignore[index]
    line.mend()
    until(lambda: client.get("/api/session").status_code == 200)
    for _ in range(2):
        status, told = sent(client, [another])
        assert (status, told["taken"], told["cursor"]) == (200, [another["id"]], 13)


def test_nothing_is_acknowledged_that_no_standby_has(tmp_path: Path, pair: Pair) -> None:
    """What a cancelled wait left is seen by everybody: the batch sent again has no row and must wait all the same."""
    primary, standby = pair
    with open_directory(tmp_path / "host", store_url=primary.url()) as directory:
        book_id = directory.new_book(NOW)
        standby.stop("immediate")
        visit = [make.a_club(), make.a_bucket()]
        for _ in range(2):
            with (
                directory.open_book(book_id) as book,
                hasty(**TRIES_AT_ONCE, **HEARS_WHY),
                pytest.raises(LogAway, match="synchronous"),
            ):
                book.add(visit, None, NOW)
            until(lambda: _is_read(directory, book_id))
        with directory.open_book(book_id) as book:
            assert {fact["id"] for fact in book.after(0)} == {fact["id"] for fact in visit}
        standby.start()
        primary.wait_for("standby")
        until(lambda: _is_taken(directory, book_id, visit))
        primary.kill()
    standby.promote()
    another = open_directory(tmp_path / "another", store_url=standby.url())
    with another, another.open_book(book_id) as book:
        assert {fact["id"] for fact in book.after(0)} == {fact["id"] for fact in visit}


def _is_read(directory: Directory, book_id: str) -> bool:
    try:
        directory.open_book(book_id).close()
    except LogAway:
        return False
    return True


def _is_taken(directory: Directory, book_id: str, facts: list[Raw]) -> bool:
    try:
        with directory.open_book(book_id) as book:
            return len(book.add(facts, None, NOW).taken) == len(facts)
    except LogAway:
        return False
