"""The servers that these tests stand on do what they are told: follow, wait, die, take over, be out of reach."""

from concurrent.futures import ThreadPoolExecutor

import psycopg
import pytest

from .line import Line
from .postgres import Cluster, until

Pair = tuple[Cluster, Cluster]
_TABLE = "CREATE TABLE kept (number int)"


def test_what_was_committed_is_on_the_standby_that_takes_over(pair: Pair) -> None:
    primary, standby = pair
    with psycopg.connect(primary.url(), autocommit=True) as line:
        line.execute(_TABLE)
        for number in range(20):
            line.execute("INSERT INTO kept VALUES (%s)", (number,))
        primary.kill()
        with pytest.raises(psycopg.OperationalError):
            line.execute("SELECT 1")
    standby.promote()
    assert _kept(standby.url()) == 20
    primary.follow(standby, "back")
    standby.wait_for("back")
    with psycopg.connect(standby.url(), autocommit=True) as line:
        line.execute("INSERT INTO kept VALUES (20)")
    assert _kept(primary.url()) == 21


def test_a_commit_waits_for_a_standby_that_is_away(pair: Pair) -> None:
    primary, standby = pair
    with psycopg.connect(primary.url(), autocommit=True) as line, ThreadPoolExecutor(1) as other:
        line.execute(_TABLE)
        standby.stop("immediate")
        writing = other.submit(line.execute, "INSERT INTO kept VALUES (1)")
        until(lambda: primary.sql("SELECT 1 FROM pg_stat_activity WHERE wait_event = 'SyncRep'"))
        assert not writing.done()
        standby.start()
        writing.result(60)
    assert _kept(standby.url()) == 1


def test_a_line_can_be_cut_and_mended(own_cluster: Cluster, line: Line) -> None:
    url = own_cluster.url(port=line.port)
    with psycopg.connect(url) as opened:
        opened.execute("SELECT 1")
        line.cut()
        with pytest.raises(psycopg.OperationalError):
            opened.execute("SELECT 1")
    with pytest.raises(psycopg.OperationalError):
        psycopg.connect(url)
    line.mend()
    with psycopg.connect(url) as opened:
        assert opened.execute("SELECT 1").fetchone() == (1,)


def test_each_test_has_a_database_of_its_own(log_url: str) -> None:
    with psycopg.connect(log_url) as line:
        assert line.execute("SELECT count(*) FROM pg_tables WHERE schemaname = 'public'").fetchone() == (0,)


def _kept(url: str) -> int:
    with psycopg.connect(url) as line:
        row = line.execute("SELECT count(*) FROM kept").fetchone()
        assert row
        return int(row[0])
