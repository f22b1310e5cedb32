"""The PostgreSQL servers that tests ask for: one shared one with a fresh database each, and those a test may break.

Loaded for all folders of tests; where no PostgreSQL 15 is found these tests are skipped.
"""

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from .line import Line
    from .postgres import Cluster

_numbers = count(1)


@pytest.fixture(scope="session")
def clusters() -> "Iterator[Clusters]":
    """Where servers are made; its folder lies where all temporary folders do, open to the user they run as."""
    from .postgres import programs

    place = programs()
    if place is None:
        pytest.skip("PostgreSQL 15 was not found; deploy/test fetches it")
    with made_clusters(place) as made:
        yield made


@contextmanager
def made_clusters(place: Path) -> "Iterator[Clusters]":
    """A place for servers, all of which are ended and removed with it."""
    from .postgres import own_folder

    folder = Path(tempfile.mkdtemp(prefix="clockyard-postgres-"))
    folder.chmod(0o755)
    made = Clusters(place, own_folder(folder))
    try:
        yield made
    finally:
        made.end_all()
        shutil.rmtree(folder)


class Clusters:
    """Makes servers out of one template, and ends those that still run."""

    def __init__(self, place: Path, folder: Path) -> None:
        from . import postgres

        self.place, self.folder = place, folder
        self._made: list[Cluster] = []
        postgres.make_template(place, folder / "template")

    def new(self) -> "Cluster":
        """A server with the app's role and database, not yet started."""
        from . import postgres

        folder = self.folder / f"server{next(_numbers)}"
        self._made.append(postgres.Cluster(self.place, postgres.copied(self.folder / "template", folder)))
        return self._made[-1]

    def pair(self) -> "tuple[Cluster, Cluster]":
        """A primary and a standby for which its commits wait."""
        primary, standby = self.new().start(), self.new()
        standby.follow(primary, "standby")
        primary.wait_for("standby")
        return primary, standby

    def end_all(self) -> None:
        """End whatever runs, at once, and remove its folder."""
        for one in self._made:
            if one.process and one.process.poll() is None:
                with suppress(ProcessLookupError):
                    one.go_on()
                one.stop("immediate")
            shutil.rmtree(one.folder, ignore_errors=True)
        self._made.clear()


@pytest.fixture(scope="session")
def cluster(clusters: Clusters) -> "Iterator[Cluster]":
    """The server that tests share as long as they leave it running."""
    shared = clusters.new().start()
    yield shared
    shared.stop("immediate")


@pytest.fixture
def log_url(cluster: "Cluster") -> str:
    """The address of a fresh empty database on the shared server."""
    return cluster.new_database(f"log{next(_numbers)}")


@pytest.fixture
def own_cluster(clusters: Clusters) -> "Iterator[Cluster]":
    """A server alone that a test may stop and kill."""
    made = clusters.new().start()
    yield made
    _end(made)


@pytest.fixture
def pair(clusters: Clusters) -> "Iterator[tuple[Cluster, Cluster]]":
    """A primary and a standby for which its commits wait, which a test may stop, kill and promote."""
    primary, standby = clusters.pair()
    yield primary, standby
    _end(standby)
    _end(primary)


@pytest.fixture
def line(own_cluster: "Cluster") -> "Iterator[Line]":
    """A line to `own_cluster` that can be cut: `own_cluster.url(port=line.port)`."""
    from .line import Line

    opened = Line(own_cluster.port)
    yield opened
    opened.close()


def _end(cluster: "Cluster") -> None:
    if cluster.process and cluster.process.poll() is None:
        cluster.go_on()
        cluster.stop("immediate")
    shutil.rmtree(cluster.folder, ignore_errors=True)
