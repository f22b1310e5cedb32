"""What tests of many hosts share: two hosts on the log of the shared server.

Knows no fault; those are in the tests.
"""

from collections.abc import Iterator

import pytest

from .hosts import Host
from .kills import two_hosts
from .postgres import Cluster


@pytest.fixture(scope="module")
def hosts(cluster: Cluster, tmp_path_factory: pytest.TempPathFactory) -> Iterator[list[Host]]:
    """Two hosts on one log, whom tests leave running."""
    folder = tmp_path_factory.mktemp("hosts")
    with two_hosts(folder, cluster.new_database(f"of_{folder.name}")) as both:
        yield both
