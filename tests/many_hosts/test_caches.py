"""A cache may be deleted, damaged, another's or ahead of the log: what is shown and taken is the log's all the same."""

from pathlib import Path

import pytest

from . import caches
from .hosts import Host
from .postgres import Cluster


@pytest.mark.parametrize("what", caches.DAMAGES)
def test_a_damaged_cache_is_filled_again_while_the_host_runs(hosts: list[Host], what: str) -> None:
    count = caches.damaged(hosts, 2, what)
    assert count.promised == count.times * 61
    assert count.wrong == 0, count.told()


def test_another_books_cache_shows_nothing_of_it(hosts: list[Host]) -> None:
    count = caches.anothers(hosts, 2)
    assert (count.promised, count.wrong) == (8, 0), count.told()


def test_a_cache_ahead_of_the_log_is_the_logs_again(pair: tuple[Cluster, Cluster], tmp_path: Path) -> None:
    count = caches.forked(*pair, tmp_path)
    assert (count.promised, count.wrong) == (10, 0), count.told()
