"""Kills hosts and PostgreSQL under load and at chosen points, and counts what was promised and is not there.

at_length.py does each fifty times. Knows the log's tables by the name of one.
"""

import random
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

from .hosts import AWAY, Host, NoAnswer, Phone, amiss, notes
from .load import BATCH, Count, Load
from .postgres import Cluster, until

_FEWEST, _MOST = 4, 30  # batches between two kills
_APPENDING = "FROM pg_stat_activity WHERE usename = 'clockyard' AND query LIKE '%INTO facts%'"
_LOCKED = f"SELECT 1 {_APPENDING} AND wait_event_type = 'Lock'"
_END_LOCKED = f"SELECT pg_terminate_backend(pid) {_APPENDING} AND wait_event_type = 'Lock'"
_IN_COMMIT = f"SELECT 1 {_APPENDING} AND wait_event = 'SyncRep'"


@contextmanager
def two_hosts(folder: Path, store_url: str) -> Iterator[list[Host]]:
    """Two running hosts on one log."""
    hosts = [Host(folder / name, store_url) for name in ("one", "two")]
    try:
        for host in hosts:
            host.start()
        yield hosts
    finally:
        for host in hosts:
            host.stop()


def both(primary: Cluster, standby: Cluster) -> str:
    """The address of whichever of two servers takes writes."""
    head, _, tail = primary.url().partition(f"127.0.0.1:{primary.port}")
    return f"{head}127.0.0.1:{primary.port},127.0.0.1:{standby.port}{tail}?target_session_attrs=read-write"


def phones_of(hosts: list[Host], books: int, phones_a_book: int) -> list[Phone]:
    """Phones of some books; those of one book were let in by one another."""
    found = []
    for place in range(books):
        first = Phone().start_book(hosts[place % 2])
        found += [first, *(first.another(*hosts) for _ in range(phones_a_book - 1))]
    return found


def hosts_killed(hosts: list[Host], times: int, seed: int = 1) -> Count:
    """Kill one host after the other under eight phones of four books, each host back before the next one goes."""
    chance, phones = random.Random(seed), phones_of(hosts, 4, 2)
    longest_s = 0.0
    with Load(phones, hosts) as load:
        for place in range(times):
            load.wait_for(chance.randint(_FEWEST, _MOST))
            hosts[place % 2].kill()
            longest_s = max(longest_s, load.since(time.monotonic()))
            hosts[place % 2].start()
    return load.count("a host killed under eight phones", times, longest_s)


def hosts_killed_around_commit(primary: Cluster, standby: Cluster, hosts: list[Host], times: int) -> Count:
    """Kill a host while the log holds its statement back, and once it is done there and unknown to the host.

    The phone then sends the same again to the other host, which takes it once.
    """
    phone = Phone().start_book(hosts[0])
    lost = doubled = 0
    for place in range(times):
        for kill in (_before_commit, _after_commit):
            first, second = hosts[place % 2], hosts[(place + 1) % 2]
            batch = notes(BATCH)
            in_log = kill(primary, standby, first, phone, batch)
            held = {fact_id for _, fact_id in phone.held(second)}
            assert {fact["id"] in held for fact in batch} == {in_log}, kill.__name__
            phone.send_until_taken(second, batch)
            first.start()
    lost, doubled = amiss([phone], hosts)
    return Count("a host killed on either side of the commit", 2 * times, len(phone.promised), lost, doubled)


def primaries_killed(primary: Cluster, standby: Cluster, hosts: list[Host], times: int) -> Count:
    """Kill the primary under eight phones and promote its standby; the dead one then follows: they change places."""
    phones, longest_s = phones_of(hosts, 4, 2), 0.0
    with Load(phones, hosts) as load:
        for place in range(times):
            load.wait_for(10)
            primary.kill()
            began = time.monotonic()
            standby.promote()
            longest_s = max(longest_s, load.since(began))
            primary.follow(standby, name := f"back{place}")
            standby.wait_for(name)
            primary, standby = standby, primary
    return load.count("the primary killed and its standby promoted", times, longest_s)


def standby_away(primary: Cluster, standby: Cluster, hosts: list[Host], times: int) -> Count:
    """Stop the standby: nothing is acknowledged, also not what is sent again, and nothing is when it is back."""
    phone = Phone().start_book(hosts[0])
    for place in range(times):
        phone.send_until_taken(hosts[0], notes(BATCH))
        standby.stop("immediate")
        batch, before = notes(BATCH), len(phone.promised)
        for host in (hosts[place % 2], hosts[(place + 1) % 2], hosts[place % 2]):
            assert phone.send(host, batch) == AWAY
        assert len(phone.promised) == before
        standby.start()
        until(lambda: "quorum" in primary.followers().values(), standby.said)
        phone.send_until_taken(hosts[place % 2], batch)
    lost, doubled = amiss([phone], hosts)
    return Count("the standby stopped and started", times, len(phone.promised), lost, doubled)


def log_stopped(cluster: Cluster, hosts: list[Host], times: int) -> Count:
    """Stop PostgreSQL and start it: meanwhile every host says so of everything, and no closed door opens."""
    phone = Phone().start_book(hosts[0])
    shut_out = phone.another(*hosts)
    device = device_of(shut_out, hosts[0])
    link, link_id = phone.coach_link(hosts[0])
    assert [Phone().ask(host, "GET", link).status for host in hosts] == [200, 200]
    assert phone.post(hosts[0], f"/phones/{device}/cut-off").status == 302
    assert phone.post(hosts[0], f"/links/{link_id}/end").status == 302
    passed = 0
    for place in range(times):
        phone.send_until_taken(hosts[0], notes(BATCH))
        cluster.stop("immediate" if place % 2 else "fast")
        batch = notes(BATCH)
        for host in hosts:
            assert phone.send(host, batch) == AWAY
            for path in ("/card", "/api/facts?after=0", "/export/book.json"):
                assert phone.ask(host, "GET", path).status == 503, path
                passed += shut_out.ask(host, "GET", path).status == 200
            passed += Phone().ask(host, "GET", link).status == 200
        cluster.start()
        for host in hosts:
            phone.send_until_taken(host, batch)
            passed += shut_out.ask(host, "GET", "/card").status == 200
            passed += Phone().ask(host, "GET", link).status == 200
    lost, doubled = amiss([phone], hosts)
    return Count("PostgreSQL stopped and started", times, len(phone.promised), lost, doubled, passed)


def _before_commit(primary: Cluster, _: Cluster, host: Host, phone: Phone, batch: list[dict[str, object]]) -> bool:
    """Kill the host while its statement waits for the book's row, and end the statement; False: nothing is there."""
    with primary.owner("clockyard") as line, ThreadPoolExecutor(1) as sender:
        with line.transaction():
            line.execute("SELECT 1 FROM books WHERE id::text = %s FOR UPDATE", (phone.book_id,))
            sending = sender.submit(phone.send, host, batch)
            until(lambda: primary.sql(_LOCKED))
            host.kill()
            primary.sql(_END_LOCKED)
            until(lambda: not primary.sql(_LOCKED))
        _unheard(sending)
    return False


def _after_commit(primary: Cluster, standby: Cluster, host: Host, phone: Phone, batch: list[dict[str, object]]) -> bool:
    """Kill the host while the log has its facts and waits for the standby; True: they are there."""
    assert phone.ask(host, "GET", "/api/session").status == 200  # it notes the time once a minute, in a commit
    standby.hold_still()
    with ThreadPoolExecutor(1) as sender:
        sending = sender.submit(phone.send, host, batch)
        until(lambda: primary.sql(_IN_COMMIT))
        host.kill()
        standby.go_on()
        _unheard(sending)
    until(lambda: not primary.sql(_IN_COMMIT))
    return True


def _unheard(sending: "Future[tuple[int, str]]") -> None:
    try:
        raise AssertionError(f"a host that was killed answered {sending.result()}")
    except NoAnswer:
        return


def device_of(phone: Phone, host: Host) -> str:
    """What the page of phones calls a phone."""
    key: str = phone.ask(host, "GET", "/api/session").told["device"]
    return f"{key[:8]}-{key[8:12]}-{key[12:16]}-{key[16:20]}-{key[20:]}"


def on_a_pair(times: int) -> dict[str, Callable[[Cluster, Cluster, list[Host]], Count]]:
    """What is done to two hosts on a primary with its standby; the last one leaves them with their places changed."""
    return {
        "around the commit": lambda *told: hosts_killed_around_commit(*told, times),
        "a host": lambda _, __, hosts: hosts_killed(hosts, times),
        "the standby": lambda *told: standby_away(*told, times),
        "PostgreSQL": lambda primary, _, hosts: log_stopped(primary, hosts, times),
        "the primary": lambda *told: primaries_killed(*told, times),
    }
