"""Every kill, damage and closed door of tests/many_hosts so many times: `python -m tests.many_hosts.at_length` (50).

Half of them beside the other half, each on two hosts before a primary and its standby of their own: most of the time
goes by waiting for the watchdog of a host. Prints a line each; exit status 1 when anything acknowledged was lost or
doubled, or a closed door was passed.
"""

import sys
import tempfile
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

from . import caches, doors, kills
from .fixtures import Clusters, made_clusters
from .hosts import Host
from .load import Count
from .postgres import Cluster, programs

Do = Callable[[Cluster, Cluster, list[Host]], Count]


def halves(times: int) -> tuple[list[Do], list[Do]]:
    """What is done so many times each, in halves that take about as long; the last one changes the servers' places."""
    on_a_pair = kills.on_a_pair(times)
    second = [on_a_pair.pop(what) for what in ("the standby", "PostgreSQL", "the primary")]
    on_hosts: list[Callable[[list[Host]], Count]] = [
        *(partial(close, times=times) for close in doors.DOORS.values()),
        *(partial(caches.damaged, times=times, what=what) for what in caches.DAMAGES),
        partial(caches.anothers, times=times),
    ]
    first: list[Do] = [lambda _, __, hosts, do=do: do(hosts) for do in on_hosts]
    return [*first, *on_a_pair.values()], second


def counted(clusters: Clusters, folder: Path, all_of_it: Sequence[Do]) -> int:
    """Do one after the other, say what came of each, and give how much was wrong."""
    primary, standby = clusters.pair()
    wrong = 0
    with kills.two_hosts(folder, kills.both(primary, standby)) as hosts:
        for do in all_of_it:
            count = do(primary, standby, hosts)
            print(count.told(), flush=True)
            wrong += count.wrong
    return wrong


def main() -> None:
    """Do all of it."""
    times = int((sys.argv[1:] or ["50"])[0])
    place = programs()
    if place is None:
        sys.exit("PostgreSQL 15 was not found; deploy/test fetches it.")
    with tempfile.TemporaryDirectory() as folder, made_clusters(place) as clusters, ThreadPoolExecutor(2) as both:
        doing = [both.submit(counted, clusters, Path(folder) / str(at), half) for at, half in enumerate(halves(times))]
        sys.exit(bool(sum(one.result() for one in doing)))


if __name__ == "__main__":
    main()
