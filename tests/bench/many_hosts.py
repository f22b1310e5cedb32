"""What many hosts on one log cost: `python -m tests.bench.many_hosts` prints bytes, processor times and sizes.

Everything runs on this machine, one host before one PostgreSQL without a standby; times are processor times of the host
and of all PostgreSQL's processes, each the median of its rounds. The table multiplies them; it is arithmetic, no load.
"""

import os
import sys
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from statistics import median
from urllib.parse import urlencode

from tests.factories import Raw, a_bucket, a_club, a_shot
from tests.many_hosts.fixtures import made_clusters
from tests.many_hosts.hosts import Host, Phone
from tests.many_hosts.postgres import Cluster, programs
from tests.processes import children_of
from webapp.moments import text_of
from webapp.phone_pages import KEPT

BATCHES, ROUNDS = (1, 40, 200), 15
BOOKS, FACTS_A_BOOK = 40, 1000  # for the bytes a fact takes
VISITS, BALLS_A_VISIT, REFRESHES = 3, 40, 8  # a ball a minute; kept pages are fetched every five minutes
FACTS_A_WEEK, VISITS_A_WEEK, PEAK = 130, 3, 5  # a player's; the peak hour against the mean. Chosen, not measured.
WEEK_S, WEEKS = 604_800, 52


def main() -> None:
    """Print every figure, then what follows from them."""
    place = programs()
    if place is None:
        sys.exit("PostgreSQL 15 was not found; deploy/test fetches it.")
    with tempfile.TemporaryDirectory() as name, made_clusters(place) as clusters:
        cluster, folder = clusters.new().start(), Path(name)
        alone, host = Host(folder / "alone", "").start(), Host(folder / "host", cluster.url()).start()
        try:
            _batches(alone, host, cluster)
            visit_s, log_s = _visit(host, cluster)
            bytes_a_fact = _bytes_a_fact(host, cluster)
        finally:
            alone.stop()
            host.stop()
    print("\n| players | facts a second, mean / peak | a year in PostgreSQL | cores of hosts at peak | of PostgreSQL |")
    print("|---|---|---|---|---|")
    for players in (10**4, 10**5, 10**6, 10**7):
        mean = players * FACTS_A_WEEK / WEEK_S
        year = players * FACTS_A_WEEK * WEEKS * bytes_a_fact / 1e9
        visits_s = players * VISITS_A_WEEK / WEEK_S * PEAK
        told = (
            f"{mean:,.0f} / {PEAK * mean:,.0f} | {year:,.0f} GB | {visits_s * visit_s:,.1f} | {visits_s * log_s:,.1f}"
        )
        print(f"| {players:,} | {told} |")


def _batches(alone: Host, host: Host, cluster: Cluster) -> None:
    for many in BATCHES:
        file_s, _ = _of_batches(alone, cluster, many)
        host_s, log_s = _of_batches(host, cluster, many)
        print(
            f"a batch of {many}: {1000 * file_s:.1f} ms with the file alone; with the log {1000 * host_s:.1f} of the "
            f"host and {1000 * log_s:.1f} of PostgreSQL, {(host_s + log_s) / file_s:.2f} times as much"
        )


def _of_batches(at: Host, cluster: Cluster, many: int) -> tuple[float, float]:
    phone, balls = _phone(at)
    spent = [_spent(at, cluster, lambda: _sent(phone, at, balls(many))) for _ in range(ROUNDS)]
    return median(one for one, _ in spent), median(other for _, other in spent)


def _visit(host: Host, cluster: Cluster) -> tuple[float, float]:
    """Processor time [s] of host and PostgreSQL for a visit of 40 balls with its refreshes."""
    phone, balls = _phone(host)
    kept = f"/api/pages?{urlencode([('of', address) for address in KEPT])}"

    def visit() -> None:
        for ball in range(BALLS_A_VISIT):
            _sent(phone, host, balls(1))
            if ball % (BALLS_A_VISIT // REFRESHES) == 0:
                assert phone.ask(host, "GET", kept).status == 200

    spent = [_spent(host, cluster, visit) for _ in range(VISITS)]
    host_s, log_s = median(one for one, _ in spent), median(other for _, other in spent)
    print(f"a visit of {BALLS_A_VISIT} balls: {host_s:.2f} s of the host, {log_s:.3f} s of PostgreSQL")
    return host_s, log_s


def _bytes_a_fact(host: Host, cluster: Cluster) -> float:
    """Bytes of tables and indexes a fact, after a VACUUM."""
    before, wal_before, facts = _size(cluster), _wal(cluster), 0
    for _ in range(BOOKS):
        phone, balls = _phone(host)
        for _ in range(FACTS_A_BOOK // 200):
            _sent(phone, host, balls(200))
        facts += FACTS_A_BOOK
    wal = (_wal(cluster) - wal_before) / facts
    found = (_size(cluster) - before) / facts
    print(f"a fact in PostgreSQL: {found:.0f} bytes with its index, and {wal:.0f} bytes of write-ahead log")
    return found


def _size(cluster: Cluster) -> int:
    cluster.sql("VACUUM", database="clockyard")
    return int(cluster.sql("SELECT pg_database_size('clockyard')")[0][0])


def _wal(cluster: Cluster) -> int:
    return int(cluster.sql("SELECT pg_wal_lsn_diff(pg_current_wal_lsn(), '0/0')")[0][0])


def _phone(at: Host) -> tuple[Phone, Callable[[int], list[Raw]]]:
    """A phone of a new book, and what makes so many balls of it."""
    phone, club, bucket = Phone().start_book(at), a_club(), a_bucket()
    _sent(phone, at, [club, bucket])
    return phone, lambda many: [a_shot(bucket, club, 54, text_of(datetime.now(UTC))) for _ in range(many)]


def _sent(phone: Phone, at: Host, facts: list[Raw]) -> None:
    assert phone.send(at, facts) == (200, "")


def _spent(at: Host, cluster: Cluster, work: Callable[[], object]) -> tuple[float, float]:
    """Processor time [s] that some work takes the host and PostgreSQL."""
    assert at.process
    assert cluster.process
    host, log = at.process.pid, cluster.process.pid
    before = _processor_s(host), sum(map(_processor_s, (log, *children_of(log))))
    work()
    after = _processor_s(host), sum(map(_processor_s, (log, *children_of(log))))
    return after[0] - before[0], after[1] - before[1]


def _processor_s(pid: int) -> float:
    """Seconds that the threads of a process have run, to the nanosecond as Linux counts them."""
    folder = Path(f"/proc/{pid}/task")
    return sum(int((folder / thread / "schedstat").read_text().split()[0]) for thread in os.listdir(folder)) / 1e9


if __name__ == "__main__":
    main()
