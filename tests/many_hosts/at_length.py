"""Every kill, damage and closed door of tests/many_hosts so many times: `python -m tests.many_hosts.at_length` (50).

Prints a line each; exit status 1 when anything acknowledged was lost or doubled, or a closed door was passed.
"""

import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from . import caches, doors, kills
from .fixtures import made_clusters
from .load import Count
from .postgres import programs


def counts(folder: Path, times: int) -> Iterator[Count]:
    """What came of each, on two hosts before a primary and its standby."""
    place = programs()
    if place is None:
        sys.exit("PostgreSQL 15 was not found; deploy/test fetches it.")
    with made_clusters(place) as clusters:
        primary, standby = clusters.pair()
        with kills.two_hosts(folder, kills.both(primary, standby)) as hosts:
            for close in doors.DOORS.values():
                yield close(hosts, times)
            for what in caches.DAMAGES:
                yield caches.damaged(hosts, times, what)
            yield caches.anothers(hosts, times)
            for do in kills.on_a_pair(times).values():
                yield do(primary, standby, hosts)


def main() -> None:
    """Do all of it."""
    times, wrong = int((sys.argv[1:] or ["50"])[0]), 0
    with tempfile.TemporaryDirectory() as folder:
        for count in counts(Path(folder), times):
            print(count.told(), flush=True)
            wrong += count.wrong
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
