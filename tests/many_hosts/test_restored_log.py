"""A log that was put back to a moment: what was closed since is closed again, and no cache shows more than it holds.

The moment is a copy of the database; how PostgreSQL itself gets there is pgbackrest's work.
"""

import subprocess
from pathlib import Path

from tests.browser.server import ROOT
from webapp.store.revocations import _CLOSES

from .hosts import Host, Phone, amiss, notes
from .kills import device_of, two_hosts
from .postgres import Cluster

CLOSE_AGAIN = ROOT / "deploy" / "close-again.sql"


def psql(cluster: Cluster, *words: str | Path, told: str = "") -> str:
    """What psql says to these words on the app's database."""
    url = cluster.url()
    done = subprocess.run(
        [cluster.place / "psql", url, *words], input=told, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_what_was_closed_since_is_closed_again(own_cluster: Cluster, tmp_path: Path) -> None:
    with two_hosts(tmp_path, own_cluster.url()) as hosts:
        phone, doomed = (Phone().start_book(hosts[0]) for _ in range(2))
        for one in (phone, doomed):
            assert one.send(hosts[0], notes(3)) == (200, "")
        cut_off, (link, link_id), kept = (
            phone.another(*hosts),
            phone.coach_link(hosts[0]),
            phone.coach_link(hosts[1])[0],
        )
        assert phone.post(hosts[0], "/recovery").status == 200
        before = phone.joining_code(hosts[0])
        own_cluster.sql("SELECT pg_terminate_backend(pid, 60000) FROM pg_stat_activity WHERE datname = 'clockyard'")
        own_cluster.sql("CREATE DATABASE moment TEMPLATE clockyard")

        assert phone.send(hosts[0], notes(4)) == (200, "")
        assert phone.post(hosts[0], f"/phones/{device_of(cut_off, hosts[0])}/cut-off").status == 302
        assert phone.post(hosts[1], f"/links/{link_id}/end").status == 302
        sheet = _sheet_of(phone.post(hosts[1], "/recovery").text)
        assert doomed.post(hosts[1], "/delete", yes="y").status == 302
        told = psql(own_cluster, "-c", r"\copy revocations TO pstdout CSV")
        _end_all(hosts)
        own_cluster.sql("DROP DATABASE clockyard WITH (FORCE)")
        own_cluster.sql("ALTER DATABASE moment RENAME TO clockyard")
        for _ in range(2):
            psql(own_cluster, "-q", "-f", CLOSE_AGAIN, told=told)

        for host in hosts:
            host.start()
            assert [cut_off.ask(host, "GET", path).status for path in ("/card", "/api/facts?after=0")] == [403, 403]
            assert [Phone().ask(host, "GET", one).status for one in (link, kept)] == [410, 200]
            assert doomed.ask(host, "GET", "/api/facts?after=0").status in (401, 410)
            assert Phone().post(host, "/open", code=before).status == 404
        assert Phone().post(hosts[0], "/open", code=sheet).status == 302
        lacking = phone.promised - {fact_id for _, fact_id in phone.held(hosts[0])}
        assert len(lacking) == 4  # the log was put back: the phone gives them back, as it is told that they are missing
        phone.promised -= lacking
        assert amiss([phone], hosts) == (0, 0)
        assert own_cluster.sql("SELECT count(*) FROM facts WHERE book::text = %s", (doomed.book_id,), "clockyard") == [
            (0,)
        ]
        again, again_id = phone.coach_link(hosts[0])  # the journal's numbers go on behind those that were put back
        assert phone.post(hosts[1], f"/links/{again_id}/end").status == 302
        assert Phone().ask(hosts[0], "GET", again).status == 410


def test_every_way_of_closing_is_closed_again() -> None:
    text = CLOSE_AGAIN.read_text()
    assert [what for what in _CLOSES if f"'{what}'" not in text] == []


def _sheet_of(page: str) -> str:
    return page.partition('class="code">')[2].partition("<")[0]


def _end_all(hosts: list[Host]) -> None:
    for host in hosts:
        host.stop()
