"""Nothing acknowledged is lost or doubled when hosts or PostgreSQL die, stop, take over (at length: at_length.py)."""

from collections.abc import Iterator

import pytest

from .fixtures import Clusters
from .hosts import Host
from .kills import both, on_a_pair, two_hosts
from .postgres import Cluster

Standing = tuple[Cluster, Cluster, list[Host]]


@pytest.fixture(scope="module")
def standing(clusters: Clusters, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Standing]:
    """Two hosts on a primary and its standby; a test that fails may leave them lying, so the first failure counts."""
    primary, standby = clusters.pair()
    with two_hosts(tmp_path_factory.mktemp("hosts"), both(primary, standby)) as hosts:
        yield primary, standby, hosts
    for one in (standby, primary):
        one.go_on()
        one.stop("immediate")


# A standby that is away takes a watchdog's five seconds a request.
TIMES = {"around the commit": 1, "a host": 2, "the standby": 1, "PostgreSQL": 1, "the primary": 2}


@pytest.mark.parametrize("what", on_a_pair(1))
def test_no_acknowledged_fact_is_lost_or_doubled_and_no_closed_door_opens(standing: Standing, what: str) -> None:
    count = on_a_pair(TIMES[what])[what](*standing)
    assert count.promised > count.times
    assert count.wrong == 0, count.told()
