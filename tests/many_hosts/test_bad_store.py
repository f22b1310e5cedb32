"""A log that cannot be used is said in a sentence with an exit status, and nothing is half moved or half shown."""

import os
import shutil
import signal
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.browser.server import STORE, free_port
from tests.factories import NOW, the_demo_set
from tests.faults.disks import may_mount
from tests.prepared import Process, run
from webapp.store.directory import Directory

from .fixtures import Clusters
from .hosts import AWAY, Host, Phone, notes
from .kills import two_hosts
from .postgres import PASSWORD, Cluster, own_folder, until

BOOKS, FACTS_A_BOOK = 12, 400
SMALL_DISK = "70m"


def command(*words: str | Path, store_url: str) -> subprocess.CompletedProcess[str]:
    """Run `clockyard` with a log."""
    told = {name: value for name, value in os.environ.items() if not name.startswith("CLOCKYARD_")}
    return run([str(word) for word in words], env={**told, STORE: store_url})


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A data folder with some books."""
    made = tmp_path / "data"
    with Directory(made) as directory:
        for place in range(BOOKS):
            with directory.open_book(directory.new_book(NOW, f"book{place}")) as book:
                book.add([*the_demo_set(), *notes(FACTS_A_BOOK)], None, NOW)
    return made


def as_files(folder: Path) -> dict[str, bytes]:
    """What lies in a data folder."""
    files = (path for path in folder.rglob("*") if path.is_file() and path.name != "in-use")
    return {str(path.relative_to(folder)): path.read_bytes() for path in files}


def a_sentence(done: subprocess.CompletedProcess[str]) -> str:
    """What a command that failed said; AssertionError where that is no plain sentence."""
    assert done.returncode not in (0, -signal.SIGKILL), done
    assert "Traceback" not in done.stderr, done.stderr
    assert done.stderr.strip().splitlines()[-1].endswith((".", ")")), done.stderr
    return done.stderr


def test_an_address_that_is_none_is_refused_by_every_command(folder: Path) -> None:
    before, out = as_files(folder), folder.parent / "out"
    for words in (("serve", "--port", "1"), ("move-in",), ("move-out", out), ("books",)):
        said = a_sentence(command(*words, "--data", folder, store_url="mysql://clockyard@127.0.0.1/clockyard"))
        assert "STORE_URL" in said, words
    for store_url in ("postgresql://a:b@[::1/c", "just words"):
        assert "STORE_URL" in a_sentence(command("books", "--data", folder, store_url=store_url))
    assert as_files(folder) == before
    assert not out.exists()


@pytest.mark.parametrize("wrong", ["password", "port", "database"])
def test_a_log_that_lets_nobody_in_moves_nothing_and_shows_nothing(cluster: Cluster, folder: Path, wrong: str) -> None:
    store_url = {
        "password": cluster.url(password="another one"),
        "port": cluster.url(port=free_port()),
        "database": cluster.url("of_nobody"),
    }[wrong]
    before = as_files(folder)
    for words in (("move-in",), ("move-out", folder.parent / "out")):
        said = a_sentence(command(*words, "--data", folder, store_url=store_url))
        assert PASSWORD not in said
        assert "another one" not in said
    assert as_files(folder) == before
    assert not (folder.parent / "out").exists()


@pytest.mark.parametrize(("version", "said"), [("99", "the place where all books are kept"), (None, "")])
def test_tables_of_another_program_are_left_alone(
    cluster: Cluster, log_url: str, folder: Path, version: str | None, said: str
) -> None:
    database = log_url.rpartition("/")[2]
    cluster.sql("CREATE TABLE told (name text PRIMARY KEY, value text NOT NULL)", database=database)
    if version:
        cluster.sql("INSERT INTO told VALUES ('version', %s)", (version,), database)
    cluster.sql("GRANT ALL ON told TO clockyard", database=database)
    tables = "SELECT count(*) FROM pg_tables WHERE schemaname = 'public'"
    for words in (("move-in",), ("books",)):
        assert said in a_sentence(command(*words, "--data", folder, store_url=log_url))
    assert cluster.sql(tables, database=database) == [(1,)]


def test_a_move_that_is_killed_leaves_an_empty_log_and_the_next_one_moves_all(
    cluster: Cluster, log_url: str, folder: Path
) -> None:
    before, database = as_files(folder), log_url.rpartition("/")[2]
    # Its first command makes the tables, so that they can be locked under the second one.
    assert command("books", "--data", folder.parent / "empty", store_url=log_url).returncode == 0
    with cluster.owner(database) as line, line.transaction():
        line.execute("LOCK TABLE links IN ACCESS EXCLUSIVE MODE")
        moving = Process(["move-in", "--data", str(folder)], env={**os.environ, STORE: log_url})
        until(lambda: cluster.sql("SELECT 1 FROM pg_stat_activity WHERE wait_event_type = 'Lock'"))
        moving.kill()
        moving.wait(60)
        cluster.sql("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE wait_event_type = 'Lock'")
    assert [cluster.sql(f"SELECT count(*) FROM {table}", database=database) for table in ("books", "facts")] == [
        [(0,)]
    ] * 2
    done = command("move-in", "--data", folder, store_url=log_url)
    assert done.returncode == 0, done.stderr
    moved = cluster.sql("SELECT (SELECT count(*) FROM books), (SELECT count(*) FROM facts)", database=database)
    assert moved == [(BOOKS, BOOKS * (FACTS_A_BOOK + len(the_demo_set())))]
    assert {name: held for name, held in as_files(folder).items() if name.startswith("books/")} == {
        name: held for name, held in before.items() if name.startswith("books/")
    }
    assert "already" in a_sentence(command("move-in", "--data", folder, store_url=log_url))
    assert (
        command("move-out", folder.parent / "out", "--data", folder.parent / "host", store_url=log_url).returncode == 0
    )
    with Directory(folder) as one, Directory(folder.parent / "out") as other:
        for row in one.books():
            with one.open_book(row["id"]) as kept, other.open_book(row["id"]) as back:
                assert kept.after(0, 10_000) == back.after(0, 10_000)


@contextmanager
def on_a_small_disk(clusters: Clusters) -> Iterator[Cluster]:
    """A server whose folder lies on a disk with hardly any room."""
    made = clusters.new()
    whole = made.folder.with_name(f"{made.folder.name}-whole")
    made.folder.rename(whole)
    made.folder.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={SMALL_DISK}", "tmpfs", made.folder], check=True)
    try:
        subprocess.run(["cp", "-a", f"{whole}/.", made.folder], check=True)
        shutil.rmtree(whole)
        own_folder(made.folder).chmod(0o700)
        yield made.start()
    finally:
        made.stop("immediate")
        subprocess.run(["umount", "-l", made.folder], check=True)


def test_a_full_disk_of_postgresql_takes_nothing_loses_nothing_and_goes_on_with_room(
    clusters: Clusters, tmp_path: Path
) -> None:
    if not may_mount(tmp_path / "mounted"):
        pytest.skip("no disk may be mounted here")
    with on_a_small_disk(clusters) as cluster, two_hosts(tmp_path, cluster.url()) as hosts:
        phone = Phone().start_book(hosts[0])
        assert phone.send(hosts[0], notes(50)) == (200, "")
        room = os.statvfs(cluster.folder)
        filler = cluster.folder / "filler"
        filler.write_bytes(b"\0" * max(room.f_bavail * room.f_frsize - 300_000, 0))
        said = [(200, "")]
        while said[-1] == (200, ""):
            said.append(phone.send(hosts[len(said) % 2], notes(200)))
        assert said[-1] in (AWAY, (507, "disk_full")), said[-1]
        filler.unlink()
        if cluster.process and cluster.process.poll() is not None:
            cluster.start()  # without room for its log it ends itself
        phone.send_until_taken(hosts[0], notes(1))
        held = {fact_id for _, fact_id in phone.held(hosts[1])}
        assert phone.promised <= held


def test_a_standby_that_lags_holds_nothing_back_for_ever(pair: tuple[Cluster, Cluster], tmp_path: Path) -> None:
    """One that receives and applies late costs no fact; one that receives nothing costs the watchdog's time."""
    primary, standby = pair
    standby.set(recovery_min_apply_delay="1h")
    with two_hosts(tmp_path, primary.url()) as hosts:
        phone = Phone().start_book(hosts[0])
        assert phone.send(hosts[1], notes(20)) == (200, "")
        standby.hold_still()
        assert phone.send(hosts[0], notes(1)) == AWAY
        standby.go_on()
        phone.send_until_taken(hosts[0], notes(1))
        assert len(phone.held(hosts[1])) >= len(phone.promised) == 21


def test_a_host_does_not_start_before_its_log_and_says_so(own_cluster: Cluster, tmp_path: Path) -> None:
    own_cluster.stop()
    done = command("serve", "--port", str(free_port()), "--data", tmp_path / "one", store_url=own_cluster.url())
    assert "Not started" in a_sentence(done)
    own_cluster.start()
    host = Host(tmp_path / "one", own_cluster.url()).start()
    try:
        assert Phone().start_book(host).send(host, notes(1)) == (200, "")
    finally:
        host.stop()
